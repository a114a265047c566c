// SPDX-License-Identifier: MIT
// Holds nothing: the headers that all test programs share are compiled once, for the target of this file.

// SPDX-License-Identifier: MIT
#pragma once

namespace ohmroot::cli {

/// Kinds of ending, never counts. 0, 1 and 2 are answers; 64 and above are errors (numbers of sysexits.h).
enum ExitCode : int {
  met = 0,               ///< computed and every criterion met
  not_met = 1,           ///< computed, a criterion is not met
  undecided = 2,         ///< computed, cannot be decided
  usage = 64,            ///< the command line is wrong
  bad_data = 65,         ///< the input is wrong; every finding is printed with its place
  no_input = 66,         ///< an input file is missing or cannot be read
  program_missing = 69,  ///< a needed program is missing and its output was all that was asked for
  internal = 70,         ///< a defect of ohmroot
  cannot_create = 73,    ///< an output cannot be created
  write_failed = 74,     ///< writing failed part way
};

}  // namespace ohmroot::cli

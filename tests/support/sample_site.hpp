// SPDX-License-Identifier: MIT
#pragma once

namespace ohmroot::test {

/// A complete site file without a fault, on one phase; it names readings.csv beside it.
inline constexpr const char* sample_site = R"(reference = "T-1"
[soil]
files = ["readings.csv"]
array = "wenner"
[season]
month_measured = "June"
factor = [1.1, 1.4]
basis = "a test"
[[loads]]
name = "house"
greatest = "40 A"
[break]
position = "own service"
reason = "a test"
[[candidates]]
name = "rod"
shape = "rod"
length = "2.4 m"
diameter = "16 mm"
)";

}  // namespace ohmroot::test

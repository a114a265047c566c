// SPDX-License-Identifier: MIT
#pragma once

#include "command.hpp"

#include <ohmroot/acceptance/retest.hpp>
#include <ohmroot/acceptance/retest_register.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>

#include <optional>
#include <plots/figure.hpp>
#include <string>
#include <vector>

namespace ohmroot::cli {

/// Lies beside the site file.
inline constexpr const char* register_name = "retests.csv";

/// The test sheet in a file. Throws CommandError(bad_data), the errors told on standard error, if it is none or its date
/// is after today's by this device's clock.
[[nodiscard]] acceptance::TestSheet read_test(const std::string& path, bool as_json);

struct RegisterOptions {
  std::string site;
  std::string trend_figure;
  int correct_line = 0;   ///< with a test: the line whose place it takes
  int withdraw_line = 0;  ///< without a test
  bool as_json = false;
};

/// A test that is in the register, and what the register then says of its electrode.
struct EnteredTest {
  int line = 0;
  bool was_there = false;  ///< the same sheet twice is one test
  acceptance::RetestTrend trend;
};

/// Enters a test, to be told of only once it is on disk. limit_ohm: as retest_trend() takes it. Throws CommandError:
/// 73 cannot be opened or is in use, 65 no register, 74 failed to be written.
[[nodiscard]] EnteredTest enter_test(const RegisterOptions& options, const acceptance::RegisterEntry& entry,
                                     double limit_ohm);
[[nodiscard]] std::string entered_text(const EnteredTest& entered);

/// Without a test: withdraws a line if one is named, lists what is in, and says the trend of each electrode. Exit code 1
/// for an alarm, 2 where none can be told, else 0.
void tell_register(const RegisterOptions& options, Outcome& outcome);

/// The tests of an electrode in the register beside the site file; none if there is no register.
[[nodiscard]] std::vector<acceptance::RegisterEntry> registered_tests(const std::string& site_file,
                                                                      const std::string& electrode);

/// Writes a figure, or warns on standard error why there is none.
void draw_figure(const std::string& path, const std::optional<plots::FigureScript>& figure,
                 const std::string& why_there_may_be_none);

}  // namespace ohmroot::cli

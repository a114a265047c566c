// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/criterion.hpp>
#include <ohmroot/acceptance/retest_register.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/study/result.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::report {

/// The test of the electrode as built, as far as a handover needs it.
struct HandoverTest {
  std::string date;
  std::string electrode;
  std::string method;
  acceptance::TestVerdict verdict = acceptance::TestVerdict::cannot_tell;
  std::string why;
  std::optional<Estimate> resistance_ohm;  ///< on the day
  std::optional<Estimate> worst_season_ohm;
  std::vector<acceptance::RegisterEntry> registered_tests =
      {};                  ///< of this electrode, for the card; may be empty
  std::string trend = {};  ///< what they say together; empty: no register
};

/// One page that prints to A4.
struct HandoverPage {
  std::string file;  ///< "client.html"
  std::string html;
};

/// What is handed over: the answer for the client, data for the distributor's form, the installer's sheet, lines for the
/// electrical certificate, the card with standing conditions and retest. Without a test, or where it has not passed, every
/// page says so; what is not known is a line to be filled in, never a guess. The installer's sheet is closed while a
/// permission is not ticked.
[[nodiscard]] std::vector<HandoverPage> handover_pages(const study::StudyResult& result,
                                                       const acceptance::AcceptanceValue& acceptance_value,
                                                       const std::optional<HandoverTest>& test);

}  // namespace ohmroot::report

// SPDX-License-Identifier: MIT
#include <ohmroot/study/rules.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace ohmroot::study {
namespace {

/// Editions whose wording of Section 722 is known here by second-hand quotation.
constexpr std::array<std::string_view, 5> known_editions{"BS 7671:2018", "BS 7671:2018+A1:2020",
                                                         "BS 7671:2018+A2:2022", "BS 7671:2018+A3:2024",
                                                         "BS 7671:2018+A4:2026"};

}  // namespace

RulesHeld rules_held(const RulesAsked& asked) {
  if (asked.jurisdiction != "GB") {
    return {false, fmt::format(
                       "The clauses of the jurisdiction '{}' are not held here. The voltages and resistances "
                       "are physics and stand; whether a method is permitted there is for its own rules, and "
                       "no clause of another country is put in their place.",
                       asked.jurisdiction)};
  }
  if (asked.edition.empty()) {
    return {
        true,
        "Edition not stated. The clauses used are those of BS 7671:2018 Section 722 as quoted second-hand; "
        "state the edition you design to and check them against your licensed copy."};
  }
  if (std::find(known_editions.begin(), known_editions.end(), asked.edition) == known_editions.end()) {
    return {
        false,
        fmt::format("The edition '{}' is not held here. The voltages and resistances are physics and stand; "
                    "check in your licensed copy that the electrode method is still permitted and at which "
                    "voltage.",
                    asked.edition)};
  }
  std::string statement = fmt::format("Designed to {}; its clauses are known here by second-hand quotation "
                                      "and are not reproduced. Check them against "
                                      "your licensed copy.",
                                      asked.edition);
  if (asked.edition == "BS 7671:2018+A4:2026") {
    statement +=
        " Lettering and permitted methods changed between amendments, and the sources read here disagree on "
        "which amendment withdrew the method that relies on the three-phase load alone.";
  } else {
    statement +=
        " A later amendment (A4:2026) has been issued and the earlier text was to be withdrawn in October "
        "2026 (trade notice, not checked): confirm that this edition still applies to the date of design.";
  }
  return {true, statement};
}

const std::vector<std::string>& cautions() {
  static const std::vector<std::string> texts{
      "This is decision support, not certification. The local code, the licensed text of the standard and a "
      "licensed "
      "person decide.",
      "Before any test, prove that the MET is not live to a remote earth, and clamp the earthing conductor "
      "and the "
      "bonds: with the PEN open upstream they carry the street's current even with the main switch off. If "
      "anything is "
      "abnormal, open nothing and call the distributor.",
      "Never disconnect the supply's earth of a live installation in order to measure. Only the distributor "
      "works on "
      "the PEN.",
      "Find buried services before driving a rod or a stake. A sudden drop in resistance or sudden refusal "
      "while "
      "driving means metal or a duct: stop.",
      "No testing in lightning weather, and none with a vehicle connected.",
      "70 V is a limit, not a voltage that is safe to hold. The electrode route has no time allowance.",
      "A ring under the standing place lowers the touch voltage there; it never counts towards the 70 V.",
      "Children, livestock, wet places and swimming pools need lower limits.",
      "TT does not protect appliances from the over-voltage of an open PEN.",
      "No RCD sees an open PEN: the current of the fault leaves and returns inside the circuit that it "
      "watches.",
  };
  return texts;
}

}  // namespace ohmroot::study

// SPDX-License-Identifier: MIT
#pragma once

// An invented rod, its soil, and readings of it made by point sources on paper.

#include <ohmroot/acceptance/fall_of_potential_test.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <cmath>
#include <limits>
#include <numbers>
#include <string>

namespace test {

using namespace ohmroot;

inline const electrode::Electrode rod{"rod", {{{0.0, 0.0, 0.0}, {0.0, 0.0, 2.4}, 0.008}}};

inline acceptance::SafeWorking all_safe() {
  acceptance::SafeWorking answers;
  for (const auto& question : acceptance::safe_questions())
    answers.*question.answer = acceptance::Answer::yes;
  return answers;
}

/// Uniform soil of 100 ohm m, known to 10 %: the rod has 40 ohm.
inline acceptance::TestedElectrode rod_in_100_ohm_m(double ends_ratio = 1.1) {
  return {rod,
          {earth::LayeredSoil(100.0), earth::LayeredSoil(100.0 / ends_ratio),
           earth::LayeredSoil(100.0 * ends_ratio)}};
}

/// Limits far above the rod's 40 ohm, no season effect.
inline acceptance::Criterion lenient_criterion() {
  acceptance::Criterion criterion;
  criterion.strictest_ohm = 60.0;
  criterion.most_lenient_ohm = 80.0;
  criterion.season = acceptance::Criterion::Season{1.0, 1.2, "invented"};
  return criterion;
}

/// What point sources in uniform soil give: R - k (1/D + 1/P - 1/(D - P)), k = rho / (2 pi).
inline double point_reading_ohm(double resistance_ohm, double resistivity_ohm_m, double current_m,
                                double potential_m) {
  const double k = resistivity_ohm_m / (2.0 * std::numbers::pi);
  return resistance_ohm - k * (1.0 / current_m + 1.0 / potential_m - 1.0 / (current_m - potential_m));
}

inline double rod_resistance_ohm() {
  static const double resistance_ohm =
      electrode::solve_field(earth::LayeredSoil(100.0), {rod}).resistance_ohm(0, 0);
  return resistance_ohm;
}

inline acceptance::StakeTest good_test(double current_m = 40.0) {
  acceptance::StakeTest test;
  for (const double share : {0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8}) {
    test.readings.push_back({current_m, share * current_m,
                             point_reading_ohm(rod_resistance_ohm(), 100.0, current_m, share * current_m)});
  }
  test.safe_working = all_safe();
  return test;
}

inline std::string sentence_of(const acceptance::TestResult& result, acceptance::FindingKind kind) {
  for (const auto& finding : result.findings)
    if (finding.kind == kind) return finding.sentence;
  return {};
}

}  // namespace test

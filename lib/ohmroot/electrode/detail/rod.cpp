// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/rule.hpp>

#include <array>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode::detail {

namespace {

using std::numbers::pi;

constexpr std::string_view rod_symbols =
    "R = resistance [ohm]; rho = soil resistivity [ohm m]; L = buried length [m]; d = diameter [m]";

double spheroid_factor_per_m(const Rod& rod) {
  return std::log(4.0 * rod.length_m / rod.diameter_m) / (2.0 * pi * rod.length_m);
}

double rule_of_thumb_factor_per_m(const Rod& rod) {
  return 1.0 / rod.length_m;
}

std::string beyond_rule_of_thumb_box(const Rod& rod) {
  return beyond({"the length of the rod", "times its diameter", 75.0, 400.0}, rod.length_m / rod.diameter_m);
}

// Bands. The equipotential solid rod over the average-potential value rises steadily with L/d: 0.980 at 25,
// 0.984 at 40, 0.9895 at 150, 0.993 at 300, 0.9954 at 1000, 0.997 at 5000, and is below 1 for ever: evenly
// leaking current takes more energy than the true one (Thomson). The other two follow from it.
constexpr std::array<Rule<Rod>, 3> rod_rules{{
    {{.id = "rod-average-potential",
      .title = "One vertical rod, average potential of even leakage",
      .expression = "R = rho / (2 pi L) [ln(8 L / d) - 1]",
      .symbols = rod_symbols,
      .source = "H. B. Dwight, Transactions of the AIEE 55 (1936) 1319-1328; repeated in IEEE Std 142; BS "
                "7430:2011 cl. 9.5: from memory, derived again; the form read in public course notes on "
                "earthing design",
      .valid = "L from 25 to 5000 d, top at the surface",
      .least_truth_ratio = 0.978,
      .greatest_truth_ratio = 0.999,
      .is_published = true},
     average_potential_factor_per_m,
     beyond_rod_box},
    {{.id = "rod-spheroid",
      .title = "One vertical rod as a thin half spheroid",
      .expression = "R = rho / (2 pi L) ln(4 L / d)",
      .symbols = rod_symbols,
      .source = "E. D. Sunde (thin spheroid); EN 50522 Annex J: from memory; exact for a thin half "
                "spheroid of the same length and greatest diameter, which holds less metal than the rod",
      .valid = "L from 25 to 5000 d, top at the surface",
      .least_truth_ratio = 0.912,
      .greatest_truth_ratio = 0.969,
      .is_published = true},
     spheroid_factor_per_m,
     beyond_rod_box},
    {{.id = "rod-rule-of-thumb",
      .title = "One vertical rod, rule of thumb",
      .expression = "R = rho / L",
      .symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; L = buried length [m]",
      .source = "a lightning-protection guide of 2014, table 5.5.1, read",
      .valid = "common rods: L from 75 to 400 d (our bound; the guide prints none)",
      .least_truth_ratio = 0.84,
      .greatest_truth_ratio = 1.13,
      .is_published = true},
     rule_of_thumb_factor_per_m,
     beyond_rule_of_thumb_box},
}};

}  // namespace

double average_potential_factor_per_m(const Rod& rod) {
  return (std::log(8.0 * rod.length_m / rod.diameter_m) - 1.0) / (2.0 * pi * rod.length_m);
}

std::string beyond_rod_box(const Rod& rod) {
  return beyond({"the length of the rod", "times its diameter", 25.0, 5000.0}, rod.length_m / rod.diameter_m);
}

std::span<const Rule<Rod>> rules_for(const Rod&) {
  return rod_rules;
}

}  // namespace ohmroot::electrode::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/conductors.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::routes {
namespace {

struct BondStep {
  double greatest_neutral_m2;
  double bond_m2;
};
constexpr std::array bond_steps{BondStep{35e-6, 10e-6}, BondStep{50e-6, 16e-6}, BondStep{95e-6, 25e-6},
                                BondStep{150e-6, 35e-6}};
constexpr double greatest_bond_m2 = 50e-6;

std::string thermal_words(const std::optional<FaultDuty>& fault, const std::optional<double>& thermal_m2) {
  if (!fault) return "its thermal size is not known: no fault current and time are stated";
  return fmt::format("{} mm2 for the heat of {} in {} with k = {} (BS 7671 regulation 543.1.3, the form "
                     "second-hand, k as stated or from memory)",
                     format_number(1e6 * *thermal_m2), format_given(fault->current_a, Dimension::current),
                     format_given(fault->time_s, Dimension::time), format_number(fault->material_ratio));
}

std::string rating_words(const EarthingConductorFacts& facts, const std::optional<bool>& is_enough) {
  if (!is_enough)
    return "whether it bears the continuous current where it is laid is not known: no rating is stated";
  return fmt::format("its continuous rating of {} is {} for that current",
                     format_given(*facts.rated_current_a, Dimension::current),
                     *is_enough ? "enough" : "NOT enough");
}

}  // namespace

double adiabatic_m2(const FaultDuty& duty) {
  require_positive("duty.current_a", duty.current_a, "A");
  require_positive("duty.time_s", duty.time_s, "s");
  require_positive("duty.material_ratio", duty.material_ratio, "A sqrt(s) / mm2");
  return 1e-6 * duty.current_a * std::sqrt(duty.time_s) / duty.material_ratio;
}

double buried_earthing_conductor_m2(const BuriedConductor& conductor) {
  if (!conductor.is_corrosion_protected) return 25e-6;
  return conductor.is_mechanically_protected ? 2.5e-6 : 16e-6;
}

double pme_bond_m2(double neutral_m2) {
  require_positive("neutral_m2", neutral_m2, "m2");
  for (const BondStep& step : bond_steps)
    if (neutral_m2 <= step.greatest_neutral_m2) return step.bond_m2;
  return greatest_bond_m2;
}

EarthingConductorCheck check_earthing_conductor(const EarthingConductorFacts& facts) {
  require_not_negative("facts.continuous_current_a", facts.continuous_current_a, "A");
  const double bond_m2 = pme_bond_m2(facts.neutral_m2);
  const double burial_m2 = buried_earthing_conductor_m2(facts.burial);
  EarthingConductorCheck check{facts.continuous_current_a, std::max(bond_m2, burial_m2), {}, {}, {}};
  if (facts.fault) {
    check.thermal_m2 = adiabatic_m2(*facts.fault);
    check.least_m2 = std::max(check.least_m2, *check.thermal_m2);
  }
  if (facts.rated_current_a) {
    require_positive("facts.rated_current_a", *facts.rated_current_a, "A");
    check.is_rating_enough = *facts.rated_current_a >= facts.continuous_current_a;
  }
  check.sentence = fmt::format(
      "With the PEN broken the earthing conductor is a neutral: {} without a time limit, and more if the "
      "street's current takes this electrode; {}. At least {} mm2 copper: {} mm2 as a PME bond for a neutral "
      "of "
      "{} mm2 (ascribed to BS 7671 Table 54.8, second-hand); {} mm2 for its burial (common practice, not "
      "checked "
      "against the licensed text); {}",
      format_quantity(check.continuous_current_a, Dimension::current),
      rating_words(facts, check.is_rating_enough), format_number(1e6 * check.least_m2),
      format_number(1e6 * bond_m2), format_number(1e6 * facts.neutral_m2), format_number(1e6 * burial_m2),
      thermal_words(facts.fault, check.thermal_m2));
  return check;
}

}  // namespace ohmroot::routes

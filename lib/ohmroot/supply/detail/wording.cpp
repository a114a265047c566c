// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/supply/detail/wording.hpp>
#include <ohmroot/supply/published.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace ohmroot::supply::detail {

std::string volts(double value_v) {
  return fmt::format("{:.4g} V", value_v);
}
std::string amperes(double value_a) {
  return fmt::format("{:.4g} A", value_a);
}
std::string ohms(double value_ohm) {
  return format_number(value_ohm, 3) + " ohm";
}

namespace {

std::array<double, 3> phase_sums_a(const std::vector<DefiniteLoad>& loads) {
  std::array<double, 3> sum_a{};
  for (const DefiniteLoad& load : loads)
    sum_a[static_cast<std::size_t>(load.phase - 1)] += load.current_a;
  return sum_a;
}

/// What the shorthand of a worked expression needs to know of a circuit.
struct Shorthand {
  bool is_unity = true;
  bool is_one_phase = true;
  std::optional<LoadModel> model;  // if it is the same for all and no ceiling is in play
  double sum_a = 0.0;
  double neutral_a = 0.0;
};
Shorthand shorthand_of(const OpenPenCircuit& circuit) {
  const std::vector<DefiniteLoad> loads = drawing_loads(circuit);
  Shorthand shorthand;
  shorthand.model = loads.front().model;
  for (const DefiniteLoad& load : loads) {
    shorthand.is_unity = shorthand.is_unity && load.power_factor_ratio == 1.0;
    shorthand.is_one_phase = shorthand.is_one_phase && load.phase == loads.front().phase;
    const bool is_capped = load.model == LoadModel::constant_power && std::isfinite(load.current_ceiling_a);
    if (load.model != loads.front().model || is_capped) shorthand.model.reset();
  }
  const std::array<double, 3> sum_a = phase_sums_a(loads);
  shorthand.sum_a = std::accumulate(sum_a.begin(), sum_a.end(), 0.0);
  shorthand.neutral_a = neutral_current_a(sum_a);
  return shorthand;
}

std::string impedance_expression(const OpenPenCircuit& circuit, double limit_v, double conductance_s) {
  const Shorthand is = shorthand_of(circuit);
  const std::string limit = volts(limit_v);
  const std::string source = volts(circuit.source_v);
  const std::string result = conductance_s > 0.0 ? " = " + ohms(1.0 / conductance_s) : "";
  if (is.is_unity && circuit.source_earth_ohm == 0.0) {
    if (conductance_s <= 0.0) {
      return fmt::format("{} x {} = {:.4g} V A, not above {} x {} = {:.4g} V A", source,
                         amperes(is.neutral_a), circuit.source_v * is.neutral_a, limit, amperes(is.sum_a),
                         limit_v * is.sum_a);
    }
    if (is.is_one_phase && is.sum_a > 0.0) {
      return fmt::format("{} x {} / ({} x ({} - {})){}", limit, volts(circuit.nominal_v), amperes(is.sum_a),
                         source, limit, result);
    }
    return fmt::format("{} x {} / ({} x {} - {} x {}){}, with {} in the neutral and {} as the sum of phases",
                       limit, volts(circuit.nominal_v), source, amperes(is.neutral_a), limit,
                       amperes(is.sum_a), result, amperes(is.neutral_a), amperes(is.sum_a));
  }
  const Star star = star_of(circuit);
  const std::string numbers = fmt::format(
      "N = sum of Y E = {:.4g} A, D = sum of Y = {:.4g} {} j {:.4g} S, E = {}", std::abs(star.drive_a),
      star.total_s.real(), star.total_s.imag() < 0 ? "-" : "+", std::abs(star.total_s.imag()), source);
  if (conductance_s <= 0.0)
    return fmt::format("|N| / |D + g| stays within {} from g = 0 on; {}", limit, numbers);
  if (circuit.source_earth_ohm > 0.0) {
    return fmt::format("|D R + 1 + D R_B| = |N| R / {} for R{}; {}, R_B = {}", limit, result, numbers,
                       ohms(circuit.source_earth_ohm));
  }
  return fmt::format("1 / (sqrt((|N| / {})^2 - (Im D)^2) - Re D){}; {}", limit, result, numbers);
}

std::string operating_point_expression(const OpenPenCircuit& circuit, double limit_v, const Need& need) {
  const Shorthand is = shorthand_of(circuit);
  const Binding& binding = *need.binding;
  const std::string limit = volts(limit_v);
  if (need.conductance_s >= unbounded_s) {
    return fmt::format("the loads lose their operating point at {} in all, and the source earth alone has {}",
                       ohms(binding.loop_ohm), ohms(circuit.source_earth_ohm));
  }
  const std::string result = ohms(1.0 / need.conductance_s);
  if (binding.is_end) {
    return fmt::format("{}: above it the loads lose their operating point, before {} is reached", result,
                       limit);
  }
  if (!binding.load_v) {
    return fmt::format(
        "{} / {} = {}, the current that all loads together leave in the neutral at that point, "
        "with {} at the source",
        limit, amperes(binding.current_size_a), result, volts(circuit.source_v));
  }
  if (is.model == LoadModel::constant_current && is.is_unity) {
    return fmt::format("{} / {} = {}", limit, amperes(is.sum_a), result);
  }
  if (is.model == LoadModel::constant_power && is.is_unity && circuit.source_earth_ohm == 0.0) {
    return fmt::format("{0} x ({1} - {0}) / ({2} x {3}) = {4}", limit, volts(circuit.source_v),
                       volts(circuit.nominal_v), amperes(is.sum_a), result);
  }
  return fmt::format("{} / {} = {}, the current that the loads draw at {} across them and {} at the source",
                     limit, amperes(binding.current_size_a), result, volts(*binding.load_v),
                     volts(circuit.source_v));
}

}  // namespace

std::string worked_expression(const Worst& worst, double limit_v) {
  if (worst.need.binding) return operating_point_expression(worst.circuit, limit_v, worst.need);
  return impedance_expression(worst.circuit, limit_v, worst.need.conductance_s);
}

std::string case_sentence(const RequirementQuestion& question, const Requirement& requirement,
                          const Worst& worst) {
  std::string sentence = worst.is_proven ? "worst case, proved: " : "worst case, found by search: ";
  sentence += volts(requirement.at_source_v) + " at the source";
  for (std::size_t k = 0; k < question.loads.size(); ++k) {
    const Load& load = question.loads[k];
    if (!draws(load)) continue;
    sentence += fmt::format(", {} {}", load.name.empty() ? fmt::format("load {}", k + 1) : load.name,
                            amperes(requirement.at_current_a[k]));
  }
  const auto is_power = [](const DefiniteLoad& load) { return load.model == LoadModel::constant_power; };
  const bool has_power = std::any_of(worst.circuit.loads.begin(), worst.circuit.loads.end(), is_power);
  if (has_power && question.supply.source_earth_ohm == 0.0) {
    sentence += "; the source earth is taken as 0 ohm, and were it more, constant power would need a lower "
                "resistance";
  }
  return sentence;
}

}  // namespace ohmroot::supply::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/detail/circuit.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::supply::detail {

namespace {

constexpr double greatest_v = 1e6;
constexpr double greatest_a = 1e6;
constexpr double greatest_ohm = 1e12;
constexpr double least_path_ohm = 1e-6;
// Below this share of the admittances the rest of a sum is rounding.
constexpr double cancelled_ratio = 1e-12;

void require_voltage(std::string_view argument, double value_v) {
  require_positive(argument, value_v, "V");
  require_within(argument, value_v, "V", {0.0, greatest_v});
}

}  // namespace

std::array<Phasor, 3> phase_directions(bool is_sequence_reversed) {
  const double half_sqrt3 = std::sqrt(3.0) / 2.0;
  const Phasor behind{-0.5, -half_sqrt3};
  if (is_sequence_reversed) return {Phasor{1.0}, std::conj(behind), behind};
  return {Phasor{1.0}, behind, std::conj(behind)};
}

Phasor current_direction(const DefiniteLoad& load) {
  const double cosine = load.power_factor_ratio;
  const double sine = std::sqrt((1.0 - cosine) * (1.0 + cosine));
  return {cosine, load.is_leading ? sine : -sine};
}

double current_at_a(const DefiniteLoad& load, double voltage_v, double nominal_v) {
  switch (load.model) {
  case LoadModel::constant_impedance:
    return load.current_a * (voltage_v / nominal_v);
  case LoadModel::constant_current:
    return load.current_a;
  case LoadModel::constant_power:
    return std::clamp(load.current_a * (nominal_v / voltage_v), -load.current_ceiling_a,
                      load.current_ceiling_a);
  }
  throw InternalError("current_at_a: a load model without a law");
}

double current_slope_s(const DefiniteLoad& load, double voltage_v, double nominal_v) {
  switch (load.model) {
  case LoadModel::constant_impedance:
    return load.current_a / nominal_v;
  case LoadModel::constant_current:
    return 0.0;
  case LoadModel::constant_power: {
    const double current_a = current_at_a(load, voltage_v, nominal_v);
    return std::abs(current_a) < load.current_ceiling_a ? -current_a / voltage_v : 0.0;
  }
  }
  throw InternalError("current_slope_s: a load model without a law");
}

std::vector<DefiniteLoad> drawing_loads(const OpenPenCircuit& circuit) {
  std::vector<DefiniteLoad> drawing;
  std::copy_if(circuit.loads.begin(), circuit.loads.end(), std::back_inserter(drawing),
               [](const DefiniteLoad& load) { return load.current_a != 0.0; });
  return drawing;
}

Star star_of(const OpenPenCircuit& circuit) {
  Star star;
  for (const DefiniteLoad& load : circuit.loads) {
    const Phasor admittance_s = load.current_a / circuit.nominal_v * current_direction(load);
    star.admittance_s[static_cast<std::size_t>(load.phase - 1)] += admittance_s;
    star.total_s += admittance_s;
    star.size_s += std::abs(admittance_s);
  }
  // Balanced phases: the sum of Y times E cancels almost fully. The three directions add up to zero, so the
  // third is put in as minus the other two, and what is left are differences of admittances, formed exactly.
  const auto direction = phase_directions(circuit.is_sequence_reversed);
  star.drive_a = circuit.source_v * ((star.admittance_s[0] - star.admittance_s[2]) * direction[0] +
                                     (star.admittance_s[1] - star.admittance_s[2]) * direction[1]);
  return star;
}

std::optional<Neutral> linear_neutral(const OpenPenCircuit& circuit, const Holding& holding) {
  const Star star = star_of(circuit);
  const Phasor total_s = star.total_s + holding.conductance_s;
  const double rounding_s = cancelled_ratio * (star.size_s + holding.conductance_s);
  const bool is_pole_passed = std::abs(star.total_s.imag()) <= rounding_s && total_s.real() <= rounding_s;
  if (is_pole_passed || std::abs(total_s) <= rounding_s) return std::nullopt;
  // E_k - (N - h) / (D + g) = (g E_k + h + sum of Y_j (E_k - E_j)) / (D + g)
  const auto direction = phase_directions(circuit.is_sequence_reversed);
  Neutral neutral{(star.drive_a - holding.drawn_a) / total_s, {}};
  for (std::size_t k = 0; k < 3; ++k) {
    Phasor pull_s = holding.conductance_s * direction[k];
    for (std::size_t j = 0; j < 3; ++j)
      pull_s += star.admittance_s[j] * (direction[k] - direction[j]);
    neutral.across_v[k] = (circuit.source_v * pull_s + holding.drawn_a) / total_s;
  }
  return neutral;
}

double residual_ratio(const OpenPenCircuit& circuit, const Neutral& neutral, Phasor leaving_a) {
  Phasor surplus_a = -leaving_a;
  double total_a = 0.0;
  for (const DefiniteLoad& load : drawing_loads(circuit)) {
    const Phasor across_v = neutral.across_v[static_cast<std::size_t>(load.phase - 1)];
    const double across_size_v = std::abs(across_v);
    if (across_size_v == 0.0) continue;
    const Phasor current_a = current_at_a(load, across_size_v, circuit.nominal_v) * current_direction(load) *
                             (across_v / across_size_v);
    surplus_a += current_a;
    total_a += std::abs(current_a);
  }
  return total_a > 0.0 ? std::abs(surplus_a) / total_a : 0.0;
}

// |V_MET| = |N| / |D + x (1 + D R_B)| with x the conductance to earth. The denominator, squared, is a parabola
// in x that opens upwards; the limit holds for good beyond its larger crossing with (|N| / limit)^2. Written
// with m = 1 + D R_B and Re(conj(D) m) = Re D + |D|^2 R_B, Im(conj(D) m) = -Im D.
double needed_conductance_s(const Star& star, const Protection& protection) {
  const Phasor m = 1.0 + star.total_s * protection.source_earth_ohm;
  const double ratio_s = std::abs(star.drive_a) / protection.limit_v;
  const double reach_s = std::abs(m) * ratio_s;
  const double across_s = std::abs(star.total_s.imag());
  if (reach_s < across_s) return -unbounded_s;
  const double along_s = star.total_s.real() + std::norm(star.total_s) * protection.source_earth_ohm;
  const double root_s = std::sqrt((reach_s - across_s) * (reach_s + across_s));
  if (std::norm(m) == 0.0) return ratio_s > std::abs(star.total_s) ? unbounded_s : -unbounded_s;
  return std::clamp((root_s - along_s) / std::norm(m), -unbounded_s, unbounded_s);
}

void require_valid(const DefiniteLoad& load) {
  if (load.phase < 1 || load.phase > 3) throw DomainError("load.phase", load.phase, "", "1, 2 or 3");
  require_within("load.current_a", load.current_a, "A", {-greatest_a, greatest_a});
  require_positive("load.power_factor_ratio", load.power_factor_ratio, "");
  require_within("load.power_factor_ratio", load.power_factor_ratio, "", {0.0, 1.0});
  if (!(load.current_ceiling_a > 0.0 && load.current_ceiling_a >= std::abs(load.current_a))) {
    throw DomainError("load.current_ceiling_a", load.current_ceiling_a, "A",
                      "greater than 0 and at least the current at nominal voltage, either way");
  }
}

void require_valid(const OpenPenCircuit& circuit) {
  require_voltage("circuit.source_v", circuit.source_v);
  require_voltage("circuit.nominal_v", circuit.nominal_v);
  require_within("circuit.source_earth_ohm", circuit.source_earth_ohm, "ohm", {0.0, greatest_ohm});
  for (const double path_ohm : circuit.earth_path_ohm) {
    require_within("circuit.earth_path_ohm", path_ohm, "ohm", {least_path_ohm, greatest_ohm});
  }
  for (const DefiniteLoad& load : circuit.loads)
    require_valid(load);
}

}  // namespace ohmroot::supply::detail

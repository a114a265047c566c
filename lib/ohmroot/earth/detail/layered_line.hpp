// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

#include <array>
#include <cmath>
#include <complex>
#include <cstddef>
#include <vector>

namespace ohmroot::earth::detail {

/// 1 - exp(-x) without loss for small x, real or complex.
inline double one_minus_exp(double x) {
  return -std::expm1(-x);
}
inline std::complex<double> one_minus_exp(const std::complex<double>& x) {
  const double half_sine = std::sin(0.5 * x.imag());
  const double shrink = std::exp(-x.real());
  return {one_minus_exp(x.real()) + 2.0 * shrink * half_sine * half_sine, shrink * std::sin(x.imag())};
}

/// A reflection factor R that keeps the digits of 1 - R and 1 + R.
template <class Number>
struct Reflection {
  Number value;
  Number one_minus;
  Number one_plus;
};

/// A layer seen as a piece of line: what it reflects at its top (looking up) and at its bottom (looking
/// down), and exp(-2 lambda h).
template <class Number>
struct LineLayer {
  Reflection<Number> up;
  Reflection<Number> down;
  Number echo;            ///< exp(-2 lambda h), 0 for the half-space
  Number one_minus_echo;  ///< 1 - exp(-2 lambda h)
};

/// 1 - R S E, with 1 - E given: formed from parts that do not cancel.
template <class Number>
Number one_minus_product(const Reflection<Number>& r, const Reflection<Number>& s,
                         const LineLayer<Number>& layer) {
  const Number product = r.value * s.value;
  const double r_sign = std::real(r.value);
  const double s_sign = std::real(s.value);
  if (r_sign * s_sign <= 0.0) return 1.0 - product * layer.echo;
  if (r_sign > 0.0) return r.one_minus + r.value * s.one_minus + product * layer.one_minus_echo;
  return r.one_plus - r.value * s.one_plus + product * layer.one_minus_echo;
}

/// 1 + R E.
template <class Number>
Number one_plus_echo(const Reflection<Number>& r, const LineLayer<Number>& layer) {
  return r.one_plus - r.value * layer.one_minus_echo;
}

/// The potential of a point source in layered soil obeys, for each horizontal wavenumber lambda, the
/// equations of a line of pieces with impedance rho_i and propagation lambda. Sources: Wait, Electromagnetic
/// Waves in Stratified Media (1962), ch. II for the line (from memory); checked against image sums.
template <class Number>
std::vector<LineLayer<Number>> line_layers(const LayeredSoil& soil, const Number& wavenumber_per_m) {
  const auto& layers = soil.layers();
  const std::size_t count = layers.size();
  std::vector<LineLayer<Number>> line(count);
  std::vector<Number> tangent(count);
  for (std::size_t i = 0; i + 1 < count; ++i) {
    line[i].one_minus_echo = one_minus_exp(2.0 * wavenumber_per_m * layers[i].thickness_m);
    line[i].echo = 1.0 - line[i].one_minus_echo;
    tangent[i] = line[i].one_minus_echo / (1.0 + line[i].echo);
  }
  line[count - 1].echo = 0.0;
  line[count - 1].one_minus_echo = 1.0;
  line[count - 1].down = {0.0, 1.0, 1.0};
  Number impedance = layers[count - 1].resistivity_ohm_m;  // seen from the bottom of layer i, looking down
  for (std::size_t i = count - 1; i-- > 0;) {
    const double rho = layers[i].resistivity_ohm_m;
    const Number sum = impedance + rho;
    line[i].down = {(impedance - rho) / sum, 2.0 * rho / sum, 2.0 * impedance / sum};
    impedance = (impedance + rho * tangent[i]) / (1.0 + impedance * tangent[i] / rho);
  }
  Number admittance = 0.0;  // seen from the top of layer i, looking up: air carries nothing
  for (std::size_t i = 0; i < count; ++i) {
    const double rho = layers[i].resistivity_ohm_m;
    const Number relative = admittance * rho;
    const Number sum = 1.0 + relative;
    line[i].up = {(1.0 - relative) / sum, 2.0 * relative / sum, 2.0 / sum};
    if (i + 1 < count) admittance = (admittance + tangent[i] / rho) / (1.0 + relative * tangent[i]);
  }
  return line;
}

/// Depth of the top of a layer. [m]
inline double layer_top_m(const LayeredSoil& soil, std::size_t layer) {
  double top_m = 0.0;
  for (std::size_t i = 0; i < layer; ++i)
    top_m += soil.layers()[i].thickness_m;
  return top_m;
}

/// One of the four ways from source to receiver: path length = upper_sign * (depth of the upper of the two
/// points) + lower_sign * (depth of the lower one) + offset_m, never negative.
struct Way {
  double upper_sign;
  double lower_sign;
  double offset_m;
};

/// Upper layer <= lower layer.
struct LayerPair {
  std::size_t upper;
  std::size_t lower;
};

/// The potential is rho / (4 pi) int J0(lambda r) (direct + sum of factor_i exp(-lambda path_i)) d lambda,
/// rho that of the upper layer, the direct term exp(-lambda |z - z'|) only if both points lie in one layer.
inline std::array<Way, 4> ways_of(const LayeredSoil& soil, const LayerPair& pair) {
  const auto& layers = soil.layers();
  const double upper_top_m = layer_top_m(soil, pair.upper);
  const bool has_bottom = pair.lower + 1 < layers.size();
  const double lower_bottom_m =  // without a bottom the factor is zero
      layer_top_m(soil, pair.lower) + (has_bottom ? layers[pair.lower].thickness_m : 0.0);
  if (pair.upper == pair.lower) {
    const double round_trip_m = 2.0 * (lower_bottom_m - upper_top_m);
    return {{{1.0, 1.0, -2.0 * upper_top_m},
             {-1.0, -1.0, 2.0 * lower_bottom_m},
             {1.0, -1.0, round_trip_m},
             {-1.0, 1.0, round_trip_m}}};
  }
  return {{{1.0, 1.0, -2.0 * upper_top_m},
           {-1.0, -1.0, 2.0 * lower_bottom_m},
           {-1.0, 1.0, 0.0},
           {1.0, -1.0, 2.0 * (lower_bottom_m - upper_top_m)}}};
}

/// The factors that belong to ways_of().
template <class Number>
std::array<Number, 4> way_factors(const std::vector<LineLayer<Number>>& line, const LayerPair& pair) {
  const LineLayer<Number>& upper = line[pair.upper];
  const Number resonance = 1.0 / one_minus_product(upper.up, upper.down, upper);
  if (pair.upper == pair.lower) {
    const Number both = upper.up.value * upper.down.value * resonance;
    return {upper.up.value * resonance, upper.down.value * resonance, both, both};
  }
  Number passed = upper.down.one_plus * resonance;
  for (std::size_t i = pair.upper + 1; i < pair.lower; ++i)
    passed *= line[i].down.one_plus / one_plus_echo(line[i].down, line[i]);
  const LineLayer<Number>& lower = line[pair.lower];
  passed /= one_plus_echo(lower.down, lower);
  return {passed * upper.up.value, passed * lower.down.value, passed,
          passed * upper.up.value * lower.down.value};
}

}  // namespace ohmroot::earth::detail

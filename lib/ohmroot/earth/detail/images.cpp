// SPDX-License-Identifier: MIT
#include <ohmroot/earth/detail/images.hpp>

#include <array>
#include <cmath>
#include <numbers>

namespace ohmroot::earth::detail {
namespace {

constexpr int acceleration_count = 19;  // error (3 + sqrt 8)^-19 = 3e-15
constexpr double negligible_exponent = 36.0;
constexpr double direct_sum_count = 64.0;

/// Weights of a sum over a_0, a_1, ... that stand for a_0 - a_1 + a_2 - ... without end, if a_k are the
/// moments of a bounded measure on [0, 1].
/// Source: Cohen, Rodriguez Villegas, Zagier, Experimental Mathematics 9 (2000), algorithm 1 (from memory;
/// guarded by the comparison with the plain sum).
std::array<double, acceleration_count> alternating_weights() {
  constexpr double n = acceleration_count;
  const double power = std::pow(3.0 + std::sqrt(8.0), n);
  const double d = (power + 1.0 / power) / 2.0;
  std::array<double, acceleration_count> weights{};
  double b = -1.0;
  double c = -d;
  double k = 0.0;
  for (double& weight : weights) {
    c = b - c;
    weight = c / d;
    b *= (k + n) * (k - n) / ((k + 0.5) * (k + 1.0));
    k += 1.0;
  }
  return weights;
}

/// a(0) - a(1) + a(2) - ... without end.
template <class Term>
double alternating_sum(const Term& term) {
  static const auto weights = alternating_weights();
  double sum = 0.0;
  double k = 0.0;
  for (const double weight : weights) {
    sum += weight * term(k);
    k += 1.0;
  }
  return sum;
}

/// The terms |K|^n / sqrt(n^2 + x^2), x = r / (2 h).
struct Images {
  double decay;  // -ln |K|, formed without loss for |K| near 1
  double x;

  double term(double n) const { return std::exp(-decay * n) / std::sqrt(n * n + x * x); }
};

/// sum over n > skipped of |K|^n / sqrt(n^2 + x^2): every term positive, decay slow. Turned into an
/// alternating series, which can be accelerated (van Wijngaarden's transformation; from memory).
double positive_rest(const Images& images, double skipped) {
  return alternating_sum([&](double k) {
    double sum = 0.0;
    double stride = 1.0;
    for (double n = k + 1.0; n * images.decay < negligible_exponent; n *= 2.0) {
      sum += stride * images.term(skipped + n);
      stride *= 2.0;
    }
    return sum;
  });
}

/// sum over n >= 1 of K^n / sqrt(n^2 + x^2) for K > 0.
double resistive_base_sum(const Images& images) {
  const double needed = negligible_exponent / images.decay;
  const bool is_short = needed < direct_sum_count;
  const double count = is_short ? std::ceil(needed) : std::ceil(1.5 * images.x) + 2.0;
  double sum = is_short ? 0.0 : positive_rest(images, count);
  for (double n = count; n >= 1.0; n -= 1.0)
    sum += images.term(n);
  return sum;
}

/// The same for K < 0. The images up to 1.5 x are added as they stand: beyond, the terms are moments of a
/// measure that is small enough for the acceleration.
double conductive_base_sum(const Images& images) {
  const double count = 2.0 * std::ceil(0.75 * images.x) + 2.0;  // even: the rest starts with a minus sign
  double sum = -alternating_sum([&](double k) { return images.term(count + 1.0 + k); });
  for (double n = count; n >= 1.0; n -= 2.0)
    sum += images.term(n) - images.term(n - 1.0);
  return sum;
}

}  // namespace

double image_potential_ohm(const LayeredSoil& soil, double distance_m) {
  const auto& [rho1, h] = soil.layers()[0];
  const double rho2 = soil.layers()[1].resistivity_ohm_m;
  const double half_space = rho1 / (2.0 * std::numbers::pi * distance_m);
  if (rho1 == rho2) return half_space;
  const bool is_base_resistive = rho2 > rho1;
  const double lesser = is_base_resistive ? rho1 : rho2;
  const Images images{-std::log1p(-2.0 * lesser / (rho1 + rho2)), distance_m / (2.0 * h)};
  const double sum = is_base_resistive ? resistive_base_sum(images) : conductive_base_sum(images);
  return half_space * (1.0 + 2.0 * images.x * sum);
}

}  // namespace ohmroot::earth::detail

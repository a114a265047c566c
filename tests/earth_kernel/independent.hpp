// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/earth/point_potential.hpp>

#include <Eigen/Dense>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <boost/math/special_functions/bessel.hpp>

#include <cmath>
#include <cstddef>
#include <numbers>
#include <vector>

/// Potentials of a point source by ways that share nothing with the library's.
namespace independent {

using ohmroot::earth::LayeredSoil;
using ohmroot::earth::PointPair;

/// Two layers, both points in the upper one: mirror images at both boundaries, added until the geometric
/// bound of the endless rest is below 1e-14 of the sum. Source: Sunde, Earth Conduction Effects in
/// Transmission Systems (1949), ch. 2 (from memory).
inline double image_sum_ohm(const LayeredSoil& soil, const PointPair& pair) {
  const auto& [rho, h] = soil.layers()[0];
  const double k = (soil.layers()[1].resistivity_ohm_m - rho) / (soil.layers()[1].resistivity_ohm_m + rho);
  const double s = pair.source_depth_m;
  const double z = pair.receiver_depth_m;
  const auto inverse = [&](double vertical) { return 1.0 / std::hypot(pair.distance_m, vertical); };
  double sum = inverse(z - s) + inverse(z + s);
  double power = 1.0;
  for (int n = 1;; ++n) {
    power *= k;
    const double images = inverse(2 * n * h + z - s) + inverse(2 * n * h - z + s) +
                          inverse(2 * n * h + z + s) + inverse(2 * n * h - z - s);
    sum += power * images;
    const double bound = std::abs(power) * images * std::abs(k) / (1.0 - std::abs(k));
    if (bound < 1e-14 * std::abs(sum)) break;
  }
  return rho / (4.0 * std::numbers::pi) * sum;
}

/// Any layers: potential in the wavenumber domain, without the direct term, from the linear equations of
/// continuity at every boundary (two unknowns per layer, solved with pivoting).
inline double continuity_kernel(const LayeredSoil& soil, const PointPair& pair, double wavenumber) {
  const auto& layers = soil.layers();
  const auto count = static_cast<Eigen::Index>(layers.size());
  std::vector<double> top{0.0};
  for (std::size_t i = 0; i + 1 < layers.size(); ++i)
    top.push_back(top.back() + layers[i].thickness_m);
  const auto layer_of = [&](double z) {
    std::size_t i = 0;
    while (i + 1 < layers.size() && z > top[i + 1])
      ++i;
    return i;
  };
  const std::size_t source = layer_of(pair.source_depth_m);
  // Unknowns: of layer i a exp(-k (z - top)) + b exp(-k (bottom - z)); the last layer has no b.
  Eigen::MatrixXd a = Eigen::MatrixXd::Zero(2 * count - 1, 2 * count - 1);
  Eigen::VectorXd rhs = Eigen::VectorXd::Zero(2 * count - 1);
  const auto direct = [&](double z) {
    return layers[source].resistivity_ohm_m * std::exp(-wavenumber * std::abs(z - pair.source_depth_m));
  };
  const auto decay = [&](std::size_t i) {
    return i + 1 < layers.size() ? std::exp(-wavenumber * layers[i].thickness_m) : 0.0;
  };
  // No current through the surface: derivative / k.
  a(0, 0) = -1.0;
  if (count > 1) a(0, 1) = decay(0);
  if (source == 0) rhs[0] = -direct(0.0);
  for (Eigen::Index i = 0; i + 1 < count; ++i) {
    const auto l = static_cast<std::size_t>(i);
    const double z = top[l + 1];
    const Eigen::Index row = 2 * i + 1;
    a(row, 2 * i) = decay(l);
    a(row, 2 * i + 1) = 1.0;
    a(row, 2 * i + 2) = -1.0;
    a(row + 1, 2 * i) = -decay(l) / layers[l].resistivity_ohm_m;
    a(row + 1, 2 * i + 1) = 1.0 / layers[l].resistivity_ohm_m;
    a(row + 1, 2 * i + 2) = 1.0 / layers[l + 1].resistivity_ohm_m;
    if (i + 2 < count) {
      a(row, 2 * i + 3) = -decay(l + 1);
      a(row + 1, 2 * i + 3) = -decay(l + 1) / layers[l + 1].resistivity_ohm_m;
    }
    if (source == l) {
      rhs[row] -= direct(z);
      rhs[row + 1] += direct(z) / layers[l].resistivity_ohm_m;  // falls downwards
    }
    if (source == l + 1) {
      rhs[row] += direct(z);
      rhs[row + 1] += direct(z) / layers[l + 1].resistivity_ohm_m;  // rises downwards
    }
  }
  const Eigen::VectorXd x = a.fullPivLu().solve(rhs);
  const std::size_t at = layer_of(pair.receiver_depth_m);
  const auto i = static_cast<Eigen::Index>(at);
  double value = x[2 * i] * std::exp(-wavenumber * (pair.receiver_depth_m - top[at]));
  if (at + 1 < layers.size())
    value += x[2 * i + 1] * std::exp(-wavenumber * (top[at + 1] - pair.receiver_depth_m));
  return value;
}

/// Hankel integral of that along the real axis, lobe by lobe of J0 (adaptive Gauss-Kronrod in each), to where
/// exp(-k clearance) has died away: clearance is the least path but the direct one, which must not be much
/// shorter than the distance.
inline double hankel_integral_ohm(const LayeredSoil& soil, const PointPair& pair, double clearance_m) {
  using boost::math::cyl_bessel_j;
  using boost::math::cyl_bessel_j_zero;
  const auto integrand = [&](double k) {
    return continuity_kernel(soil, pair, k) * cyl_bessel_j(0, k * pair.distance_m);
  };
  const double last = 40.0 / clearance_m;
  double sum = 0.0;
  double from = 0.0;
  for (unsigned lobe = 1; from < last; ++lobe) {
    const double to = std::min(last, cyl_bessel_j_zero(0.0, static_cast<int>(lobe)) / pair.distance_m);
    // The layers' own scale may be finer than the lobe.
    for (double a = from, b; a < to; a = b) {
      b = a == 0.0 ? 1e-4 * to : std::min(to, 4.0 * a);
      sum += boost::math::quadrature::gauss_kronrod<double, 31>::integrate(integrand, a, b, 8, 1e-12);
    }
    from = to;
  }
  return sum / (4.0 * std::numbers::pi);
}

}  // namespace independent

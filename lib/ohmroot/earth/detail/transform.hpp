// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

#include <cmath>
#include <complex>

namespace ohmroot::earth::detail {

/// Resistivity transform at a real or complex wavenumber with positive real part. Written with tanh: every
/// sum is one of parts with positive real part, so that no digit is lost whatever the contrast, and thick
/// layers cannot overflow:
///   T_i = (T_{i+1} + rho_i t) / (1 + T_{i+1} t / rho_i),  t = tanh(lambda h_i).
template <class Number>
Number resistivity_transform(const LayeredSoil& soil, const Number& wavenumber_per_m) {
  const auto& layers = soil.layers();
  Number transform = layers.back().resistivity_ohm_m;
  for (auto layer = layers.rbegin() + 1; layer != layers.rend(); ++layer) {
    const double rho = layer->resistivity_ohm_m;
    const Number t = std::tanh(wavenumber_per_m * layer->thickness_m);
    transform = (transform + rho * t) / (1.0 + transform * t / rho);
  }
  return transform;
}

}  // namespace ohmroot::earth::detail

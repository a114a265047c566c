// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

#include <cstddef>
#include <span>
#include <vector>

namespace ohmroot::earth {

/// What a SurfaceKernel is fitted for.
enum class Derivatives {
  none,
  by_layer  ///< also those by ln of each resistivity and of each thickness
};

/// The fast route where both points lie at the surface: a fit of one function, for soundings, whose soil
/// changes from one evaluation to the next.
/// Accuracy: relative error below 1e-6 for contrasts to 1:100 either way and distances of 0.001 to 1000
/// thicknesses, 1e-4 to 1:1000 (reference/ACCURACY.md).
class SurfaceKernel {
public:
  /// Throws DomainError for contrasts or thicknesses so extreme that images cannot carry them.
  explicit SurfaceKernel(const LayeredSoil& soil, Derivatives derivatives = Derivatives::none);

  /// Potential per ampere at each distance. [V/A] Throws DomainError unless all are positive and finite, and
  /// there are as many results as distances.
  void potentials_ohm(std::span<const double> distances_m, std::span<double> results_ohm) const;

  /// Resistivities from the top, then the thicknesses of all layers but the last.
  [[nodiscard]] std::size_t parameter_count() const noexcept { return parameter_count_; }

  /// Derivatives of the potentials by ln of each parameter, one run over the distances after the other. [V/A]
  /// Throws DomainError as potentials_ohm(), and unless the kernel was fitted for them.
  void derivatives_ohm(std::span<const double> distances_m, std::span<double> results_ohm) const;

private:
  std::size_t parameter_count_;
  std::size_t column_count_;
  std::vector<double> squared_shifts_m2_;
  std::vector<double> weights_ohm_m_;  // of the potential, then of each derivative, one per shift
};

}  // namespace ohmroot::earth

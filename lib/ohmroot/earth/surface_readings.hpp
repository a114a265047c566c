// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace ohmroot::earth {

/// Sums of potentials at the surface whose distances stay while the soil changes: the readings of one sounding, for
/// samplers. What a SurfaceKernel fits anew for each soil is here one matrix, made once.
/// Accuracy: 3e-4 of an apparent resistivity for neighbouring layers within 1:100 and no more than stated by Reach
/// (tests compare with SurfaceKernel).
class SurfaceReadings {
public:
  /// A reading is a sum of weight times the potential per ampere at that distance from the source.
  struct Term {
    double distance_m;
    double weight_ratio;
  };
  /// The soils that will be asked for: no layer thinner, no boundary deeper.
  struct Reach {
    double thinnest_m;
    double deepest_m;
  };

  /// Throws DomainError unless all distances and the reach are positive and finite, and the deepest is not less than
  /// the thinnest.
  SurfaceReadings(const std::vector<std::vector<Term>>& readings, const Reach& reach);

  [[nodiscard]] std::size_t count() const noexcept { return at_surface_per_m_.size(); }

  /// One value per reading. [V/A] resistivities_ohm_m from the top, depths_m of the boundaries between, rising. Throws
  /// DomainError unless there is one depth less than resistivities, and as many results as readings.
  void resistances_ohm(std::span<const double> resistivities_ohm_m, std::span<const double> depths_m,
                       std::span<double> results_ohm) const;

  /// The same, and the derivatives: a column of one per reading for each resistivity [m^-1], then for each depth [V/(A m)].
  /// Throws DomainError as above, and unless there are as many slopes as readings times resistivities and depths.
  void resistances_and_slopes_ohm(std::span<const double> resistivities_ohm_m,
                                  std::span<const double> depths_m, std::span<double> results_ohm,
                                  std::span<double> slopes) const;

private:
  void require_sizes(std::span<const double> resistivities_ohm_m, std::span<const double> depths_m,
                     std::span<double> results_ohm) const;

  std::vector<double> wavenumbers_per_m_;
  std::vector<double> by_departure_per_m_;  // a reading after the other, one per wavenumber
  std::vector<double> at_surface_per_m_;    // of uniform soil, per ohm metre
};

}  // namespace ohmroot::earth

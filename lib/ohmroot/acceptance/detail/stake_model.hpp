// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/conductors.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <memory>
#include <vector>

namespace ohmroot::acceptance::detail {

/// Where the two stakes stand, from the start.
struct StakePlace {
  double current_distance_m;
  double potential_distance_m;
  double between_deg;  // unit: degrees
};

/// What a tester reads of an electrode in one soil, for any places of the stakes, from one field solution.
///
/// By superposition and reciprocity the reading is R - u(C) - u(P) + g(PC): u the surface potential of the
/// electrode at 1 A, g that of the current stake as a point of the surface. Left out: the electrode as a
/// disturbance of the current stake's field at the potential stake (second order in extent over distance).
class StakeModel {
public:
  /// Throws DomainError as solve_field().
  StakeModel(const earth::LayeredSoil& soil, const electrode::Electrode& metal,
             const electrode::SurfacePlace& start, double current_direction_deg);
  ~StakeModel();
  StakeModel(StakeModel&&) noexcept;
  StakeModel& operator=(StakeModel&&) noexcept;

  [[nodiscard]] double resistance_ohm() const;
  /// By how much a reading is below the resistance. [ohm]
  [[nodiscard]] double shortfall_ohm(const StakePlace& place) const;
  [[nodiscard]] double reading_ohm(const StakePlace& place) const;

private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

/// The middle of the metal in plan.
[[nodiscard]] electrode::SurfacePlace middle_of(const electrode::Electrode& metal);

}  // namespace ohmroot::acceptance::detail

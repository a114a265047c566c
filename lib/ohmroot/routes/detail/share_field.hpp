// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <span>
#include <vector>

namespace ohmroot::routes::detail {

/// A share and how far it may be off.
struct Share {
  double ratio;
  double error_ratio;  // absolute
};

/// Metal at one volt, with another electrode connected to nothing or without.
class ShareField {
public:
  ShareField(const earth::LayeredSoil& soil, const electrode::Electrode& metal,
             const std::vector<electrode::Conductor>& floating);

  [[nodiscard]] electrode::FieldStatus status() const;
  [[nodiscard]] std::string remark() const;
  [[nodiscard]] int unknown_count() const { return field_.unknown_count(); }

  /// Of the floating electrode, and of places of the surface. The error is four times the field solution's own estimate
  /// for places a metre from metal: twice for its honesty, twice for places that are nearer.
  [[nodiscard]] Share of_electrode() const;
  [[nodiscard]] std::vector<Share> of_surface(std::span<const electrode::SurfacePlace> places) const;
  /// Without errors.
  [[nodiscard]] std::vector<double> ratios(std::span<const electrode::SurfacePlace> places) const;

private:
  [[nodiscard]] Share share_of(double ratio) const;
  electrode::FieldSolution field_;
  electrode::FieldState state_;
};

}  // namespace ohmroot::routes::detail

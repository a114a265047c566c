// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <array>
#include <span>
#include <vector>

namespace ohmroot::routes::detail {

/// A share and how far it may be off.
struct Share {
  double ratio;
  double error_ratio;  // absolute
};

/// Metal at one volt, with another electrode connected to nothing or without, solved twice: the field solution refines
/// where that moves resistances, and leaves elements of a third of a long bar in its middle, where the potential of the
/// ground beside it is then off by up to one per cent. So bars are cut, into eight pieces for the answer and four for
/// comparison.
class ShareField {
public:
  ShareField(const earth::LayeredSoil& soil, const electrode::Electrode& metal,
             const std::vector<electrode::Conductor>& floating);

  [[nodiscard]] electrode::FieldStatus status() const;
  [[nodiscard]] std::string remark() const;
  [[nodiscard]] int unknown_count() const { return solved_.front().field.unknown_count(); }

  /// Of the floating electrode, and of places of the surface. The error is twice the difference of the two solutions
  /// and four times the estimate of the resistances, which a share is a ratio of two of.
  [[nodiscard]] Share of_electrode() const;
  [[nodiscard]] std::vector<Share> of_surface(std::span<const electrode::SurfacePlace> places) const;
  /// Without errors, in half the time.
  [[nodiscard]] std::vector<double> ratios(std::span<const electrode::SurfacePlace> places) const;

private:
  struct Solved {
    electrode::FieldSolution field;
    electrode::FieldState state;
  };
  [[nodiscard]] Share share_of(double fine_ratio, double coarse_ratio) const;
  std::vector<Solved> solved_;  // fine, coarse
};

}  // namespace ohmroot::routes::detail

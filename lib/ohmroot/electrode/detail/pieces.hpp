// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/electrode/conductors.hpp>

#include <Eigen/Dense>

#include <cstddef>
#include <optional>
#include <vector>

namespace ohmroot::electrode::detail {

/// What is at an end of a piece of bar: metal going on or another layer, soil, an insulated continuation, or
/// the surface, which mirrors the bar.
enum class End { joined, free, covered, mirrored };

/// A bare straight stretch without a joint or a layer boundary inside, the unit of the assembly.
struct Piece {
  Eigen::Vector3d start;      ///< x, y, depth [m]
  Eigen::Vector3d direction;  ///< unit
  double radius_m;
  std::optional<Core> core;
  std::size_t electrode;
  std::size_t conductor;  ///< within the electrode
  double along_m;         ///< of the start, from the conductor's own start
  std::size_t layer;
  End from_end;
  End to_end;
  std::vector<double> breaks_m;  ///< of its elements, from 0

  [[nodiscard]] double length_m() const { return breaks_m.back(); }
  [[nodiscard]] std::size_t element_count() const { return breaks_m.size() - 1; }
  [[nodiscard]] double greatest_element_m() const;
  /// Where an element is divided when it is refined: in the middle, at an end of the piece nearer to it.
  [[nodiscard]] double split_m(std::size_t element) const;
  /// False where its parts would be too short against the radius to describe a joint.
  [[nodiscard]] bool may_be_refined(std::size_t element) const;
  [[nodiscard]] bool touches_joint(std::size_t element) const;
  [[nodiscard]] Eigen::Vector3d at(double along) const { return start + along * direction; }
};

/// Pieces of valid electrodes, with a first coarse grading: elements grow threefold from one radius at ends
/// that are not joined, where the current crowds.
[[nodiscard]] std::vector<Piece> make_pieces(const std::vector<Electrode>& electrodes,
                                             const earth::ImageKernel& kernel);

/// Where two axes come closest, as distances along each. [m]
struct Approach {
  double distance_m;
  double along_first_m;
  double along_second_m;
};
[[nodiscard]] Approach closest_approach(const Conductor& first, const Conductor& second);

/// Length of a bar beside which another one lies; negative if none. [m]
[[nodiscard]] double overlap_m(const Conductor& first, const Conductor& second);

/// Estimated relative error of thin bars as a model: currents that crowd to one side of a bar where another
/// one, or its mirror image at a boundary, is near, bends, and the end correction of stout bars.
[[nodiscard]] double model_error_ratio(const earth::LayeredSoil& soil,
                                       const std::vector<Electrode>& electrodes);

}  // namespace ohmroot::electrode::detail

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/routes/pme_metal.hpp>

#include <span>
#include <string>
#include <variant>
#include <vector>

namespace ohmroot::routes {

/// What takes the share: the surface of the soil, or an electrode that is connected to nothing, laid out
/// along the line with the axis of its nearest point at the distance.
struct SoilSurface {};
using Receiver = std::variant<SoilSurface, electrode::Shape>;

/// Metal on the PME earth in its soil, and the line in plan along which distances count from its start.
struct ShareLine {
  earth::LayeredSoil soil;
  std::vector<PmeMetal> metal;  ///< joined; at least one
  PlanPose line;
  Receiver receiver;
};

struct ShareCurve {
  std::vector<double> distance_m;
  std::vector<double> share_ratio;  ///< of the metal's potential
  double error_ratio;  ///< greatest error of a share, absolute, as in the intervals of separation.hpp
  electrode::FieldStatus status;  ///< coarse if any solution was
};

/// Distances are not negative and finite, at least one. Throws DomainError for these, for metal or a shape that is not
/// valid, and where the electrode would touch the metal.
[[nodiscard]] ShareCurve share_curve(const ShareLine& along, std::span<const double> distances_m);

/// Asks where the share stays below a level for good, as far as is looked.
struct DistanceQuestion {
  double level_ratio;         ///< above 0, below 1
  double least_m = 0.1;       ///< above 0; nearer is not looked at
  double greatest_m = 100.0;  ///< greater, at most 1e5
};

enum class DistanceStatus {
  found,
  below_throughout,  ///< from least_m on
  not_within,        ///< at greatest_m the share is still the level or more
};

struct ShareDistance {
  DistanceStatus status;
  double distance_m;   ///< where it falls below; least_m or greatest_m where it was not found
  double share_ratio;  ///< there
  double error_ratio;  ///< greatest of the shares looked at, absolute, as in ShareCurve
  std::string sentence;
};

/// The last of 49 distances in geometric progression at which the share is not below the level, then a root between
/// it and the next, to a thousandth: beyond it the share stays below, as the samples tell. Throws as share_curve(), and
/// for a question that is not as described.
[[nodiscard]] ShareDistance distance_for_share(const ShareLine& along, const DistanceQuestion& question);

}  // namespace ohmroot::routes

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/conductors.hpp>
#include <ohmroot/electrode/plate.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::routes {

enum class MetalKind {
  rod,   ///< driven upright
  tape,  ///< lying straight
  plate,
  line,  ///< long bonded pipe or bare cable sheath: a line source
};
[[nodiscard]] std::string_view metal_kind_name(MetalKind kind);  ///< "rod", "tape", "plate", "pipe or sheath"

/// Metal in the ground that is joined to the PME earth and so takes the MET's potential when the PEN is
/// broken. The longitudinal resistance of a long pipe is neglected, which puts its potential, and what it
/// transfers, on the high side.
struct PmeMetal {
  std::string name;
  MetalKind kind;
  std::vector<electrode::Conductor> conductors;
};

/// A direction in plan from a place: 0 along x, growing towards y.
struct PlanPose {
  electrode::SurfacePlace at;
  double direction_deg = 0.0;  // unit: degrees, from x towards y
};

/// Each throws DomainError for a place that is not finite, and for dimensions that conductors.hpp, shape.hpp
/// or plate.hpp do not admit.
[[nodiscard]] PmeMetal rod_metal(std::string name, const electrode::Rod& rod,
                                 const electrode::SurfacePlace& at);
/// From its start in the direction of the pose.
[[nodiscard]] PmeMetal tape_metal(std::string name, const electrode::Tape& tape, const PlanPose& pose);

/// A rectangular plate around the centre of the pose, as the bars of conductors.hpp. It must lie in the soil: one on the
/// surface is refused.
[[nodiscard]] PmeMetal plate_metal(std::string name, const electrode::RectangularPlate& plate,
                                   const PlanPose& pose);

/// A pipe or sheath along two or more corners in plan at one depth of its axis: all that is in metallic
/// connection, since a longer line transfers more.
struct LineSize {
  double diameter_m;
  double depth_m;  ///< of the axis, at least half the diameter
};
[[nodiscard]] PmeMetal line_metal(std::string name, const std::vector<electrode::SurfacePlace>& corners,
                                  const LineSize& size);

/// Conductors turned from the direction of x into that of the pose, and their origin put at its place.
[[nodiscard]] std::vector<electrode::Conductor> placed(std::vector<electrode::Conductor> conductors,
                                                       const PlanPose& pose);

/// From the place over the axes of the metal that is nearest in plan to a target, towards it. Throws DomainError if
/// there is no metal, or if the target lies over it: then there is no direction.
[[nodiscard]] PlanPose towards(const std::vector<PmeMetal>& metal, const electrode::SurfacePlace& target);

/// All the metal as one electrode. Throws DomainError if there is none.
[[nodiscard]] electrode::Electrode joined(const std::vector<PmeMetal>& metal);

}  // namespace ohmroot::routes

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/surface_map.hpp>
#include <ohmroot/routes/separation.hpp>

#include <functional>
#include <span>
#include <vector>

namespace ohmroot::routes::detail {

/// The ground on which a person at the vehicle can stand: the outline and all within reach around it.
class Standing {
public:
  /// Throws DomainError as Parking and Outline describe.
  explicit Standing(const Parking& parking);

  /// Distance of a place from the outline; 0 inside. [m]
  [[nodiscard]] double distance_m(const electrode::SurfacePlace& place) const;
  /// The place of the standing ground that is nearest to the one given.
  [[nodiscard]] electrode::SurfacePlace nearest(const electrode::SurfacePlace& place) const;
  /// A grid of such places, up to about 2500, and the pitch between them.
  [[nodiscard]] std::vector<electrode::SurfacePlace> grid() const;
  [[nodiscard]] double pitch_m() const { return pitch_m_; }

private:
  [[nodiscard]] electrode::SurfacePlace inwards(const electrode::SurfacePlace& place) const;
  [[nodiscard]] electrode::SurfacePlace outwards(const electrode::SurfacePlace& local) const;

  Parking parking_;
  double cosine_;
  double sine_;
  double pitch_m_;
};

using SurfaceFunction = std::function<std::vector<double>(std::span<const electrode::SurfacePlace>)>;
struct Extreme {
  electrode::SurfacePlace place;
  double value;
};
struct Extremes {
  Extreme least;
  Extreme greatest;
};
/// Greatest and least value on the standing ground: on the grid and at the places of the standing ground
/// that are nearest to the hints, then closed in on to a millimetre.
[[nodiscard]] Extremes extremes_on(const Standing& ground, std::span<const electrode::SurfacePlace> hints,
                                   const SurfaceFunction& function);

}  // namespace ohmroot::routes::detail

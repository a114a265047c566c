// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::electrode {

/// A place in the soil: depth_m is 0 at the surface and grows downwards.
struct Place {
  double x_m;
  double y_m;
  double depth_m;
};

enum class Coating { bare, insulated };

/// A bar in the middle of a round fill of concrete or backfill, both ending in one plane: the soil touches the fill
/// and the flat ends of the bar.
struct Core {
  double radius_m;                ///< of the bar: from a fiftieth of the fill's to the fill's
  double fill_resistivity_ohm_m;  ///< 0.01 to 1 000 000
  bool operator==(const Core&) const = default;
};

/// A straight solid round bar with flat ends, between two places on its axis.
struct Conductor {
  Place from;
  Place to;
  double radius_m;  ///< of the bar, or of the fill around it
  Coating coating = Coating::bare;
  std::optional<Core> core = {};  ///< the bar within a fill; none: metal throughout
};

/// Resistance of a metre of the fill, from the bar to the soil; 0 without one. [ohm m]
/// rho_fill ln(R / r) / (2 pi). Source: a coaxial layer (derived).
[[nodiscard]] double fill_resistance_ohm_m(double radius_m, const std::optional<Core>& core);

/// What it means that two bare bars of one electrode cross: within reach of each other, away from the ends of
/// both. Bars that meet at an end are always joined there.
enum class Crossings {
  refused,  ///< a mistake: bars that pass each other are apart, bars that are joined meet at an end
  joined,   ///< joined wherever they cross: a mesh
};

/// Conductors that are joined: all at one potential, whether they touch in the soil or not (a connection
/// above ground counts).
struct Electrode {
  std::string name;
  std::vector<Conductor> conductors;
  Crossings crossings = Crossings::refused;
};

/// Round conductor that acts like a thin tape: its diameter is half the tape's width. [m]
/// Exact for an infinitely thin tape far from its surface. Source: conformal mapping of a strip (derived).
[[nodiscard]] double equivalent_radius_of_tape_m(double width_m);

/// A horizontal ring as a regular polygon of 36 to 72 sides with the resistance of the ring to about 0.01 %
/// for rings 1000 times as wide as their conductor, 0.1 % at 50 times (derived; tests compare with the torus).
struct RingPlace {
  double x_m;  ///< of the centre
  double y_m;
};
[[nodiscard]] std::vector<Conductor> ring_of(const Ring& ring, const RingPlace& centre);

/// A mesh from a corner, its conductors parallel to x and y and as long as its sides: count + 1 each way, so that its
/// electrode needs Crossings::joined. More and finer meshes than a shape admits, at any depth: sides of any length, 1 to
/// 1000 meshes each.
[[nodiscard]] std::vector<Conductor> mesh_of(const Mesh& mesh);

/// The conductors of a shape of shape.hpp, its first rod, start, corner or the middle of a plate's end at the origin, in
/// the direction of x. A plate is eight bars along its length that act like a strip: at the roots of a Chebyshev polynomial
/// across its width, with the radii width sin(angle) / (4 count), n equal line charges have exactly the potential of the
/// strip on every bar (derived). Their resistance is within 2 % of plate_resistance() for sides up to 1 : 2 (tests).
/// Throws DomainError for a shape that is not valid.
[[nodiscard]] std::vector<Conductor> conductors_of(const Shape& shape);

/// Throws DomainError, naming electrode and conductor, unless every conductor is finite, in the soil (a
/// lying bar wholly below the surface), longer than its diameter and at least a micrometre thick, its core within
/// its fill and not insulated, no two conductors of one electrode lie in one another or cross without
/// Crossings::joined, and no two electrodes touch.
void require_valid(const std::vector<Electrode>& electrodes);

}  // namespace ohmroot::electrode

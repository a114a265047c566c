// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/detail/pieces.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::electrode::detail {

/// A piece as the image of its chief, the first of all pieces that carry the same current by symmetry.
struct Follower {
  std::size_t chief;
  bool is_reversed;  ///< its start is the image of the chief's end
};

/// The turns and reflections in plan that leave an arrangement as it is, by what they do to its pieces. Soil
/// in level layers knows no direction, so images carry equal currents and one unknown serves them all.
struct Symmetry {
  std::vector<Follower> of_piece;
  std::vector<bool> is_folded;  ///< pieces that are the mirror image of themselves, end to end
};

/// Each piece its own chief.
[[nodiscard]] Symmetry no_symmetry(std::size_t piece_count);

/// All turns and reflections of the arrangement; none found is no_symmetry.
[[nodiscard]] Symmetry symmetry_of(const std::vector<Piece>& pieces);

/// The unknowns that symmetry leaves: pairs of parts of a divided element stay neighbours.
struct Orbits {
  std::vector<Eigen::Index> unknown_of;  ///< of each element
  Eigen::VectorXd member_count;          ///< elements of each unknown
};
[[nodiscard]] Orbits orbits_of(const std::vector<Piece>& pieces, const Symmetry& symmetry);

}  // namespace ohmroot::electrode::detail

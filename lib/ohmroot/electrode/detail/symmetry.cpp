// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/symmetry.hpp>

#include <boost/container_hash/hash.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <optional>
#include <unordered_map>

namespace ohmroot::electrode::detail {
namespace {

using Eigen::Index;
using Eigen::Matrix2d;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double alike_m = 1e-8;  // lengths that agree to this are taken as equal

Vector3d middle_of(const Piece& piece) {
  return piece.at(0.5 * piece.length_m());
}

/// A turn or a reflection of the plan about a centre.
struct Isometry {
  Vector2d centre;
  Matrix2d linear;

  [[nodiscard]] Vector3d operator()(const Vector3d& point) const {
    const Vector2d moved = centre + linear * (point.head<2>() - centre);
    return {moved.x(), moved.y(), point.z()};
  }
};

/// Finds a piece by its ends.
class ByEnds {
public:
  explicit ByEnds(const std::vector<Piece>& pieces) : pieces_(pieces) {
    for (std::size_t p = 0; p < pieces.size(); ++p)
      index_.emplace(key(pieces[p].start, pieces[p].at(pieces[p].length_m())), p);
  }

  /// The piece that looks, in its place, as this one does after it was moved.
  [[nodiscard]] std::optional<Follower> image(const Piece& piece, const Isometry& move) const {
    const Vector3d start = move(piece.start);
    const Vector3d end = move(piece.at(piece.length_m()));
    for (const bool is_reversed : {false, true}) {
      const auto found = index_.find(is_reversed ? key(end, start) : key(start, end));
      if (found != index_.end() && is_alike(piece, pieces_[found->second], is_reversed))
        return Follower{found->second, is_reversed};
    }
    return std::nullopt;
  }

private:
  using Key = std::array<std::int64_t, 6>;
  struct Hash {
    std::size_t operator()(const Key& key) const { return boost::hash_range(key.begin(), key.end()); }
  };

  static Key key(const Vector3d& from, const Vector3d& to) {
    const auto on_grid = [](double length_m) { return std::int64_t{std::llround(length_m / alike_m)}; };
    return {on_grid(from.x()), on_grid(from.y()), on_grid(from.z()),
            on_grid(to.x()),   on_grid(to.y()),   on_grid(to.z())};
  }

  static bool is_alike(const Piece& a, const Piece& b, bool is_reversed) {
    const std::size_t last = a.breaks_m.size() - 1;
    if (a.layer != b.layer || a.electrode != b.electrode || std::abs(a.radius_m - b.radius_m) > alike_m ||
        a.core != b.core || a.from_end != (is_reversed ? b.to_end : b.from_end) ||
        a.to_end != (is_reversed ? b.from_end : b.to_end) || b.breaks_m.size() != last + 1)
      return false;
    for (std::size_t i = 0; i <= last; ++i) {
      const double other_m = is_reversed ? b.length_m() - b.breaks_m[last - i] : b.breaks_m[i];
      if (std::abs(a.breaks_m[i] - other_m) > alike_m) return false;
    }
    return true;
  }

  const std::vector<Piece>& pieces_;
  std::unordered_map<Key, std::size_t, Hash> index_;
};

/// Every symmetry carries the piece farthest from the middle to one as far away, turned or reflected.
std::vector<Isometry> candidates(const std::vector<Piece>& pieces) {
  Vector2d centre = Vector2d::Zero();
  for (const Piece& piece : pieces)
    centre += middle_of(piece).head<2>() / static_cast<double>(pieces.size());
  std::vector<Vector2d> arms;
  for (const Piece& piece : pieces)
    arms.emplace_back(middle_of(piece).head<2>() - centre);
  const Vector2d farthest =
      *std::max_element(arms.begin(), arms.end(), [](const Vector2d& a, const Vector2d& b) {
        return a.squaredNorm() < b.squaredNorm();
      });
  const double reach_m = farthest.norm();
  if (reach_m < alike_m) return {};
  std::vector<Isometry> result;
  for (const Vector2d& arm : arms) {
    if (reach_m - arm.norm() > alike_m) continue;
    const double cosine = farthest.dot(arm) / (reach_m * arm.norm());
    const double sine = (farthest.x() * arm.y() - farthest.y() * arm.x()) / (reach_m * arm.norm());
    Matrix2d turn;
    turn << cosine, -sine, sine, cosine;
    const Vector2d axis = farthest / reach_m;
    const Matrix2d reflection = turn * (2.0 * axis * axis.transpose() - Matrix2d::Identity());
    if (!turn.isIdentity(1e-12)) result.push_back({centre, turn});
    result.push_back({centre, reflection});
  }
  return result;
}

using Images = std::vector<Follower>;  // of each piece

std::optional<Images> images(const std::vector<Piece>& pieces, const ByEnds& by_ends, const Isometry& move) {
  Images result;
  result.reserve(pieces.size());
  for (const Piece& piece : pieces) {
    const auto image = by_ends.image(piece, move);
    if (!image) return std::nullopt;
    result.push_back(*image);
  }
  return result;
}

}  // namespace

Symmetry no_symmetry(std::size_t piece_count) {
  Symmetry result;
  for (std::size_t p = 0; p < piece_count; ++p)
    result.of_piece.push_back({p, false});
  result.is_folded.assign(piece_count, false);
  return result;
}

Symmetry symmetry_of(const std::vector<Piece>& pieces) {
  Symmetry result = no_symmetry(pieces.size());
  std::vector<Images> moves;
  const auto isometries = candidates(pieces);
  if (isometries.empty()) return result;
  const ByEnds by_ends(pieces);
  for (const Isometry& isometry : isometries)
    if (auto moved = images(pieces, by_ends, isometry)) moves.push_back(std::move(*moved));
  // Walked until nothing new is reached, so that a symmetry missed by rounding costs no more than time.
  std::vector<bool> is_reached(pieces.size(), false);
  for (std::size_t chief = 0; chief < pieces.size(); ++chief) {
    if (is_reached[chief]) continue;
    is_reached[chief] = true;
    std::vector<std::size_t> orbit{chief};
    bool is_folded = false;
    for (std::size_t k = 0; k < orbit.size(); ++k) {
      const std::size_t from = orbit[k];
      for (const Images& move : moves) {
        const Follower& image = move[from];
        const bool is_reversed = image.is_reversed != result.of_piece[from].is_reversed;
        if (is_reached[image.chief]) {
          is_folded = is_folded || is_reversed != result.of_piece[image.chief].is_reversed;
          continue;
        }
        is_reached[image.chief] = true;
        result.of_piece[image.chief] = {chief, is_reversed};
        orbit.push_back(image.chief);
      }
    }
    if (is_folded && pieces[chief].element_count() % 2 != 0) return no_symmetry(pieces.size());
    for (const std::size_t piece : orbit)
      result.is_folded[piece] = is_folded;
  }
  return result;
}

Orbits orbits_of(const std::vector<Piece>& pieces, const Symmetry& symmetry) {
  std::vector<Index> first_unknown(pieces.size());
  Index count = 0;
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    if (symmetry.of_piece[p].chief != p) continue;
    first_unknown[p] = count;
    const auto elements = static_cast<Index>(pieces[p].element_count());
    count += symmetry.is_folded[p] ? elements / 2 : elements;
  }
  Orbits orbits;
  orbits.member_count = Eigen::VectorXd::Zero(count);
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    const Follower& follower = symmetry.of_piece[p];
    const auto elements = static_cast<Index>(pieces[p].element_count());
    for (Index i = 0; i < elements; ++i) {
      Index of_chief = follower.is_reversed ? elements - 1 - i : i;
      if (symmetry.is_folded[p]) of_chief = std::min(of_chief, elements - 1 - of_chief);
      orbits.unknown_of.push_back(first_unknown[follower.chief] + of_chief);
      orbits.member_count[orbits.unknown_of.back()] += 1.0;
    }
  }
  return orbits;
}

}  // namespace ohmroot::electrode::detail

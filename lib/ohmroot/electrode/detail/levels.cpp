// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/assembly.hpp>
#include <ohmroot/electrode/detail/cholesky.hpp>
#include <ohmroot/electrode/detail/levels.hpp>

#include <algorithm>
#include <map>
#include <utility>

namespace ohmroot::electrode::detail {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

namespace {

/// One level: currents at 1 A into one electrode, unknown by unknown, and the resistances.
struct Level {
  MatrixXd currents;
  MatrixXd resistance;
};

/// Elements of each unknown in each electrode.
MatrixXd membership(const std::vector<Piece>& pieces, const Orbits& orbits, std::size_t electrode_count) {
  MatrixXd result = MatrixXd::Zero(orbits.member_count.size(), static_cast<Index>(electrode_count));
  std::size_t element = 0;
  for (const Piece& piece : pieces)
    for (std::size_t i = 0; i < piece.element_count(); ++i)
      result(orbits.unknown_of[element++], static_cast<Index>(piece.electrode)) += 1.0;
  return result;
}

/// The matrix is overwritten by its factor. Nothing if it is not positive definite.
std::optional<Level> solve_level(MatrixXd& influence, const MatrixXd& member) {
  MatrixXd at_unit_potential = member;
  if (!solve_positive_definite(influence, at_unit_potential)) return std::nullopt;
  Level level;
  MatrixXd conductance = member.transpose() * at_unit_potential;
  conductance = (0.5 * (conductance + conductance.transpose())).eval();
  level.resistance = conductance.llt().solve(MatrixXd::Identity(conductance.rows(), conductance.cols()));
  level.resistance = (0.5 * (level.resistance + level.resistance.transpose())).eval();
  level.currents = at_unit_potential * level.resistance;
  return level;
}

/// Length of the first part of each divided element over its whole.
VectorXd first_parts(const std::vector<Piece>& coarse) {
  std::vector<double> parts;
  for (const Piece& piece : coarse)
    for (std::size_t i = 0; i < piece.element_count(); ++i)
      parts.push_back((piece.split_m(i) - piece.breaks_m[i]) / (piece.breaks_m[i + 1] - piece.breaks_m[i]));
  return Eigen::Map<const VectorXd>(parts.data(), static_cast<Index>(parts.size()));
}

/// Values of the unknowns given by those of their elements: of the last in each, images being alike.
VectorXd by_unknown(const VectorXd& by_element, const Orbits& orbits) {
  VectorXd result(orbits.member_count.size());
  // Backwards, so that the chief's value stands at last, whose parts lie as the unknowns do.
  for (Index i = by_element.size() - 1; i >= 0; --i)
    result[orbits.unknown_of[static_cast<std::size_t>(i)]] = by_element[i];
  return result;
}

MatrixXd by_element(const MatrixXd& by_unknown, const Orbits& orbits) {
  return by_unknown(orbits.unknown_of, Eigen::all);
}

/// Galerkin matrix of the elements before they were divided: means of the finer one's. Lower triangles.
MatrixXd merged(const MatrixXd& fine, const VectorXd& part) {
  const Index size = part.size();
  MatrixXd coarse(size, size);
  for (Index k = 0; k < size; ++k) {
    const double first = part[k];
    const double second = 1.0 - first;
    coarse(k, k) = first * first * fine(2 * k, 2 * k) + second * second * fine(2 * k + 1, 2 * k + 1) +
                   2.0 * first * second * fine(2 * k + 1, 2 * k);
    for (Index i = k + 1; i < size; ++i)
      coarse(i, k) = part[i] * (first * fine(2 * i, 2 * k) + second * fine(2 * i, 2 * k + 1)) +
                     (1.0 - part[i]) * (first * fine(2 * i + 1, 2 * k) + second * fine(2 * i + 1, 2 * k + 1));
  }
  return coarse;
}

double greatest_relative_difference(const MatrixXd& coarse, const MatrixXd& fine) {
  return ((coarse - fine).array() / fine.array()).abs().maxCoeff();
}

/// A11 + A22 - 2 A12 of the two parts of each divided element.
VectorXd energy_of_exchange(const MatrixXd& fine) {
  VectorXd result(fine.rows() / 2);
  for (Index k = 0; k < result.size(); ++k)
    result[k] = fine(2 * k, 2 * k) + fine(2 * k + 1, 2 * k + 1) - 2.0 * fine(2 * k + 1, 2 * k);
  return result;
}

/// Of each unknown, for one of its elements.
VectorXd refinement_gain(const VectorXd& exchange, const VectorXd& part, const Level& fine) {
  VectorXd gain = VectorXd::Zero(part.size());
  for (Index e = 0; e < fine.currents.cols(); ++e)
    for (Index k = 0; k < part.size(); ++k) {
      const double first = fine.currents(2 * k, e);
      const double second = fine.currents(2 * k + 1, e);
      const double moved = (1.0 - part[k]) * first - part[k] * second;
      gain[k] = std::max(gain[k], moved * moved * exchange[k] / fine.resistance(e, e));
    }
  return gain;
}

/// An element of all pieces of one pattern.
struct Like {
  double greatest_gain = 0.0;
  double sum_of_gains = 0.0;
  bool is_divided = false;
};

/// Pattern and element by which each element of a piece is refined: those of its chief, of the half that
/// comes first where both halves are alike.
class LikeKeys {
public:
  explicit LikeKeys(const std::vector<Piece>& pieces)
      : pieces_(pieces), symmetry_(symmetry_of(pieces)), pattern_(patterns_of(pieces)),
        is_folded_(pieces.size(), false) {
    for (std::size_t p = 0; p < pieces.size(); ++p)
      if (symmetry_.is_folded[p]) is_folded_[pattern_[symmetry_.of_piece[p].chief]] = true;
  }

  [[nodiscard]] std::pair<std::size_t, std::size_t> operator()(std::size_t piece, std::size_t element) const {
    const Follower& follower = symmetry_.of_piece[piece];
    const std::size_t pattern = pattern_[follower.chief];
    const std::size_t last = pieces_[piece].element_count() - 1;
    const std::size_t of_chief = follower.is_reversed ? last - element : element;
    return {pattern, is_folded_[pattern] ? std::min(of_chief, last - of_chief) : of_chief};
  }

private:
  const std::vector<Piece>& pieces_;
  Symmetry symmetry_;
  std::vector<std::size_t> pattern_;
  std::vector<bool> is_folded_;  // of each pattern
};

}  // namespace

std::vector<Piece> halved(const std::vector<Piece>& pieces) {
  std::vector<Piece> result = pieces;
  for (Piece& piece : result) {
    std::vector<double> breaks{0.0};
    for (std::size_t i = 0; i + 1 < piece.breaks_m.size(); ++i) {
      breaks.push_back(piece.split_m(i));
      breaks.push_back(piece.breaks_m[i + 1]);
    }
    piece.breaks_m = std::move(breaks);
  }
  return result;
}

std::optional<Levels> solve_levels(const earth::ImageKernel& kernel, const std::vector<Piece>& coarse,
                                   std::size_t electrode_count, bool asks_places) {
  Levels levels;
  levels.pieces = halved(coarse);
  const Symmetry symmetry = symmetry_of(coarse);  // the finer level has the same
  const Orbits coarse_orbits = orbits_of(coarse, symmetry);
  const Orbits orbits = orbits_of(levels.pieces, symmetry);
  MatrixXd influence = influence_matrix(kernel, levels.pieces, symmetry);
  const VectorXd element_part = first_parts(coarse);
  const VectorXd part = by_unknown(element_part, coarse_orbits);
  MatrixXd coarse_influence = merged(influence, part);
  const VectorXd exchange = energy_of_exchange(influence).cwiseQuotient(coarse_orbits.member_count);
  const auto fine = solve_level(influence, membership(levels.pieces, orbits, electrode_count));
  const auto rough = solve_level(coarse_influence, membership(coarse, coarse_orbits, electrode_count));
  if (!fine || !rough) return std::nullopt;
  levels.resistance = fine->resistance;
  levels.unit_currents = by_element(fine->currents, orbits);
  levels.difference_ratio = greatest_relative_difference(rough->resistance, fine->resistance);
  levels.gain = by_element(refinement_gain(exchange, part, *fine), coarse_orbits);
  if (asks_places)
    levels.beside = difference_beside(kernel, {levels.pieces, levels.unit_currents, coarse,
                                               by_element(rough->currents, coarse_orbits), element_part});
  return levels;
}

bool refine(std::vector<Piece>& pieces, const VectorXd& gain, double wanted_part) {
  constexpr double left_after_division = 0.25;
  constexpr double least_of_greatest = 0.1;
  constexpr double least_wanted_part = 0.35;  // more than one division is decided after the next solution
  const LikeKeys key(pieces);
  std::map<std::pair<std::size_t, std::size_t>, Like> likes;
  Index element = 0;
  for (std::size_t p = 0; p < pieces.size(); ++p)
    for (std::size_t i = 0; i < pieces[p].element_count(); ++i, ++element) {
      if (!pieces[p].may_be_refined(i)) continue;
      Like& like = likes[key(p, i)];
      like.greatest_gain = std::max(like.greatest_gain, gain[element]);
      like.sum_of_gains += gain[element];
    }
  if (likes.empty()) return false;
  std::vector<Like*> order;
  for (auto& [ignored, like] : likes)
    order.push_back(&like);
  std::stable_sort(order.begin(), order.end(),
                   [](const Like* a, const Like* b) { return a->greatest_gain > b->greatest_gain; });
  double left = gain.sum();
  const double wanted = std::max(wanted_part, least_wanted_part) * left;
  for (Like* like : order) {
    if (left <= wanted || like->greatest_gain < least_of_greatest * order.front()->greatest_gain) break;
    like->is_divided = true;
    left -= (1.0 - left_after_division) * like->sum_of_gains;
  }
  std::vector<Piece> refined = pieces;
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    const Piece& piece = pieces[p];
    std::vector<double> breaks{0.0};
    for (std::size_t i = 0; i < piece.element_count(); ++i) {
      const auto like = likes.find(key(p, i));
      if (like != likes.end() && like->second.is_divided) breaks.push_back(piece.split_m(i));
      breaks.push_back(piece.breaks_m[i + 1]);
    }
    refined[p].breaks_m = std::move(breaks);
  }
  pieces = std::move(refined);
  return true;
}

}  // namespace ohmroot::electrode::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/assembly.hpp>
#include <ohmroot/electrode/detail/fill.hpp>
#include <ohmroot/electrode/detail/influence.hpp>

#include <boost/container_hash/hash.hpp>

#include <cmath>
#include <cstdint>
#include <map>
#include <unordered_map>

namespace ohmroot::electrode::detail {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

constexpr double grid_m = 1e-8;  // lengths that agree to this are taken as equal

std::int64_t on_grid(double length_m) {
  return std::llround(length_m / grid_m);
}

/// What makes two pieces alike but for their place and direction in plan.
using Pattern = std::vector<std::int64_t>;

double plan_part(const Piece& piece) {
  return std::hypot(piece.direction.x(), piece.direction.y());
}

Pattern pattern_of(const Piece& piece) {
  Pattern pattern{static_cast<std::int64_t>(piece.layer), on_grid(piece.start.z()), on_grid(piece.radius_m),
                  on_grid(piece.direction.z())};
  for (const double at : piece.breaks_m)
    pattern.push_back(on_grid(at));
  if (piece.core) {
    pattern.push_back(on_grid(piece.core->radius_m));
    pattern.push_back(on_grid(piece.core->fill_resistivity_ohm_m));
  }
  return pattern;
}

/// How a pair of pieces lies: two patterns, and in plan the way between the starts and the direction of the
/// other piece, as seen along one of them that is not vertical; turned and mirrored pairs are alike.
struct PairKey {
  std::size_t receiver;
  std::size_t source;
  std::int64_t ahead;
  std::int64_t aside;
  std::int64_t other_ahead;
  std::int64_t other_aside;
  bool operator==(const PairKey&) const = default;
};

struct PairHash {
  std::size_t operator()(const PairKey& key) const {
    std::size_t seed = 0;
    boost::hash_combine(seed, key.receiver);
    boost::hash_combine(seed, key.source);
    boost::hash_combine(seed, key.ahead);
    boost::hash_combine(seed, key.aside);
    boost::hash_combine(seed, key.other_ahead);
    boost::hash_combine(seed, key.other_aside);
    return seed;
  }
};

PairKey key_of(const Piece& receiver, std::size_t receiver_pattern, const Piece& source,
               std::size_t source_pattern) {
  const double dx = source.start.x() - receiver.start.x();
  const double dy = source.start.y() - receiver.start.y();
  const bool sees_receiver = plan_part(receiver) > 0.0;
  const Piece& axis = sees_receiver ? receiver : source;
  const Piece& other = sees_receiver ? source : receiver;
  const double length = plan_part(axis);
  if (length == 0.0) return {receiver_pattern, source_pattern, on_grid(std::hypot(dx, dy)), 0, 0, 0};
  const double ux = axis.direction.x() / length;
  const double uy = axis.direction.y() / length;
  const auto ahead = [&](double x, double y) { return on_grid(x * ux + y * uy); };
  const auto aside = [&](double x, double y) { return on_grid(y * ux - x * uy); };
  PairKey key{receiver_pattern,
              source_pattern,
              ahead(dx, dy),
              aside(dx, dy),
              ahead(other.direction.x(), other.direction.y()),
              aside(other.direction.x(), other.direction.y())};
  if (key.aside < 0 || (key.aside == 0 && key.other_aside < 0)) {
    key.aside = -key.aside;
    key.other_aside = -key.other_aside;
  }
  return key;
}

}  // namespace

Index element_count(const std::vector<Piece>& pieces) {
  std::size_t count = 0;
  for (const Piece& piece : pieces)
    count += piece.element_count();
  return static_cast<Index>(count);
}

std::vector<std::size_t> patterns_of(const std::vector<Piece>& pieces) {
  std::map<Pattern, std::size_t> numbers;
  std::vector<std::size_t> result;
  for (const Piece& piece : pieces)
    result.push_back(numbers.try_emplace(pattern_of(piece), numbers.size()).first->second);
  return result;
}

MatrixXd influence_matrix(const earth::ImageKernel& kernel, const std::vector<Piece>& pieces,
                          const Symmetry& symmetry) {
  const Orbits orbits = orbits_of(pieces, symmetry);
  const auto pattern = patterns_of(pieces);
  std::vector<Index> first_element;
  std::vector<std::vector<std::size_t>> followers(pieces.size());
  Index element = 0;
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    first_element.push_back(element);
    element += static_cast<Index>(pieces[p].element_count());
    followers[symmetry.of_piece[p].chief].push_back(p);
  }
  const auto unknowns_of = [&](std::size_t piece) {
    return &orbits.unknown_of[static_cast<std::size_t>(first_element[piece])];
  };
  const Index size = orbits.member_count.size();
  MatrixXd matrix = MatrixXd::Zero(size, size);
  std::unordered_map<PairKey, MatrixXd, PairHash> blocks;
  for (std::size_t chief = 0; chief < pieces.size(); ++chief) {
    for (const std::size_t q : followers[chief]) {
      const Index* columns = unknowns_of(q);
      for (std::size_t p = chief; p < pieces.size(); ++p) {
        if (followers[p].empty()) continue;
        const auto [found, is_new] = blocks.try_emplace(key_of(pieces[p], pattern[p], pieces[q], pattern[q]));
        if (is_new) found->second = influence_block(kernel, pieces[p], pieces[q]);
        const Index* rows = unknowns_of(p);
        const MatrixXd& block = found->second;
        const auto weight = static_cast<double>(followers[p].size());
        for (Index k = 0; k < block.cols(); ++k)
          for (Index i = 0; i < block.rows(); ++i)
            matrix(rows[i], columns[k]) += weight * block(i, k);
      }
    }
  }
  for (const FillResistance& fill : fill_resistances(pieces)) {
    const Index* unknowns = &orbits.unknown_of[fill.first_element];
    for (Index k = 0; k < fill.of_element_ohm.cols(); ++k)
      for (Index i = 0; i < fill.of_element_ohm.rows(); ++i)
        if (unknowns[i] >= unknowns[k]) matrix(unknowns[i], unknowns[k]) += fill.of_element_ohm(i, k);
  }
  return matrix;
}

}  // namespace ohmroot::electrode::detail

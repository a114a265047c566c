// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/assembly.hpp>
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

std::int64_t on_grid(double length_m) { return std::llround(length_m / grid_m); }

/// What makes two pieces alike but for their place in plan.
using Pattern = std::vector<std::int64_t>;

Pattern pattern_of(const Piece& piece) {
  Pattern pattern{static_cast<std::int64_t>(piece.layer), on_grid(piece.start.z()), on_grid(piece.radius_m),
                  on_grid(piece.direction.x()), on_grid(piece.direction.y()), on_grid(piece.direction.z())};
  for (const double at : piece.breaks_m)
    pattern.push_back(on_grid(at));
  return pattern;
}

/// How a pair of pieces lies: two patterns and an offset in plan, of vertical pieces only its length.
struct PairKey {
  std::size_t receiver;
  std::size_t source;
  std::int64_t dx;
  std::int64_t dy;
  bool operator==(const PairKey&) const = default;
};

struct PairHash {
  std::size_t operator()(const PairKey& key) const {
    std::size_t seed = 0;
    boost::hash_combine(seed, key.receiver);
    boost::hash_combine(seed, key.source);
    boost::hash_combine(seed, key.dx);
    boost::hash_combine(seed, key.dy);
    return seed;
  }
};

bool is_vertical(const Piece& piece) { return piece.direction.x() == 0.0 && piece.direction.y() == 0.0; }

PairKey key_of(const Piece& receiver, std::size_t receiver_pattern, const Piece& source,
               std::size_t source_pattern) {
  const double dx = source.start.x() - receiver.start.x();
  const double dy = source.start.y() - receiver.start.y();
  if (is_vertical(receiver) && is_vertical(source))
    return {receiver_pattern, source_pattern, on_grid(std::hypot(dx, dy)), 0};
  return {receiver_pattern, source_pattern, on_grid(dx), on_grid(dy)};
}

}  // namespace

Index element_count(const std::vector<Piece>& pieces) {
  std::size_t count = 0;
  for (const Piece& piece : pieces)
    count += piece.element_count();
  return static_cast<Index>(count);
}

MatrixXd influence_matrix(const earth::ImageKernel& kernel, const std::vector<Piece>& pieces) {
  const Index size = element_count(pieces);
  MatrixXd matrix(size, size);
  std::map<Pattern, std::size_t> patterns;
  std::vector<std::size_t> pattern(pieces.size());
  for (std::size_t i = 0; i < pieces.size(); ++i)
    pattern[i] = patterns.try_emplace(pattern_of(pieces[i]), patterns.size()).first->second;
  std::unordered_map<PairKey, MatrixXd, PairHash> blocks;
  Index column = 0;
  for (std::size_t q = 0; q < pieces.size(); ++q) {
    const auto columns = static_cast<Index>(pieces[q].element_count());
    Index row = column;
    for (std::size_t p = q; p < pieces.size(); ++p) {
      const auto rows = static_cast<Index>(pieces[p].element_count());
      const auto [found, is_new] =
          blocks.try_emplace(key_of(pieces[p], pattern[p], pieces[q], pattern[q]));
      if (is_new) found->second = influence_block(kernel, pieces[p], pieces[q]);
      matrix.block(row, column, rows, columns) = found->second;
      row += rows;
    }
    column += columns;
  }
  return matrix;
}

}  // namespace ohmroot::electrode::detail

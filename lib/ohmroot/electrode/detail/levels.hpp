// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/detail/beside.hpp>

#include <optional>
#include <vector>

namespace ohmroot::electrode::detail {

/// Two levels of elements, every coarse one divided in two on the finer, and what they say about each other.
struct Levels {
  std::vector<Piece> pieces;      ///< of the finer level
  Eigen::MatrixXd resistance;     ///< electrodes x electrodes [ohm]
  Eigen::MatrixXd unit_currents;  ///< elements x electrodes: 1 A into one, the others floating
  double difference_ratio;        ///< greatest relative difference of a resistance between the levels
  /// Share of each coarse element in the energy that its division has released, relative to that of the whole
  /// electrode: the greatest over the electrodes energised one by one.
  Eigen::VectorXd gain;
  std::optional<BesideDifference> beside;
};

/// Nothing if a matrix is not positive definite.
[[nodiscard]] std::optional<Levels> solve_levels(const earth::ImageKernel& kernel,
                                                 const std::vector<Piece>& coarse,
                                                 std::size_t electrode_count, bool asks_places);

/// Divides the elements that gain most, until what is left of the gain is the wanted part. Pieces of one
/// pattern stay alike, and images of each other stay images: an element is divided in all of them or in none.
/// False if no element may be divided any more.
[[nodiscard]] bool refine(std::vector<Piece>& pieces, const Eigen::VectorXd& gain, double wanted_part);

/// Every element divided in two.
[[nodiscard]] std::vector<Piece> halved(const std::vector<Piece>& pieces);

}  // namespace ohmroot::electrode::detail

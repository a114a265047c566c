// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/beside.hpp>
#include <ohmroot/electrode/detail/influence.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::electrode::detail {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double aside_m = 1.0;  // as far as an arm reaches

Vector3d across(const Vector3d& direction) {
  const double level = std::hypot(direction.x(), direction.y());
  return level > 1e-9 ? Vector3d(-direction.y() / level, direction.x() / level, 0.0) : Vector3d::UnitX();
}

bool is_in_metal(const std::vector<Piece>& pieces, const Vector3d& place) {
  return std::any_of(pieces.begin(), pieces.end(), [&](const Piece& piece) {
    const double along_m = std::clamp((place - piece.start).dot(piece.direction), 0.0, piece.length_m());
    return (place - piece.at(along_m)).squaredNorm() <= piece.radius_m * piece.radius_m;
  });
}

/// Elements that are short against the distance all look like one: their places would be the same.
std::vector<double> marks_along(const Piece& coarse) {
  constexpr double least_step_m = 0.25 * aside_m;
  std::vector<double> marks;
  for (std::size_t i = 0; i < coarse.element_count(); ++i) {
    const double cut_m = coarse.split_m(i);
    for (const double at_m :
         {0.5 * (coarse.breaks_m[i] + cut_m), cut_m, 0.5 * (cut_m + coarse.breaks_m[i + 1])})
      if (marks.empty() || at_m - marks.back() >= least_step_m) marks.push_back(at_m);
  }
  return marks;
}

std::vector<Vector3d> places_beside(const std::vector<Piece>& coarse) {
  std::vector<Vector3d> places;
  double side_m = aside_m;
  for (const Piece& piece : coarse) {
    bool is_surface_seen = false;
    for (const double along_m : marks_along(piece)) {
      side_m = -side_m;  // either side in turn
      Vector3d place = piece.at(along_m) + side_m * across(piece.direction);
      if (place.z() < aside_m) {
        const bool is_upright = std::hypot(piece.direction.x(), piece.direction.y()) < 1e-9;
        if (is_upright && is_surface_seen) continue;
        is_surface_seen = true;
        place.z() = 0.0;
      }
      if (!is_in_metal(coarse, place)) places.push_back(place);
    }
  }
  return places;
}

MatrixXd influences(const earth::ImageKernel& kernel, const std::vector<Piece>& pieces, Index element_count,
                    const std::vector<Vector3d>& places) {
  MatrixXd result(static_cast<Index>(places.size()), element_count);
  for (Index p = 0; p < result.rows(); ++p) {
    Index element = 0;
    for (const Piece& piece : pieces) {
      const auto count = static_cast<Index>(piece.element_count());
      result.row(p).segment(element, count) =
          influence_at(kernel, places[static_cast<std::size_t>(p)], piece).transpose();
      element += count;
    }
  }
  return result;
}

/// What the division has moved: currents of the fine elements less those of the coarse ones they are cut from.
MatrixXd moved_currents(const TwoLevels& levels) {
  MatrixXd moved = levels.fine_currents;
  for (Index k = 0; k < levels.coarse_currents.rows(); ++k) {
    const double part = levels.first_part_ratio[k];
    moved.row(2 * k) -= part * levels.coarse_currents.row(k);
    moved.row(2 * k + 1) -= (1.0 - part) * levels.coarse_currents.row(k);
  }
  return moved;
}

}  // namespace

BesideDifference difference_beside(const earth::ImageKernel& kernel, const TwoLevels& levels) {
  const std::vector<Vector3d> places = places_beside(levels.coarse);
  const MatrixXd influence = influences(kernel, levels.fine, levels.fine_currents.rows(), places);
  const MatrixXd moved = moved_currents(levels);
  const MatrixXd potentials = influence * levels.fine_currents;
  const MatrixXd differences = influence * moved;
  BesideDifference result{0.0, VectorXd::Zero(levels.coarse_currents.rows())};
  for (Index e = 0; e < moved.cols(); ++e) {
    for (Index p = 0; p < influence.rows(); ++p) {
      const double potential = std::abs(potentials(p, e));
      result.greatest_ratio = std::max(result.greatest_ratio, std::abs(differences(p, e)) / potential);
      for (Index k = 0; k < result.of_element_ratio.size(); ++k) {
        const double part =
            influence(p, 2 * k) * moved(2 * k, e) + influence(p, 2 * k + 1) * moved(2 * k + 1, e);
        result.of_element_ratio[k] = std::max(result.of_element_ratio[k], std::abs(part) / potential);
      }
    }
  }
  return result;
}

}  // namespace ohmroot::electrode::detail

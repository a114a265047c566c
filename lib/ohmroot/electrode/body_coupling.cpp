// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/body_coupling.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <Eigen/Dense>
#include <boost/math/interpolators/cardinal_cubic_b_spline.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <variant>

namespace ohmroot::electrode {
namespace {

constexpr std::size_t least_count = 6;     // of such pairs, for a spline
constexpr std::size_t beyond_count = 3;    // more of them, farther apart: a spline is poor at its ends
constexpr std::size_t table_count = 4097;  // read off a spline through them, to be interpolated linearly
constexpr Eigen::Index small_group = 16;   // solved without memory from the heap

/// How finely pairs of bodies are solved.
struct Fineness {
  double longest_step;  // unit: none; of ln of the squared distance between pairs
  double tolerance_ratio;
};
constexpr Fineness of_rods{0.6, 5e-4};
constexpr Fineness of_plates{1.5,
                             5e-3};  // farther apart than wide, and how they face each other is worth more

template <class Matrix, class Mutual>
double joined_ohm(Matrix& resistances, double own_ohm, std::span<const RodPosition> positions,
                  const Mutual& mutual) {
  const auto count = static_cast<Eigen::Index>(positions.size());
  for (Eigen::Index k = 0; k < count; ++k) {
    const RodPosition& a = positions[static_cast<std::size_t>(k)];
    resistances(k, k) = own_ohm;
    for (Eigen::Index i = k + 1; i < count; ++i) {
      const RodPosition& b = positions[static_cast<std::size_t>(i)];
      const double dx = a.x_m - b.x_m;
      const double dy = a.y_m - b.y_m;
      resistances(i, k) = mutual(dx * dx + dy * dy);
    }
  }
  Eigen::LLT<Eigen::Ref<Matrix>> factored(resistances);
  if (factored.info() != Eigen::Success)
    throw InternalError("the resistance matrix of valid bodies is not positive definite");
  using Vector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, Matrix::MaxRowsAtCompileTime, 1>;
  Vector ones = Vector::Ones(count);
  factored.matrixL().solveInPlace(ones);
  return 1.0 / ones.squaredNorm();
}

double least_distance_m(const Shape& body) {
  const Rod* rod = std::get_if<Rod>(&body);
  return rod != nullptr ? 3.0 * rod->diameter_m : 1.5 * greatest_extent_m(body);
}

}  // namespace

BodyCoupling::BodyCoupling(const earth::LayeredSoil& soil, const Shape& body,
                           const BodyDistances& distances) {
  require_valid(body);
  constexpr double rounding = 1e-9;
  if (!(distances.least_m >= least_distance_m(body) * (1.0 - rounding)))
    throw DomainError("distances.least_m", distances.least_m, "m",
                      "at least three diameters of a rod, or one and a half times a plate's extent in plan");
  if (!(distances.greatest_m > distances.least_m && std::isfinite(distances.greatest_m)))
    throw DomainError("distances.greatest_m", distances.greatest_m, "m", "greater than the least distance");
  const Fineness& fineness = std::holds_alternative<Rod>(body) ? of_rods : of_plates;
  const std::vector<Conductor> bars = conductors_of(body);
  const auto at = [&](double distance_m) {
    std::vector<Conductor> moved = bars;
    for (Conductor& bar : moved) {
      for (Place* end : {&bar.from, &bar.to}) {
        end->x_m += distance_m * std::numbers::sqrt2 / 2.0;
        end->y_m += distance_m * std::numbers::sqrt2 / 2.0;
      }
    }
    return moved;
  };
  own_ohm_ = solve_field(soil, {{"", at(0.0)}}, {fineness.tolerance_ratio}).resistance_ohm(0, 0);
  least_log_ = 2.0 * std::log(distances.least_m);
  const double whole = 2.0 * std::log(distances.greatest_m) - least_log_;
  const auto solved_count =
      std::max(least_count, static_cast<std::size_t>(std::ceil(whole / fineness.longest_step)) + 1);
  const double solved_step = whole / static_cast<double>(solved_count - 1);
  std::vector<double> solved;
  for (std::size_t i = 0; i < solved_count + beyond_count; ++i) {
    const double distance_m = std::exp(0.5 * (least_log_ + solved_step * static_cast<double>(i)));
    // Far apart it falls as 1 / distance: its logarithm is nearly straight.
    solved.push_back(
        std::log(solve_field(soil, {{"", at(0.0)}, {"", at(distance_m)}}, {fineness.tolerance_ratio})
                     .resistance_ohm(0, 1)));
  }
  const boost::math::interpolators::cardinal_cubic_b_spline<double> spline(solved.begin(), solved.end(), 0.0,
                                                                           solved_step);
  steps_per_log_ = (table_count - 1) / whole;
  for (std::size_t i = 0; i < table_count; ++i)
    mutual_ohm_.push_back(std::exp(spline(static_cast<double>(i) / steps_per_log_)));
}

double BodyCoupling::mutual_ohm(double squared_distance_m2) const {
  constexpr double rounding = 1e-9;
  const double step = (std::log(squared_distance_m2) - least_log_) * steps_per_log_ + rounding;
  if (!(step >= 0.0 && step < static_cast<double>(table_count - 1) + 2.0 * rounding))
    throw DomainError("positions", std::sqrt(squared_distance_m2), "m",
                      "bodies no nearer than the least and no farther than the greatest distance");
  const auto i = std::min(static_cast<std::size_t>(step), table_count - 2);
  const double part = step - static_cast<double>(i);
  return mutual_ohm_[i] + part * (mutual_ohm_[i + 1] - mutual_ohm_[i]);
}

double BodyCoupling::resistance_ohm(std::span<const RodPosition> positions) const {
  if (positions.empty()) throw DomainError("positions", "none", "at least one rod");
  const auto count = static_cast<Eigen::Index>(positions.size());
  const auto mutual = [&](double squared_distance_m2) { return mutual_ohm(squared_distance_m2); };
  if (count <= small_group) {
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, small_group, small_group> matrix(count, count);
    return joined_ohm(matrix, own_ohm_, positions, mutual);
  }
  Eigen::MatrixXd matrix(count, count);
  return joined_ohm(matrix, own_ohm_, positions, mutual);
}

}  // namespace ohmroot::electrode

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/body_coupling.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <Eigen/Dense>
#include <boost/math/interpolators/cardinal_cubic_b_spline.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>
#include <variant>

namespace ohmroot::electrode {
namespace {

constexpr std::size_t least_count = 6;     // of such pairs, for a spline
constexpr std::size_t beyond_count = 3;    // more of them, farther apart: a spline is poor at its ends
constexpr std::size_t table_count = 4097;  // read off a spline through them, to be interpolated linearly
constexpr double far_ratio = 3.0;  // of the distance to a body's diagonal, from which each is solved alone
constexpr Eigen::Index small_group = 16;  // solved without memory from the heap

/// How finely pairs of bodies are solved.
struct Fineness {
  double longest_step;  // unit: none; of ln of the squared distance between pairs
  double tolerance_ratio;
};
constexpr Fineness of_rods{0.6, 5e-4};
constexpr Fineness of_plates{1.5,
                             5e-3};  // farther apart than wide, and how they face each other is worth more

/// The lower triangle holds the resistances.
template <class Matrix>
double resistance_of_joined_ohm(Matrix& resistances) {
  Eigen::LLT<Eigen::Ref<Matrix>> factored(resistances);
  if (factored.info() != Eigen::Success)
    throw InternalError("the resistance matrix of valid bodies is not positive definite");
  using Vector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, Matrix::MaxRowsAtCompileTime, 1>;
  Vector ones = Vector::Ones(resistances.rows());
  factored.matrixL().solveInPlace(ones);
  return 1.0 / ones.squaredNorm();
}

/// Halfway between in line and face to face.
Place moved(Place place, double distance_m) {
  place.x_m += distance_m * std::numbers::sqrt2 / 2.0;
  place.y_m += distance_m * std::numbers::sqrt2 / 2.0;
  return place;
}

std::vector<Conductor> moved(std::vector<Conductor> bars, double distance_m) {
  for (Conductor& bar : bars) {
    bar.from = moved(bar.from, distance_m);
    bar.to = moved(bar.to, distance_m);
  }
  return bars;
}

double diagonal_m(const std::vector<Conductor>& bars) {
  using Corner = Eigen::Array3d;
  Corner least = Corner::Constant(std::numeric_limits<double>::infinity());
  Corner greatest = -least;
  for (const Conductor& bar : bars) {
    for (const Place& end : {bar.from, bar.to}) {
      const Corner corner(end.x_m, end.y_m, end.depth_m);
      least = least.min(corner);
      greatest = greatest.max(corner);
    }
  }
  return (greatest - least).matrix().norm();
}

/// One body, and how it leaks: what it does to another far away. A floating body takes the mean of the potential that it
/// stands in, weighed by its own leakage (reciprocity); what it does back to the first falls with a high power of the
/// distance.
class LoneBody {
public:
  LoneBody(const earth::LayeredSoil& soil, const std::vector<Conductor>& bars, double tolerance_ratio)
      : field_(solve_field(soil, {{"", bars}}, {tolerance_ratio})),
        state_(field_.state(std::array{Duty{DutyKind::current, 1.0}})) {
    for (const Leakage& leakage : field_.leakage(state_)) {
      const Conductor& bar = bars[leakage.conductor];
      const double length_m =
          std::hypot(bar.to.x_m - bar.from.x_m, bar.to.y_m - bar.from.y_m, bar.to.depth_m - bar.from.depth_m);
      const double part = std::clamp(0.5 * (leakage.from_m + leakage.to_m) / length_m, 0.0, 1.0);
      places_.push_back({std::lerp(bar.from.x_m, bar.to.x_m, part), std::lerp(bar.from.y_m, bar.to.y_m, part),
                         std::lerp(bar.from.depth_m, bar.to.depth_m, part)});
      currents_a_.push_back(leakage.current_a);
    }
  }
  [[nodiscard]] double own_ohm() const { return field_.resistance_ohm(0, 0); }
  [[nodiscard]] double mutual_ohm(double distance_m) const {
    std::vector<Place> places = places_;
    for (Place& place : places)
      place = moved(place, distance_m);
    const std::vector<double> potentials_v = field_.potentials_v(state_, places);
    return std::inner_product(potentials_v.begin(), potentials_v.end(), currents_a_.begin(), 0.0);
  }

private:
  FieldSolution field_;
  FieldState state_;
  std::vector<Place> places_;  // of the middle of each element
  std::vector<double> currents_a_;
};

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
  const LoneBody lone(soil, bars, fineness.tolerance_ratio);
  own_ohm_ = lone.own_ohm();
  least_log_ = 2.0 * std::log(distances.least_m);
  const double whole = 2.0 * std::log(distances.greatest_m) - least_log_;
  const auto solved_count =
      std::max(least_count, static_cast<std::size_t>(std::ceil(whole / fineness.longest_step)) + 1);
  const double solved_step = whole / static_cast<double>(solved_count - 1);
  std::vector<double> solved;
  for (std::size_t i = 0; i < solved_count + beyond_count; ++i) {
    const double distance_m = std::exp(0.5 * (least_log_ + solved_step * static_cast<double>(i)));
    const double mutual_ohm =
        distance_m > far_ratio * diagonal_m(bars)
            ? lone.mutual_ohm(distance_m)
            : solve_field(soil, {{"", bars}, {"", moved(bars, distance_m)}}, {fineness.tolerance_ratio})
                  .resistance_ohm(0, 1);
    solved.push_back(std::log(mutual_ohm));  // far apart it falls as 1 / distance: nearly straight
  }
  const boost::math::interpolators::cardinal_cubic_b_spline<double> spline(solved.begin(), solved.end(), 0.0,
                                                                           solved_step);
  steps_per_log_ = (table_count - 1) / whole;
  for (std::size_t i = 0; i < table_count; ++i)
    mutual_ohm_.push_back(std::exp(spline(static_cast<double>(i) / steps_per_log_)));
}

BodyCoupling::Pairs BodyCoupling::pairs(std::span<const RodPosition> positions) const {
  if (positions.empty()) throw DomainError("positions", "none", "at least one rod");
  constexpr double rounding = 1e-9;
  Pairs pairs;
  pairs.body_count_ = positions.size();
  pairs.least_log_ = least_log_;
  pairs.steps_per_log_ = steps_per_log_;
  pairs.steps_.reserve(positions.size() * (positions.size() - 1) / 2);
  pairs.parts_.reserve(pairs.steps_.capacity());
  for (std::size_t k = 0; k < positions.size(); ++k) {
    for (std::size_t i = k + 1; i < positions.size(); ++i) {
      const double dx_m = positions[k].x_m - positions[i].x_m;
      const double dy_m = positions[k].y_m - positions[i].y_m;
      const double squared_m2 = dx_m * dx_m + dy_m * dy_m;
      const double step = (std::log(squared_m2) - least_log_) * steps_per_log_ + rounding;
      if (!(step >= 0.0 && step < static_cast<double>(table_count - 1) + 2.0 * rounding))
        throw DomainError("positions", std::sqrt(squared_m2), "m",
                          "bodies no nearer than the least and no farther than the greatest distance");
      pairs.steps_.push_back(std::min(static_cast<std::size_t>(step), table_count - 2));
      pairs.parts_.push_back(step - static_cast<double>(pairs.steps_.back()));
    }
  }
  return pairs;
}

double BodyCoupling::joined_ohm(const Pairs& pairs) const {
  if (pairs.body_count_ == 0 || pairs.least_log_ != least_log_ || pairs.steps_per_log_ != steps_per_log_)
    throw DomainError("pairs", "made for other distances", "those of this coupling");
  const auto count = static_cast<Eigen::Index>(pairs.body_count_);
  const auto fill = [&](auto& matrix) {
    std::size_t pair = 0;
    for (Eigen::Index k = 0; k < count; ++k) {
      matrix(k, k) = own_ohm_;
      for (Eigen::Index i = k + 1; i < count; ++i, ++pair) {
        const double* at = &mutual_ohm_[pairs.steps_[pair]];
        matrix(i, k) = at[0] + pairs.parts_[pair] * (at[1] - at[0]);
      }
    }
    return resistance_of_joined_ohm(matrix);
  };
  if (count <= small_group) {
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, small_group, small_group> matrix(count, count);
    return fill(matrix);
  }
  Eigen::MatrixXd matrix(count, count);
  return fill(matrix);
}

double BodyCoupling::resistance_ohm(std::span<const RodPosition> positions) const {
  return joined_ohm(pairs(positions));
}

}  // namespace ohmroot::electrode

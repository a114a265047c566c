// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/surface_kernel.hpp>
#include <ohmroot/sounding/detail/bounds.hpp>
#include <ohmroot/sounding/detail/fit_problem.hpp>
#include <ohmroot/sounding/detail/rod_misfit.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <unsupported/Eigen/LevenbergMarquardt>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace ohmroot::sounding::detail {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double traverse_spread =
    0.1;  // of ln of the factor of a traverse: our judgement, as in the posterior
// Residuals beyond so many errors count linearly (Huber, Ann. Math. Statist. 35 (1964) 73, from memory).
constexpr double linear_from = 2.0;
// The fast kernel errs by about 1e-8 times the contrast, 1e-3 at 1:100 000 (found on random soils): nothing beside
// usual stated errors. Finer ones ask for the accurate route where that is more than a fiftieth of them.
constexpr double fast_error_per_contrast = 1e-8;
constexpr double usual_error = 2e-3;
constexpr double unseen_share = 0.02;

/// Signed root of the counted square: u within two errors, growing like the root of u beyond.
struct Counted {
  double value;
  double slope;
};

Counted counted(double u, Objective objective) {
  const double size = std::abs(u);
  if (objective != Objective::robust || size <= linear_from) return {u, 1.0};
  const double root = std::sqrt(linear_from * (2.0 * size - linear_from));
  return {std::copysign(root, u), linear_from / root};
}

/// Every reading alike for the plain objective: with the middle of the stated errors.
void set_errors(VectorXd& error, std::vector<DrivenRodReading>& rods, const std::vector<FitDatum>& data,
                Objective objective) {
  std::vector<double> stated;
  for (const FitDatum& datum : data)
    stated.push_back(datum.ln_error);
  error = Eigen::Map<const VectorXd>(stated.data(), static_cast<Index>(stated.size()));
  if (objective != Objective::plain) return;
  const auto middle = stated.begin() + static_cast<std::ptrdiff_t>(stated.size() / 2);
  std::nth_element(stated.begin(), middle, stated.end());
  error.setConstant(*middle);
  for (DrivenRodReading& rod : rods)
    rod.relative_error_ratio = *middle;
}

}  // namespace

bool is_better(const Minimum& a, const Minimum& b) {
  return a.chi_square < b.chi_square;
}

FitProblem::FitProblem(const FitData& all, int layer_count, Objective objective)
    : data_(all.readings), rods_(all.rods), layer_count_(layer_count), objective_(objective) {
  const std::vector<FitDatum>& data = all.readings;
  const auto count = static_cast<Index>(data.size());
  measured_.resize(count);
  ln_spacing_.resize(count);
  factors_m_.resize(count);
  set_errors(error_, rods_, data, objective);
  Index last_traverse = 0;
  std::vector<std::vector<earth::SurfaceReadings::Term>> terms;
  for (Index i = 0; i < count; ++i) {
    const FitDatum& datum = data[static_cast<std::size_t>(i)];
    measured_[i] = datum.ln_apparent;
    if (!datum.reading.is_lower_bound) reading_count_ = i + 1;
    ln_spacing_[i] = std::log(plotted_spacing_m(datum.reading));
    terms.emplace_back();
    last_traverse = std::max(last_traverse, static_cast<Index>(datum.traverse));
    FourPoleReading at_surface = datum.reading;
    at_surface.driven_depth_m = 0.0;
    factors_m_[i] = geometric_factor_m(at_surface, StakeDepthRule::handbook);
    for (const PotentialTerm& term : potential_terms(datum.reading)) {
      distances_m_.push_back(term.distance_m);
      weights_.push_back(term.weight_ratio);
      terms.back().push_back({term.distance_m, factors_m_[i] * term.weight_ratio});
    }
    ends_.push_back(distances_m_.size());
  }
  if (last_traverse > 0) traverse_count_ = last_traverse + 1;
  const double room = std::log(300.0);
  const Index parameters = soil_parameter_count() + traverse_count_;
  least_ = VectorXd::Constant(parameters, measured_.minCoeff() - room);
  greatest_ = VectorXd::Constant(parameters, measured_.maxCoeff() + room);
  least_.segment(layer_count_, layer_count_ - 1).setConstant(ln_spacing_.minCoeff() - std::log(20.0));
  greatest_.segment(layer_count_, layer_count_ - 1).setConstant(ln_spacing_.maxCoeff() + std::log(5.0));
  least_.tail(traverse_count_).setConstant(-10.0 * traverse_spread);
  greatest_.tail(traverse_count_).setConstant(10.0 * traverse_spread);
  if (layer_count_ > 1)
    prepared_.emplace(terms, earth::SurfaceReadings::Reach{std::exp(least_[layer_count_]),
                                                           static_cast<double>(layer_count_ - 1) *
                                                               std::exp(greatest_[layer_count_])});
}

double FitProblem::apparent_at(double ln_spacing) const {
  Index nearest = 0;
  (ln_spacing_.array() - ln_spacing).abs().minCoeff(&nearest);
  return measured_[nearest];
}

earth::LayeredSoil FitProblem::soil_of(const VectorXd& p) const {
  std::vector<earth::Layer> layers;
  for (Index i = 0; i < layer_count_; ++i)
    layers.push_back({std::exp(p[i]), i + 1 < layer_count_ ? std::exp(p[layer_count_ + i]) : 0.0});
  return earth::LayeredSoil(std::move(layers));
}

std::vector<double> FitProblem::traverse_factors(const VectorXd& p) const {
  std::vector<double> factors;
  for (const double ln_factor : p.tail(traverse_count_))
    factors.push_back(std::exp(ln_factor));
  return factors;
}

bool FitProblem::is_fast_good(const earth::LayeredSoil& soil) const {
  const double least_error = error_.minCoeff();
  const double contrast = soil.greatest_resistivity_ohm_m() / soil.least_resistivity_ohm_m();
  return least_error >= usual_error || fast_error_per_contrast * contrast <= unseen_share * least_error;
}

/// Where a reading comes out so small that it cannot be told from a negative one: a very bad fit.
double FitProblem::floor_ohm_m(const VectorXd& p) const {
  constexpr double floor_ratio = 1e-6;
  return floor_ratio * std::exp(p.head(layer_count_).minCoeff());
}

FitProblem::Model FitProblem::modelled_roughly(const VectorXd& p, bool is_jacobian_wanted) const {
  const auto layers = static_cast<std::size_t>(layer_count_);
  const Index parameters = is_jacobian_wanted ? soil_parameter_count() : 0;
  const VectorXd values = p.head(soil_parameter_count()).array().exp();
  VectorXd depths_m = values.tail(layer_count_ - 1);
  for (Index k = 1; k < depths_m.size(); ++k)
    depths_m[k] += depths_m[k - 1];
  VectorXd apparent_ohm_m(measured_.size());
  Model model{VectorXd(measured_.size()), MatrixXd(measured_.size(), parameters)};
  const std::span<double> results(apparent_ohm_m.data(), prepared_->count());
  if (is_jacobian_wanted)
    prepared_->resistances_and_slopes_ohm(
        {values.data(), layers}, {depths_m.data(), layers - 1}, results,
        {model.jacobian.data(), prepared_->count() * static_cast<std::size_t>(parameters)});
  else
    prepared_->resistances_ohm({values.data(), layers}, {depths_m.data(), layers - 1}, results);
  const double floor = floor_ohm_m(p);
  model.ln_apparent = apparent_ohm_m.cwiseMax(floor).array().log();
  // A thickness moves all boundaries below it.
  for (Index k = parameters - 2; k >= layer_count_; --k)
    model.jacobian.col(k) += model.jacobian.col(k + 1);
  for (Index i = 0; i < model.jacobian.rows(); ++i)
    model.jacobian.row(i).array() *= values.head(parameters).transpose().array() *
                                     (apparent_ohm_m[i] > floor ? 1.0 / apparent_ohm_m[i] : 0.0);
  return model;
}

FitProblem::Model FitProblem::modelled_fast(const VectorXd& p, bool is_jacobian_wanted) const {
  const auto derivatives = is_jacobian_wanted ? earth::Derivatives::by_layer : earth::Derivatives::none;
  const earth::SurfaceKernel kernel(soil_of(p), derivatives);
  const std::size_t count = distances_m_.size();
  std::vector<double> potentials_ohm(count);
  kernel.potentials_ohm(distances_m_, potentials_ohm);
  const Index parameters = is_jacobian_wanted ? soil_parameter_count() : 0;
  std::vector<double> slopes_ohm(count * static_cast<std::size_t>(parameters));
  if (is_jacobian_wanted) kernel.derivatives_ohm(distances_m_, slopes_ohm);

  const double floor = floor_ohm_m(p);  // an array of differences of differences can show a negative value
  Model model{VectorXd(measured_.size()), MatrixXd::Zero(measured_.size(), parameters)};
  std::size_t from = 0;
  for (Index i = 0; i < measured_.size(); ++i) {
    const std::size_t to = ends_[static_cast<std::size_t>(i)];
    const auto sum = [&](const std::vector<double>& of, std::size_t column) {
      double total = 0.0;
      for (std::size_t term = from; term < to; ++term)
        total += weights_[term] * of[column * count + term];
      return total;
    };
    const double resistance_ohm = sum(potentials_ohm, 0);
    const double apparent_ohm_m = factors_m_[i] * resistance_ohm;
    model.ln_apparent[i] = std::log(std::max(apparent_ohm_m, floor));
    for (Index k = 0; k < parameters && apparent_ohm_m > floor; ++k)
      model.jacobian(i, k) = sum(slopes_ohm, static_cast<std::size_t>(k)) / resistance_ohm;
    from = to;
  }
  return model;
}

VectorXd FitProblem::modelled_exact(const VectorXd& p) const {
  const earth::LayeredSoil soil = soil_of(p);
  VectorXd ln_apparent(measured_.size());
  for (Index i = 0; i < measured_.size(); ++i)
    ln_apparent[i] = std::log(
        std::max(modelled_apparent_resistivity_ohm_m(soil, data_[static_cast<std::size_t>(i)].reading),
                 floor_ohm_m(p)));
  return ln_apparent;
}

/// Where the fast kernel does not reach: central differences; the accurate route is good to 1e-11, so that a step of
/// 1e-4 leaves errors near 1e-7.
MatrixXd FitProblem::differences(const VectorXd& p) const {
  constexpr double step = 1e-4;
  MatrixXd jacobian(measured_.size(), soil_parameter_count());
  for (Index k = 0; k < soil_parameter_count(); ++k) {
    const VectorXd shift = step * VectorXd::Unit(p.size(), k);
    jacobian.col(k) = (modelled_exact(p + shift) - modelled_exact(p - shift)) / (2.0 * step);
  }
  return jacobian;
}

FitProblem::Model FitProblem::modelled(const VectorXd& p, Route route, bool is_jacobian_wanted) const {
  if (route == Route::rough && prepared_) return modelled_roughly(p, is_jacobian_wanted);
  const bool is_fast = is_fast_good(soil_of(p));
  const bool are_values_fast = is_fast && route != Route::exact;
  Model model;
  if (are_values_fast || (is_fast && is_jacobian_wanted)) model = modelled_quickly(p, is_jacobian_wanted);
  if (!are_values_fast) model.ln_apparent = modelled_exact(p);
  if (is_jacobian_wanted && !is_fast) model.jacobian = differences(p);
  return model;
}

/// In the corners of the box, where the fitted kernel refuses a soil, the prepared one still leads back.
FitProblem::Model FitProblem::modelled_quickly(const VectorXd& p, bool is_jacobian_wanted) const {
  try {
    return modelled_fast(p, is_jacobian_wanted);
  } catch (const DomainError&) {
    if (!prepared_) throw;
    return modelled_roughly(p, is_jacobian_wanted);
  }
}

FitProblem::Rows FitProblem::rows(const VectorXd& p, Route route, bool is_jacobian_wanted) const {
  const Model model = modelled(p, route, is_jacobian_wanted);
  const Index readings = measured_.size();
  const Index before_factors = readings + rod_count();
  Rows rows{VectorXd::Zero(row_count()), {}};
  if (is_jacobian_wanted) rows.jacobian = MatrixXd::Zero(row_count(), p.size());
  for (Index i = 0; i < readings; ++i) {
    const Index factor =
        soil_parameter_count() + static_cast<Index>(data_[static_cast<std::size_t>(i)].traverse);
    const double shift = traverse_count_ > 0 ? p[factor] : 0.0;
    const double off = residual_of(measured_[i] - model.ln_apparent[i] - shift, i >= reading_count_);
    const Counted row = counted(off / error_[i], objective_);
    rows.values[i] = row.value;
    if (!is_jacobian_wanted || (off == 0.0 && i >= reading_count_)) continue;
    const double slope = -row.slope / error_[i];
    rows.jacobian.row(i).head(soil_parameter_count()) = slope * model.jacobian.row(i);
    if (traverse_count_ > 0) rows.jacobian(i, factor) = slope;
  }
  if (!rods_.empty()) add_rod_rows(p, rows);
  for (Index k = 0; k < traverse_count_; ++k) {
    rows.values[before_factors + k] = p[soil_parameter_count() + k] / traverse_spread;
    if (is_jacobian_wanted)
      rows.jacobian(before_factors + k, soil_parameter_count() + k) = 1.0 / traverse_spread;
  }
  return rows;
}

/// Slopes by differences forward: the model of a few elements is smooth.
void FitProblem::add_rod_rows(const VectorXd& p, Rows& rows) const {
  constexpr double step = 1e-4;
  const Index from = measured_.size();
  const std::vector<double> here = detail::rod_residuals(rods_, soil_of(p));
  std::vector<double> slope;
  for (Index i = 0; i < rod_count(); ++i) {
    const Counted row = counted(here[static_cast<std::size_t>(i)], objective_);
    rows.values[from + i] = row.value;
    slope.push_back(row.slope);
  }
  if (rows.jacobian.size() == 0) return;
  for (Index k = 0; k < soil_parameter_count(); ++k) {
    const std::vector<double> there =
        detail::rod_residuals(rods_, soil_of(p + step * VectorXd::Unit(p.size(), k)));
    for (Index i = 0; i < rod_count(); ++i) {
      const auto rod = static_cast<std::size_t>(i);
      rows.jacobian(from + i, k) = slope[rod] * (there[rod] - here[rod]) / step;
    }
  }
}

double FitProblem::level(const VectorXd& p) const {
  return (measured_ - modelled_fast(p, false).ln_apparent).head(reading_count_).mean();
}

VectorXd FitProblem::residuals(const VectorXd& p) const {
  VectorXd result = (measured_ - modelled_exact(p)).head(reading_count_);
  for (Index i = 0; i < result.size() && traverse_count_ > 0; ++i)
    result[i] -= p[soil_parameter_count() + static_cast<Index>(data_[static_cast<std::size_t>(i)].traverse)];
  return result;
}

std::vector<double> FitProblem::rod_residuals(const VectorXd& p) const {
  const std::vector<double> all = detail::rod_residuals(rods_, soil_of(p));
  std::vector<double> result;
  for (std::size_t i = 0; i < all.size(); ++i)
    if (!rods_[i].is_lower_bound) result.push_back(all[i] * rods_[i].relative_error_ratio);
  return result;
}

namespace {

/// The parameters as a function of those that are free.
struct Chart {
  VectorXd base;
  MatrixXd free_to_all;
};

Chart chart_of(const VectorXd& start, const std::vector<Index>& free, const std::optional<Hold>& hold) {
  Chart chart{start, MatrixXd::Zero(start.size(), static_cast<Index>(free.size()))};
  for (std::size_t i = 0; i < free.size(); ++i) {
    chart.base[free[i]] = 0.0;
    chart.free_to_all(free[i], static_cast<Index>(i)) = 1.0;
    if (hold && hold->sign != 0.0 && free[i] == hold->other)
      chart.free_to_all(hold->parameter, static_cast<Index>(i)) = -hold->sign;
  }
  if (hold) {
    const bool is_other_free =
        hold->sign != 0.0 && std::find(free.begin(), free.end(), hold->other) != free.end();
    chart.base[hold->parameter] = hold->value - (is_other_free ? 0.0 : hold->sign * start[hold->other]);
  }
  return chart;
}

/// What Eigen minimises: the rows over the free parameters, and a row for each parameter that is zero inside the box
/// and steep outside. Outside the box the model is taken at its edge.
struct FreeRows : Eigen::DenseFunctor<double> {
  static constexpr double steepness = 30.0;
  const FitProblem& problem;
  const Chart& chart;
  const FitProblem::Route route;

  FreeRows(const FitProblem& of, const Chart& over, FitProblem::Route by)
      : DenseFunctor(static_cast<int>(over.free_to_all.cols()),
                     static_cast<int>(of.row_count() + over.base.size())),
        problem(of), chart(over), route(by) {}

  [[nodiscard]] VectorXd parameters(const InputType& x) const { return chart.base + chart.free_to_all * x; }

  int operator()(const InputType& x, ValueType& values) const {
    const VectorXd p = parameters(x);
    values.resize(m_values);
    values.head(problem.row_count()) = problem.rows(problem.inside(p), route, false).values;
    values.tail(p.size()) = steepness * (p - problem.inside(p));
    return 0;
  }

  int df(const InputType& x, JacobianType& jacobian) const {
    const VectorXd p = parameters(x);
    const VectorXd inner = problem.inside(p);
    MatrixXd all = MatrixXd::Zero(m_values, p.size());
    all.topRows(problem.row_count()) = problem.rows(inner, route, true).jacobian;
    for (Index k = 0; k < p.size(); ++k) {
      if (inner[k] == p[k]) continue;
      all.col(k).setZero();
      all(problem.row_count() + k, k) = steepness;
    }
    jacobian = all * chart.free_to_all;
    return 0;
  }
};

Minimum solved(const FitProblem& problem, const VectorXd& start, const std::vector<Index>& free,
               const std::optional<Hold>& hold, FitProblem::Route route) {
  const Chart chart = chart_of(start, free, hold);
  if (free.empty()) {
    const VectorXd at = problem.inside(chart.base);
    return {at, problem.chi_square(at, route)};
  }
  FreeRows rows(problem, chart, route);
  Eigen::LevenbergMarquardt<FreeRows> solver(rows);
  solver.setFactor(0.2);  // first step: a fraction of the length of the parameter vector
  solver.setFtol(route == FitProblem::Route::rough ? 1e-4 : 1e-6);  // what is rough is followed further
  solver.setXtol(1e-7);
  solver.setMaxfev(100);
  VectorXd x(static_cast<Index>(free.size()));
  for (std::size_t i = 0; i < free.size(); ++i)
    x[static_cast<Index>(i)] = start[free[i]];
  solver.minimize(x);
  const VectorXd at = problem.inside(rows.parameters(x));
  return {at, problem.chi_square(at, route)};
}

std::vector<Index> free_indices(const FitProblem& problem, const std::optional<Hold>& hold) {
  std::vector<Index> free;
  for (Index k = 0; k < problem.parameter_count(); ++k)
    if (!hold || k != hold->parameter) free.push_back(k);
  return free;
}

}  // namespace

/// The edge of the box is a kink, at which the solver may stop too early: whatever has come to lie there is held there,
/// and the others are fitted once more.
Minimum minimum_from(const FitProblem& problem, const VectorXd& start, const std::optional<Hold>& hold,
                     FitProblem::Route route) {
  std::vector<Index> free = free_indices(problem, hold);
  Minimum first = solved(problem, start, free, hold, route);
  const auto held = std::erase_if(free, [&](Index k) {
    return first.at[k] == problem.least()[k] || first.at[k] == problem.greatest()[k];
  });
  if (held == 0 || free.empty()) return first;
  return std::min(first, solved(problem, first.at, free, hold, route), is_better);
}

/// Steps of Gauss and Newton: the fast route has come so near that one or two are enough.
Minimum polished(const FitProblem& problem, const Minimum& found) {
  constexpr int greatest_step_count = 5;
  constexpr double unseen_ratio = 1e-9;  // of the objective
  std::vector<Index> free = free_indices(problem, {});
  std::erase_if(free, [&](Index k) {
    return found.at[k] == problem.least()[k] || found.at[k] == problem.greatest()[k];
  });
  VectorXd at = found.at;
  FitProblem::Rows here = problem.rows(at, FitProblem::Route::exact, true);
  for (int i = 0; i < greatest_step_count && !free.empty(); ++i) {
    const MatrixXd slopes = here.jacobian(Eigen::all, free);
    VectorXd next = at;
    next(free) -= slopes.completeOrthogonalDecomposition().solve(here.values);
    next = problem.inside(next);
    FitProblem::Rows there = problem.rows(next, FitProblem::Route::exact, true);
    if (!(there.values.squaredNorm() < here.values.squaredNorm())) break;
    const double gain = here.values.squaredNorm() - there.values.squaredNorm();
    at = next;
    here = std::move(there);
    if (gain < unseen_ratio * (1.0 + here.values.squaredNorm())) break;
  }
  return {at, here.values.squaredNorm()};
}

}  // namespace ohmroot::sounding::detail

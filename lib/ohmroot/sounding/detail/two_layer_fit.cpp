// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/fits.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <Eigen/Dense>
#include <boost/math/tools/toms748_solve.hpp>
#include <boost/random/uniform_01.hpp>
#include <unsupported/Eigen/LevenbergMarquardt>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <vector>

namespace ohmroot::sounding::detail {
namespace {

using Parameters = Eigen::Vector3d;  // ln of top resistivity, bottom resistivity, top thickness

enum Parameter : Eigen::Index { top, bottom, thickness };

struct Minimum {
  Parameters at;
  double chi_square;
};

bool is_better(const Minimum& a, const Minimum& b) {
  return a.chi_square < b.chi_square;
}

/// The readings, the model and the box that is searched.
class Problem {
public:
  explicit Problem(const std::vector<FitDatum>& data);

  [[nodiscard]] const Parameters& least() const { return least_; }
  [[nodiscard]] const Parameters& greatest() const { return greatest_; }
  [[nodiscard]] Parameters inside(const Parameters& p) const {
    return p.cwiseMax(least_).cwiseMin(greatest_);
  }
  [[nodiscard]] Eigen::Index reading_count() const { return measured_.size(); }

  /// ln(measured / modelled) per reading.
  [[nodiscard]] Eigen::VectorXd residuals(const Parameters& p) const { return measured_ - modelled(p); }
  /// The same over the error of each reading.
  [[nodiscard]] Eigen::VectorXd weighted_residuals(const Parameters& p) const {
    return residuals(p).cwiseQuotient(error_);
  }
  [[nodiscard]] Eigen::Matrix<double, Eigen::Dynamic, 3> weighted_jacobian(const Parameters& p) const;
  [[nodiscard]] double chi_square(const Parameters& p) const { return weighted_residuals(p).squaredNorm(); }

  /// Sum of the weights: curvature of chi-square where all resistivities are scaled together.
  [[nodiscard]] double weight_sum() const { return error_.array().inverse().square().sum(); }
  /// The same model with both resistivities scaled to fit best.
  [[nodiscard]] Minimum best_level(Parameters p) const;

  /// Random start: resistivities near those of the shortest and of the longest array, thickness anywhere
  /// between the spacings.
  [[nodiscard]] Parameters start(std::mt19937_64& random) const;

private:
  [[nodiscard]] Eigen::VectorXd modelled(const Parameters& p) const;

  const std::vector<FitDatum>& data_;
  Eigen::VectorXd measured_;
  Eigen::VectorXd error_;
  Parameters least_;
  Parameters greatest_;
  Parameters
      shallow_to_deep_;  // ln apparent resistivity at the least and at the greatest spacing, ln least spacing
  double ln_spacing_range_ = 0.0;
};

Problem::Problem(const std::vector<FitDatum>& data) : data_(data) {
  const auto by_spacing = [](const FitDatum& a, const FitDatum& b) {
    return plotted_spacing_m(a.reading) < plotted_spacing_m(b.reading);
  };
  const auto [shallow, deep] = std::minmax_element(data.begin(), data.end(), by_spacing);
  const auto count = static_cast<Eigen::Index>(data.size());
  measured_.resize(count);
  error_.resize(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    measured_[i] = data[static_cast<std::size_t>(i)].ln_apparent;
    error_[i] = data[static_cast<std::size_t>(i)].ln_error;
  }
  const double least_spacing = std::log(plotted_spacing_m(shallow->reading));
  const double greatest_spacing = std::log(plotted_spacing_m(deep->reading));
  const double room = std::log(300.0);
  least_ << measured_.minCoeff() - room, measured_.minCoeff() - room, least_spacing - std::log(20.0);
  greatest_ << measured_.maxCoeff() + room, measured_.maxCoeff() + room, greatest_spacing + std::log(5.0);
  shallow_to_deep_ << shallow->ln_apparent, deep->ln_apparent, least_spacing;
  ln_spacing_range_ = greatest_spacing - least_spacing;
}

Eigen::VectorXd Problem::modelled(const Parameters& p) const {
  const earth::LayeredSoil soil({{std::exp(p[top]), std::exp(p[thickness])}, {std::exp(p[bottom]), 0.0}});
  Eigen::VectorXd ln_apparent(reading_count());
  // An array of differences of differences can show a negative value over strong layers: a very bad fit.
  const double floor_ohm_m = 1e-6 * soil.least_resistivity_ohm_m();
  for (Eigen::Index i = 0; i < ln_apparent.size(); ++i)
    ln_apparent[i] = std::log(std::max(
        modelled_apparent_resistivity_ohm_m(soil, data_[static_cast<std::size_t>(i)].reading), floor_ohm_m));
  return ln_apparent;
}

/// Central differences; the model is good to 1e-13, so that a step of 1e-4 leaves errors near 1e-9. All
/// resistivities times a factor give the apparent resistivity times that factor: the first column follows
/// from the second.
Eigen::Matrix<double, Eigen::Dynamic, 3> Problem::weighted_jacobian(const Parameters& p) const {
  constexpr double step = 1e-4;
  Eigen::Matrix<double, Eigen::Dynamic, 3> jacobian(reading_count(), 3);
  for (const Parameter parameter : {bottom, thickness}) {
    const Parameters shift = step * Parameters::Unit(parameter);
    jacobian.col(parameter) = (modelled(p + shift) - modelled(p - shift)) / (2.0 * step);
  }
  jacobian.col(top).setOnes();
  jacobian.col(top) -= jacobian.col(bottom);
  for (Eigen::Index column = 0; column < 3; ++column)
    jacobian.col(column) = -jacobian.col(column).cwiseQuotient(error_);
  return jacobian;
}

Minimum Problem::best_level(Parameters p) const {
  const Eigen::ArrayXd residual = residuals(p).array();
  const Eigen::ArrayXd weight = error_.array().inverse().square();
  const double shift = (weight * residual).sum() / weight.sum();
  p.head<2>().array() += shift;
  return {p, (weight * (residual - shift).square()).sum()};
}

Parameters Problem::start(std::mt19937_64& random) const {
  boost::random::uniform_01<double> uniform;
  Parameters p = shallow_to_deep_;
  p[top] += uniform(random) - 0.5;
  p[bottom] += 3.0 * (uniform(random) - 0.5);
  p[thickness] += (ln_spacing_range_ + std::log(2.0)) * uniform(random) - std::log(2.0);
  return inside(p);
}

/// What Eigen minimises: weighted residuals over the free parameters, and a row for each of them that is
/// zero inside the box and steep outside. Outside the box the model is taken at its edge.
struct FreeResiduals : Eigen::DenseFunctor<double> {
  static constexpr double steepness = 30.0;
  const Problem& problem;
  const Parameters fixed;
  const std::vector<Eigen::Index> free;

  FreeResiduals(const Problem& of, const Parameters& fixed_at, std::vector<Eigen::Index> free_indices)
      : DenseFunctor(static_cast<int>(free_indices.size()),
                     static_cast<int>(of.reading_count()) + static_cast<int>(free_indices.size())),
        problem(of), fixed(fixed_at), free(std::move(free_indices)) {}

  [[nodiscard]] Parameters parameters(const InputType& x) const {
    Parameters p = fixed;
    for (std::size_t i = 0; i < free.size(); ++i)
      p[free[i]] = x[static_cast<Eigen::Index>(i)];
    return p;
  }

  [[nodiscard]] InputType free_part(const Parameters& p) const {
    InputType x(inputs());
    for (std::size_t i = 0; i < free.size(); ++i)
      x[static_cast<Eigen::Index>(i)] = p[free[i]];
    return x;
  }

  int operator()(const InputType& x, ValueType& values) const {
    const Parameters p = parameters(x);
    values.resize(m_values);
    values.head(problem.reading_count()) = problem.weighted_residuals(problem.inside(p));
    values.tail(inputs()) = steepness * (x - free_part(problem.inside(p)));
    return 0;
  }

  int df(const InputType& x, JacobianType& jacobian) const {
    const Parameters p = parameters(x);
    const auto inner = problem.weighted_jacobian(problem.inside(p));
    jacobian.setZero(m_values, inputs());
    for (Eigen::Index i = 0; i < inputs(); ++i) {
      const Eigen::Index parameter = free[static_cast<std::size_t>(i)];
      const bool is_inside = problem.inside(p)[parameter] == p[parameter];
      if (is_inside)
        jacobian.col(i).head(problem.reading_count()) = inner.col(parameter);
      else
        jacobian(problem.reading_count() + i, i) = steepness;
    }
    return 0;
  }
};

Minimum solved(const Problem& problem, const Parameters& start, const std::vector<Eigen::Index>& free) {
  FreeResiduals residuals(problem, start, free);
  Eigen::LevenbergMarquardt<FreeResiduals> solver(residuals);
  solver.setFactor(0.2);  // first step: a fraction of the length of the parameter vector
  solver.setFtol(1e-9);
  solver.setXtol(1e-7);
  Eigen::VectorXd x = residuals.free_part(start);
  solver.minimize(x);
  const Parameters at = problem.inside(residuals.parameters(x));
  return {at, problem.chi_square(at)};
}

/// Least chi-square over the free parameters. The edge of the box is a kink, at which the solver may stop
/// too early: whatever has come to lie there is held there, and the others are fitted once more.
Minimum minimum_over(const Problem& problem, const Parameters& start, std::vector<Eigen::Index> free) {
  const Minimum first = solved(problem, start, free);
  const auto is_at_edge = [&](Eigen::Index i) {
    return first.at[i] == problem.least()[i] || first.at[i] == problem.greatest()[i];
  };
  const auto held = std::erase_if(free, is_at_edge);
  if (held == 0 || free.empty()) return first;
  return std::min(first, solved(problem, first.at, free), is_better);
}

/// Chi-square over the whole box, coarsely: a cell per thickness and contrast, the level of resistivity
/// being the best for it (which is a plain mean). It shows where a profile has to be looked for that has
/// more than one valley, as where a thin top layer can be anything.
class Map {
public:
  explicit Map(const Problem& problem);

  [[nodiscard]] Minimum best() const;
  /// The best cell for a given value of one parameter, moved to that value.
  [[nodiscard]] Parameters best_at(Parameter parameter, double value) const;
  /// In the same valley, as far as the map can tell.
  [[nodiscard]] bool are_neighbours(const Parameters& a, const Parameters& b) const;

private:
  static constexpr int contrast_count = 21;
  static constexpr int thickness_count = 20;
  static constexpr double greatest_ln_contrast = 9.0;  // 1:8000; beyond, no curve differs
  static constexpr double contrast_step = 2.0 * greatest_ln_contrast / (contrast_count - 1);

  double thickness_step_;
  double weight_sum_;
  std::vector<Minimum> cells_;
};

Map::Map(const Problem& problem)
    : thickness_step_((problem.greatest()[thickness] - problem.least()[thickness]) / (thickness_count - 1)),
      weight_sum_(problem.weight_sum()) {
  for (int i = 0; i < contrast_count; ++i) {
    for (int j = 0; j < thickness_count; ++j) {
      const Parameters unit_top(0.0, -greatest_ln_contrast + i * contrast_step,
                                problem.least()[thickness] + j * thickness_step_);
      const Minimum cell = problem.best_level(unit_top);
      if (problem.inside(cell.at) == cell.at) cells_.push_back(cell);
    }
  }
}

Minimum Map::best() const {
  return *std::min_element(cells_.begin(), cells_.end(), is_better);
}

Parameters Map::best_at(Parameter parameter, double value) const {
  const auto expected = [&](const Minimum& cell) {
    const double off = value - cell.at[parameter];
    if (parameter != thickness) return cell.chi_square + weight_sum_ * off * off;
    return std::abs(off) <= thickness_step_ ? cell.chi_square : std::numeric_limits<double>::infinity();
  };
  const auto best = std::min_element(cells_.begin(), cells_.end(), [&](const Minimum& a, const Minimum& b) {
    return expected(a) < expected(b);
  });
  Parameters at = best->at;
  if (parameter != thickness) at.head<2>().array() += value - at[parameter];
  at[parameter] = value;
  return at;
}

bool Map::are_neighbours(const Parameters& a, const Parameters& b) const {
  const double contrast_change = (a[bottom] - a[top]) - (b[bottom] - b[top]);
  return std::abs(contrast_change) <= 2.0 * contrast_step &&
         std::abs(a[thickness] - b[thickness]) <= 2.0 * thickness_step_;
}

/// The readings' misfit and its map, as the search for intervals needs them.
struct Landscape {
  const Problem& problem;
  const Map map;
};

/// Least chi-square with one parameter held: the profile. Looked for from the given start and, where the map
/// points elsewhere, from there too.
Minimum profile_at(const Landscape& landscape, Parameters start, Parameter parameter, double value) {
  start[parameter] = value;
  std::vector<Eigen::Index> others;
  for (const Parameter other : {top, bottom, thickness})
    if (other != parameter) others.push_back(other);
  const Minimum near = minimum_over(landscape.problem, start, others);
  const Parameters elsewhere = landscape.problem.inside(landscape.map.best_at(parameter, value));
  if (landscape.map.are_neighbours(near.at, elsewhere)) return near;
  return std::min(near, minimum_over(landscape.problem, elsewhere, others), is_better);
}

struct Search {
  Minimum best;
  int agreeing_start_count = 0;
};

Search search(const Landscape& landscape, const InterpretationOptions& options) {
  const Problem& problem = landscape.problem;
  const auto all = {Eigen::Index{top}, Eigen::Index{bottom}, Eigen::Index{thickness}};
  std::mt19937_64 random(options.seed);
  std::vector<Minimum> minima{minimum_over(problem, landscape.map.best().at, all)};
  for (int i = 0; i < options.start_count; ++i)
    minima.push_back(minimum_over(problem, problem.start(random), all));
  const auto best = std::min_element(minima.begin(), minima.end(), is_better);
  const double close = best->chi_square + 1e-3 * (1.0 + best->chi_square);
  const auto agreeing =
      std::count_if(minima.begin(), minima.end(), [&](const Minimum& m) { return m.chi_square <= close; });
  return {*best, static_cast<int>(agreeing)};
}

enum class Side { least, greatest };

/// One end of a profile interval: ln of the parameter.
struct End {
  double at;
  bool is_resolved;
};

/// Two neighbouring points of a profile: the outermost one found within the allowed rise and the next, which
/// is beyond it unless the profile is still within at the bound of the search.
struct Bracket {
  Minimum within;
  double beyond;
  bool is_closed;
};

/// Follows the profile from the best fit outwards to the bound of the search, so that a second dip is not
/// missed. Keeps any better fit that it comes across.
Bracket bracket(const Landscape& landscape, Minimum& best, double limit, Parameter parameter, Side side,
                double first_step) {
  const Problem& problem = landscape.problem;
  const double centre = best.at[parameter];
  const double bound = side == Side::least ? problem.least()[parameter] : problem.greatest()[parameter];
  const double direction = side == Side::least ? -1.0 : 1.0;
  Bracket found{best, bound, false};
  Minimum last = best;
  for (double distance = first_step;; distance *= found.is_closed ? 2.0 : 1.5) {
    const bool is_at_bound = distance >= std::abs(bound - centre);
    const double at = is_at_bound ? bound : centre + direction * distance;
    last = profile_at(landscape, last.at, parameter, at);
    if (last.chi_square < best.chi_square) best = last;
    if (last.chi_square <= limit)
      found = {last, bound, false};
    else if (!found.is_closed)
      found = {found.within, at, true};
    if (is_at_bound) return found;
  }
}

/// Where the profile of one parameter leaves the allowed rise for good, on one side of the best fit.
End interval_end(const Landscape& landscape, Minimum& best, double rise, Parameter parameter, Side side,
                 double first_step) {
  const double limit = best.chi_square + rise;
  const auto [within, beyond, is_closed] = bracket(landscape, best, limit, parameter, side, first_step);
  if (!is_closed) return {beyond, false};

  // Along the way from within (0) to beyond (1).
  const double start = within.at[parameter];
  const double length = beyond - start;
  const auto excess = [&, at = within.at](double way) {
    return profile_at(landscape, at, parameter, start + way * length).chi_square - limit;
  };
  const double excess_within = within.chi_square - limit;
  const double excess_beyond = excess(1.0);
  if (!(excess_within < 0.0 && excess_beyond > 0.0)) return {beyond, true};
  const auto is_close = [length](double a, double b) { return std::abs((a - b) * length) < 1e-4; };
  std::uintmax_t call_count = 40;
  const auto [from, to] =
      boost::math::tools::toms748_solve(excess, 0.0, 1.0, excess_within, excess_beyond, is_close, call_count);
  return {start + (from + to) / 2.0 * length, true};
}

/// Half-width of the interval if chi-square were a parabola: a scale for the first step, no more.
double expected_half_width(const Problem& problem, const Parameters& at, double rise, Parameter parameter) {
  const Eigen::MatrixXd inverse =
      problem.weighted_jacobian(at).completeOrthogonalDecomposition().pseudoInverse();
  return std::clamp(std::sqrt(rise) * inverse.row(parameter).norm(), 0.005, 1.0);
}

ParameterInterval interval(const Landscape& landscape, Minimum& best, double rise, Parameter parameter) {
  const double first_step = 0.8 * expected_half_width(landscape.problem, best.at, rise, parameter);
  const double value = best.at[parameter];
  const End least = interval_end(landscape, best, rise, parameter, Side::least, first_step);
  const End greatest = interval_end(landscape, best, rise, parameter, Side::greatest, first_step);
  return {std::exp(value), std::exp(least.at), std::exp(greatest.at), least.is_resolved,
          greatest.is_resolved};
}

SoilFit fit_at(const Problem& problem, const Parameters& at, const std::vector<FitDatum>& data) {
  SoilFit fit;
  fit.layer_count = 2;
  const Eigen::VectorXd residuals = problem.residuals(at);
  fit.residual_ratio.assign(residuals.begin(), residuals.end());
  judge(fit, data);
  return fit;
}

}  // namespace

SoilFit fit_two_layers(const std::vector<FitDatum>& data, const InterpretationOptions& options) {
  const Problem problem(data);
  const Landscape landscape{problem, Map(problem)};
  auto [best, agreeing_start_count] = search(landscape, options);
  for (;;) {
    SoilFit fit = fit_at(problem, best.at, data);
    const double rise = allowed_rise_ratio(fit);
    const double least_so_far = best.chi_square;
    fit.resistivity_ohm_m = {interval(landscape, best, rise, top), interval(landscape, best, rise, bottom)};
    fit.thickness_m = {interval(landscape, best, rise, thickness)};
    const bool is_improved = best.chi_square < least_so_far - 1e-3 * (1.0 + least_so_far);
    if (is_improved) {
      agreeing_start_count = 0;  // none of the starts came here
      continue;
    }
    const bool is_confirmed = agreeing_start_count >= 2;
    fit.status = is_confirmed ? FitStatus::converged : FitStatus::stalled;
    return fit;
  }
}

}  // namespace ohmroot::sounding::detail

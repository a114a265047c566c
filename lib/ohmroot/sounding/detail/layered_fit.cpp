// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/fits.hpp>

#include <boost/random/uniform_01.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

namespace ohmroot::sounding::detail {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

/// Random start: boundaries anywhere between the spacings, each resistivity near what was read at its depth.
VectorXd random_start(const FitProblem& problem, std::mt19937_64& random) {
  boost::random::uniform_01<double> uniform;
  const Index layers = problem.layer_count();
  VectorXd p = VectorXd::Zero(problem.parameter_count());
  std::vector<double> ln_depths;
  const double from = problem.least_ln_spacing() - std::log(3.0);
  for (Index i = 0; i + 1 < layers; ++i)
    ln_depths.push_back(from + (problem.greatest_ln_spacing() - from) * uniform(random));
  std::sort(ln_depths.begin(), ln_depths.end());
  double top_m = 0.0;
  for (Index i = 0; i < layers; ++i) {
    const bool is_last = i + 1 == layers;
    const double ln_depth = is_last ? problem.greatest_ln_spacing() : ln_depths[static_cast<std::size_t>(i)];
    p[i] = problem.apparent_at(ln_depth) + 3.0 * (uniform(random) - 0.5);
    if (is_last) continue;
    p[layers + i] = std::log(std::max(std::exp(ln_depth) - top_m, 1e-3 * std::exp(ln_depth)));
    top_m = std::exp(ln_depth);
  }
  return problem.inside(p);
}

/// Two layers, coarsely over thickness and contrast, the level being the best for it: shows the valley to start in.
std::vector<VectorXd> two_layer_starts(const FitProblem& problem) {
  constexpr int contrasts = 11;
  constexpr int thicknesses = 10;
  constexpr double greatest_ln_contrast = 5.0;
  Minimum best;
  best.chi_square = std::numeric_limits<double>::infinity();
  for (int i = 0; i < contrasts; ++i) {
    for (int j = 0; j < thicknesses; ++j) {
      VectorXd p = VectorXd::Zero(problem.parameter_count());
      const double share = static_cast<double>(j) / (thicknesses - 1);
      p[1] = greatest_ln_contrast * (2.0 * i / (contrasts - 1) - 1.0);
      p[2] = problem.least()[2] + share * (problem.greatest()[2] - problem.least()[2]);
      const double level = problem.level(p);
      p.head(2).array() += level;
      p = problem.inside(p);
      const double chi_square = problem.chi_square(p);
      if (chi_square < best.chi_square) best = {p, chi_square};
    }
  }
  return {best.at};
}

}  // namespace

std::vector<VectorXd> split_starts(const FitProblem& problem, const VectorXd& fewer_layers) {
  constexpr double lift = 0.7;  // of ln resistivity
  const Index layers = problem.layer_count();
  const Index fewer = layers - 1;
  std::vector<VectorXd> starts;
  for (Index split = 0; split < fewer; ++split) {
    for (const double sign : {1.0, -1.0}) {
      VectorXd p = VectorXd::Zero(problem.parameter_count());
      for (Index i = 0; i < layers; ++i)
        p[i] = fewer_layers[i <= split ? i : i - 1];
      p[split] += sign * lift;
      p[split + 1] -= sign * lift;
      for (Index i = 0; i + 1 < layers; ++i) {
        const bool is_last_split = split + 1 == fewer;
        const Index from = i <= split ? i : i - 1;
        const bool is_new_boundary = i == split && is_last_split;
        p[layers + i] = is_new_boundary ? problem.greatest_ln_spacing() - std::log(2.0)
                                        : fewer_layers[fewer + std::min(from, fewer - 2)];
        if (!is_last_split && (i == split || i == split + 1)) p[layers + i] -= std::log(2.0);
      }
      starts.push_back(problem.inside(p));
    }
  }
  return starts;
}

namespace {

constexpr double near_ratio = 1e-2;  // of the objective: ends of two starts that are one

/// The first valleys that are not the same place, followed to their ends by the fast route, the best first; then the
/// others as they are.
std::vector<Minimum> followed(const FitProblem& problem, const std::vector<Minimum>& valleys) {
  constexpr std::size_t greatest_count = 3;
  constexpr double same_place = 0.1;      // of logarithms
  constexpr double hopeless_ratio = 4.0;  // of the objective over the best
  std::vector<Minimum> ends, others, seen;
  for (const Minimum& valley : valleys) {
    const bool is_new = std::none_of(seen.begin(), seen.end(), [&](const Minimum& other) {
      return (other.at - valley.at).cwiseAbs().maxCoeff() < same_place;
    });
    if (!is_new) continue;
    seen.push_back(valley);
    const bool is_hopeless = valley.chi_square > hopeless_ratio * (1.0 + valleys.front().chi_square);
    if (ends.size() < greatest_count && !is_hopeless)
      ends.push_back(minimum_from(problem, valley.at));
    else
      others.push_back(valley);
  }
  std::sort(ends.begin(), ends.end(), is_better);
  ends.insert(ends.end(), others.begin(), others.end());
  return ends;
}

}  // namespace

Search search(const FitProblem& problem, const std::vector<VectorXd>& first_starts,
              const InterpretationOptions& options) {
  std::mt19937_64 random(options.seed);
  std::vector<VectorXd> starts = first_starts;
  for (int i = 0; i < options.start_count; ++i)
    starts.push_back(random_start(problem, random));
  Search found;
  for (const VectorXd& start : starts)
    found.valleys.push_back(minimum_from(problem, start, {}, FitProblem::Route::rough));
  std::sort(found.valleys.begin(), found.valleys.end(), is_better);
  const double close =
      near_ratio * (1.0 + found.valleys.front().chi_square) + found.valleys.front().chi_square;
  found.agreeing_start_count = static_cast<int>(std::count_if(
      found.valleys.begin(), found.valleys.end(), [&](const Minimum& m) { return m.chi_square <= close; }));
  found.valleys = followed(problem, found.valleys);
  found.best = found.valleys.front();
  return found;
}

namespace {

/// Judged by the accurate route; the search's own value stays that of the route of the profiles.
void take_best(LayeredFit& layered) {
  auto& [problem, found, fit] = layered;
  found.best = polished(*problem, found.best);
  const VectorXd residuals = problem->residuals(found.best.at);
  fit.residual_ratio.assign(residuals.begin(), residuals.end());
  fit.rod_residual_ratio = problem->rod_residuals(found.best.at);
  fit.traverse_factor_ratio = problem->traverse_factors(found.best.at);
  judge(fit, found.best.chi_square);
  found.best.chi_square = problem->chi_square(found.best.at);
}

}  // namespace

LayeredFit fit_layers(const FitData& data, int layer_count, const InterpretationOptions& options,
                      const VectorXd& fewer_layers) {
  LayeredFit layered{std::make_unique<FitProblem>(data, layer_count, options.objective), {}, {}};
  std::vector<VectorXd> starts;
  if (layer_count == 2) starts = two_layer_starts(*layered.problem);
  if (layer_count > 2) starts = split_starts(*layered.problem, fewer_layers);
  layered.found = search(*layered.problem, starts, options);
  layered.fit.layer_count = layer_count;
  take_best(layered);
  return layered;
}

void add_intervals(LayeredFit& layered) {
  for (;;) {
    const double least_so_far = layered.found.best.chi_square;
    fill_intervals(layered.fit, *layered.problem, layered.found);
    if (!(layered.found.best.chi_square < least_so_far - 1e-3 * (1.0 + least_so_far))) break;
    layered.found.agreeing_start_count = 0;
    take_best(layered);
  }
  const bool is_confirmed = layered.found.agreeing_start_count >= 2 || layered.fit.layer_count == 1;
  layered.fit.status = is_confirmed ? FitStatus::converged : FitStatus::stalled;
}

}  // namespace ohmroot::sounding::detail

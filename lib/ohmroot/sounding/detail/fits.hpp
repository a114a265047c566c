// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/detail/fit_problem.hpp>
#include <ohmroot/sounding/interpretation.hpp>

#include <memory>
#include <vector>

namespace ohmroot::sounding::detail {

/// What the search from several starts found.
struct Search {
  Minimum best;
  int agreeing_start_count = 0;
  std::vector<Minimum> valleys;  ///< end points of the starts, the best first
};

/// Starts for one layer more than a fit: each of its layers split in two, one half lifted and the other lowered.
[[nodiscard]] std::vector<Eigen::VectorXd> split_starts(const FitProblem& problem,
                                                        const Eigen::VectorXd& fewer_layers);

/// Searched are resistivities from 1/300 of the least to 300 times the greatest apparent resistivity, and thicknesses
/// from 1/20 of the least to 5 times the greatest spacing: beyond, no reading sees anything.
[[nodiscard]] Search search(const FitProblem& problem, const std::vector<Eigen::VectorXd>& first_starts,
                            const InterpretationOptions& options);

/// Intervals of every parameter of the fit by the profile of the objective, and of the products and quotients of
/// layers of which only these are resolved. A better fit met on the way takes the place of search.best.
void fill_intervals(SoilFit& fit, const FitProblem& problem, Search& found);

/// One fit without its intervals, and what these need.
struct LayeredFit {
  std::unique_ptr<FitProblem> problem;  ///< outlives moves, as found refers to nothing of it
  Search found;
  SoilFit fit;
};
[[nodiscard]] LayeredFit fit_layers(const FitData& data, int layer_count,
                                    const InterpretationOptions& options,
                                    const Eigen::VectorXd& fewer_layers);

/// Its intervals; a better fit met on the way is taken, and said to be one that no start reached.
void add_intervals(LayeredFit& layered);

}  // namespace ohmroot::sounding::detail

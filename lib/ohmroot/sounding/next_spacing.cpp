// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/next_spacing.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/rod_reading.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

namespace ohmroot::sounding {
namespace {

constexpr std::size_t least_draw_count = 50;
constexpr double rod_tolerance_ratio = 0.01;

/// Nodes for a normal error, in standard deviations: exact for polynomials up to the fifth degree.
struct ErrorNode {
  double at;      // unit: none; standard deviations
  double weight;  // unit: none
};
constexpr std::array<ErrorNode, 3> error_nodes{
    {{-1.7320508075688772, 1.0 / 6.0}, {0.0, 2.0 / 3.0}, {1.7320508075688772, 1.0 / 6.0}}};

/// Mean of ln(resistance) over all draws but the one taken as truth, weighted by how they predict the reading.
double mean_without(std::size_t truth, double ln_reading, double error_ratio,
                    const std::vector<double>& ln_predicted, const std::vector<double>& ln_wanted) {
  const auto exponent = [&](std::size_t i) {
    const double miss = (ln_predicted[i] - ln_reading) / error_ratio;
    return -0.5 * miss * miss;
  };
  double greatest = -std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < ln_predicted.size(); ++i) {
    if (i != truth) greatest = std::max(greatest, exponent(i));
  }
  double weight_sum = 0.0;
  double sum = 0.0;
  for (std::size_t i = 0; i < ln_predicted.size(); ++i) {
    if (i == truth) continue;
    const double weight = std::exp(exponent(i) - greatest);
    weight_sum += weight;
    sum += weight * ln_wanted[i];
  }
  return sum / weight_sum;
}

double expected_variance(double error_ratio, const std::vector<double>& ln_predicted,
                         const std::vector<double>& ln_wanted) {
  double sum = 0.0;
  for (std::size_t truth = 0; truth < ln_wanted.size(); ++truth) {
    for (const ErrorNode& node : error_nodes) {
      const double ln_reading = ln_predicted[truth] + node.at * error_ratio;
      const double miss =
          ln_wanted[truth] - mean_without(truth, ln_reading, error_ratio, ln_predicted, ln_wanted);
      sum += node.weight * miss * miss;
    }
  }
  return sum / static_cast<double>(ln_wanted.size());
}

/// The same without a reading: the mean of the others is then the plain one.
double variance_now(const std::vector<double>& ln_wanted) {
  const double total = std::accumulate(ln_wanted.begin(), ln_wanted.end(), 0.0);
  const double others = static_cast<double>(ln_wanted.size()) - 1.0;
  double sum = 0.0;
  for (const double value : ln_wanted) {
    const double miss = value - (total - value) / others;
    sum += miss * miss;
  }
  return sum / static_cast<double>(ln_wanted.size());
}

void require_valid(const std::vector<earth::LayeredSoil>& soils, const std::vector<double>& electrode_ohm,
                   const std::vector<FourPoleReading>& candidates, const NextSpacingOptions& options) {
  require_within("soils.size()", static_cast<double>(soils.size()), "", {least_draw_count, 1e5});
  if (electrode_ohm.size() != soils.size())
    throw DomainError("electrode_ohm", fmt::format("{} values", electrode_ohm.size()), "one for each soil");
  for (const double value : electrode_ohm)
    require_positive("electrode_ohm", value, "ohm");
  if (candidates.empty()) throw DomainError("candidates", "none", "at least one reading that could be taken");
  for (const FourPoleReading& candidate : candidates)
    require_within("candidates.relative_error_ratio", candidate.relative_error_ratio, "", {1e-3, 1.0});
  require_within("options.enough_interval_ratio", options.enough_interval_ratio, "", {1.0, 100.0});
  require_within("options.least_gain_ratio", options.least_gain_ratio, "", {0.0, 1.0});
}

/// ln of what the tester would show, per soil. The modelled sign is that of the array; it is not asked of others.
std::vector<double> ln_predictions(const std::vector<earth::LayeredSoil>& soils,
                                   const FourPoleReading& candidate) {
  const double factor_m = geometric_factor_m(candidate);
  std::vector<double> ln_predicted(soils.size());
  for_each_index(soils.size(), [&](std::size_t i) {
    const double modelled_ohm_m = modelled_apparent_resistivity_ohm_m(soils[i], candidate);
    require_positive("modelled apparent resistivity of a candidate", modelled_ohm_m, "ohm m");
    ln_predicted[i] = std::log(modelled_ohm_m / factor_m);
  });
  return ln_predicted;
}

ReadingGain gain_of(const std::vector<earth::LayeredSoil>& soils, const FourPoleReading& candidate,
                    const std::vector<double>& ln_wanted, double variance) {
  const std::vector<double> ln_predicted = ln_predictions(soils, candidate);
  ReadingGain gain;
  gain.reading = candidate;
  gain.variance_left_ratio =
      variance > 0.0
          ? std::min(1.0,
                     expected_variance(candidate.relative_error_ratio, ln_predicted, ln_wanted) / variance)
          : 1.0;
  // The error of the tester widens the spread of the predictions: both nearly normal in ln R.
  std::vector<double> sorted = ln_predicted;
  std::sort(sorted.begin(), sorted.end());
  const double ln_middle = quantile(sorted, 0.5);
  const double ln_end = std::log(central_end_ratio(candidate.relative_error_ratio));
  gain.middle_resistance_ohm = std::exp(ln_middle);
  gain.least_resistance_ohm = std::exp(ln_middle - std::hypot(ln_middle - quantile(sorted, 0.05), ln_end));
  gain.greatest_resistance_ohm = std::exp(ln_middle + std::hypot(quantile(sorted, 0.95) - ln_middle, ln_end));
  return gain;
}

std::string interval_words(const NextSpacing& next) {
  return fmt::format("its resistance is known to {} to {} (90 %)",
                     format_quantity(next.least_ohm, Dimension::resistance),
                     format_quantity(next.greatest_ohm, Dimension::resistance));
}

void decide(NextSpacing& next, const NextSpacingOptions& options) {
  const auto best = std::min_element(next.gains.begin(), next.gains.end(),
                                     [](const ReadingGain& one, const ReadingGain& other) {
                                       return one.variance_left_ratio < other.variance_left_ratio;
                                     });
  next.best_index = static_cast<std::size_t>(best - next.gains.begin());
  const bool is_narrow = next.greatest_ohm <= options.enough_interval_ratio * next.least_ohm;
  const bool is_useless = best->variance_left_ratio > 1.0 - options.least_gain_ratio;
  next.is_enough = is_narrow || is_useless;
  if (is_narrow)
    next.sentence =
        fmt::format("Enough: stop. Of the electrode in question {}, which is as narrow as was asked.",
                    interval_words(next));
  else if (is_useless)
    next.sentence =
        fmt::format("Enough: stop. Of the electrode in question {}, and no spacing that this land allows is "
                    "expected to narrow that further; a test rod would.",
                    interval_words(next));
  else
    next.sentence = fmt::format("Read next at {}: expect {} to {}. Of the electrode in question {}; this "
                                "reading is expected to take away "
                                "{:.0f} % of what is open (of the variance of ln R).",
                                format_given(plotted_spacing_m(best->reading), Dimension::length),
                                format_quantity(best->least_resistance_ohm, Dimension::resistance),
                                format_quantity(best->greatest_resistance_ohm, Dimension::resistance),
                                interval_words(next), 100.0 * (1.0 - best->variance_left_ratio));
}

}  // namespace

std::vector<double> rod_resistances_ohm(const std::vector<earth::LayeredSoil>& soils,
                                        const RodInQuestion& rod) {
  std::vector<double> resistances_ohm(soils.size());
  for_each_index(soils.size(), [&](std::size_t i) {
    DrivenRodReading reading;
    reading.driven_length_m = rod.length_m;
    reading.diameter_m = rod.diameter_m;
    resistances_ohm[i] = modelled_rod_resistance(soils[i], reading, {rod_tolerance_ratio}).resistance_ohm;
  });
  return resistances_ohm;
}

NextSpacing next_spacing(const std::vector<earth::LayeredSoil>& soils,
                         const std::vector<double>& electrode_ohm,
                         const std::vector<FourPoleReading>& candidates, const NextSpacingOptions& options) {
  require_valid(soils, electrode_ohm, candidates, options);
  std::vector<double> ln_wanted;
  for (const double value : electrode_ohm)
    ln_wanted.push_back(std::log(value));
  const double variance = variance_now(ln_wanted);
  NextSpacing next;
  for (const FourPoleReading& candidate : candidates)
    next.gains.push_back(gain_of(soils, candidate, ln_wanted, variance));
  std::sort(ln_wanted.begin(), ln_wanted.end());
  next.least_ohm = std::exp(quantile(ln_wanted, 0.05));
  next.middle_ohm = std::exp(quantile(ln_wanted, 0.5));
  next.greatest_ohm = std::exp(quantile(ln_wanted, 0.95));
  decide(next, options);
  return next;
}

}  // namespace ohmroot::sounding

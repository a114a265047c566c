// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/bounds.hpp>
#include <ohmroot/sounding/detail/fits.hpp>
#include <ohmroot/sounding/detail/rod_misfit.hpp>
#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

namespace ohmroot::sounding {
namespace {

constexpr double tie_ratio = 2.0;                  // lead of the criterion that counts as none
constexpr double hopeless_criterion_ratio = 10.0;  // behind the best: nothing speaks for it
constexpr double hopeless_scatter_ratio = 5.0;     // scatter over stated error

detail::FitData fit_data(const std::vector<FourPoleReading>& readings, const InterpretationOptions& options) {
  detail::require_valid(options.rods);
  detail::FitData data{{}, options.rods};
  const std::vector<FourPoleReading> all = detail::with_bounds(readings, options.bounds);
  const auto traverses = traverse_indices(all);
  for (const FourPoleReading& reading : all) {
    require_within("reading.relative_error_ratio", reading.relative_error_ratio, "", {1e-6, 1.0});
    const double apparent_ohm_m = apparent_resistivity_ohm_m(detail::as_shown(reading), options.depth_rule);
    require_positive("apparent resistivity of a reading", apparent_ohm_m, "ohm m");
    data.readings.push_back(
        {reading, std::log(apparent_ohm_m), reading.relative_error_ratio, traverses[data.readings.size()]});
  }
  return data;
}

/// What can carry parameters: readings of stakes and of rods, and how many different places they have.
struct Support {
  std::size_t reading_count = 0;
  std::size_t place_count = 0;
};

Support support_of(const std::vector<FourPoleReading>& readings, const std::vector<DrivenRodReading>& rods) {
  std::set<std::pair<double, double>> places;
  std::set<double> lengths_m;
  Support support{readings.size(), 0};
  for (const FourPoleReading& reading : readings)
    places.emplace(plotted_spacing_m(reading), reading.half_potential_spacing_m);
  for (const DrivenRodReading& rod : rods) {
    if (rod.is_lower_bound) continue;
    ++support.reading_count;
    lengths_m.insert(rod.driven_length_m);
  }
  support.place_count = places.size() + lengths_m.size();
  return support;
}

// Parameters + 2 readings: the corrected criterion needs them; parameters + 1 different geometries.
std::size_t least_readings(int layer_count) {
  return static_cast<std::size_t>(2 * layer_count + 1);
}
std::size_t least_spacings(int layer_count) {
  return static_cast<std::size_t>(2 * layer_count);
}

/// One reading fewer will do where the model with a layer less is refuted: the plain criterion then decides.
bool can_tell_layers(const Support& support, int layer_count, bool is_fewer_refuted) {
  if (layer_count == 1) return true;
  const std::size_t needed = least_readings(layer_count) - (is_fewer_refuted && layer_count > 2 ? 1 : 0);
  return support.reading_count >= needed && support.place_count >= least_spacings(layer_count);
}

double scatter_ratio(const SoilFit& fit) {
  return fit.freedom_count > 0 ? std::sqrt(fit.chi_square_ratio / fit.freedom_count) : 0.0;
}

std::string percent(double ratio) {
  return format_number(100.0 * ratio, 2) + " %";
}

/// A fitted value as it may be said: one that lies at the bound of the search is never named.
std::string value_words(const ParameterInterval& interval, Dimension dimension) {
  const auto text = [&](double value) { return format_quantity(value, dimension); };
  if (interval.is_least_resolved && interval.is_greatest_resolved) return text(interval.value);
  const std::string searched =
      fmt::format("searched from {} to {}", text(interval.least), text(interval.greatest));
  if (!interval.is_least_resolved && !interval.is_greatest_resolved)
    return fmt::format("an unresolved value ({})", searched);
  if (interval.is_least_resolved)
    return fmt::format("{} or more (no upper end up to {})", text(interval.least), text(interval.greatest));
  return fmt::format("{} or less (no lower end down to {})", text(interval.greatest), text(interval.least));
}

std::string model_words(const SoilFit& fit) {
  const auto rho = [&](std::size_t i) {
    return value_words(fit.resistivity_ohm_m[i], Dimension::resistivity);
  };
  if (fit.layer_count == 1) return "uniform soil of " + rho(0);
  std::string words = fmt::format("top layer {}", rho(0));
  for (std::size_t i = 1; i < fit.resistivity_ohm_m.size(); ++i)
    words += fmt::format(", thickness {}, below it {}",
                         value_words(fit.thickness_m[i - 1], Dimension::length), rho(i));
  return words;
}

std::string fit_words(const SoilFit& fit) {
  if (fit.status == FitStatus::too_few_readings)
    return fmt::format("{}, from one reading: it says nothing of layers, and its error is the stated one",
                       model_words(fit));
  return fmt::format("{}: misfit {}, chi-square {} for {} degrees of freedom", model_words(fit),
                     percent(fit.misfit_ratio), format_number(fit.chi_square_ratio), fit.freedom_count);
}

std::string scatter_words(const SoilFit& fit) {
  if (detail::are_stated_errors_believed(fit)) return "";
  return fmt::format(
      "; the readings scatter about it by {} times their stated error: intervals widened {}-fold",
      format_number(scatter_ratio(fit), 2), format_number(fit.error_inflation_ratio, 2));
}

std::string explanation(const SoilFit& fit) {
  std::string words = fit_words(fit) + scatter_words(fit);
  for (const Equivalence& equivalence : fit.equivalences)
    words += "; " + equivalence.sentence;
  for (std::size_t i = 0; i + 1 < fit.resistivity_ohm_m.size(); ++i)
    if (!fit.thickness_m[i].is_least_resolved)
      words += fmt::format("; layer {} may be too thin to be seen, or absent", i + 1);
  if (fit.status == FitStatus::stalled)
    words += "; the starts of the search do not agree: take this as the best found, not as the best there is";
  return words;
}

/// What to think of it if even the chosen model misses the readings.
std::string warning_words(const SoilFit& chosen) {
  if (detail::are_stated_errors_believed(chosen)) return "";
  if (scatter_ratio(chosen) > hopeless_scatter_ratio)
    return "; no soil of this kind explains these readings: check leads, units and stakes and measure again "
           "before "
           "anything rests on them";
  return "; stated errors too small, ground that changes sideways, or more layers than the model has";
}

/// The criterion with the stated errors, or, where even the fullest model shows them to be too small, with
/// errors as large as that model's scatter (Burnham and Anderson 2002, quasi-likelihood; from memory).
double selection_criterion(const SoilFit& fit, double scatter) {
  return fit.corrected_aic_ratio - fit.chi_square_ratio + fit.chi_square_ratio / (scatter * scatter);
}

std::string layers_words(int layer_count) {
  constexpr std::array names{"uniform soil", "two layers", "three layers", "four layers", "five layers"};
  return names.at(static_cast<std::size_t>(layer_count - 1));
}

/// Criteria of all fits, and whether the stated errors are believed in them.
struct Criteria {
  std::vector<double> value_ratio;
  bool are_errors_believed;
};

Criteria criteria_of(const std::vector<detail::LayeredFit>& all) {
  const SoilFit& full = all.back().fit;
  Criteria criteria{{}, detail::are_stated_errors_believed(full)};
  const double scatter = criteria.are_errors_believed ? 1.0 : scatter_ratio(full);
  for (const detail::LayeredFit& layered : all)
    criteria.value_ratio.push_back(selection_criterion(layered.fit, scatter));
  return criteria;
}

/// The simplest that is within a tie of the best, and the next by the criterion if anything speaks for it.
void choose_layer_count(Interpretation& result, const std::vector<double>& criteria) {
  const double least = *std::min_element(criteria.begin(), criteria.end());
  const auto chosen = std::find_if(criteria.begin(), criteria.end(),
                                   [&](double criterion) { return criterion <= least + tie_ratio; });
  result.chosen_layer_count = 1 + static_cast<int>(chosen - criteria.begin());
  double next = least + hopeless_criterion_ratio;
  for (auto it = criteria.begin(); it != criteria.end(); ++it) {
    if (it == chosen || *it >= next) continue;
    next = *it;
    result.runner_up_layer_count = 1 + static_cast<int>(it - criteria.begin());
  }
}

std::string choice_words(const Interpretation& result, const Criteria& criteria) {
  std::string all;
  for (std::size_t i = 0; i < criteria.value_ratio.size(); ++i)
    all += fmt::format("{}{} for {}", i == 0 ? "" : ", ", format_number(criteria.value_ratio[i]),
                       layers_words(static_cast<int>(i) + 1));
  const std::string judged = result.chosen_layer_count == 1
                                 ? "a second layer is not justified"
                                 : layers_words(result.chosen_layer_count) + " are justified";
  return fmt::format(
      "corrected Akaike criterion {}, {}: {} (the simpler model wins unless it is worse by 2)", all,
      criteria.are_errors_believed ? "with the stated errors"
                                   : fmt::format("with errors raised to what {} leave unexplained",
                                                 layers_words(static_cast<int>(criteria.value_ratio.size()))),
      judged);
}

/// More layers are tried as long as they are not hopelessly worse than the best so far.
std::vector<detail::LayeredFit> all_fits(const detail::FitData& data, const Support& support,
                                         const InterpretationOptions& options) {
  std::vector<detail::LayeredFit> all;
  double least = std::numeric_limits<double>::infinity();
  for (int count = 1; count <= options.greatest_layer_count; ++count) {
    const bool is_fewer_refuted = !all.empty() && !detail::are_stated_errors_believed(all.back().fit);
    if (!can_tell_layers(support, count, is_fewer_refuted)) break;
    const Eigen::VectorXd fewer = all.empty() ? Eigen::VectorXd() : all.back().found.best.at;
    all.push_back(detail::fit_layers(data, count, options, fewer));
    const double criterion = criteria_of(all).value_ratio.back();
    least = std::min(least, criterion);
    if (count > 2 && criterion > least + hopeless_criterion_ratio) break;
  }
  return all;
}

std::string objective_words(Objective objective) {
  switch (objective) {
  case Objective::robust:
    return "least squares of ln(apparent resistivity) over each reading's stated error, linear beyond two "
           "errors";
  case Objective::weighted:
    return "weighted least squares of ln(apparent resistivity), each reading weighted by its stated error";
  default:
    return "plain least squares of ln(apparent resistivity), every reading alike";
  }
}

}  // namespace

earth::LayeredSoil SoilFit::soil() const {
  std::vector<earth::Layer> layers;
  for (std::size_t i = 0; i < resistivity_ohm_m.size(); ++i) {
    const double depth_m =
        i < thickness_m.size() ? thickness_m[i].value : std::numeric_limits<double>::infinity();
    layers.push_back({resistivity_ohm_m[i].value, depth_m});
  }
  return earth::LayeredSoil(std::move(layers));
}

Interpretation interpret(const std::vector<FourPoleReading>& readings, const InterpretationOptions& options) {
  if (readings.empty()) throw DomainError("readings", "none", "at least one reading");
  require_within("options.greatest_layer_count", options.greatest_layer_count, "", {1, 5});
  require_within("options.start_count", options.start_count, "", {1, 10000});
  const detail::FitData data = fit_data(readings, options);

  Interpretation result;
  result.objective = objective_words(options.objective);
  if (!options.rods.empty())
    result.objective += "; driven rods by the field solution of each in the layers, of a few elements";
  const Support support = support_of(readings, options.rods);
  std::vector<detail::LayeredFit> all = all_fits(data, support, options);
  if (all.size() > 1) {
    const Criteria criteria = criteria_of(all);
    choose_layer_count(result, criteria.value_ratio);
    result.why_chosen = choice_words(result, criteria);
  }
  const int kept = std::max({2, result.chosen_layer_count, result.runner_up_layer_count.value_or(1)});
  for (detail::LayeredFit& layered : all) {
    if (layered.fit.layer_count > kept) break;  // of which nothing but its criterion is said
    detail::add_intervals(layered);
    result.fits.push_back(std::move(layered.fit));
  }
  if (support.reading_count == 1) result.fits.front().status = FitStatus::too_few_readings;
  if (all.size() == 1) {
    result.why_chosen =
        options.greatest_layer_count > 1
            ? fmt::format(
                  "uniform soil only: two layers need at least {} readings at {} spacings, here are {} at {}",
                  least_readings(2), least_spacings(2), support.reading_count, support.place_count)
            : "uniform soil, as asked for";
  }
  for (SoilFit& fit : result.fits)
    fit.why = explanation(fit);
  SoilFit& chosen = result.fits[static_cast<std::size_t>(result.chosen_layer_count - 1)];
  chosen.why += warning_words(chosen);
  return result;
}

}  // namespace ohmroot::sounding

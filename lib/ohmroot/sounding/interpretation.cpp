// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/fits.hpp>
#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

namespace ohmroot::sounding {
namespace {

constexpr std::size_t least_readings_for_two_layers = 5;  // parameters + 2: the criterion needs them
constexpr std::size_t least_spacings_for_two_layers = 4;  // parameters + 1 different geometries
constexpr double tie_ratio = 2.0;                         // lead of the criterion that counts as none
constexpr double hopeless_scatter_ratio = 5.0;            // scatter over stated error

std::vector<detail::FitDatum> fit_data(const std::vector<FourPoleReading>& readings, StakeDepthRule rule) {
  std::vector<detail::FitDatum> data;
  for (const FourPoleReading& reading : readings) {
    require_within("reading.relative_error_ratio", reading.relative_error_ratio, "", {1e-6, 1.0});
    const double apparent_ohm_m = apparent_resistivity_ohm_m(reading, rule);
    require_positive("apparent resistivity of a reading", apparent_ohm_m, "ohm m");
    data.push_back({reading, std::log(apparent_ohm_m), reading.relative_error_ratio});
  }
  return data;
}

std::size_t geometry_count(const std::vector<FourPoleReading>& readings) {
  std::set<std::pair<double, double>> geometries;
  for (const FourPoleReading& reading : readings)
    geometries.emplace(plotted_spacing_m(reading), reading.half_potential_spacing_m);
  return geometries.size();
}

bool can_tell_two_layers(const std::vector<FourPoleReading>& readings) {
  return readings.size() >= least_readings_for_two_layers &&
         geometry_count(readings) >= least_spacings_for_two_layers;
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
  return fmt::format("top layer {}, thickness {}, below it {}", rho(0),
                     value_words(fit.thickness_m[0], Dimension::length), rho(1));
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

void choose_layer_count(Interpretation& result) {
  const SoilFit& simple = result.fits.front();
  const SoilFit& full = result.fits.back();
  const bool are_errors_believed = detail::are_stated_errors_believed(full);
  const double scatter = are_errors_believed ? 1.0 : scatter_ratio(full);
  const double simple_criterion = selection_criterion(simple, scatter);
  const double full_criterion = selection_criterion(full, scatter);
  const bool are_layers_justified = full_criterion < simple_criterion - tie_ratio;
  result.chosen_layer_count = are_layers_justified ? 2 : 1;
  result.why_chosen =
      fmt::format("corrected Akaike criterion {} for two layers against {} for uniform soil, {}: {}",
                  format_number(full_criterion), format_number(simple_criterion),
                  are_errors_believed ? "with the stated errors"
                                      : "with errors raised to what two layers leave unexplained",
                  are_layers_justified
                      ? "the second layer is justified"
                      : "a second layer is not justified (the simpler model wins unless it is worse by 2)");
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
  require_within("options.greatest_layer_count", options.greatest_layer_count, "", {1, 2});
  require_within("options.start_count", options.start_count, "", {1, 10000});
  const auto data = fit_data(readings, options.depth_rule);

  Interpretation result;
  result.objective =
      "weighted least squares of ln(apparent resistivity), each reading weighted by its stated error";
  result.fits.push_back(detail::fit_uniform(data));
  if (readings.size() == 1) result.fits.front().status = FitStatus::too_few_readings;
  const bool is_two_layer_fit_wanted = options.greatest_layer_count == 2;
  if (is_two_layer_fit_wanted && can_tell_two_layers(readings)) {
    result.fits.push_back(detail::fit_two_layers(data, options));
    choose_layer_count(result);
  } else {
    result.why_chosen =
        is_two_layer_fit_wanted
            ? fmt::format(
                  "uniform soil only: two layers need at least {} readings at {} spacings, here are {} at {}",
                  least_readings_for_two_layers, least_spacings_for_two_layers, readings.size(),
                  geometry_count(readings))
            : "uniform soil, as asked for";
  }
  for (SoilFit& fit : result.fits)
    fit.why = explanation(fit);
  SoilFit& chosen = result.fits[static_cast<std::size_t>(result.chosen_layer_count - 1)];
  chosen.why += warning_words(chosen);
  return result;
}

}  // namespace ohmroot::sounding

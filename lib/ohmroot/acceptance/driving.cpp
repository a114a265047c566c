// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/driving.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/sounding/next_spacing.hpp>
#include <ohmroot/sounding/rod_reading.hpp>

#include <boost/math/distributions/normal.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace ohmroot::acceptance {
namespace {

using sounding::DrivenRodReading;

constexpr double least_effective_count = 30.0;
constexpr double usual_place_spread = 0.2;
constexpr double same_length_m = 1e-6;

std::size_t row_of(const DriveTable& table, double length_m) {
  for (std::size_t i = 0; i < table.length_m.size(); ++i) {
    if (std::abs(table.length_m[i] - length_m) < same_length_m) return i;
  }
  throw DomainError("reading.driven_length_m", length_m, "m", "a length of the table");
}

/// What the readings make of one soil: its likelihood, and the factor of the place in it.
struct SoilView {
  double ln_likelihood;
  double ln_factor;         // unit: none; mean
  double ln_factor_spread;  // unit: none; standard deviation
};

std::vector<SoilView> views_of(const DriveTable& table, const std::vector<DrivenRodReading>& readings,
                               double place_spread) {
  const double prior = 1.0 / (place_spread * place_spread);
  std::vector<SoilView> views;
  for (std::size_t i = 0; i < table.resistance_ohm.front().size(); ++i) {
    double precision = prior;
    double pull = 0.0;
    double squares = 0.0;
    for (const DrivenRodReading& reading : readings) {
      if (reading.is_lower_bound) continue;  // a bound says little that the next section will not say better
      const double off =
          std::log(reading.resistance_ohm / table.resistance_ohm[row_of(table, reading.driven_length_m)][i]);
      const double weight = 1.0 / (reading.relative_error_ratio * reading.relative_error_ratio);
      precision += weight;
      pull += weight * off;
      squares += weight * off * off;
    }
    views.push_back(
        {-0.5 * (squares - pull * pull / precision), pull / precision, 1.0 / std::sqrt(precision)});
  }
  return views;
}

std::vector<double> weights_of(const std::vector<SoilView>& views) {
  double greatest = -std::numeric_limits<double>::infinity();
  for (const SoilView& view : views)
    greatest = std::max(greatest, view.ln_likelihood);
  std::vector<double> weights;
  for (const SoilView& view : views)
    weights.push_back(std::exp(view.ln_likelihood - greatest));
  const double sum = std::accumulate(weights.begin(), weights.end(), 0.0);
  for (double& weight : weights)
    weight /= sum;
  return weights;
}

double effective_count(const std::vector<double>& weights) {
  double squares = 0.0;
  for (const double weight : weights)
    squares += weight * weight;
  return 1.0 / squares;
}

/// Everything that the readings leave.
struct Belief {
  std::vector<SoilView> views;
  std::vector<double> weights;
  double place_spread;
  double added_spread;  ///< to the forecast, where the soil known beforehand does not explain the readings
};

Belief belief_of(const DriveTable& table, const std::vector<DrivenRodReading>& readings) {
  constexpr double growth = 1.5;
  constexpr double greatest_spread = 3.0;
  Belief belief{views_of(table, readings, usual_place_spread), {}, usual_place_spread, 0.0};
  belief.weights = weights_of(belief.views);
  const double wanted = std::min(least_effective_count, 0.5 * static_cast<double>(belief.weights.size()));
  while (effective_count(belief.weights) < wanted && belief.place_spread < greatest_spread) {
    belief.place_spread *= growth;
    belief.added_spread = 0.5 * belief.place_spread;
    belief.views = views_of(table, readings, belief.place_spread);
    belief.weights = weights_of(belief.views);
  }
  return belief;
}

/// Share of the belief in which the rod has so much or less.
double share_below(const DriveTable& table, std::size_t row, const Belief& belief, double ohm) {
  const boost::math::normal_distribution<double> normal;
  double share = 0.0;
  for (std::size_t i = 0; i < belief.weights.size(); ++i) {
    const double spread = std::hypot(belief.views[i].ln_factor_spread, belief.added_spread);
    const double off = (std::log(ohm / table.resistance_ohm[row][i]) - belief.views[i].ln_factor) / spread;
    share += belief.weights[i] * boost::math::cdf(normal, std::clamp(off, -30.0, 30.0));
  }
  return share;
}

/// The resistance below which a share of the belief lies.
double point_at(const DriveTable& table, std::size_t row, const Belief& belief, double share) {
  const auto [least, greatest] =
      std::minmax_element(table.resistance_ohm[row].begin(), table.resistance_ohm[row].end());
  double low = std::log(*least) - 12.0;
  double high = std::log(*greatest) + 12.0;
  for (int i = 0; i < 40; ++i) {
    const double middle = 0.5 * (low + high);
    (share_below(table, row, belief, std::exp(middle)) < share ? low : high) = middle;
  }
  return std::exp(0.5 * (low + high));
}

LengthForecast forecast_at(const DriveTable& table, std::size_t row, const Belief& belief,
                           double target_ohm) {
  return {table.length_m[row],
          {point_at(table, row, belief, 0.5), point_at(table, row, belief, 0.05),
           point_at(table, row, belief, 0.95),
           "field solution of the rod in the soils that are left, times the factor of the place"},
          share_below(table, row, belief, target_ohm)};
}

/// The factor of two places in one soil, of which only the first was read: the conductances add.
SoilView view_of_pair(const SoilView& here) {
  const double conductance_here = std::exp(-here.ln_factor);
  const double share_here =
      conductance_here / (1.0 + conductance_here);  // the other's ln factor is 0 on average
  return {here.ln_likelihood, std::log(2.0 / (1.0 + conductance_here)),
          std::hypot(share_here * here.ln_factor_spread, (1.0 - share_here) * usual_place_spread)};
}

std::string percent(double ratio) {
  return fmt::format("{:.0f} %", 100.0 * ratio);
}

}  // namespace

DriveTable drive_table(const std::vector<earth::LayeredSoil>& soils, double diameter_m,
                       const std::vector<double>& lengths_m) {
  if (soils.empty()) throw DomainError("soils", "none", "at least one");
  if (lengths_m.empty()) throw DomainError("lengths_m", "none", "at least one");
  if (std::adjacent_find(lengths_m.begin(), lengths_m.end(), std::greater_equal<>()) != lengths_m.end())
    throw DomainError("lengths_m", "not ascending", "ascending lengths");
  DriveTable table{lengths_m, {}};
  for (const double length_m : lengths_m)
    table.resistance_ohm.push_back(sounding::rod_resistances_ohm(soils, {length_m, diameter_m}));
  return table;
}

std::vector<double> drive_lengths_m(const DrivenRod& rod, const std::vector<DrivenRodReading>& readings) {
  require_positive("rod.section_m", rod.section_m, "m");
  require_within("rod.greatest_section_count", rod.greatest_section_count, "", {1.0, 100.0});
  std::vector<double> lengths_m;
  for (const DrivenRodReading& reading : readings)
    lengths_m.push_back(reading.driven_length_m);
  std::sort(lengths_m.begin(), lengths_m.end());
  const double last_m = lengths_m.empty() ? 0.0 : lengths_m.back();
  const double end_m = rod.section_m * rod.greatest_section_count;
  for (double length_m = last_m + rod.section_m; length_m < end_m + same_length_m; length_m += rod.section_m)
    lengths_m.push_back(length_m);
  lengths_m.erase(std::unique(lengths_m.begin(), lengths_m.end(),
                              [](double a, double b) { return std::abs(a - b) < same_length_m; }),
                  lengths_m.end());
  return lengths_m;
}

DriveForecast forecast_drive(const DriveTable& table, const std::vector<DrivenRodReading>& readings,
                             double target_ohm) {
  require_positive("target_ohm", target_ohm, "ohm");
  const Belief belief = belief_of(table, readings);
  DriveForecast forecast;
  forecast.place_spread_ratio = belief.place_spread;
  forecast.is_widened = belief.added_spread > 0.0;
  forecast.effective_soil_count = effective_count(belief.weights);
  double last_m = 0.0;
  for (const DrivenRodReading& reading : readings)
    last_m = std::max(last_m, reading.driven_length_m);
  for (std::size_t row = 0; row < table.length_m.size(); ++row) {
    LengthForecast at = forecast_at(table, row, belief, target_ohm);
    const bool is_ahead = table.length_m[row] > last_m + same_length_m;
    (is_ahead ? forecast.ahead : forecast.so_far).push_back(std::move(at));
  }
  if (!forecast.ahead.empty())
    forecast.probability_ratio = forecast.ahead.back().probability_ratio;
  else if (!forecast.so_far.empty())
    forecast.probability_ratio = forecast.so_far.back().probability_ratio;
  return forecast;
}

SecondRod second_rod(const DriveTable& table, const std::vector<DrivenRodReading>& readings,
                     const earth::LayeredSoil& middle_soil, double target_ohm) {
  if (readings.empty()) throw DomainError("readings", "none", "at least one");
  const DrivenRodReading& last = readings.back();
  const electrode::Rod rod{last.driven_length_m, last.diameter_m};
  const auto solved_ohm = [&](const electrode::Shape& shape) {
    return electrode::solve_field(middle_soil, {{"rods", electrode::conductors_of(shape)}}, {1e-2})
        .resistance_ohm(0, 0);
  };
  const double pair_ratio = solved_ohm(electrode::RodLine{rod, 2, last.driven_length_m}) / solved_ohm(rod);
  Belief pair = belief_of(table, readings);
  // Where nothing known explains the readings, the second place is taken to be as odd as this one.
  if (!(pair.added_spread > 0.0)) {
    for (SoilView& view : pair.views)
      view = view_of_pair(view);
  }
  return {share_below(table, row_of(table, last.driven_length_m), pair, target_ohm / pair_ratio)};
}

std::optional<DriveAlarm> drive_alarm(const DriveTable& table,
                                      const std::vector<DrivenRodReading>& readings) {
  constexpr double unexplained_ratio = 0.5;
  if (readings.size() < 2 || readings.back().is_lower_bound) return std::nullopt;
  constexpr const char* rule =
      ": stop, do not touch the rod or anything on it, stand clear, and find out what was struck";
  for (const sounding::RodDoubt& doubt : sounding::doubtful_rod_readings(readings)) {
    if (doubt.reading_index + 1 == readings.size() && doubt.is_sudden_fall)
      return DriveAlarm{doubt.sentence + ": do not touch the rod or anything on it, and stand clear"};
  }
  const std::vector<DrivenRodReading> before(readings.begin(), readings.end() - 1);
  const double least_ohm =
      point_at(table, row_of(table, readings.back().driven_length_m), belief_of(table, before), 0.001);
  if (readings.back().resistance_ohm >= unexplained_ratio * least_ohm) return std::nullopt;
  return DriveAlarm{fmt::format("{} at {} is less than half of the least that any soil known of here would "
                                "give ({}): the rod may have struck metal, a "
                                "cable sheath or a duct{}",
                                format_quantity(readings.back().resistance_ohm, Dimension::resistance),
                                format_quantity(readings.back().driven_length_m, Dimension::length),
                                format_quantity(least_ohm, Dimension::resistance), rule)};
}

DriveAlarm refusal_alarm(double length_m) {
  return {fmt::format(
      "the rod stopped all at once at {}: it may stand on a duct, a cable, a foundation or rock: stop, do "
      "not "
      "touch the rod or anything on it, stand clear, and find out what is there before another blow",
      format_quantity(length_m, Dimension::length))};
}

std::string_view advice_name(DriveAdvice advice) {
  switch (advice) {
  case DriveAdvice::stop_danger:
    return "STOP, stand clear";
  case DriveAdvice::stop_met:
    return "stop: the target is met";
  case DriveAdvice::drive_on:
    return "drive the next section";
  case DriveAdvice::second_rod:
    return "a second rod is the better buy";
  case DriveAdvice::stop_hopeless:
    return "stop: it will not be met here";
  case DriveAdvice::at_the_end:
    return "no section is left";
  }
  throw InternalError("advice_name: an advice without a name");
}

DriveDecision decide_drive(const DriveForecast& forecast, const std::vector<DrivenRodReading>& readings,
                           double target_ohm, const std::optional<SecondRod>& second,
                           const std::optional<DriveCosts>& costs) {
  constexpr double hopeless = 0.05;
  constexpr double better_by = 0.20;
  constexpr double alike_within = 0.05;
  const double here = forecast.probability_ratio;
  if (!readings.empty() && !readings.back().is_lower_bound) {
    const DrivenRodReading& last = readings.back();
    if (last.resistance_ohm * (1.0 + 2.0 * last.relative_error_ratio) <= target_ohm)
      return {DriveAdvice::stop_met, fmt::format("{} is at the target of {} or below, its error included; "
                                                 "the test of the finished electrode decides",
                                                 format_quantity(last.resistance_ohm, Dimension::resistance),
                                                 format_quantity(target_ohm, Dimension::resistance))};
  }
  const std::string chance = fmt::format("{} to meet {} with this rod within the sections left",
                                         percent(here), format_quantity(target_ohm, Dimension::resistance));
  const std::string two =
      second ? fmt::format("; {} with a second rod of this length now", percent(second->probability_ratio))
             : "";
  if (second && here < hopeless && second->probability_ratio < hopeless)
    return {DriveAdvice::stop_hopeless, chance + two};
  if (!second && here < hopeless) return {DriveAdvice::stop_hopeless, chance};
  if (second && second->probability_ratio > here + better_by) return {DriveAdvice::second_rod, chance + two};
  if (second && second->cost && costs && second->probability_ratio > here - alike_within &&
      !forecast.ahead.empty()) {
    double expected = 0.0;  // sections that are driven before the target is met
    double open = 1.0;
    for (const LengthForecast& at : forecast.ahead) {
      expected += open;
      open = 1.0 - at.probability_ratio;
    }
    if (*second->cost < expected * costs->section)
      return {
          DriveAdvice::second_rod,
          fmt::format("{}{}; the second rod costs {:.0f}, {:.1f} sections are expected still and cost {:.0f}",
                      chance, two, *second->cost, expected, expected * costs->section)};
  }
  if (forecast.ahead.empty()) return {DriveAdvice::at_the_end, chance + two};
  const Estimate& next = forecast.ahead.front().resistance_ohm;
  return {DriveAdvice::drive_on,
          fmt::format("the next section should read {} to {}; {}{}",
                      format_quantity(next.least, Dimension::resistance),
                      format_quantity(next.greatest, Dimension::resistance), chance, two)};
}

}  // namespace ohmroot::acceptance

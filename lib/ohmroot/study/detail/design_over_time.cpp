// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/surface_map.hpp>
#include <ohmroot/study/detail/design_over_time.hpp>
#include <ohmroot/study/detail/heating.hpp>
#include <ohmroot/study/detail/separation.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>

namespace ohmroot::study::detail {
namespace {

/// What each conductor of the design's metal is, in its order: the pieces, the steel, the tape.
std::vector<std::string> names_of(const design::Arrangement& arrangement, const design::Parts& parts,
                                  std::size_t conductor_count) {
  std::vector<std::string> names;
  if (!arrangement.places.empty()) {
    const std::size_t bars =
        electrode::conductors_of(design::piece_of(parts, arrangement.section_count)).size();
    for (const design::PlanPoint& place : arrangement.places)
      names.insert(names.end(), bars,
                   fmt::format("{} at ({:.2f}, {:.2f}) m", design::has_rods(arrangement) ? "rod" : "plate",
                               place.x_m, place.y_m));
  }
  if (arrangement.joins_steel)
    names.insert(names.end(), electrode::conductors_of(parts.steel.value().mesh).size(), parts.steel->name);
  if (arrangement.is_tape)
    for (const design::PlanLine& way : arrangement.ways)
      names.push_back(fmt::format("tape from ({:.2f}, {:.2f}) m to ({:.2f}, {:.2f}) m", way.from.x_m,
                                  way.from.y_m, way.to.x_m, way.to.y_m));
  if (names.size() != conductor_count)
    throw InternalError("over_time_of: metal without a name, or a name without metal");
  return names;
}

std::size_t layer_at(const earth::LayeredSoil& soil, double depth_m) {
  std::size_t layer = 0;
  for (double bottom_m = soil.layers()[0].thickness_m; layer + 1 < soil.layers().size() && depth_m > bottom_m;
       bottom_m += soil.layers()[layer].thickness_m)
    ++layer;
  return layer;
}

/// What of one name lies in one layer.
struct Collected {
  double length_m = 0.0;
  double share_ratio = 0.0;
  double radius_m = 0.0;
};

/// By name and layer.
std::vector<LeakingPiece> pieces_of(const electrode::FieldSolution& field, const electrode::FieldState& state,
                                    const electrode::Electrode& metal, const earth::LayeredSoil& soil,
                                    const std::vector<std::string>& names) {
  std::map<std::pair<std::string, std::size_t>, Collected> collected;
  for (const electrode::Leakage& leakage : field.leakage(state)) {
    const electrode::Conductor& bar = metal.conductors[leakage.conductor];
    const double length_m =
        std::hypot(bar.to.x_m - bar.from.x_m, bar.to.y_m - bar.from.y_m, bar.to.depth_m - bar.from.depth_m);
    const double part = std::clamp(0.5 * (leakage.from_m + leakage.to_m) / length_m, 0.0, 1.0);
    const std::size_t layer = layer_at(soil, std::lerp(bar.from.depth_m, bar.to.depth_m, part));
    Collected& piece = collected[{names[leakage.conductor], layer}];
    piece.length_m += leakage.to_m - leakage.from_m;
    piece.share_ratio += leakage.current_a / state.currents_a.front();
    piece.radius_m = bar.radius_m;
  }
  std::vector<LeakingPiece> pieces;
  for (const auto& [key, piece] : collected) {
    const auto& [name, layer] = key;
    pieces.push_back(
        {soil.layers().size() > 1 ? fmt::format("{}, its part in layer {}", name, layer + 1) : name,
         piece.radius_m, piece.share_ratio / piece.length_m, soil.layers()[layer].resistivity_ohm_m});
  }
  return pieces;
}

/// The steepest places of the map, looked at one by one for a step of a metre.
void add_step(const electrode::FieldSolution& field, const electrode::FieldState& state,
              const ShareGrid& surface, DesignOverTime& over_time) {
  constexpr std::size_t looked_at = 12;
  constexpr double step_m = 1.0;
  const auto share = [&](int row, int column) {
    return surface.share_ratio[static_cast<std::size_t>(row * surface.across_count + column)];
  };
  const double across_m = (surface.across_to_m - surface.across_from_m) / (surface.across_count - 1);
  const double along_m = (surface.along_to_m - surface.along_from_m) / (surface.along_count - 1);
  std::vector<std::tuple<double, int, int>> slopes;
  for (int row = 1; row + 1 < surface.along_count; ++row)
    for (int column = 1; column + 1 < surface.across_count; ++column)
      slopes.emplace_back(std::hypot((share(row, column + 1) - share(row, column - 1)) / (2.0 * across_m),
                                     (share(row + 1, column) - share(row - 1, column)) / (2.0 * along_m)),
                          row, column);
  const std::size_t count = std::min(looked_at, slopes.size());
  std::partial_sort(slopes.begin(), slopes.begin() + static_cast<std::ptrdiff_t>(count), slopes.end(),
                    std::greater<>());
  for (std::size_t i = 0; i < count; ++i) {
    const auto& [slope, row, column] = slopes[i];
    const electrode::SurfacePlace middle{surface.across_from_m + column * across_m,
                                         surface.along_from_m + row * along_m};
    const double step_ratio = electrode::step_voltage(field, state, middle, step_m).step_v;
    if (step_ratio <= over_time.step_share_ratio) continue;
    over_time.step_share_ratio = step_ratio;
    over_time.step_at = middle;
  }
}

void add_touch(const Site& site, const electrode::FieldSolution& field, const electrode::FieldState& state,
               DesignOverTime& over_time) {
  if (!site.separation.parking) return;
  VehicleTouch touch;
  touch.feet_reach_m = site.separation.parking->feet_reach_m;
  const electrode::TouchPlace worst =
      electrode::worst_touch(field, state, 0, outline_of(*site.separation.parking), touch.feet_reach_m);
  touch.share_ratio = worst.touch_v;
  touch.feet = worst.feet;
  over_time.touch = touch;
}

std::string voltage_words(double share_ratio, double met_v) {
  return fmt::format("{} % of the MET's voltage, {}", format_number(100 * share_ratio, 2),
                     format_quantity(share_ratio * met_v, Dimension::voltage, 2));
}

std::vector<std::string> sentences_of(const Site& site, const DesignOverTime& over_time) {
  const double met_v = over_time.heating.voltage_v;
  std::vector<std::string> sentences{over_time.heating.finding};
  std::string duties = "Greatest fault current that its most loaded metal bears:";
  for (const FaultDuty& duty : over_time.heating.duties)
    duties += fmt::format("{} {} for {}", &duty == over_time.heating.duties.data() ? "" : ",",
                          format_quantity(duty.current_a, Dimension::current, 2),
                          format_given(duty.time_s, Dimension::time));
  sentences.push_back(duties + " (1000 sqrt(57.7 / (rho t)) A/m2; BS 7430 and ENA TS 41-24, from memory).");
  if (over_time.touch)
    sentences.push_back(fmt::format("Touch voltage at a vehicle joined to the MET, no other metal nearby: "
                                    "{}, feet at ({:.2f}, {:.2f}) m.",
                                    voltage_words(over_time.touch->share_ratio, met_v),
                                    over_time.touch->feet.x_m, over_time.touch->feet.y_m));
  else if (!site.separation.parking)
    sentences.push_back("Touch voltage at a vehicle: not told, no [parking] is stated; on ground that takes "
                        "nothing of the MET's voltage it is all of it.");
  if (over_time.step_share_ratio > 0.0)
    sentences.push_back(fmt::format("Step voltage over a metre: up to {}, at ({:.2f}, {:.2f}) m.",
                                    voltage_words(over_time.step_share_ratio, met_v), over_time.step_at.x_m,
                                    over_time.step_at.y_m));
  return sentences;
}

}  // namespace

std::optional<DesignOverTime> over_time_of(const Site& site, const DesignResult& result,
                                           const earth::LayeredSoil& soil) {
  if (!result.search.best || result.met_v.empty()) return std::nullopt;
  const design::Arrangement& arrangement = result.search.best->arrangement;
  const design::Parts& parts = result.question.parts;
  const electrode::Electrode metal = design::metal_of(arrangement, parts);
  const electrode::FieldSolution field =
      electrode::solve_field(soil, {metal}, {.place_tolerance_ratio = 1e-3});
  const std::array<electrode::Duty, 1> one_volt{{{electrode::DutyKind::potential, 1.0}}};
  const electrode::FieldState state = field.state(one_volt);
  DesignOverTime over_time;
  over_time.heating = heating_of(
      {quantile(result.met_v, 0.5),
       "MET in the middle of its distribution in the worst season, the load as there",
       field.resistance_ohm(0, 0), soil.least_resistivity_ohm_m(),
       pieces_of(field, state, metal, soil, names_of(arrangement, parts, metal.conductors.size()))},
      site.warmth);
  if (!design::has_rods(arrangement) && !arrangement.places.empty())
    over_time.heating.notes.push_back(
        "Plates are taken as the bars that stand for them: these run warmer than the plates do.");
  add_touch(site, field, state, over_time);
  if (result.surface) add_step(field, state, *result.surface, over_time);
  over_time.sentences = sentences_of(site, over_time);
  return over_time;
}

}  // namespace ohmroot::study::detail

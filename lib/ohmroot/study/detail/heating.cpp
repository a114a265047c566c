// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/conductors.hpp>
#include <ohmroot/electrode/heating.hpp>
#include <ohmroot/study/detail/heating.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>

namespace ohmroot::study::detail {
namespace {

constexpr double boiling_degc = 100.0;
constexpr double day_s = 86400.0;

std::string time_words(double time_s) {
  struct Unit {
    double least_s;
    double unit_s;
    const char* name;
  };
  constexpr std::array<Unit, 4> units{{{730.0 * day_s, 365.25 * day_s, "years"},
                                       {2.0 * day_s, day_s, "days"},
                                       {7200.0, 3600.0, "hours"},
                                       {120.0, 60.0, "minutes"}}};
  for (const Unit& unit : units)
    if (time_s >= unit.least_s)
      return fmt::format("{} {}", format_number(time_s / unit.unit_s, 2), unit.name);
  return fmt::format("{} seconds", format_number(time_s, 2));
}

/// Numbers of the layers are those of the middle soil, from the top.
struct Span {
  std::size_t layer;
  double from_m, to_m;
  double share_ratio;  ///< of the electrode's current
};

std::size_t layer_at(const std::vector<double>& interface_depth_m, double depth_m) {
  return static_cast<std::size_t>(
      std::upper_bound(interface_depth_m.begin(), interface_depth_m.end(), depth_m) -
      interface_depth_m.begin());
}

/// The elements of a path, together as far as they lie in one layer.
std::vector<Span> spans_of(const LeakagePath& path, const LeakageCurve& curve, double lying_depth_m) {
  std::vector<Span> spans;
  for (std::size_t i = 0; i < path.from_m.size(); ++i) {
    const double middle_m = 0.5 * (path.from_m[i] + path.to_m[i]);
    const std::size_t layer = layer_at(curve.interface_depth_m, curve.is_depth ? middle_m : lying_depth_m);
    const double share_ratio = path.share_per_m[i] * (path.to_m[i] - path.from_m[i]);
    const auto found =
        std::find_if(spans.begin(), spans.end(), [&](const Span& s) { return s.layer == layer; });
    if (found == spans.end()) {
      spans.push_back({layer, path.from_m[i], path.to_m[i], share_ratio});
      continue;
    }
    found->from_m = std::min(found->from_m, path.from_m[i]);
    found->to_m = std::max(found->to_m, path.to_m[i]);
    found->share_ratio += share_ratio;
  }
  return spans;
}

std::string name_of(const LeakagePath& path, const Span& span, bool is_depth) {
  if (!is_depth) return path.name;
  return fmt::format("{}, {} to {} deep", path.name,
                     format_quantity(std::max(0.0, span.from_m), Dimension::length, 2),
                     format_quantity(span.to_m, Dimension::length, 2));
}

std::vector<double> times_s() {
  std::vector<double> times;
  constexpr int per_decade = 8;
  for (int i = 0; i <= 7 * per_decade; ++i)  // 100 s to 32 years
    times.push_back(std::pow(10.0, 2.0 + static_cast<double>(i) / per_decade));
  return times;
}

void set_voltage(const StudyResult& result, HeldMetal& held) {
  const auto& state = result.candidates[*result.governing_candidate].state_at_value;
  if (state && state->status == supply::OpenPenStatus::solved && std::abs(state->met_v) > 0.0) {
    held.voltage_v = std::abs(state->met_v);
    held.voltage_basis =
        "MET at the load that governs, the electrode at its middle value in the worst season";
  } else {
    held.voltage_v = result.site.limit_v;
    held.voltage_basis = "the limit of the MET voltage, since the circuit gives none";
  }
}

void add_duties(const LeakingPiece& densest, HeatingResult& heating) {
  const double area_per_share_m2 = 2.0 * std::numbers::pi * densest.radius_m / densest.share_per_m;
  for (const double time_s : {0.2, 1.0, 3.0, 5.0}) {
    const electrode::ShortTime duty{densest.resistivity_ohm_m, time_s};
    heating.duties.push_back({time_s, electrode::current_density_a_per_m2(duty) * area_per_share_m2,
                              electrode::current_density_is_3043_a_per_m2(duty) * area_per_share_m2,
                              electrode::current_density_ieee_142_a_per_m2(duty) * area_per_share_m2});
  }
}

std::string finding_of(const SoilWarmth& warmth, const HeatingResult& heating) {
  const HeatedPart& most = heating.parts.front();
  std::string words = fmt::format("Held at {} for ever the metal gets at most {} K warmer",
                                  format_quantity(heating.voltage_v, Dimension::voltage),
                                  format_number(heating.steady_rise_k));
  words += most.dries_after_s
               ? fmt::format("; the soil at {} reaches {} after about {} and begins to dry", most.name,
                             format_given(warmth.drying_degc, Dimension::temperature),
                             time_words(*most.dries_after_s))
               : fmt::format("; the soil at it stays below {}",
                             format_given(warmth.drying_degc, Dimension::temperature));
  if (most.boils_after_s) words += fmt::format(", and boils after about {}", time_words(*most.boils_after_s));
  return words + ".";
}

}  // namespace

HeatingResult heating_of(const HeldMetal& held, const SoilWarmth& warmth) {
  const electrode::SoilHeat heat{warmth.thermal_conductivity_w_per_m_k, warmth.heat_capacity_j_per_m3_k};
  HeatingResult heating;
  heating.voltage_v = held.voltage_v;
  heating.voltage_basis = held.voltage_basis;
  heating.current_a = held.voltage_v / held.resistance_ohm;
  heating.least_resistivity_ohm_m = held.least_resistivity_ohm_m;
  heating.steady_rise_k = electrode::steady_rise_k(
      heating.voltage_v, {heating.least_resistivity_ohm_m, warmth.thermal_conductivity_w_per_m_k});
  heating.time_s = times_s();

  const LeakingPiece* densest = nullptr;
  // Heat per volume goes with rho J^2: that decides which metal bears least.
  const auto load_of = [](const LeakingPiece& piece) {
    return piece.share_per_m / piece.radius_m * std::sqrt(piece.resistivity_ohm_m);
  };
  for (const LeakingPiece& piece : held.pieces) {
    const electrode::LeakingBar bar{piece.radius_m, piece.share_per_m * heating.current_a,
                                    piece.resistivity_ohm_m};
    HeatedPart part;
    part.name = piece.name;
    part.current_a_per_m = bar.current_a_per_m;
    part.resistivity_ohm_m = piece.resistivity_ohm_m;
    for (const double time_s : heating.time_s)
      part.rise_k.push_back(std::min(heating.steady_rise_k, electrode::radial_rise_k(bar, heat, time_s)));
    part.dries_after_s = electrode::time_to_rise_s(
        bar, heat, {warmth.drying_degc - warmth.ground_degc, heating.steady_rise_k});
    part.boils_after_s =
        electrode::time_to_rise_s(bar, heat, {boiling_degc - warmth.ground_degc, heating.steady_rise_k});
    heating.parts.push_back(std::move(part));
    if (densest == nullptr || load_of(piece) > load_of(*densest)) densest = &piece;
  }
  const auto warmth_of = [](const HeatedPart& part) {
    return part.resistivity_ohm_m * part.current_a_per_m * part.current_a_per_m;
  };
  std::stable_sort(heating.parts.begin(), heating.parts.end(),
                   [&](const HeatedPart& a, const HeatedPart& b) { return warmth_of(a) > warmth_of(b); });
  if (densest != nullptr) {
    heating.radius_m = densest->radius_m;
    add_duties(*densest, heating);
  }
  heating.finding = finding_of(warmth, heating);
  if (heating.parts.front().dries_after_s)
    heating.standing_condition = fmt::format(
        "A PEN that stays broken for {} or more with the governing load on all the time: the soil at the "
        "metal begins to dry and the resistance rises (warmth of the soil {}).",
        time_words(*heating.parts.front().dries_after_s), warmth.is_stated ? "as stated" : "by judgement");
  heating.notes = {
      fmt::format("Soil: {}, {}, ground at {}{}.",
                  format_given(warmth.thermal_conductivity_w_per_m_k, Dimension::thermal_conductivity),
                  format_given(warmth.heat_capacity_j_per_m3_k, Dimension::heat_capacity),
                  format_given(warmth.ground_degc, Dimension::temperature),
                  warmth.is_stated ? ", as stated"
                                   : "; not all of it stated for this site: defaults are judgement"),
      fmt::format("Bound: U^2 / (2 rho lambda) with the least resistivity of the layers, {}; exact where rho "
                  "lambda is "
                  "the same everywhere, else it bounds the mean over the heated soil.",
                  format_quantity(heating.least_resistivity_ohm_m, Dimension::resistivity)),
      "Curves: heat flows along the radius only, each piece of metal with the mean of its own share of the "
      "current by "
      "the field solution; the lesser of that and the bound. Ends and bends run warmer for a while than the "
      "mean.",
      "Not included: the change of resistivity with temperature. Wet soil conducts better as it warms (about "
      "2 % per "
      "K, from memory), which lowers the MET voltage; once it dries it conducts far worse, and the limit is "
      "lost. "
      "The time until it dries is therefore the time for which the electrode can be relied on.",
      "Short times: 1000 sqrt(57.7 / (rho t)) A/m2 of metal (BS 7430 and ENA TS 41-24, from memory) is used. "
      "IS 3043 "
      "is 0.3 % lower; 34800 d L / sqrt(rho t), ascribed to IEEE Std 142 (common practice, no source), is 46 "
      "% higher "
      "and is not used."};
  return heating;
}

HeatingResult heating_of(const StudyResult& result, const electrode::Shape& shape) {
  const LeakageCurve& curve = *result.leakage_curve;
  const FieldResult& field = *result.candidates[*result.governing_candidate].field;
  const electrode::Conductor first = electrode::conductors_of(shape).front();
  HeldMetal held{0.0, {}, field.middle_ohm, field.middle_soil.least_resistivity_ohm_m(), {}};
  set_voltage(result, held);
  for (const LeakagePath& path : curve.paths)
    for (const Span& span : spans_of(path, curve, first.from.depth_m))
      held.pieces.push_back({name_of(path, span, curve.is_depth), first.radius_m,
                             span.share_ratio / (span.to_m - span.from_m),
                             field.middle_soil.layers()[span.layer].resistivity_ohm_m});
  return heating_of(held, result.site.warmth);
}

}  // namespace ohmroot::study::detail

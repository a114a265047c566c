// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/study/detail/separation.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::study::detail {
namespace {

using electrode::SurfacePlace;
using routes::MetalKind;

constexpr double half_turn_deg = 180.0;
constexpr std::size_t greatest_soil_count = 25;
constexpr int curve_count = 41;
constexpr double curve_from_m = 0.3;
constexpr double curve_to_m = 50.0;
constexpr electrode::Rod table_rod{2.4, 0.016};

struct Stretch {
  SurfacePlace from;
  SurfacePlace to;
  [[nodiscard]] double length_m() const { return std::hypot(to.x_m - from.x_m, to.y_m - from.y_m); }
  [[nodiscard]] double direction_deg() const {
    return length_m() == 0.0
               ? 0.0
               : std::atan2(to.y_m - from.y_m, to.x_m - from.x_m) * half_turn_deg / std::numbers::pi;
  }
  [[nodiscard]] SurfacePlace middle() const { return {0.5 * (from.x_m + to.x_m), 0.5 * (from.y_m + to.y_m)}; }
};

/// Soils to solve in: the middle one first. Without any the soil is taken as uniform, where its resistivity does not
/// matter.
struct Soils {
  std::vector<earth::LayeredSoil> soils;
  bool are_draws = false;
  std::string basis;
};

Soils soils_of(const StudyResult& result) {
  const AllowedSoils& allowed = result.soil.allowed;
  if (allowed.soils.empty())
    return {{earth::LayeredSoil(100.0)},
            false,
            "the layers of the soil are not known: taken as uniform, where the share does not depend on its "
            "resistivity"};
  Soils chosen{{}, allowed.are_draws, allowed.basis};
  if (result.governing_candidate && result.candidates[*result.governing_candidate].field)
    chosen.soils.push_back(result.candidates[*result.governing_candidate].field->middle_soil);
  const std::size_t step = (allowed.soils.size() + greatest_soil_count - 1) / greatest_soil_count;
  for (std::size_t i = 0; i < allowed.soils.size(); i += step)
    chosen.soils.push_back(allowed.soils[i]);
  return chosen;
}

struct MetalVoltage {
  double value_v;
  std::string basis;
};
MetalVoltage metal_voltage(const StudyResult& result) {
  const auto& state = result.state_without_electrode;
  if (state && state->status == supply::OpenPenStatus::solved && std::abs(state->met_v) > 0.0)
    return {std::abs(state->met_v),
            "the MET with the PEN broken and no electrode, " + result.state_description};
  return {result.site.supply.highest_v,
          "no steady state is known: the highest voltage of the supply is taken"};
}

std::optional<routes::TtElectrode> electrode_of(const Site& site) {
  if (!site.separation.tt_electrode) return std::nullopt;
  const TtPlace& place = *site.separation.tt_electrode;
  const auto found =
      std::find_if(site.candidates.begin(), site.candidates.end(), [&](const Candidate& candidate) {
        return place.candidate.empty() || candidate.name == place.candidate;
      });
  if (found == site.candidates.end())
    throw DomainError("site.separation.tt_electrode.candidate", place.candidate, "the name of a candidate");
  const Stretch aim{place.at, place.direction_to.value_or(place.at)};
  return routes::TtElectrode{found->shape, {place.at, aim.direction_deg()}};
}

/// Middle of the first soil, ends over all of them: 5 and 95 % of draws, else the least and the greatest.
Estimate over_soils(const Estimate& first, std::vector<double> shares, const Soils& soils) {
  std::sort(shares.begin(), shares.end());
  const double low = soils.are_draws ? quantile(shares, 0.05) : shares.front();
  const double high = soils.are_draws ? quantile(shares, 0.95) : shares.back();
  const std::string ends = soils.are_draws ? "5 and 95 %" : "least and greatest";
  return {
      first.value, std::min(low, first.least), std::max(high, first.greatest),
      shares.size() == 1
          ? fmt::format("{}; {}", first.basis, soils.basis)
          : fmt::format(
                "field solution of all the metal in the middle soil; ends: {} over {} soils ({}), and the "
                "computation's own interval",
                ends, shares.size(), soils.basis)};
}

routes::SeparationCase case_of(const StudyResult& result, const earth::LayeredSoil& soil, double metal_v) {
  routes::SeparationCase given{soil, {}, metal_v, electrode_of(result.site), std::nullopt};
  for (const StatedMetal& metal : result.site.separation.pme_metal)
    given.metal.push_back(metal_of(metal));
  if (const auto& parking = result.site.separation.parking)
    given.parking = routes::Parking{outline_of(*parking), parking->feet_reach_m};
  return given;
}

void add_transfer(const StudyResult& result, const Soils& soils, SeparationResult& found) {
  std::vector<double> electrode_shares;
  std::vector<double> feet_shares;
  for (std::size_t i = 0; i < soils.soils.size(); ++i) {
    routes::Transfer transfer = routes::transfer(case_of(result, soils.soils[i], found.metal_v));
    if (transfer.electrode_share_ratio) electrode_shares.push_back(transfer.electrode_share_ratio->value);
    if (transfer.most_at_feet) feet_shares.push_back(transfer.most_at_feet->share_ratio.value);
    if (i == 0) found.transfer = std::move(transfer);
  }
  if (found.transfer->electrode_share_ratio)
    found.electrode_share_ratio = over_soils(*found.transfer->electrode_share_ratio, electrode_shares, soils);
  if (found.transfer->most_at_feet)
    found.feet_share_ratio = over_soils(found.transfer->most_at_feet->share_ratio, feet_shares, soils);
}

/// From the metal towards what is to be kept apart from it.
void add_curve(const StudyResult& result, const earth::LayeredSoil& soil, SeparationResult& found) {
  const SeparationFacts& facts = result.site.separation;
  routes::ShareLine line{soil, case_of(result, soil, found.metal_v).metal, {}, routes::SoilSurface{}};
  if (facts.tt_electrode)
    line.line = routes::towards(line.metal, facts.tt_electrode->at);
  else
    line.line = routes::towards(line.metal, outline_of(*facts.parking).centre);
  SeparationCurve curve;
  for (int i = 0; i < curve_count; ++i)
    curve.distance_m.push_back(curve_from_m * std::pow(curve_to_m / curve_from_m, i / (curve_count - 1.0)));
  curve.share_ratio = routes::share_curve(line, curve.distance_m).share_ratio;
  std::vector<double> practice_m;
  for (const routes::PracticeSeparation& figure : routes::practice_separations())
    practice_m.push_back(figure.distance_m);
  curve.practice_m = practice_m;
  curve.practice_share_ratio = routes::share_curve(line, practice_m).share_ratio;
  for (const double distance_m : curve.distance_m)
    curve.rod_table_share_ratio.push_back(routes::thin_rod_share_ratio(table_rod, distance_m));
  curve.level_ratio = result.site.tt_limit_v / found.metal_v;
  if (curve.level_ratio < 1.0) curve.at_level = routes::distance_for_share(line, {curve.level_ratio});
  line.soil = earth::LayeredSoil(100.0);  // of uniform soil any
  curve.uniform_share_ratio = routes::share_curve(line, curve.distance_m).share_ratio;
  curve.is_layered = !soil.is_uniform();
  found.curve = std::move(curve);
}

}  // namespace

routes::PmeMetal metal_of(const StatedMetal& stated) {
  const Stretch stretch{stated.places.at(0), stated.places.back()};
  switch (stated.kind) {
  case MetalKind::rod:
    return routes::rod_metal(stated.name, {stated.length_m, stated.diameter_m}, stretch.from);
  case MetalKind::tape:
    return routes::tape_metal(stated.name, {stretch.length_m(), stated.width_m, stated.depth_m},
                              {stretch.from, stretch.direction_deg()});
  case MetalKind::plate:
    return routes::plate_metal(
        stated.name,
        {stretch.length_m(), stated.width_m, stated.depth_m,
         stated.is_upright ? electrode::PlateAttitude::vertical : electrode::PlateAttitude::horizontal},
        {stretch.middle(), stretch.direction_deg()});
  case MetalKind::line:
    return routes::line_metal(stated.name, stated.places, {stated.diameter_m, stated.depth_m});
  }
  throw InternalError("metal_of: a kind without its metal");
}

electrode::Outline outline_of(const StatedParking& parking) {
  const Stretch stretch{parking.from, parking.to};
  return {stretch.middle(), stretch.length_m(), parking.width_m, stretch.direction_deg()};
}

routes::Transfer probe_transfer(const StudyResult& result, const StatedProbe& probe) {
  routes::SeparationCase given =
      case_of(result, soils_of(result).soils.front(), metal_voltage(result).value_v);
  given.electrode = routes::TtElectrode{probe.rod, {probe.at, 0.0}};
  given.parking.reset();
  return routes::transfer(given);
}

std::optional<SeparationResult> separation_of(const StudyResult& result) {
  const SeparationFacts& facts = result.site.separation;
  if (facts.pme_metal.empty() && facts.metal_above.empty()) return std::nullopt;
  SeparationResult found;
  if (facts.parking)
    found.reach = routes::check_arms_reach(outline_of(*facts.parking), facts.metal_above,
                                           {facts.parking->arms_reach_m});
  if (facts.pme_metal.empty()) return found;
  const MetalVoltage voltage = metal_voltage(result);
  found.metal_v = voltage.value_v;
  found.metal_v_basis = voltage.basis;
  const Soils soils = soils_of(result);
  try {
    add_transfer(result, soils, found);
    if (facts.tt_electrode || facts.parking) add_curve(result, soils.soils.front(), found);
  } catch (const DomainError& problem) {
    found.refusal = problem.what();
  }
  return found;
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>
#include <ohmroot/study/detail/governing_shape.hpp>
#include <ohmroot/study/detail/neighbourhood.hpp>
#include <ohmroot/study/detail/separation.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace ohmroot::study::detail {
namespace {

using electrode::Connection;
using electrode::SurfacePlace;

constexpr double half_turn_deg = 180.0;

/// The governing candidate as metal in the site's plan, and the soil it is solved in.
struct Placed {
  electrode::Electrode metal;
  SurfacePlace at;
  const earth::LayeredSoil& soil;
};

std::optional<Placed> placed_candidate(const StudyResult& result) {
  const Candidate* candidate = governing_shape(result);
  if (candidate == nullptr) return std::nullopt;
  const CandidateResult& solved = result.candidates[*result.governing_candidate];
  if (!solved.field) return std::nullopt;
  const SurfacePlace at = candidate->at.value_or(SurfacePlace{0.0, 0.0});
  const SurfacePlace to = candidate->direction_to.value_or(SurfacePlace{at.x_m + 1.0, at.y_m});
  const double direction_deg =
      std::atan2(to.y_m - at.y_m, to.x_m - at.x_m) * half_turn_deg / std::numbers::pi;
  return Placed{
      {candidate->name, routes::placed(electrode::conductors_of(candidate->shape), {at, direction_deg})},
      at,
      solved.field->middle_soil};
}

std::vector<electrode::NearbyMetal> neighbours_of(const Site& site) {
  std::vector<electrode::NearbyMetal> all;
  for (const StatedNeighbour& neighbour : site.separation.nearby_metal) {
    const routes::PmeMetal metal = metal_of(neighbour.metal);
    all.push_back({{metal.name, metal.conductors}, neighbour.connection});
  }
  return all;
}

/// Ten times the electrode's extent or 20 m, unless the leads are shorter.
double stake_distance_m(const Site& site, const Placed& candidate) {
  constexpr double extents = 10.0;
  constexpr double least_m = 20.0;
  double extent_m = 0.0;
  for (const electrode::Conductor& bar : candidate.metal.conductors)
    for (const electrode::Place& end : {bar.from, bar.to})
      extent_m = std::max(
          {extent_m, std::hypot(end.x_m - candidate.at.x_m, end.y_m - candidate.at.y_m), end.depth_m});
  const double wanted_m = std::max(least_m, extents * extent_m);
  return site.design && site.design->lead_run_m ? std::min(wanted_m, *site.design->lead_run_m) : wanted_m;
}

/// Four directions are tried; one whose stake would stand on metal is no test.
void add_test(const Placed& candidate, const std::vector<electrode::NearbyMetal>& nearby,
              NearbyFinding& found) {
  constexpr std::array directions_deg{0.0, 90.0, 180.0, 270.0};
  for (const double direction_deg : directions_deg) {
    try {
      const electrode::FallOfPotential test(candidate.soil, candidate.metal, nearby,
                                            {candidate.at, direction_deg, found.stake_distance_m});
      const double reading_ohm =
          test.reading_ohm(electrode::small_electrode_position_ratio() * found.stake_distance_m);
      const double error_ratio = reading_ohm / test.resistance_ohm() - 1.0;
      const double against_alone_ratio = reading_ohm / found.alone_ohm.value - 1.0;
      if (std::abs(error_ratio) > std::abs(found.test_error_ratio)) found.test_error_ratio = error_ratio;
      if (std::abs(against_alone_ratio) > std::abs(found.test_against_alone_ratio))
        found.test_against_alone_ratio = against_alone_ratio;
    } catch (const DomainError&) {
      continue;
    }
  }
}

std::string test_words(const NearbyFinding& found, bool is_anything_joined) {
  std::string text = fmt::format(
      ". A fall-of-potential test with everything left as it is, current stake at {} and potential stake at "
      "61.8 %, is "
      "off by up to {} against the electrode alone, and by up to {} against what stands there together",
      format_quantity(found.stake_distance_m, Dimension::length),
      format_signed_percent(found.test_against_alone_ratio), format_signed_percent(found.test_error_ratio));
  if (is_anything_joined)
    text += ". What is joined has to be parted to test the electrode itself, and the verdict counts the "
            "electrode alone";
  return text;
}

}  // namespace

std::optional<NearbyFinding> nearby_of(const StudyResult& result) {
  if (result.site.separation.nearby_metal.empty()) return std::nullopt;
  const auto candidate = placed_candidate(result);
  if (!candidate) return std::nullopt;
  NearbyFinding found;
  try {
    const std::vector<electrode::NearbyMetal> nearby = neighbours_of(result.site);
    const electrode::NearbyResult solved =
        electrode::among_nearby_metal(candidate->soil, candidate->metal, nearby);
    found.alone_ohm = solved.alone_ohm;
    found.together_ohm = solved.together_ohm;
    found.electrode_current_share_ratio = solved.electrode_current_share_ratio;
    found.effects = solved.effects;
    found.stake_distance_m = stake_distance_m(result.site, *candidate);
    add_test(*candidate, nearby, found);
    const bool is_anything_joined =
        std::any_of(nearby.begin(), nearby.end(), [](const electrode::NearbyMetal& metal) {
          return metal.connection == Connection::joined;
        });
    found.finding = fmt::format("'{}': {}{}", candidate->metal.name, solved.finding,
                                test_words(found, is_anything_joined));
  } catch (const DomainError& problem) {
    found.refusal = problem.what();
  }
  return found;
}

std::optional<VehicleTouch> vehicle_touch_of(const StudyResult& result) {
  if (!result.site.separation.parking) return std::nullopt;
  const auto candidate = placed_candidate(result);
  if (!candidate) return std::nullopt;
  VehicleTouch touch;
  touch.feet_reach_m = result.site.separation.parking->feet_reach_m;
  if (!governing_shape(result)->at) {
    touch.refusal = "the governing candidate has no places in the plan of the parking rectangle";
    return touch;
  }
  try {
    std::vector<electrode::Electrode> all{candidate->metal};
    std::vector<electrode::Duty> duties{{electrode::DutyKind::potential, 1.0}};
    for (electrode::NearbyMetal& metal : neighbours_of(result.site)) {
      if (metal.connection == Connection::joined) continue;
      all.push_back(std::move(metal.metal));
      duties.push_back(metal.connection == Connection::earthed
                           ? electrode::Duty{electrode::DutyKind::potential, 0.0}
                           : electrode::Duty{electrode::DutyKind::floating, 0.0});
    }
    const electrode::FieldSolution field =
        electrode::solve_field(candidate->soil, all, {.place_tolerance_ratio = 1e-3});
    const electrode::TouchPlace worst = electrode::worst_touch(
        field, field.state(duties), 0, outline_of(*result.site.separation.parking), touch.feet_reach_m);
    touch.share_ratio = worst.touch_v;
    touch.feet = worst.feet;
  } catch (const DomainError& problem) {
    touch.refusal = problem.what();
  }
  return touch;
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>
#include <ohmroot/study/detail/testability.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <vector>

namespace ohmroot::study::detail {
namespace {

// Of the reading: no more than a tester's own (judgement).
constexpr double greatest_error_ratio = 0.02;
constexpr std::size_t draw_count = 5;

std::string metres(double value_m) {
  return format_quantity(value_m, Dimension::length);
}

/// Middle of the metal in plan: the leads are run from there.
electrode::SurfacePlace middle_of(const electrode::Electrode& metal) {
  electrode::SurfacePlace least{metal.conductors.front().from.x_m, metal.conductors.front().from.y_m};
  electrode::SurfacePlace greatest = least;
  for (const electrode::Conductor& bar : metal.conductors) {
    for (const electrode::Place& end : {bar.from, bar.to}) {
      least = {std::min(least.x_m, end.x_m), std::min(least.y_m, end.y_m)};
      greatest = {std::max(greatest.x_m, end.x_m), std::max(greatest.y_m, end.y_m)};
    }
  }
  return {(least.x_m + greatest.x_m) / 2, (least.y_m + greatest.y_m) / 2};
}

}  // namespace

Testability testability_of(const design::Arrangement& arrangement, const design::Question& question,
                           std::optional<double> lead_run_m) {
  const electrode::Electrode metal = design::metal_of(arrangement, question.parts);
  const electrode::SurfacePlace middle = middle_of(metal);
  Testability result;
  result.lead_run_m = lead_run_m;
  try {
    const design::GroundDraws draws = design::thinned(question.draws, draw_count);
    constexpr std::array directions_deg{0.0, 90.0};
    std::vector<double> needed_m(draws.size() * directions_deg.size());
    for_each_index(needed_m.size(), [&](std::size_t i) {
      const double direction_deg = directions_deg[i % directions_deg.size()];
      needed_m[i] =
          electrode::needed_current_distance(draws[i / directions_deg.size()].soil, metal, {},
                                             {middle, direction_deg, 1.0, 0.0}, greatest_error_ratio)
              .distance_m;
    });
    result.needed_m = *std::max_element(needed_m.begin(), needed_m.end());
  } catch (const DomainError& refusal) {
    result.needed_m.reset();
    result.sentence = fmt::format(
        "No test method is shown: the fall-of-potential curve cannot be solved ({})", refusal.what());
    return result;
  }
  result.can_be_tested = lead_run_m && *lead_run_m >= *result.needed_m;
  const std::string method = fmt::format(
      "fall-of-potential test, electrode disconnected from the installation by whoever may do so: current "
      "stake "
      "at least {} from the middle of the electrode, potential stake at 61.8 % of that in the same line "
      "(within {} % in both directions over {} draws of the ground, by the field solution; no other metal "
      "nearby)",
      metres(*result.needed_m), format_number(100 * greatest_error_ratio), draw_count);
  const std::string before = arrangement.joins_steel ? ". Before it the continuity of the steel is proved, "
                                                       "from the joint to its far ends and across every bar "
                                                       "and joint relied on"
                                                     : "";
  if (!lead_run_m)
    result.sentence = fmt::format("Test: {}. Whether the leads can be run so far is not stated (lead_run){}",
                                  method, before);
  else if (result.can_be_tested)
    result.sentence = fmt::format("Test: {}; {} can be had{}", method, metres(*lead_run_m), before);
  else
    result.sentence = fmt::format("It cannot be tested: the {}, but only {} can be had (lead_run)", method,
                                  metres(*lead_run_m));
  return result;
}

design::TestCost test_cost_of(const design::Question& question, std::optional<double> lead_run_m) {
  if (!lead_run_m) return {};
  return [&question, lead_run_m](const design::Arrangement& arrangement) -> std::optional<double> {
    const Testability test = testability_of(arrangement, question, lead_run_m);
    if (!test.can_be_tested) return std::nullopt;
    return question.prices.test_lead_per_m * *test.needed_m;
  };
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/question.hpp>

#include <algorithm>

namespace ohmroot::design {
namespace {

void require_valid(const GroundDraw& draw, const Parts& parts) {
  constexpr double greatest_lost_part = 0.5;  // thinner metal is not relied on
  require_positive("draws.worst_season_ratio", draw.worst_season_ratio, "");
  if (!(draw.refusal_depth_m > (parts.may_lay_tape ? parts.trench_depth_m : 3 * parts.rod_diameter_m)))
    throw DomainError("draws.refusal_depth_m", draw.refusal_depth_m, "m",
                      "deeper than the trench, or than three rod diameters where there is no tape");
  const double thinnest_m =
      parts.may_lay_tape ? std::min(parts.rod_diameter_m, parts.tape_width_m) : parts.rod_diameter_m;
  require_within("draws.diameter_loss_m", draw.diameter_loss_m, "m", {0, greatest_lost_part * thinnest_m});
  require_within("draws.frost_depth_m", draw.frost_depth_m, "m", {0, 10});
  require_within("draws.frozen_ratio", draw.frozen_ratio, "", {1, 1000});
}

}  // namespace

void require_valid(const Question& question, const std::vector<PlanPoint>& places) {
  design::require_valid(question.parts);
  design::require_valid(question.prices);
  require_positive("goal.required_ohm", question.goal.required_ohm, "ohm");
  require_within("goal.confidence_ratio", question.goal.confidence_ratio, "", {0.5, 0.999});
  require_not_negative("goal.conductor_ohm", question.goal.conductor_ohm, "ohm");
  if (question.draws.size() < 10)
    throw DomainError("draws", static_cast<double>(question.draws.size()), "",
                      "at least 10 draws of the ground");
  for (const GroundDraw& draw : question.draws)
    require_valid(draw, question.parts);
  if (question.plan.grid_step_m < 3 * question.parts.rod_diameter_m)
    throw DomainError("plan.grid_step_m", question.plan.grid_step_m, "m", "at least three rod diameters");
  if (question.parts.plates) {
    const double bottom_m = question.parts.plates->depth_m + question.parts.plates->side_m / 2;
    if (bottom_m > question.plan.depth_m)
      throw DomainError("parts.plates", bottom_m, "m", "a lower edge within the depth that can be reached");
  }
  const bool is_tape_possible = question.parts.may_lay_tape && places.size() >= 2;
  if (pieces(question.parts).empty() && !is_tape_possible && !question.parts.steel)
    throw DomainError("parts", "neither a rod section nor tape, plate or steel",
                      "a rod section within the depth, tape, plates or existing steel");
}

}  // namespace ohmroot::design

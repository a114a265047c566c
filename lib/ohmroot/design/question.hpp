// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/parts.hpp>
#include <ohmroot/design/site_plan.hpp>
#include <ohmroot/design/soils.hpp>

#include <vector>

namespace ohmroot::design {

/// What the electrode must do: in the worst season, earthing conductor included, at most that resistance with
/// that probability over the draws of the ground.
struct Goal {
  double required_ohm;
  double confidence_ratio = 0.95;
  double conductor_ohm = 0.0;
};

struct Question {
  SitePlan plan;
  Parts parts;
  Prices prices;
  GroundDraws draws;  ///< in no order that matters; the check uses all of them
  Goal goal;
};

/// Throws DomainError for parts, prices or goal that are not valid, fewer than 10 draws or one that cannot be, a grid step
/// under three rod diameters, and if on these places of the plan neither rod nor tape, plate or steel is possible.
void require_valid(const Question& question, const std::vector<PlanPoint>& places);

}  // namespace ohmroot::design

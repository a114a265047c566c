// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/detail/design_section.hpp>
#include <ohmroot/study/detail/ground_events.hpp>
#include <ohmroot/study/detail/site_keys.hpp>

#include <fmt/format.h>

namespace ohmroot::study::detail {
namespace {

design::KeepOut read_keep_out(const text::Section& section) {
  design::KeepOut keep_out{
      section.text("name").value_or(""), {}, section.quantity("clearance").value_or(0.0)};
  const auto corners = section.points("corners");
  if (!corners) return keep_out;
  for (const text::Point& corner : *corners)
    keep_out.corners.push_back({corner.x_m, corner.y_m});
  if (const std::string problem = design::polygon_problem(keep_out.corners); !problem.empty())
    section.error("corners", "bad-polygon", problem, "give the corners in order round the keep-out");
  return keep_out;
}

/// Whether anything can stand on the land; asked only of a file that is sound so far.
void check_places(const text::Section& section, const Land& land, const DesignBrief& brief) {
  if (section.diagnostics().has_errors()) return;
  try {
    (void)design::free_places({land.corners, brief.keep_outs, land.drivable_depth_m, brief.grid_step_m,
                               brief.boundary_clearance_m, brief.met});
  } catch (const DomainError& refused) {
    section.error("grid", "no-place", refused.what());
  }
}

}  // namespace

DesignBrief read_design(const text::Section& section, const std::optional<Land>& land) {
  DesignBrief brief;
  for (const text::Section& keep_out : section.tables("keep_out", keep_out_keys))
    brief.keep_outs.push_back(read_keep_out(keep_out));
  brief.grid_step_m = section.quantity("grid").value_or(brief.grid_step_m);
  brief.boundary_clearance_m = section.quantity("clearance").value_or(brief.boundary_clearance_m);
  brief.confidence_ratio = section.quantity("confidence").value_or(brief.confidence_ratio);
  brief.lead_run_m = section.quantity("lead_run");
  if (const auto met = section.points("met")) {
    if (met->size() == 1)
      brief.met = design::PlanPoint{met->front().x_m, met->front().y_m};
    else
      section.error("met", "out-of-range", fmt::format("must be one pair, holds {}", met->size()));
  }
  if (const auto parts = section.table("parts", design::part_keys())) {
    brief.parts = design::read_parts(*parts);
    if (land && brief.parts.greatest_drive_m > land->drivable_depth_m)
      parts->error("rod_depth", "conflict",
                   fmt::format("{} m is more than the depth of [land], {} m", brief.parts.greatest_drive_m,
                               land->drivable_depth_m),
                   "the floor is over the depth of [land]: give there the greatest depth of any metal");
    if (land && brief.parts.plates &&
        brief.parts.plates->depth_m + brief.parts.plates->side_m / 2 > land->drivable_depth_m)
      parts->error("plate_depth", "conflict", "the lower edge of the plate lies below the depth of [land]");
    if (land && brief.parts.trench_depth_m > land->drivable_depth_m)
      parts->error("trench_depth", "conflict", "is more than the depth of [land]");
  }
  if (const auto prices = section.table("prices", design::price_keys()))
    brief.prices = design::read_prices(*prices, brief.parts);
  if (const auto ground = section.table("ground", ground_event_keys()))
    brief.ground = read_ground_events(*ground, brief.parts);
  if (land) check_places(section, *land, brief);
  return brief;
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/arms_reach.hpp>
#include <ohmroot/routes/detail/plan.hpp>

#include <fmt/format.h>

namespace ohmroot::routes {

namespace {

std::string length(double value_m) {
  return format_number(value_m, 3) + " m";
}

void require_metal(const MetalAbove& metal, std::size_t index) {
  const std::string name = fmt::format("metal[{}] ({})", index, metal.name);
  for (const electrode::SurfacePlace& end : {metal.from, metal.to}) {
    require_finite(name + ".x_m", end.x_m, "m");
    require_finite(name + ".y_m", end.y_m, "m");
  }
  require_within(name + ".lowest_m", metal.lowest_m, "m", {0.0, 100.0});
}

ReachFinding finding_of(const MetalAbove& metal, const detail::Standing& ground, double reach_m) {
  ReachFinding finding{metal.name, detail::distance_m({metal.from, metal.to}, ground), false, {}};
  const bool is_above = metal.lowest_m > reach_m;
  finding.is_within = finding.distance_m <= reach_m && !is_above;
  if (finding.is_within)
    finding.sentence =
        fmt::format("{} is within arm's reach: {} from where the vehicle can stand, not more than "
                    "{}; one person can touch it and a vehicle on another earth at once",
                    metal.name, length(finding.distance_m), length(reach_m));
  else if (finding.distance_m > reach_m)
    finding.sentence =
        fmt::format("{} is out of arm's reach: {} from where the vehicle can stand, more than {}", metal.name,
                    length(finding.distance_m), length(reach_m));
  else
    finding.sentence =
        fmt::format("{} is out of arm's reach by its height alone: its lowest part is {} over the "
                    "ground, more than {}",
                    metal.name, length(metal.lowest_m), length(reach_m));
  return finding;
}

}  // namespace

std::vector<ReachFinding> check_arms_reach(const electrode::Outline& parking,
                                           const std::vector<MetalAbove>& metal,
                                           const ReachOptions& options) {
  require_within("reach_m", options.reach_m, "m", {0.1, 100.0});
  const detail::Standing ground({parking, options.reach_m});
  std::vector<ReachFinding> findings;
  for (std::size_t i = 0; i < metal.size(); ++i) {
    require_metal(metal[i], i);
    findings.push_back(finding_of(metal[i], ground, options.reach_m));
  }
  return findings;
}

}  // namespace ohmroot::routes

// SPDX-License-Identifier: MIT
#include <ohmroot/study/detail/blind_region.hpp>
#include <ohmroot/supply/open_pen.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::study::detail {
namespace {

struct Range {
  double least_a = 0.0;
  double greatest_a = 0.0;
};

Range phase_range(const Site& site, int phase) {
  Range range;
  for (const supply::Load& load : site.loads) {
    if (load.phase != phase) continue;
    range.least_a += load.least_current_a;
    range.greatest_a += load.greatest_current_a;
  }
  return range;
}

supply::OpenPenCircuit resistive_circuit(const supply::Supply& supply, double source_v,
                                         const std::array<double, 3>& current_a) {
  supply::OpenPenCircuit circuit;
  circuit.nominal_v = supply.nominal_v;
  circuit.source_v = source_v;
  circuit.source_earth_ohm = supply.source_earth_ohm;
  circuit.is_sequence_reversed = supply.is_sequence_reversed;
  for (int phase = 1; phase <= 3; ++phase) {
    supply::DefiniteLoad load;
    load.phase = phase;
    load.current_a = current_a.at(static_cast<std::size_t>(phase - 1));
    if (load.current_a > 0.0) circuit.loads.push_back(load);
  }
  return circuit;
}

}  // namespace

std::optional<BlindRegion> blind_region_of(const StudyResult& result,
                                           const std::optional<supply::BlindCase>& worst) {
  const Site& site = result.site;
  if (site.supply.phase_count != 3) return std::nullopt;
  BlindRegion region;
  const auto charge_point = std::find_if(site.loads.begin(), site.loads.end(), [](const supply::Load& load) {
    return load.charge_point != supply::ChargePoint::none;
  });
  region.watched_phase = worst                              ? worst->watched_phases.front()
                         : charge_point != site.loads.end() ? charge_point->phase
                                                            : 1;
  region.other_phase = region.watched_phase % 3 + 1;
  region.third_phase = region.other_phase % 3 + 1;
  const Range watched = phase_range(site, region.watched_phase);
  const Range other = phase_range(site, region.other_phase);
  const Range third = phase_range(site, region.third_phase);
  region.site_watched_least_a = std::max(0.0, watched.least_a);
  region.site_watched_greatest_a = std::max(0.0, watched.greatest_a);
  region.site_other_least_a = std::max(0.0, other.least_a);
  region.site_other_greatest_a = std::max(0.0, other.greatest_a);
  region.third_current_a = worst ? worst->phase_current_a.at(static_cast<std::size_t>(region.third_phase - 1))
                                 : std::max(0.0, third.least_a);
  region.source_v = worst ? worst->source_v : site.supply.highest_v;
  region.greatest_current_a = 1.25 * std::max({watched.greatest_a, other.greatest_a, 10.0});
  region.count = 121;
  for (int row = 0; row < region.count; ++row) {
    for (int column = 0; column < region.count; ++column) {
      // Not from 0: without any load the star point is nowhere.
      const auto at = [&](int i) {
        return region.greatest_current_a * std::max(0.25, static_cast<double>(i)) / (region.count - 1);
      };
      std::array<double, 3> current_a{};
      current_a.at(static_cast<std::size_t>(region.watched_phase - 1)) = at(column);
      current_a.at(static_cast<std::size_t>(region.other_phase - 1)) = at(row);
      current_a.at(static_cast<std::size_t>(region.third_phase - 1)) = region.third_current_a;
      const supply::OpenPenState state =
          supply::open_pen_state(resistive_circuit(site.supply, region.source_v, current_a));
      region.met_v.push_back(std::abs(state.met_v));
      region.line_to_neutral_v.push_back(
          state.line_to_neutral_v.at(static_cast<std::size_t>(region.watched_phase - 1)));
    }
  }
  return region;
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/recheck.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::study {
namespace {

constexpr const char* added_name = "load added to the record";

Site with_load_on(const Site& site, const AddedLoad& added, int phase) {
  Site changed = site;
  supply::Load load;
  load.name = added_name;
  load.phase = phase;
  load.greatest_current_a = added.greatest_current_a;
  load.stated_model = added.model;
  load.model_basis = added.model_basis;
  changed.loads.push_back(load);
  return changed;
}

/// 0 where nothing suffices or some model cannot be decided, infinite where no electrode is needed. [ohm]
double strictest_ohm(const Site& site) {
  const auto all = supply::requirements({site.supply, site.loads, site.limit_v});
  const supply::RequirementSpan span = supply::span_of(all);
  if (span.strictest == nullptr || span.has_uncovered) return 0.0;
  switch (span.strictest->outcome) {
  case supply::RequirementOutcome::none_needed:
    return std::numeric_limits<double>::infinity();
  case supply::RequirementOutcome::limited:
    return span.strictest->resistance_ohm;
  default:
    return 0.0;
  }
}

void require_valid(const Site& site, const AddedLoad& added) {
  require_positive("added.greatest_current_a", added.greatest_current_a, "A");
  if (added.phase)
    require_within("added.phase", *added.phase, "", {1.0, static_cast<double>(site.supply.phase_count)});
  if (added.model && added.model_basis.empty())
    throw DomainError("added.model_basis", "empty", "the reason why the load keeps to the stated model");
}

}  // namespace

ChangedSite with_added_load(const Site& site, const AddedLoad& added) {
  require_valid(site, added);
  if (added.phase || site.supply.phase_count == 1) {
    const int phase = added.phase.value_or(1);
    return {with_load_on(site, added, phase), phase, false};
  }
  ChangedSite worst;
  double least_ohm = std::numeric_limits<double>::infinity();
  for (int phase = 1; phase <= site.supply.phase_count; ++phase) {
    Site changed = with_load_on(site, added, phase);
    const double needed_ohm = strictest_ohm(changed);
    if (phase > 1 && needed_ohm >= least_ohm) continue;
    least_ohm = needed_ohm;
    worst = {std::move(changed), phase, true};
  }
  return worst;
}

LoadRoom room_for_load(const Site& site, const AddedLoad& added, double to_earth_ohm) {
  require_valid(site, added);
  require_positive("to_earth_ohm", to_earth_ohm, "ohm");
  constexpr double most_a = 1000.0;
  constexpr double growth_ratio = 1.25;
  constexpr double close_a = 0.05;
  const auto holds = [&](double current_a) {
    AddedLoad tried = added;
    tried.greatest_current_a = current_a;
    return to_earth_ohm < strictest_ohm(with_added_load(site, tried).site);
  };
  if (!(to_earth_ohm < strictest_ohm(site))) return {};
  double good_a = 0.0;
  double bad_a = 0.5;
  while (holds(bad_a)) {
    good_a = bad_a;
    if (good_a >= most_a) return {most_a, true};
    bad_a = std::min(most_a, bad_a * growth_ratio);
  }
  while (bad_a - good_a > close_a) {
    const double middle_a = 0.5 * (good_a + bad_a);
    (holds(middle_a) ? good_a : bad_a) = middle_a;
  }
  if (good_a == 0.0) return {};
  return {good_a, false};
}

}  // namespace ohmroot::study

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/as_built.hpp>
#include <ohmroot/study/street.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::study {
namespace {

constexpr std::size_t greatest_soil_count = 40;
constexpr double central_90_deviations = 1.6448536269514722;

std::size_t candidate_index(const StudyResult& result, const std::string& name) {
  const std::vector<Candidate>& candidates = result.site.candidates;
  if (candidates.empty())
    throw DomainError("site.candidates", "none", "the electrode as built, as a candidate");
  if (name.empty()) {
    if (candidates.size() == 1 || !result.governing_candidate) return 0;
    const std::string& governing = result.candidates.at(*result.governing_candidate).name;
    const auto at = std::find_if(candidates.begin(), candidates.end(),
                                 [&](const Candidate& c) { return c.name == governing; });
    return at == candidates.end() ? 0 : static_cast<std::size_t>(at - candidates.begin());
  }
  std::string names;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    if (candidates[i].name == name) return i;
    names += (names.empty() ? "" : ", ") + candidates[i].name;
  }
  throw DomainError("electrode", name, "a candidate of the site file: " + names);
}

std::vector<earth::LayeredSoil> thinned(const std::vector<earth::LayeredSoil>& soils) {
  const std::size_t count = std::min(soils.size(), greatest_soil_count);
  std::vector<earth::LayeredSoil> kept;
  for (std::size_t i = 0; i < count; ++i)
    kept.push_back(soils[i * soils.size() / count]);
  return kept;
}

/// "October", "Oct" and "october" are one month.
bool is_same_month(const std::string& written, int month) {
  const std::string name = acceptance::month_name(month);
  if (written.size() < 3) return false;
  for (std::size_t i = 0; i < 3; ++i)
    if ((written[i] | 0x20) != (name[i] | 0x20)) return false;
  return true;
}

double limit_ohm(const supply::Requirement* requirement, double if_unknown_ohm) {
  if (requirement == nullptr) return if_unknown_ohm;
  switch (requirement->outcome) {
  case supply::RequirementOutcome::limited:
    return requirement->resistance_ohm;
  case supply::RequirementOutcome::none_needed:
    return std::numeric_limits<double>::infinity();
  case supply::RequirementOutcome::none_suffices:
    return 0.0;
  case supply::RequirementOutcome::not_covered:
    return if_unknown_ohm;
  }
  throw InternalError("a requirement without an outcome");
}

void add_season(const Site& site, const acceptance::TestSheet& sheet, AsBuilt& built) {
  if (sheet.season) {
    built.criterion.season = sheet.season;
  } else if (site.season && is_same_month(site.month_of_measurement, sheet.month)) {
    built.criterion.season = acceptance::Criterion::Season{site.season->least_ratio,
                                                           site.season->greatest_ratio, site.season->basis};
  } else if (site.season) {
    built.remarks.push_back(
        fmt::format("The site's season factor counts from {}, the test was made in {}: state "
                    "'season factor least' and 'season factor greatest' for that month on the "
                    "test sheet.",
                    site.month_of_measurement.empty() ? "an unstated month" : site.month_of_measurement,
                    acceptance::month_name(sheet.month)));
  }
  if (site.season && !is_same_month(site.month_of_measurement, sheet.month)) {
    // soil readings of another month predict so much worse
    const double season_ratio = std::log(site.season->greatest_ratio) / central_90_deviations;
    built.electrode.beyond_soil_ratio =
        std::min(1.0, std::hypot(built.electrode.beyond_soil_ratio, season_ratio));
  }
}

}  // namespace

AsBuilt as_built(const StudyResult& result, const acceptance::TestSheet& sheet) {
  if (result.soil.allowed.soils.empty())
    throw DomainError("site.soil", "missing",
                      "given: without it there is no prediction to hold the test against");
  AsBuilt built;
  built.candidate = candidate_index(result, sheet.electrode);
  const Candidate& candidate = result.site.candidates[built.candidate];
  built.electrode.metal = {candidate.name, electrode::conductors_of(candidate.shape)};
  built.electrode.soils = thinned(result.soil.allowed.soils);
  const supply::RequirementSpan& span = result.requirement_span;
  built.criterion.most_lenient_ohm = limit_ohm(span.most_lenient, std::numeric_limits<double>::infinity());
  built.criterion.strictest_ohm = strictest_limit_ohm(span);
  if (span.has_uncovered)
    built.remarks.push_back(
        "For one of the load models no limit could be found, so that nothing can be accepted.");
  built.criterion.earthing_conductor_ohm = result.site.earthing_conductor_ohm;
  for (const OtherEarthPath& path : result.site.other_paths)
    if (path.is_relied_on) built.criterion.relied_on_conductance_per_ohm += 1.0 / path.resistance_ohm;
  if (does_street_count(result.site))
    built.remarks.push_back(
        "Judged for a break in the own service; a break up the street has limits of its own, "
        "which the study of the site gives.");
  add_season(result.site, sheet, built);
  return built;
}

double strictest_limit_ohm(const supply::RequirementSpan& span) {
  return span.has_uncovered ? 0.0 : limit_ohm(span.strictest, 0.0);
}

}  // namespace ohmroot::study

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/street.hpp>

namespace ohmroot::study {

Site seen_from_street(const Site& site) {
  Site seen = site;
  if (!site.street) return seen;
  seen.street.reset();
  seen.supply.phase_count = 3;
  seen.loads.insert(seen.loads.end(), site.street->loads.begin(), site.street->loads.end());
  seen.other_paths.insert(seen.other_paths.end(), site.street->earth_paths.begin(),
                          site.street->earth_paths.end());
  return seen;
}

double with_relied_on_paths_ohm(double own_ohm, const std::vector<OtherEarthPath>& paths) {
  if (!(own_ohm > 0)) throw DomainError("own_ohm", own_ohm, "ohm", "greater than 0, infinite for none");
  double conductance_s = 1.0 / own_ohm;  // 0 for an infinite resistance
  for (const OtherEarthPath& path : paths) {
    if (path.is_relied_on) conductance_s += 1.0 / path.resistance_ohm;
  }
  return 1.0 / conductance_s;  // infinite without any path
}

bool does_street_count(const Site& site) {
  return site.break_position != BreakPosition::own_service;
}

}  // namespace ohmroot::study

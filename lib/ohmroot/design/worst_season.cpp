// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/design/detail/in_ground.hpp>
#include <ohmroot/design/worst_season.hpp>

#include <algorithm>
#include <vector>

namespace ohmroot::design {

double worst_season_ratio(const Arrangement& arrangement, const Parts& parts, const GroundDraws& draws,
                          const Lasting& lasting) {
  constexpr std::size_t most = 100;
  if (draws.empty()) throw DomainError("draws", "none", "at least one state of the ground");
  require_positive("lasting.season_ratio", lasting.season_ratio, "");
  require_within("lasting.share_ratio", lasting.share_ratio, "", {0.0, 1.0});
  const bool is_lasting = std::all_of(draws.begin(), draws.end(), [](const GroundDraw& draw) {
    return !detail::freezes(draw) && draw.diameter_loss_m == 0.0;
  });
  if (is_lasting) return lasting.season_ratio;
  std::vector<double> factors(std::min(most, draws.size()));
  for_each_index(factors.size(), [&](std::size_t i) {
    GroundDraw end = draws[i * draws.size() / factors.size()];
    end.worst_season_ratio = lasting.season_ratio;
    GroundDraw measured = end;
    measured.worst_season_ratio = 1.0;
    measured.diameter_loss_m = 0.0;
    measured.frost_depth_m = 0.0;
    factors[i] = detail::worst_season_ohm(arrangement, parts, end) /
                 detail::worst_season_ohm(arrangement, parts, measured);
  });
  std::sort(factors.begin(), factors.end());
  return quantile(factors, lasting.share_ratio);
}

}  // namespace ohmroot::design

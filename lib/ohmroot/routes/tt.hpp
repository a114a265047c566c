// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>

#include <string>
#include <vector>

namespace ohmroot::routes {

/// One rating of residual current device against the electrode.
struct ResidualDeviceCheck {
  double rated_residual_current_a;
  double greatest_resistance_ohm;  ///< limit / rated residual current
  double product_v;                ///< upper end of R_A times rated residual current
  bool is_met;                     ///< at the upper end of R_A
};

struct TtCheck {
  double limit_v = 50.0;
  Estimate resistance_ohm;                   ///< electrode and earthing conductor, worst season
  std::vector<ResidualDeviceCheck> devices;  ///< 30, 100, 300, 500 mA
  double greatest_rated_current_a = 0.0;     ///< limit / upper end of R_A
  bool is_stable = false;                    ///< upper end at most 200 ohm
  std::string stability_advice;
  std::vector<std::string> source;  ///< clause by clause, with what is from memory
};

/// R_A times I_dn against the touch-voltage limit (BS 7671:2018 411.5.3, quoted second-hand; Table 41.5).
/// limit_v is 50 unless a lower one is chosen. Throws DomainError unless resistance_ohm.greatest and limit_v
/// are finite and above 0.
[[nodiscard]] TtCheck check_tt(const Estimate& resistance_ohm, double limit_v = 50.0);

}  // namespace ohmroot::routes

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/routes/methods.hpp>

namespace ohmroot::routes {

/// A residual current device on a TT installation.
struct ResidualDevice {
  double rated_residual_current_a;  ///< positive
  bool is_time_delayed = false;     ///< of the selective kind
};

/// One ahead of the other, on the TT side's distribution circuit and on the charge point's final circuit.
struct DevicesInLine {
  ResidualDevice upstream;
  ResidualDevice downstream;
  double resistance_ohm;  ///< upper end of R_A, worst season; positive
  double limit_v = 50.0;  ///< for R_A times the rated residual current; positive
};

struct SelectivityCheck {
  double rating_ratio;                ///< upstream over downstream
  double upstream_greatest_ohm;       ///< largest R_A that the upstream device admits
  double upstream_disconnection_s;    ///< longest admitted for it: a distribution circuit on TT
  double downstream_disconnection_s;  ///< of a final circuit on TT
  Judgement judgement;
};

/// Selective if the upstream device is time-delayed and rated at least three times the downstream one; and R_A must do for
/// both. Throws DomainError for values that are not positive and finite.
/// Source: time delay second-hand (trade and forum texts), ratio 3 from memory; BS 7671 411.5.3 second-hand.
[[nodiscard]] SelectivityCheck check_selectivity(const DevicesInLine& devices);

}  // namespace ohmroot::routes

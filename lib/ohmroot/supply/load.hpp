// SPDX-License-Identifier: MIT
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::supply {

/// How the current of a load follows the voltage across it.
enum class LoadModel { constant_impedance, constant_current, constant_power };
[[nodiscard]] std::string_view load_model_name(LoadModel model);  ///< "constant impedance", ...

/// How a load stands to the charge point.
enum class ChargePoint {
  none,     ///< the load has nothing to do with it
  alone,    ///< the load is the charge point, added to the other loads
  included  ///< the load's current already counts the charge point
};

/// One load from a line to neutral, as a range of currents at the nominal voltage. A current below 0 is
/// generation (export).
struct Load {
  std::string name;
  int phase = 1;                 ///< 1 to 3
  double least_current_a = 0.0;  ///< 0 unless a minimum is evidenced
  double greatest_current_a = 0.0;
  double power_factor_ratio = 1.0;  ///< in (0, 1]
  bool is_leading = false;
  std::optional<LoadModel> stated_model;  ///< none: all three models apply
  std::string model_basis;                ///< why the stated model holds; empty if none is stated
  /// Held by the load itself, at least greatest_current_a. Bounds the constant-power model, whose current
  /// would otherwise grow as the voltage falls; the other two models are not touched by it.
  double current_ceiling_a = std::numeric_limits<double>::infinity();
  std::string minimum_basis;  ///< log or reason behind a minimum above 0
  ChargePoint charge_point = ChargePoint::none;
};

/// Supply at the origin of the installation.
struct Supply {
  int phase_count = 1;                ///< 1 or 3
  double nominal_v = 230.0;           ///< line to neutral
  double lowest_v = 216.2;            ///< least line-to-neutral voltage of the source
  double highest_v = 253.0;           ///< greatest
  bool is_sequence_reversed = false;  ///< phases follow each other 1-3-2
  /// Earth of the star point. 0 is the safe side for the MET with constant impedance; with constant current
  /// of one power factor it makes little odds, but with constant power a value above 0 lowers the voltage
  /// that the load is left with, raises its current and so the MET: enter it if it is known.
  double source_earth_ohm = 0.0;
};

}  // namespace ohmroot::supply

// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::sounding {

/// Order of the four stakes on the ground. A and B carry the current, M and N the voltage. The same four holes
/// with the leads in another order are another array with another factor: Wenner alpha 2 pi a, beta 6 pi a,
/// gamma 3 pi a.
enum class Array {
  wenner,         ///< alpha: A-M-N-B, each gap the same
  wenner_beta,    ///< B-A-M-N, each gap the same
  wenner_gamma,   ///< A-M-B-N, each gap the same
  schlumberger,   ///< A-M-N-B, MN shorter than AB/3 as a rule; real, finite MN, also off the centre
  dipole_dipole,  ///< A-B and M-N side by side on one line
  four_points,    ///< each stake where its coordinates say
};

/// What part of a stake touches the soil.
enum class StakeContact {
  bare,       ///< bare metal over the whole driven length: acts as a point at length / sqrt(3)
  insulated,  ///< insulated down to the tip: acts as a point at the driven depth
};

/// How the driven depth of the stakes enters the reduction.
enum class StakeDepthRule {
  effective_point,  ///< the contact's effective depth: what the physics says
  handbook,         ///< the driven length put straight into the handbook's formula; over-corrects bare stakes
};

/// Where one stake stands, in plan.
struct StakePlace {
  double x_m = 0.0;
  double y_m = 0.0;
};

/// Where the four stakes stand.
struct StakePlaces {
  StakePlace current_a;
  StakePlace current_b;
  StakePlace potential_m;
  StakePlace potential_n;
};

/// One reading taken twice, the current reversed in between. A steady voltage of the ground adds to one and
/// takes from the other; their mean is free of it.
struct PolarityPair {
  double forward_ohm;
  double reversed_ohm;  ///< the sign turned back, so that both are positive in order
};

/// One four-pole reading as taken in the field. On one line, the middle of AB at 0, A at -AB/2 and B at AB/2,
/// the middle of MN stands at potential_offset_m.
struct FourPoleReading {
  Array array = Array::wenner;
  double half_current_spacing_m = 0.0;    ///< AB/2; Wenner of spacing a: 1.5 a
  double half_potential_spacing_m = 0.0;  ///< MN/2; Wenner of spacing a: a/2
  double resistance_ohm = 0.0;            ///< V/I as shown by the tester; mean of repeats and polarities
  double driven_depth_m = 0.0;            ///< of all four stakes; 0 if not stated
  StakeContact contact = StakeContact::bare;
  double relative_error_ratio = 0.05;  ///< one standard deviation of the reading, of its value, all in all
  std::string traverse;                ///< name of the line; empty if there is one only
  int sheet_line = 0;                  ///< where it stands in the field sheet; 0 if it came otherwise

  double potential_offset_m = 0.0;    ///< from the middle of AB to that of MN; 0 for Wenner and Schlumberger
  std::optional<StakePlaces> places;  ///< of four_points, whose spacings above are not used
  std::vector<double>
      repeats_ohm;  ///< single values whose mean is resistance_ohm; empty if there is one only
  std::optional<PolarityPair> polarity;
  std::optional<double> contact_ohm;  ///< greatest contact resistance of a stake that the tester showed
  bool is_lower_bound = false;  ///< over range: the resistance is at least resistance_ohm (0: no bound known)
};

/// Wenner reading of spacing a: A-M-N-B.
[[nodiscard]] FourPoleReading wenner_reading(double spacing_m, double resistance_ohm);

/// The same stakes, the leads in another order: array is wenner, wenner_beta or wenner_gamma. Throws
/// DomainError for another array.
[[nodiscard]] FourPoleReading wenner_reading_of(Array array, double spacing_m, double resistance_ohm);

/// Its a, to the last bit; nothing for another array. [m]
[[nodiscard]] std::optional<double> wenner_spacing_m(const FourPoleReading& reading);

/// Dipole-dipole on one line: AB and MN each dipole_m long, gap_m between the nearer ends (n dipole lengths).
struct DipoleSpacing {
  double dipole_m;
  double gap_m;
};
[[nodiscard]] FourPoleReading dipole_dipole_reading(const DipoleSpacing& spacing, double resistance_ohm);

/// Four stakes by coordinates.
[[nodiscard]] FourPoleReading four_point_reading(const StakePlaces& places, double resistance_ohm);

/// One reading of a rod on its way down.
struct DrivenRodReading {
  double driven_length_m = 0.0;
  double diameter_m = 0.0;
  double resistance_ohm = 0.0;         ///< as shown by the tester
  double relative_error_ratio = 0.05;  ///< one standard deviation, of its value
  /// Of a three-pole reading: current and potential stake from the rod, on one line with it and on one side;
  /// absent: taken as remote
  std::optional<double> current_stake_distance_m;
  std::optional<double> potential_stake_distance_m;
  bool is_lower_bound = false;  ///< over range: at least resistance_ohm
  std::string rod;              ///< name, if there are several
  int sheet_line = 0;
};

/// Number of the line of each reading, by first appearance from 0: readings of one traverse share it.
[[nodiscard]] std::vector<std::size_t> traverse_indices(const std::vector<FourPoleReading>& readings);

}  // namespace ohmroot::sounding

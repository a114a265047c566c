// SPDX-License-Identifier: MIT
#pragma once

#include <optional>
#include <string>

namespace ohmroot::routes {

/// Short-time duty of a conductor: heat without loss.
struct FaultDuty {
  double current_a;
  double time_s;  ///< no more than 5: longer faults lose heat, and the size comes out larger than needed
  double
      material_ratio;  // unit: A sqrt(s) / mm2; 143 for separate copper in PVC, 115 in a cable (from memory)
};

/// Least cross-section sqrt(I^2 t) / k. [m2] Throws DomainError unless all are positive and finite.
/// Source: BS 7671 regulation 543.1.3, the form of the equation second-hand, k from memory.
[[nodiscard]] double adiabatic_m2(const FaultDuty& duty);

/// How an earthing conductor in the ground is protected.
struct BuriedConductor {
  bool is_corrosion_protected;  ///< by a sheath
  bool is_mechanically_protected;
};

/// Least copper cross-section of an earthing conductor in the ground. [m2] 2.5 mm2 with both protections (and not below
/// the adiabatic size), 16 mm2 with a sheath alone, 25 mm2 bare. Source: ascribed to BS 7671 Table 54.1, quoted on a forum and
/// by a cable maker: common practice, not checked against the licensed text.
[[nodiscard]] double buried_earthing_conductor_m2(const BuriedConductor& conductor);

/// Least copper cross-section of main bonding conductors on a PME supply, by the copper equivalent of the supply's
/// neutral. [m2] A conductor from the MET to an electrode on PME is not smaller (ascribed to 542.3.1). Throws
/// DomainError unless positive and finite. Source: BS 7671 Table 54.8, second-hand.
[[nodiscard]] double pme_bond_m2(double neutral_m2);

/// What the earthing conductor of an electrode on PME has to be, each part with how it is known.
struct EarthingConductorCheck {
  double continuous_current_a;       ///< with the PEN open it is a neutral: steady, not for seconds
  double least_m2;                   ///< greatest of bond, burial and, where it is known, the thermal size
  std::optional<double> thermal_m2;  ///< none: no fault duty is stated
  std::optional<bool> is_rating_enough;  ///< for the continuous current; none: no rating is stated
  std::string sentence;
};

struct EarthingConductorFacts {
  double continuous_current_a;  ///< greatest through the electrode with the PEN broken, not negative
  double neutral_m2;            ///< of the supply, copper equivalent
  BuriedConductor burial;
  std::optional<FaultDuty> fault = {};  ///< of an earth fault that its protective device ends
  std::optional<double> rated_current_a =
      {};  ///< continuous, where and as it is laid; by its maker or tables
};

/// Throws DomainError as the functions above, and for a negative current.
[[nodiscard]] EarthingConductorCheck check_earthing_conductor(const EarthingConductorFacts& facts);

}  // namespace ohmroot::routes

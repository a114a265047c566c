// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <cstddef>
#include <string>
#include <vector>

namespace ohmroot::sounding {

/// What a reading of a driven rod would be over a stated soil.
struct RodModel {
  double resistance_ohm;
  double estimate_ratio;  ///< estimated relative error of the rod's own resistance (field solution)
  bool is_converged;      ///< false: the field solution missed its tolerance
};

/// Resistance that a tester would show for a rod driven so far into layered soil, by the field solution of the
/// rod in the layers, not by a formula for uniform soil. [ohm]
/// Both stakes stated: what they miss of the rod's own resistance is modelled, the current stake and the
/// potential stake as points at the surface; one or none stated: both are taken as remote.
/// tolerance_ratio is asked of the field solution, 1e-6 to 0.1. Throws DomainError unless length and diameter
/// are positive and the diameter less than the length, and unless stated stakes stand apart from each other
/// and from the rod, the potential stake between rod and current stake.
struct RodModelOptions {
  double tolerance_ratio = 1e-3;
};
[[nodiscard]] RodModel modelled_rod_resistance(const earth::LayeredSoil& soil,
                                               const DrivenRodReading& reading,
                                               const RodModelOptions& options = {});

/// The same for several readings in one soil, by a few elements (electrode/quick_rod.hpp): in microseconds, within half a
/// per cent, for work that changes the soil at each step. [ohm] Throws DomainError as above.
[[nodiscard]] std::vector<double> quick_rod_resistances_ohm(const earth::LayeredSoil& soil,
                                                            const std::vector<DrivenRodReading>& readings);

/// Resistivity of the uniform soil in which the rod would show this: for comparing sections, never an
/// interpretation. [ohm m]  Throws DomainError as above, and unless the resistance is positive.
[[nodiscard]] double uniform_equivalent_ohm_m(const DrivenRodReading& reading);

/// A reading that the ones before it do not allow.
struct RodDoubt {
  std::size_t reading_index;
  std::string sentence;
  bool is_sudden_fall = false;  ///< the 'drop' below: driving must stop
};

/// Checks of a rod driven section by section, per rod; good readings in any layers stay silent:
///   growth   more metal in the same soil never has more resistance: beyond three standard deviations a
///            joint, the contact to the rod or a reading is bad
///   drop     to less than a third from one section to the next while the length less than doubles: metal or
///            a duct may have been struck (common practice, no source; a layer can do it too)
/// Readings of one rod with fewer than two lengths say nothing. Bounds of over-range readings are left out.
[[nodiscard]] std::vector<RodDoubt> doubtful_rod_readings(const std::vector<DrivenRodReading>& readings);

}  // namespace ohmroot::sounding

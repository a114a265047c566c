// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/conductors.hpp>

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace ohmroot::electrode {

struct FieldOptions {
  /// Asked of every resistance, own and mutual: relative error by the engine's own estimate. 1e-6 to 0.1.
  double tolerance_ratio = 1e-3;
  /// Of elements. Memory grows with its square (10 000: 1 GB), time with its cube.
  int greatest_unknown_count = 10000;
  /// Depth down to which potentials_v() will be asked for, where that is deeper than the metal. Not negative, finite.
  double greatest_place_depth_m = 0.0;
  /// Asked of potentials a metre beside bare metal as well, relative to them: 1e-6 to 0.1; 0 asks nothing of
  /// them. Resistances converge long before the leakage of long bars does, and potentials follow the leakage.
  double place_tolerance_ratio = 0.0;
};

enum class FieldStatus {
  converged,  ///< the estimates meet the tolerances
  coarse,     ///< a result, but the tolerance was out of reach: see remark() and estimate_ratio()
};

/// What is done to an electrode.
enum class DutyKind {
  current,    ///< carries value ampere into the soil
  potential,  ///< is held at value volt to remote earth
  floating,   ///< is connected to nothing: carries no current in sum (value is not used)
};
struct Duty {
  DutyKind kind;
  double value = 0.0;  // unit: A or V, by kind
};

/// Potentials and currents that belong to duties. One entry per electrode.
struct FieldState {
  std::vector<double> potentials_v;
  std::vector<double> currents_a;
};

/// An element of a conductor and the current that leaves it.
struct Leakage {
  std::size_t electrode;
  std::size_t conductor;  ///< within the electrode
  double from_m;          ///< along the conductor; ends may stand out by a tenth of its radius, in a fill by some
  double to_m;
  double current_a;
};

/// Share of its electrode's current (or of one ampere, if that is zero) that leaves through a conductor.
struct ConductorShare {
  std::size_t electrode;
  std::size_t conductor;
  double current_a;
};

/// Electrodes in layered soil, solved: every point of the metal of an electrode at one potential.
class FieldSolution {
public:
  [[nodiscard]] FieldStatus status() const noexcept;
  [[nodiscard]] const std::string& remark() const noexcept;  ///< empty if converged
  [[nodiscard]] std::size_t electrode_count() const noexcept;
  [[nodiscard]] int unknown_count() const noexcept;

  /// Potential of one electrode per ampere into another (or itself), all others connected to nothing:
  /// symmetric. [ohm]
  [[nodiscard]] double resistance_ohm(std::size_t of, std::size_t from) const;

  /// Estimated relative error of all resistances: three quarters of the greatest difference to the solution
  /// with half as many elements, and what the model itself leaves open (kernel, stoutness and bends of the
  /// bars, nearness of bars to each other and to boundaries of layers). Against a far finer solution the
  /// true error is within twice this in 97 of 100 random arrangements.
  [[nodiscard]] double estimate_ratio() const noexcept;

  /// Estimated relative error of potentials a metre or more from bare metal, made in the same way from places
  /// beside all elements, any one electrode energised; nothing unless FieldOptions::place_tolerance_ratio
  /// asked for it. Nearer to the metal it does not hold.
  [[nodiscard]] std::optional<double> place_estimate_ratio() const noexcept;

  /// Throws DomainError unless there is one duty per electrode, values finite.
  [[nodiscard]] FieldState state(std::span<const Duty> duties) const;

  [[nodiscard]] std::vector<Leakage> leakage(const FieldState& state) const;
  [[nodiscard]] std::vector<ConductorShare> conductor_currents(const FieldState& state) const;

  /// Potential at places in or on the soil; on or inside a conductor that of the conductor, in a fill between. [V]
  /// Throws DomainError for a place in a layer below the metal and below FieldOptions::greatest_place_depth_m.
  [[nodiscard]] std::vector<double> potentials_v(const FieldState& state,
                                                 std::span<const Place> places) const;

  /// Mean potentials of quarters of the elements, least and greatest over the electrode's own potential.
  /// For one electrode at one ampere these bound its resistance from both sides (the true one lies between
  /// the least and the greatest potential of any trial leakage).
  struct Spread {
    double least_ratio;
    double greatest_ratio;
  };
  [[nodiscard]] Spread potential_spread(const FieldState& state, std::size_t electrode) const;

  struct Impl;
  explicit FieldSolution(std::shared_ptr<const Impl> impl) : impl_(std::move(impl)) {}

private:
  std::shared_ptr<const Impl> impl_;
};

/// Solves by Galerkin boundary elements on the surface of the bars: even leakage per element, the exact
/// kernel of a tube along a bar, flat ends by an end correction; elements are refined where an estimate from
/// two levels says so, until the tolerance is met.
/// Valid for bars that are thin against their length, their depth and their distance from bars they are not
/// joined to; the estimate grows where they are not. Throws DomainError for bad geometry (conductors.hpp)
/// and if already the coarsest elements are more than greatest_unknown_count.
/// Sources: Colominas, Navarrina, Casteleiro, Comput. Methods Appl. Mech. Eng. 174 (1999) 73 (Galerkin);
/// end correction and two-level refinement: derived, see reference/ACCURACY.md.
[[nodiscard]] FieldSolution solve_field(const earth::LayeredSoil& soil,
                                        const std::vector<Electrode>& electrodes,
                                        const FieldOptions& options = {});

}  // namespace ohmroot::electrode

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::sounding {

/// A fitted parameter with its central 90 % interval. An end that the readings do not resolve stands at the
/// bound of the search and is marked; then value, too, may stand at that bound: say "least or more", not
/// value.
struct ParameterInterval {
  double value = 0.0;     // unit: ohm m for a resistivity, m for a thickness
  double least = 0.0;     // unit: as value; 5 % end
  double greatest = 0.0;  // unit: as value; 95 % end
  bool is_least_resolved = true;
  bool is_greatest_resolved = true;
};

enum class FitStatus {
  converged,
  stalled,          ///< starts disagree or the solver gave up; the best found is returned with why
  too_few_readings  ///< fewer readings than parameters + 1: one reading for uniform soil
};

enum class EquivalenceKind {
  conductance,  ///< S = thickness / resistivity, of a conductive layer between resistive ones [siemens]
  transverse_resistance  ///< T = thickness times resistivity, of a resistive one between conductive ones [ohm m2]
};

/// Two parameters of a layer that the readings do not resolve one by one.
struct Equivalence {
  int layer_index = 0;  ///< from the top, 0 first
  EquivalenceKind kind = EquivalenceKind::conductance;
  ParameterInterval value;  // unit: siemens for a conductance, ohm m2 for a transverse resistance
  std::string sentence;
};

/// What is made as small as can be; it moves the answer.
enum class Objective {
  robust,    ///< squares of residuals over the stated errors, growing only linearly beyond two errors
  weighted,  ///< squares of residuals over the stated errors
  plain      ///< squares of ln(measured / modelled), every reading alike
};

struct SoilFit {
  int layer_count = 1;
  std::vector<ParameterInterval> resistivity_ohm_m;  ///< one per layer, from the top
  std::vector<ParameterInterval> thickness_m;        ///< one per layer but the last
  double misfit_ratio = 0.0;                         ///< root mean square of ln(measured / modelled)
  double chi_square_ratio = 0.0;                     ///< with the stated errors
  int freedom_count = 0;                             ///< readings, rods among them, less parameters
  double corrected_aic_ratio = 0.0;                  ///< small-sample Akaike criterion with the stated errors
  double error_inflation_ratio = 1.0;  ///< by which intervals were widened because chi-square exceeds freedom
  FitStatus status = FitStatus::converged;
  std::string why;                     ///< one sentence for the report
  std::vector<double> residual_ratio;  ///< ln(measured / modelled) per reading, less its traverse's factor
  std::vector<double> rod_residual_ratio;     ///< the same per driven rod's reading that is not over range
  std::vector<double> traverse_factor_ratio;  ///< of each traverse, if there are several
  std::vector<Equivalence> equivalences;

  [[nodiscard]] earth::LayeredSoil soil() const;
};

struct InterpretationOptions {
  int greatest_layer_count = 5;  ///< 1 to 5
  Objective objective = Objective::robust;
  int start_count = 12;  ///< starting points of the search
  std::uint64_t seed = 1;
  StakeDepthRule depth_rule = StakeDepthRule::effective_point;
  /// Over-range readings: at least so much. Each counts as a reading that is off where the model stays below it, as
  /// nothing elsewhere, and not among the readings that carry layers.
  std::vector<FourPoleReading> bounds = {};
  /// Readings of driven rods, fitted jointly by the field solution of each rod in the layers; over-range ones among them.
  std::vector<DrivenRodReading> rods = {};
};

struct Interpretation {
  std::vector<SoilFit> fits;  ///< by number of layers, 1 first, to the chosen or the runner-up at least
  int chosen_layer_count = 1;
  std::optional<int> runner_up_layer_count;  ///< next by the criterion; none if all others are worse by 10
  std::string objective;                     ///< named, since it moves the answer
  std::string why_chosen;

  [[nodiscard]] const SoilFit& chosen() const {
    return fits.at(static_cast<std::size_t>(chosen_layer_count - 1));
  }
};

/// Fits soil of 1 to 5 layers to four-pole readings: least squares of ln(apparent resistivity) by the objective asked
/// for, log parameters, derivatives by the kernel's recursion, several starts and each smaller model with a layer
/// split (Eigen's Levenberg-Marquardt), intervals by the profile of the objective (90 %), one-sided where the profile
/// is flat. Several traverses: one factor each, normal in ln about 0 with standard deviation 0.1 (our judgement).
///
/// A driven rod counts as a reading, its length as a spacing, with the squares of ln(measured / modelled) over its stated
/// error beside the others'.
///
/// n layers are fitted from 2 n + 1 readings at 2 n spacings up (three and more from 2 n where one layer less is
/// refuted by its chi-square); fewer cannot carry the parameters. Searched are
/// resistivities from 1/300 of the least to 300 times the greatest apparent resistivity, thicknesses from
/// 1/20 of the least to 5 times the greatest spacing. An interval ends where chi-square has risen by 2.706,
/// times chi-square over freedom if that is above 1. Where chi-square exceeds its 95 % point, the stated
/// errors are not believed: the scatter is then estimated from the readings, with Student's t in the place
/// of the normal distribution.
///
/// The number of layers is chosen by the corrected Akaike criterion with the stated errors, raised to the
/// scatter that the fullest model leaves where the stated ones are not believed; the simpler model wins unless it is
/// worse by 2 (Burnham and Anderson 2002; from memory).
///
/// Same readings, options and seed: same answer, bit by bit on one machine. Throws DomainError if there is no
/// reading, if a resistance is not positive, if a stated error is not within 1e-6 to 1, if an option is
/// out of range, or for a rod's reading that quick_rod_resistances_ohm() refuses.
[[nodiscard]] Interpretation interpret(const std::vector<FourPoleReading>& readings,
                                       const InterpretationOptions& options = {});

}  // namespace ohmroot::sounding

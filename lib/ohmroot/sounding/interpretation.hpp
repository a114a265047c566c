// SPDX-License-Identifier: MIT
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <ohmroot/earth/layers.hpp>
#include <ohmroot/sounding/reading.hpp>

namespace ohmroot::sounding {

/// One end of an interval that the data do not resolve is at the bound of the search, and says so.
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
  too_few_readings  ///< fewer readings than parameters + 1
};

struct SoilFit {
  int layer_count = 1;
  std::vector<ParameterInterval> resistivity_ohm_m;  ///< one per layer, from the top
  std::vector<ParameterInterval> thickness_m;        ///< one per layer but the last
  double misfit_ratio = 0.0;        ///< root mean square of ln(measured / modelled)
  double chi_square_ratio = 0.0;    ///< with the stated errors
  int freedom_count = 0;            ///< readings less parameters
  double corrected_aic_ratio = 0.0; ///< small-sample Akaike criterion with the stated errors
  double error_inflation_ratio = 1.0;  ///< by which intervals were widened because chi-square exceeds freedom
  FitStatus status = FitStatus::converged;
  std::string why;                  ///< one sentence for the report
  std::vector<double> residual_ratio;  ///< ln(measured / modelled) per reading

  [[nodiscard]] earth::LayeredSoil soil() const;
};

struct InterpretationOptions {
  int greatest_layer_count = 2;   ///< 1 or 2 so far
  int start_count = 12;           ///< starting points of the search
  std::uint64_t seed = 1;
  StakeDepthRule depth_rule = StakeDepthRule::effective_point;
};

struct Interpretation {
  std::vector<SoilFit> fits;      ///< by number of layers, 1 first
  int chosen_layer_count = 1;
  std::string objective;          ///< named, since it moves the answer
  std::string why_chosen;

  [[nodiscard]] const SoilFit& chosen() const { return fits.at(static_cast<std::size_t>(chosen_layer_count - 1)); }
};

/// Fits uniform and two-layer soil to four-pole readings: weighted least squares of ln(apparent
/// resistivity), log parameters, several starts (Eigen's Levenberg-Marquardt), intervals by profile
/// likelihood (90 %), one-sided where the profile is flat. The number of layers is chosen by the corrected
/// Akaike criterion with the stated errors; the simpler model wins a tie.
/// Throws DomainError if there is no reading or one is not positive.
[[nodiscard]] Interpretation interpret(const std::vector<FourPoleReading>& readings,
                                       const InterpretationOptions& options = {});

}  // namespace ohmroot::sounding

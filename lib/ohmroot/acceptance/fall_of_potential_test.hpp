// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/criterion.hpp>
#include <ohmroot/acceptance/curve_rules.hpp>
#include <ohmroot/acceptance/safe_working.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/conductors.hpp>
#include <ohmroot/electrode/surface_map.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::acceptance {

/// The electrode as built, in the soils that the data of the site allow: equally likely, at least one.
struct TestedElectrode {
  electrode::Electrode metal;
  std::vector<earth::LayeredSoil> soils;
  /// Standard deviation of ln R between prediction and electrode as built that is not of the soils: contact,
  /// backfill, weather since. 0.02 to 1; judgement, no source.
  double beyond_soil_ratio = 0.08;
};

/// A fall-of-potential test as it was made.
struct StakeTest {
  std::vector<StakeReading> readings;
  std::optional<electrode::SurfacePlace> start;  ///< of the distances; none: middle of the metal in plan
  double current_direction_deg = 90.0;      // unit: degrees, from x (a line of rods lies along x) towards y
  double reading_error_ratio = 0.02;        ///< one standard deviation of a reading against its neighbours
  double tester_error_ratio = 0.02;         ///< one standard deviation that all readings share
  std::optional<double> current_stake_ohm;  ///< as the tester showed them
  std::optional<double> potential_stake_ohm;
  std::optional<double> greatest_stake_ohm;  ///< up to which the tester keeps its error, by its own data
  std::optional<double> stray_v;             ///< voltage between the stakes without test current
  SafeWorking safe_working;
};

/// What was found wrong, or worth saying.
enum class FindingKind {
  safe_working,     ///< an answer is not 'yes'
  still_connected,  ///< the reading is that of the network
  overlap,          ///< resistance areas of electrode and current stake overlap
  metal_near,       ///< the curve is that of no soil that the site allows
  stray_reading,    ///< one reading stands off the curve
  scatter,          ///< readings of the same places differ
  stakes,           ///< resistance of a stake too high for the tester
  noise,            ///< stray voltage too high for the tester
  few_readings,     ///< too few to judge
  higher,           ///< clearly more than predicted
  season            ///< no factor from the month of the test to the worst season
};
[[nodiscard]] std::string finding_name(FindingKind kind);
enum class FindingWeight {
  remark,  ///< on what is known of the season; nothing is wrong with the test
  doubt,   ///< something is wrong, but the verdict can stand
  bar      ///< nothing is accepted or refused while it stands
};
struct Finding {
  FindingKind kind;
  std::string sentence;
  FindingWeight weight;
};

/// One distance of the current stake, by the rules of the trade and by the field solution.
struct CurveJudgement {
  StraightCurve curve;
  std::optional<FlatPart> flat;
  std::optional<double> at_61_8_percent_ohm;
  Estimate rule_error_ratio;  ///< of the reading at 61.8 %, over the soils
  Estimate
      correct_position_ratio;   ///< of the current stake's distance, over the soils; all 0 if there is none
  bool does_rule_hold = false;  ///< rule_error_ratio within 5 % at both ends
  std::string rule_sentence;
  std::optional<SlopeResult> slope;
};

struct TestResult {
  /// Of the electrode on the day of the test; with a finding 'still connected', of what was read instead.
  std::optional<Estimate> resistance_ohm;
  Estimate prediction_ohm;  ///< before the test, from the soils alone
  std::string separation;   ///< on what it rests that the reading is not the network's; empty if it is
  std::vector<CurveJudgement> curves;
  std::optional<Intersection> intersection;
  std::optional<double> needed_distance_m;  ///< of the current stake, for 5 % at 61.8 %; none within 500 m
  std::vector<Finding> findings;
  AcceptanceValue acceptance;
  std::optional<Estimate> worst_season_ohm;
  TestVerdict verdict = TestVerdict::cannot_tell;
  std::string why;
  /// Model through the readings, of the soil that fits best, for each curve: reading against the potential stake's
  /// distance.
  struct ModelCurve {
    double current_distance_m;
    std::vector<double> potential_distance_m;
    std::vector<double> reading_ohm;
  };
  std::vector<ModelCurve> model;
};

/// Judges a fall-of-potential test.
///
/// Resistance: every reading is R less what the stakes miss of it (field solution of this electrode in each
/// soil, that shortfall uncertain by a common 15 %), R left free, so that the test can be held against the
/// prediction; soils weighed by how well they explain the readings; scatter beyond the stated error widens.
/// 90 % interval, tester's error included.
/// Verdict: pass if the upper end is not above the acceptance value of the month, fail if the lower end is above
/// what the most lenient limit allows, otherwise, and with any barring finding, cannot tell.
/// Throws DomainError for values outside the ranges at the fields (distances 0.1 m to 10 km, readings 1 mohm
/// to 1 Mohm, errors 1e-3 to 0.5, angles -180 to 180), no reading, no soil, potential stake on the current stake,
/// and as solve_field().
[[nodiscard]] TestResult judge_test(const TestedElectrode& electrode, const StakeTest& test,
                                    const Criterion& criterion);

}  // namespace ohmroot::acceptance

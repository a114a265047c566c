// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/routes/arms_reach.hpp>
#include <ohmroot/routes/conductors.hpp>
#include <ohmroot/routes/methods.hpp>
#include <ohmroot/routes/probe.hpp>
#include <ohmroot/routes/separation.hpp>
#include <ohmroot/routes/share_curve.hpp>
#include <ohmroot/routes/tt.hpp>
#include <ohmroot/routes/tt_fault.hpp>
#include <ohmroot/sounding/doubts.hpp>
#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/sounding/posterior.hpp>
#include <ohmroot/study/site.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::study {

enum class Verdict { feasible, not_feasible, undecided };
[[nodiscard]] std::string verdict_name(Verdict verdict);

/// How much the soil data can carry.
enum class Evidence {
  none,
  soil_word,       ///< always 'cannot be decided'
  one_rod,         ///< of rods like it: 'not feasible' by R1 / n, 'feasible' only if it does alone
  other_rod,       ///< a rod unlike those of the electrode: decides nothing
  few_readings,    ///< fewer than three: nothing of layers, so nothing of the electrode
  short_sounding,  ///< too short for the electrode: 'not feasible' only
  full_sounding,   ///< all three verdicts
  stated_layers,   ///< all three verdicts, on the word of whoever stated them
  measured_electrode
};
[[nodiscard]] std::string evidence_name(Evidence evidence);

/// Soils that the data allow, in which electrodes are solved.
struct AllowedSoils {
  std::vector<earth::LayeredSoil> soils;
  bool are_draws =
      false;  ///< equally likely draws of what readings allow; else the first is the middle one, the others ends
  std::string basis;  ///< how they were found, in words
};

/// What the soil is taken to be.
struct SoilPicture {
  Evidence evidence = Evidence::none;
  std::string summary;                      ///< one sentence for the client
  double least_resistivity_ohm_m = 0.0;     ///< lower end of the least resistive layer
  double greatest_resistivity_ohm_m = 0.0;  ///< upper end of the most resistive layer
  bool is_greatest_resolved = true;         ///< false: the data set no upper end
  bool is_least_resolved = true;
  AllowedSoils allowed;
  std::optional<sounding::Interpretation> interpretation;
  std::optional<sounding::SoilPosterior> posterior;
  std::vector<sounding::FourPoleReading> bounds;  ///< over-range rows: at least so much
  std::vector<sounding::FourPoleReading> readings;
  std::vector<double> apparent_resistivity_ohm_m;  ///< one per reading
  std::vector<sounding::ReadingDoubt> doubts;
  std::vector<sounding::SkippedRow> skipped;
  int data_row_count = 0;
  std::vector<std::string> notes;
};

/// The field solution of a candidate.
/// What the electrode would have in one of the soils fitted to the readings.
struct FittedResistance {
  int layer_count = 1;
  bool is_chosen = true;  ///< else the runner-up among the models
  double resistance_ohm = 0.0;
};

struct FieldResult {
  earth::LayeredSoil middle_soil;             ///< of those allowed: the one with the middle resistance
  double middle_ohm = 0.0;                    ///< resistance there
  double estimate_ratio = 0.0;                ///< greatest of the solutions' own relative error estimates
  double uniform_factor_per_m = 0.0;          ///< field solution in uniform soil, per ohm m
  double equivalent_resistivity_ohm_m = 0.0;  ///< of the uniform soil in which it would have the middle value
  int unknown_count = 0;                      ///< elements, in uniform soil
  std::size_t soil_count = 0;                 ///< soils solved
  std::vector<double> ascending_ohm = {};     ///< of draws: resistance in each soil solved
  std::string comparison = {};                ///< what the uniform-soil formula makes of it
  std::string method = {};                    ///< how it was solved, and where that is checked
  std::vector<FittedResistance> fitted =
      {};  ///< in the best-fitting soil of the chosen model and of the runner-up
};

struct CandidateResult {
  std::string name;
  std::string description;
  std::vector<electrode::FormulaResult> formulas;  ///< the default one first
  std::optional<FieldResult> field;  ///< absent where field_refusal says why, or nothing was solved
  std::string field_refusal;         ///< why the numbers rest on a formula's bracket instead
  Estimate electrode_ohm;            ///< electrode alone, as at the month of measurement
  Estimate to_earth_ohm;             ///< worst season, earthing conductor and relied-on paths included
  bool is_greatest_resolved = true;
  double least_conductance_share_ratio = 1.0;  ///< share of the current that the electrode itself carries
  Evidence evidence = Evidence::none;
  Verdict verdict = Verdict::undecided;
  std::string why;
  std::optional<supply::OpenPenState>
      state_at_value;  ///< at the governing load, the electrode at its value in the worst season
  double greatest_current_a =
      0.0;  ///< through it at that load, at its least resistance; 0: no state is known
};

/// A straight statement about any electrode on this land.
struct FloorResult {
  Estimate
      floor_ohm;  ///< half-ellipsoid; 1, 50 and 99 % points over the soils, or ends where they are no draws
  double share_above_ratio = 0.0;  ///< of the soils: those whose floor lies above the most lenient limit
  bool proves_infeasible = false;
  /// The volume as solid metal, lower bound by field solution: least, middle and greatest over a few of the soils, in
  /// the most favourable season. Absent where the solution refuses.
  std::optional<Estimate> block_ohm;
  std::string why;
};

/// Data of the figures, so that page, JSON and pictures show the same numbers.
struct SoundingCurve {
  std::vector<double> spacing_m;
  std::vector<double> fitted_ohm_m;
  std::vector<double> least_ohm_m;     ///< 5 % point over the soils that the readings allow
  std::vector<double> greatest_ohm_m;  ///< 95 % point
};
/// Resistivity against depth over the soils that the readings allow: 5, 50 and 95 % points at each depth.
struct SectionBand {
  std::vector<double> depth_m;
  std::vector<double> least_ohm_m;
  std::vector<double> middle_ohm_m;
  std::vector<double> greatest_ohm_m;
};
struct ResistanceCurve {
  std::string abscissa;  ///< "rod length" [m] or "number of rods" [-]
  bool is_count = false;
  std::vector<double> abscissa_value;  // unit: m, or none for a count
  std::vector<double> least_ohm;
  std::vector<double> value_ohm;
  std::vector<double> greatest_ohm;
  double candidate_value = 0.0;  // unit: as abscissa_value
};
/// Current that leaves the governing candidate along its conductors, in its middle soil.
struct LeakagePath {
  std::string name;            ///< "rods 1 and 4": conductors that leak alike, once
  std::vector<double> from_m;  ///< along the conductor from its start, or depth if is_depth
  std::vector<double> to_m;
  std::vector<double> share_per_m;  ///< of the electrode's current
};
struct LeakageCurve {
  std::vector<LeakagePath> paths;
  bool is_depth = false;                  ///< all conductors stand upright
  std::vector<double> interface_depth_m;  ///< of the middle soil
};
/// Potentials on a rectangular grid, as shares of the electrode's: rows of equal second coordinate (y, or depth).
struct ShareGrid {
  double across_from_m = 0.0;
  double across_to_m = 0.0;
  double along_from_m = 0.0;
  double along_to_m = 0.0;
  int across_count = 0;
  int along_count = 0;
  std::vector<double> share_ratio;
};
struct ConductorLine {
  double from_x_m, from_y_m, from_depth_m;
  double to_x_m, to_y_m, to_depth_m;
};
/// The field around the governing candidate in its middle soil.
struct Surroundings {
  ShareGrid map;      ///< surface, x and y
  ShareGrid section;  ///< upright plane, x and depth
  double section_at_y_m = 0.0;
  std::vector<ConductorLine> conductors;
  std::vector<double> distance_m;  ///< beyond the end of the electrode along x, on the surface
  std::vector<double>
      surface_share_ratio;  ///< there; what is left to one is the touch voltage of metal at the MET
};

/// Metal near the governing candidate, and what it does in the candidate's middle soil.
struct NearbyFinding {
  Estimate alone_ohm;     ///< what a design counts on
  Estimate together_ohm;  ///< with all that is joined to it, among the rest
  double electrode_current_share_ratio = 1.0;
  std::vector<electrode::NearbyEffect> effects;
  /// A fall-of-potential test with everything left as it is, potential stake at 61.8 %: greatest error over four
  /// directions against what stands in the ground together, and against the electrode alone.
  double stake_distance_m = 0.0;  ///< of the current stake
  double test_error_ratio = 0.0;
  double test_against_alone_ratio = 0.0;
  std::string finding;
  std::string refusal;  ///< why there is no number; empty otherwise
};
/// Touch voltage at a vehicle joined to the MET, feet at their reach from the parking rectangle.
struct VehicleTouch {
  double share_ratio = 0.0;  ///< of the MET's potential, where it is greatest
  electrode::SurfacePlace feet{};
  double feet_reach_m = 0.0;
  std::string refusal;  ///< why there is no number; empty otherwise
};

/// A piece of the governing candidate in one layer, heated by the current that leaves it.
struct HeatedPart {
  std::string name;  ///< "rods 1 and 4, 1 m to 2.4 m deep"
  double current_a_per_m = 0.0;
  double resistivity_ohm_m = 0.0;
  std::vector<double> rise_k;           ///< at HeatingResult::time_s
  std::optional<double> dries_after_s;  ///< at its surface; nothing: never
  std::optional<double> boils_after_s;
};
/// Greatest current of the whole electrode that its most loaded metal bears for a time.
struct FaultDuty {
  double time_s = 0.0;
  double current_a = 0.0;          ///< by the constant that is used
  double is_3043_current_a = 0.0;  ///< by the other published ones
  double ieee_142_current_a = 0.0;
};
/// The governing candidate in its middle soil with the PEN open: how warm does its metal get, and when?
struct HeatingResult {
  double voltage_v = 0.0;  ///< held at the metal all the time
  std::string voltage_basis;
  double current_a = 0.0;
  double steady_rise_k = 0.0;            ///< bound for ever, from the voltage alone
  double least_resistivity_ohm_m = 0.0;  ///< of all layers: the one the bound rests on
  double radius_m = 0.0;
  std::vector<double> time_s;
  std::vector<HeatedPart> parts;  ///< the one that warms most first
  std::vector<FaultDuty> duties;
  std::string finding;
  std::string standing_condition;  ///< how long the electrode can be relied on; empty where it never dries
  std::vector<std::string> notes;
};

/// Share of the PME metal's potential that the surface takes, from the metal towards the TT electrode, else towards
/// the middle of the parking place.
struct SeparationCurve {
  std::vector<double> distance_m;
  std::vector<double> share_ratio;                ///< in the middle soil
  std::vector<double> uniform_share_ratio;        ///< in uniform soil
  std::vector<double> rod_table_share_ratio;      ///< what a table of one 2.4 m rod says
  bool is_layered = false;                        ///< the middle soil is not uniform
  std::vector<double> practice_m;                 ///< distances met in practice
  std::vector<double> practice_share_ratio;       ///< at those
  double level_ratio = 0.0;                       ///< limit of TT over the metal's potential
  std::optional<routes::ShareDistance> at_level;  ///< none: even the metal itself is below
};

/// What metal on the PME earth brings to a TT electrode and to the ground at the vehicle.
struct SeparationResult {
  double metal_v = 0.0;  ///< 0: no metal in the ground was stated
  std::string metal_v_basis;
  std::optional<routes::Transfer> transfer;       ///< in the middle soil; none without metal in the ground
  std::optional<Estimate> electrode_share_ratio;  ///< over the soils that the data allow
  std::optional<Estimate> feet_share_ratio;       ///< at the place where feet share most, over those soils
  std::optional<SeparationCurve> curve;
  std::vector<routes::ReachFinding> reach;
  std::string refusal;  ///< why there is no number, or no curve; empty otherwise
};

/// A permitted method with all that is to be said of it.
struct RouteRecord {
  routes::MethodRecord record;
  std::string protects;
  routes::RouteCost cost;
  std::optional<RouteDecision> decision;
  std::string conflict;  ///< where the decision is not carried by the data; empty if it is
};

enum class RouteOutcome {
  settled,  ///< one method is accepted, and the data carry it
  open,     ///< nothing is accepted yet, or what is accepted cannot be decided
  against   ///< what is accepted is contradicted, or every method is
};

/// The record of the permitted methods.
struct RoutesResult {
  std::vector<RouteRecord> records;  ///< in the order of routes::Method
  routes::BridgingCheck bridging;
  std::optional<routes::ProbeReading> probe;
  std::optional<routes::EarthingConductorCheck> conductor;
  std::string conductor_sentence;         ///< the stated section against what it has to be; empty: not stated
  std::vector<std::string> places;        ///< what the kinds of place that were answered yes mean
  std::vector<std::string> open_places;   ///< questions without an answer
  std::vector<std::string> open_clauses;  ///< not looked up, with their place
  std::vector<std::string> denied_clauses;  ///< looked up, and the licensed copy says otherwise
  RouteOutcome outcome = RouteOutcome::open;
  std::string sentence;  ///< the outcome in words
};

/// Loads of two phases under which a device that watches the first is blind: grid in rows of equal second current, third
/// phase fixed, PEN broken, constant impedance, no way to earth.
struct BlindRegion {
  int watched_phase = 1;
  int other_phase = 2;
  int third_phase = 3;
  double third_current_a = 0.0;
  double source_v = 0.0;
  double greatest_current_a = 0.0;  ///< of both axes, from 0
  int count = 0;                    ///< points on each axis
  std::vector<double> met_v;
  std::vector<double> line_to_neutral_v;  ///< of the watched phase
  double site_watched_least_a = 0.0;      ///< the site's own loads
  double site_watched_greatest_a = 0.0;
  double site_other_least_a = 0.0;
  double site_other_greatest_a = 0.0;
};

struct VoltageCurve {
  std::vector<double> current_a;  ///< scaled load, at nominal voltage, summed over the governing phase
  std::vector<double> without_electrode_v;
  std::vector<double> least_v;     ///< candidate at its least resistance
  std::vector<double> greatest_v;  ///< candidate at its greatest
  double operating_current_a = 0.0;
  std::string load_description;
};

/// What one break says of one candidate.
struct BreakAnswer {
  Verdict verdict = Verdict::undecided;
  std::string why;
  Estimate to_earth_ohm;  ///< all ways to earth that are relied on beyond that break, together
  std::optional<supply::OpenPenState> state_at_value;  ///< at the load that governs there
};

/// A break in the own service and a break up the street, side by side.
struct BreakComparison {
  std::vector<BreakAnswer> own_service;  ///< one per candidate
  std::vector<BreakAnswer> street;       ///< one per candidate; empty if nothing is known of the street
  std::vector<supply::Requirement> street_requirements;  ///< for the loads of site and street together
  std::string street_load;                               ///< the one that governs there
  std::string sentence;                                  ///< which of the two counts, and why
};

struct StudyResult {
  Site site;
  SoilPicture soil;
  std::vector<supply::Requirement> requirements;
  supply::RequirementSpan requirement_span;  ///< points into requirements
  std::string state_description;  ///< the load and voltage of the open-PEN states: the worst corner
  std::optional<supply::OpenPenState> state_without_electrode;
  std::vector<CandidateResult> candidates;
  BreakComparison breaks;
  std::optional<std::size_t> governing_candidate;  ///< the one the verdict speaks of
  std::optional<FloorResult> floor;
  std::optional<routes::TtCheck> tt;
  std::optional<routes::TtFault> tt_fault;  ///< over the whole interval of R_A
  std::vector<routes::MethodRecord> methods;
  RoutesResult routes;
  std::optional<BlindRegion>
      blind_region;  ///< three phases only: on one no load hides a raised MET from the device
  std::optional<SoundingCurve> sounding_curve;
  std::optional<SectionBand> section_band;
  std::optional<ResistanceCurve> resistance_curve;
  std::optional<VoltageCurve> voltage_curve;
  std::optional<LeakageCurve> leakage_curve;
  std::optional<Surroundings> surroundings;
  std::optional<NearbyFinding> nearby;
  std::optional<VehicleTouch> vehicle_touch;
  std::optional<HeatingResult> heating;
  std::optional<SeparationResult> separation;

  Verdict verdict = Verdict::undecided;
  std::string headline;                ///< the verdict in words that a client understands
  std::string rests_on;                ///< the number it rests on, limit and margin
  std::vector<std::string> holds_for;  ///< break, load model, edition
  std::vector<std::string> assumptions;
  std::vector<std::string> voided_by;   ///< standing conditions
  std::vector<std::string> next_steps;  ///< cheapest measurement that would decide
  std::vector<std::string> cautions;
  std::vector<Diagnostic> warnings;

  StudyResult() = default;
  StudyResult(const StudyResult&) = delete;  // requirement_span points into requirements
  StudyResult& operator=(const StudyResult&) = delete;
  StudyResult(StudyResult&&) = default;
  StudyResult& operator=(StudyResult&&) = default;
};

/// 0 feasible, 1 not feasible, 2 cannot be decided.
[[nodiscard]] int exit_code(Verdict verdict);

}  // namespace ohmroot::study

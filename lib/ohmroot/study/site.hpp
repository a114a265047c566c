// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/parts.hpp>
#include <ohmroot/design/polygon.hpp>
#include <ohmroot/design/site_plan.hpp>
#include <ohmroot/earth/layers.hpp>
#include <ohmroot/electrode/nearby_metal.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/routes/arms_reach.hpp>
#include <ohmroot/routes/pme_metal.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/study/route_facts.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/requirement.hpp>
#include <ohmroot/text/fields.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace ohmroot::study {

/// Interval of a dimensionless factor.
struct FactorInterval {
  double least_ratio = 1.0;
  double greatest_ratio = 1.0;
  std::string basis;
};

/// Readings files, already read; the soil is fitted to them.
struct SoilFromReadings {
  std::vector<std::string> file;                      ///< as named in the site file
  std::vector<sounding::FieldSheet> sheet;            ///< one per file
  std::vector<sounding::DrivenRodReading> rods = {};  ///< of driven rods, joined with them
};

/// Layers stated by the user, each resistivity as an interval.
struct StatedLayer {
  double least_resistivity_ohm_m;
  double greatest_resistivity_ohm_m;
  double thickness_m;  ///< infinity for the last
};
struct SoilFromLayers {
  std::vector<StatedLayer> layers;
  std::string basis;
};

/// One rod's measured resistance; uniform soil is all that it can tell.
struct SoilFromRod {
  electrode::Rod rod;
  double resistance_ohm;
  double relative_error_ratio = 0.05;
};

/// A word for the soil, with its published range.
struct SoilFromWord {
  std::string word;
};

/// An electrode already in the ground and measured.
struct MeasuredElectrode {
  std::string name;
  double resistance_ohm;
  double relative_error_ratio = 0.1;
  std::string method;
  std::string date;
  bool was_pme_disconnected = false;
};

using SoilSource = std::variant<SoilFromReadings, SoilFromLayers, SoilFromRod, SoilFromWord>;

/// What the soil at the electrode does with heat; defaults are judgement, as the keys say.
struct SoilWarmth {
  double thermal_conductivity_w_per_m_k = 0.83;
  double heat_capacity_j_per_m3_k = 2e6;
  double ground_degc = 15.0;
  double drying_degc = 50.0;
  bool is_stated = false;  ///< conductivity and capacity both stated
};

/// Land on which new metal may go: a polygon (metres, any origin) and the depth that can be driven.
using LandCorner = design::PlanPoint;
struct Land {
  design::Polygon corners;
  double drivable_depth_m = 0.0;
};

/// Where the PEN is broken in the case the verdict is asked for.
enum class BreakPosition { unstated, own_service, shared_service, distribution_main };

/// A path from the MET to earth besides the candidate electrode.
struct OtherEarthPath {
  std::string name;
  double resistance_ohm;
  bool is_relied_on = false;
  std::string basis;
};

/// What else hangs on the PEN when it breaks up the street, as far as it is known.
struct Street {
  std::string basis;                        ///< who stated it, from what
  std::vector<supply::Load> loads;          ///< of the other customers; phase 1 is that of a one-phase site
  std::vector<OtherEarthPath> earth_paths;  ///< other customers' and the network's, beyond the break
};

struct Candidate {
  std::string name;
  electrode::Shape shape;
  std::optional<electrode::SurfacePlace> at = {};  ///< of its first rod, start or corner in the site's plan
  std::optional<electrode::SurfacePlace> direction_to = {};  ///< absent: along x
};

/// Metal in the ground on the PME earth, as somebody stated it; what a kind does not need is 0.
struct StatedMetal {
  std::string name;
  routes::MetalKind kind;
  std::vector<electrode::SurfacePlace>
      places;               ///< rod: 1; tape, plate: ends of the middle line; pipe: corners
  double length_m = 0.0;    ///< rod
  double diameter_m = 0.0;  ///< rod, pipe
  double width_m = 0.0;     ///< tape, plate
  double depth_m = 0.0;     ///< tape, plate, pipe
  bool is_upright = false;  ///< plate
};
/// Metal in the ground near the electrode, and how it is connected while the PEN is open.
struct StatedNeighbour {
  StatedMetal metal;
  electrode::Connection connection;
};
/// The rectangle in which a vehicle can stand.
struct StatedParking {
  electrode::SurfacePlace from;  ///< ends of its middle line
  electrode::SurfacePlace to;
  double width_m = 0.0;
  double feet_reach_m = 1.0;
  double arms_reach_m = 2.5;
};
/// Where an electrode for TT would go.
struct TtPlace {
  electrode::SurfacePlace at;
  std::optional<electrode::SurfacePlace> direction_to;  ///< absent: along x
  std::string candidate;                                ///< whose shape it has; empty: the first
};
/// What tells of the separation of a TT system from the PME earth, and of metal near the electrode. All in one plan.
struct SeparationFacts {
  std::vector<StatedMetal> pme_metal;
  std::vector<StatedNeighbour> nearby_metal;
  std::vector<routes::MetalAbove> metal_above;
  std::optional<StatedParking> parking;
  std::optional<TtPlace> tt_electrode;
};

/// Rods stop, all at one depth, evenly spread over the interval.
struct RodRefusal {
  text::Interval depth_m;
  double chance_ratio;
  std::string basis;  ///< source, or judgement
};

/// Ground frozen in winter: depth evenly spread, ratio of resistivities evenly in its logarithm.
struct Frost {
  text::Interval depth_m;
  text::Interval ratio;  // unit: none
  std::string basis;
};

/// What rods, and the width of tape, lose over the design life, evenly spread.
struct Corrosion {
  text::Interval loss_m;
  int life_years;
  std::string basis;
};

/// What the ground does to the metal; what is not stated does not happen, which the result says.
struct GroundEvents {
  std::optional<RodRefusal> refusal;
  std::optional<Frost> frost;
  std::optional<Corrosion> corrosion;
};

/// What 'design' needs besides the study: where metal may not go, what it is made of, and its prices.
struct DesignBrief {
  std::vector<design::KeepOut> keep_outs;
  double grid_step_m = 1.0;
  double boundary_clearance_m = 0.3;
  std::optional<design::PlanPoint> met;
  double confidence_ratio = 0.95;
  std::optional<double> lead_run_m;  ///< how far the leads of a test can be run; absent: not known
  design::Parts parts;
  design::Prices prices;
  GroundEvents ground;
};

struct Site {
  std::string reference;
  std::string title;
  bool is_invented = false;  ///< demo data: the report says so on every page
  std::string jurisdiction = "GB";
  std::string edition;
  std::optional<SoilSource> soil;
  SoilWarmth warmth;
  std::optional<MeasuredElectrode> measured;
  std::optional<Land> land;
  supply::Supply supply;
  std::vector<supply::Load> loads;
  std::string month_of_measurement;
  std::optional<FactorInterval> season;  ///< absent: at most 'cannot be decided'
  std::vector<OtherEarthPath> other_paths;
  double earthing_conductor_ohm = 0.0;
  double limit_v = 70.0;
  std::string limit_basis;
  double tt_limit_v = 50.0;
  std::string tt_limit_basis;
  BreakPosition break_position = BreakPosition::unstated;
  std::string break_reason;
  std::optional<Street> street;  ///< absent: nothing is known of the street
  std::vector<Candidate> candidates;
  SeparationFacts separation;
  RouteFacts routes;
  std::optional<DesignBrief> design;
  std::uint64_t seed = 1;
};

}  // namespace ohmroot::study

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/estimate.hpp>
#include <ohmroot/electrode/floor.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/study/result.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::study {

/// Earthing arrangement as found at the origin.
enum class Earthing {
  tt,                    ///< electrode of the installation's own, no earth from the supply
  tn_s_own_transformer,  ///< separate earth from the user's own transformer
  tn_s_private_network,  ///< private network, separate earth proved throughout
  tn_s_distributor,      ///< separate earth provided by the distributor: treated as PME
  tn_c_s,                ///< PME
  unknown                ///< treated as PME
};

enum class Answer { yes, no, unknown };

/// The five facts, each but the first allowed to be unknown.
struct DeskFacts {
  Earthing earthing = Earthing::unknown;
  Answer is_looped = Answer::unknown;  ///< does the service feed a neighbour too?
  std::optional<int> phase_count;      ///< 1 or 3
  std::optional<double> demand_a;      ///< greatest current of one phase at nominal voltage, vehicle included
  std::optional<std::string> soil_word;
  std::optional<SoilFromRod> rod_reading;
  std::optional<double> land_length_m;
  std::optional<double> land_width_m;
  std::optional<double> depth_m;        ///< that can be driven
  electrode::Rod test_rod{1.2, 0.016};  ///< the rod of the go / no-go reading, unless one was measured
  double rod_diameter_m = 0.016;        ///< of the rods in the largest arrangement
  supply::Supply supply;                ///< voltages
  double limit_v = 70.0;
};

/// Requirement for one demand: three load models and the rules' expression.
struct DeskRequirement {
  double demand_a = 0.0;
  std::vector<supply::Requirement> by_model;
};

/// The largest arrangement on this land: rods of the reachable depth round the boundary, one depth apart.
struct LargestArrangement {
  electrode::Rod rod;
  electrode::ReachableVolume volume;
  int rod_count = 0;
  double spacing_m = 0.0;
  double group_factor_ratio = 0.0;           ///< lambda
  double factor_per_m = 0.0;                 ///< resistance per ohm m of uniform soil, by the formula
  std::optional<double> field_factor_per_m;  ///< the same by the field solution, each rod where it stands
  std::string field_refusal;                 ///< why there is none
  std::string basis;
};

struct DeskAnswer {
  std::optional<std::string> early_exit;  ///< why no electrode question arises, or why it cannot be put
  Verdict verdict = Verdict::undecided;
  std::string headline;
  std::string why;
  std::vector<DeskRequirement> requirements;  ///< one, or several usual ones if the demand is unknown
  double strictest_ohm = 0.0;
  double most_lenient_ohm = 0.0;
  std::optional<LargestArrangement> arrangement;
  std::optional<electrode::ReachableVolume> volume;
  double floor_factor_per_m = 0.0;         ///< half-ellipsoid, resistance per ohm m: by hand
  double block_floor_factor_per_m = 0.0;   ///< the volume as solid metal, its lower bound: by field solution
  std::optional<double> break_even_ohm_m;  ///< below it the largest arrangement meets the strictest limit
  std::optional<double> no_go_ohm_m;       ///< above it the floor of the block passes the most lenient limit
  std::optional<double> ellipsoid_no_go_ohm_m;      ///< the same by the half-ellipsoid
  std::optional<double> separate_rods_no_go_ohm_m;  ///< above it that many such rods fail even far apart
  std::optional<double> go_reading_ohm;             ///< break-even, as a reading of the test rod
  std::optional<double> no_go_reading_ohm;          ///< no-go, as a reading of the test rod
  electrode::Rod test_rod{1.2, 0.016};
  std::optional<Estimate> soil_ohm_m;       ///< from the word or the rod, with its source
  std::optional<Estimate> arrangement_ohm;  ///< largest arrangement in that soil
  std::optional<Estimate> floor_ohm;        ///< floor in that soil
  std::optional<int> least_rods_bound;      ///< rods like the measured one, even infinitely far apart
  Evidence evidence = Evidence::none;
  std::vector<std::string> measure_next;  ///< what, where the stakes go, lead length, land needed
  std::vector<std::string> ask_distributor;
  std::vector<std::string> assumptions;
  std::vector<std::string> cautions;
};

/// First answer at the desk, by published formulas and uniform soil. A soil word can never yield
/// 'feasible'. Throws DomainError for a fact out of its range (land, depth, demand, rod not positive).
[[nodiscard]] DeskAnswer desk_answer(const DeskFacts& facts);

[[nodiscard]] std::string_view earthing_word(Earthing earthing);
[[nodiscard]] std::optional<Earthing> earthing_from_word(std::string_view word);
[[nodiscard]] std::vector<std::string_view> earthing_words();

}  // namespace ohmroot::study

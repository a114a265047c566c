// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/electrode/block_floor.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/study/desk.hpp>
#include <ohmroot/study/detail/largest_arrangement.hpp>
#include <ohmroot/study/rules.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::study {
namespace {

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}
std::string ohm_metres(double value_ohm_m) {
  return format_quantity(value_ohm_m, Dimension::resistivity, 2);
}
std::string metres(double value_m) {
  return format_given(value_m, Dimension::length);
}

struct EarthingWord {
  Earthing earthing;
  std::string_view word;
};
constexpr std::array<EarthingWord, 6> earthing_table{
    {{Earthing::tt, "tt"},
     {Earthing::tn_s_own_transformer, "tn-s-own-transformer"},
     {Earthing::tn_s_private_network, "tn-s-private-network"},
     {Earthing::tn_s_distributor, "tn-s"},
     {Earthing::tn_c_s, "tn-c-s"},
     {Earthing::unknown, "unknown"}}};

/// The answer of the earthing arrangement alone, where it settles the matter.
std::optional<std::string> exit_by_earthing(Earthing earthing) {
  switch (earthing) {
  case Earthing::tt:
    return "The installation is already TT: its MET is not joined to the supply's PEN, so a broken PEN does "
           "not lift "
           "it. Check the electrode against the RCD (R_A times I_dn at most 50 V) and the separation from "
           "PME "
           "metalwork instead.";
  case Earthing::tn_s_own_transformer:
    return "Separate earth from the user's own transformer: there is no PEN to break upstream of this "
           "installation. "
           "Confirm on the transformer's drawings that neutral and earth are joined there and nowhere after "
           "it.";
  case Earthing::tn_s_private_network:
    return "Private network with a separate earth proved throughout: there is no PEN to break. Keep the "
           "proof with "
           "the record; one combined section anywhere upstream would void it.";
  case Earthing::tn_s_distributor:
  case Earthing::tn_c_s:
  case Earthing::unknown:
    return std::nullopt;
  }
  return std::nullopt;
}

void require_facts(const DeskFacts& facts) {
  const auto positive = [](std::string_view name, const std::optional<double>& value, std::string_view unit) {
    if (value) require_positive(name, *value, unit);
  };
  positive("demand_a", facts.demand_a, "A");
  positive("land_length_m", facts.land_length_m, "m");
  positive("land_width_m", facts.land_width_m, "m");
  positive("depth_m", facts.depth_m, "m");
  if (facts.phase_count && *facts.phase_count != 1 && *facts.phase_count != 3) {
    throw DomainError("phase_count", *facts.phase_count, "", "1 or 3");
  }
  if (facts.soil_word && facts.rod_reading) {
    throw DomainError("soil", "given twice", "a soil word or a rod's reading, not both");
  }
}

/// Demands shown when it is unknown: a 7 kW charge point alone, and usual single-phase supply ratings.
constexpr std::array<double, 4> usual_demands_a{32.0, 60.0, 80.0, 100.0};

std::vector<DeskRequirement> desk_requirements(const DeskFacts& facts) {
  std::vector<double> demands_a(usual_demands_a.begin(), usual_demands_a.end());
  if (facts.demand_a) demands_a = {*facts.demand_a};
  std::vector<DeskRequirement> rows;
  for (const double demand_a : demands_a) {
    supply::RequirementQuestion question;
    question.supply = facts.supply;
    question.supply.phase_count =
        1;  // with loads between 0 and their greatest, the largest phase alone is worst
    question.limit_v = facts.limit_v;
    supply::Load load;
    load.name = "demand";
    load.greatest_current_a = demand_a;
    question.loads = {load};
    rows.push_back({demand_a, supply::requirements(question)});
  }
  return rows;
}

std::optional<Estimate> desk_soil(const DeskFacts& facts, DeskAnswer& answer) {
  if (facts.soil_word) {
    const earth::SoilWord* word = earth::find_soil_word(*facts.soil_word);
    if (word == nullptr) throw DomainError("soil_word", *facts.soil_word, "a word of the list");
    answer.evidence = Evidence::soil_word;
    return Estimate{
        std::sqrt(word->least_resistivity_ohm_m * word->greatest_resistivity_ohm_m),
        word->least_resistivity_ohm_m, word->greatest_resistivity_ohm_m,
        fmt::format("published range for '{}': {}; the whole range, not 90 %", word->word, word->source)};
  }
  if (facts.rod_reading) {
    const SoilFromRod& reading = *facts.rod_reading;
    const electrode::FormulaResult rod = electrode::default_formula(reading.rod);
    const double value_ohm_m = reading.resistance_ohm / rod.geometry_factor_per_m;
    const double spread_ratio = end_ratio_of(reading.relative_error_ratio);
    answer.evidence = Evidence::one_rod;
    return Estimate{value_ohm_m, value_ohm_m / spread_ratio / rod.formula->greatest_truth_ratio,
                    value_ohm_m * spread_ratio / rod.formula->least_truth_ratio,
                    fmt::format("one rod {} x {} at {}, uniform soil assumed, formula: {}",
                                metres(reading.rod.length_m), metres(reading.rod.diameter_m),
                                ohms(reading.resistance_ohm), rod.formula->title)};
  }
  return std::nullopt;
}

/// The largest arrangement in the soil as known: one rod's reading leaves two layers open, a word a range.
Estimate arrangement_in_soil(const DeskFacts& facts, const DeskAnswer& answer) {
  if (facts.rod_reading) {
    if (const auto spread = detail::arrangement_spread(*answer.arrangement, *facts.rod_reading))
      return *spread;
  }
  return scaled(*answer.soil_ohm_m, answer.arrangement->factor_per_m, answer.arrangement->basis);
}

/// Verdict by the evidence ladder: a word decides nothing; one rod can rule out its like, and be enough itself.
void judge(const DeskFacts& facts, DeskAnswer& answer) {
  answer.verdict = Verdict::undecided;
  if (!facts.rod_reading) {
    answer.headline = "Cannot be decided at the desk: ";
    answer.headline += facts.soil_word ? "a word for the soil settles nothing, a measurement is needed."
                                       : "nothing is known of the soil yet.";
    return;
  }
  const double reading_ohm = facts.rod_reading->resistance_ohm;
  const double spread_ratio = end_ratio_of(facts.rod_reading->relative_error_ratio);
  if (facts.demand_a && reading_ohm * spread_ratio < answer.strictest_ohm) {
    answer.headline = "This one rod alone is below the strictest limit on the day it was measured.";
    answer.why = fmt::format(
        "{} measured (up to {} with its error) against {}. A season factor, the break position and "
        "the load models' basis are still open: run 'ohmroot study'.",
        ohms(reading_ohm), ohms(reading_ohm * spread_ratio), ohms(answer.strictest_ohm));
    return;
  }
  if (facts.demand_a && answer.arrangement && answer.least_rods_bound) {
    const electrode::Rod& rod = facts.rod_reading->rod;
    const int held_count = detail::rods_round(*answer.volume, rod.length_m);
    const std::string proof = fmt::format(
        "At least {} such rods would be needed even infinitely far apart (conductances of separate "
        "electrodes add at most); the boundary holds {} of them one length apart.",
        *answer.least_rods_bound, held_count);
    const bool is_ruled_out = *answer.least_rods_bound > held_count;
    // A rod shorter than the reach says nothing of what stands deeper.
    if (is_ruled_out && rod.length_m >= 0.95 * answer.volume->depth_m) {
      answer.verdict = Verdict::not_feasible;
      answer.headline =
          "Not feasible with rods of the reachable depth round this land, if each reads like this one.";
      answer.why = proof + " Another kind of electrode is not ruled out by this.";
      return;
    }
    if (is_ruled_out)
      answer.why = proof + " Deeper rods are not ruled out by this: drive one to the reachable depth.";
  }
  answer.headline =
      "Cannot be decided from one rod: its reading lies between go and no-go, or a fact is missing.";
}

void explain_measurement(const DeskFacts& facts, DeskAnswer& answer) {
  const double depth_m = facts.depth_m.value_or(3.0);
  const double diagonal_m =
      facts.land_length_m && facts.land_width_m ? std::hypot(*facts.land_length_m, *facts.land_width_m) : 0.0;
  // The median depth of a Wenner reading is 0.519 a, so a spacing of depth / 0.52 looks as deep as the rods go.
  const double greatest_a_m = std::ceil(std::max(depth_m / 0.52, diagonal_m));
  answer.measure_next.push_back(
      fmt::format("Drive one test rod {} x {} and read its resistance, joined to nothing (fall of potential, "
                  "current stake about "
                  "{} away): 15 minutes, leads of {} and {}.",
                  metres(answer.test_rod.length_m), metres(answer.test_rod.diameter_m),
                  metres(10 * answer.test_rod.length_m), metres(10 * answer.test_rod.length_m),
                  metres(6.2 * answer.test_rod.length_m)));
  answer.measure_next.push_back(fmt::format("Four-pole readings (Wenner) at spacings from 0.5 m to {}, ratio "
                                            "1.5, on two lines at right angles: a straight "
                                            "run of {} at the widest, two leads of {} and two of {}, about "
                                            "an hour. Off the land if it is longer than the "
                                            "land is (the road verge, a neighbour's field).",
                                            metres(greatest_a_m), metres(3 * greatest_a_m),
                                            metres(1.5 * greatest_a_m), metres(0.5 * greatest_a_m)));
  answer.measure_next.emplace_back("The demand as it really is: a week of logged current per phase, vehicle "
                                   "included, or the charge point's "
                                   "setting with its load management.");
}

void explain_distributor(const DeskFacts& facts, DeskAnswer& answer) {
  if (facts.is_looped != Answer::no) {
    answer.ask_distributor.emplace_back("Is the service looped to a neighbour? If so, a break in the shared "
                                        "part adds the neighbour's current to "
                                        "yours, and the answer on this page does not hold.");
  }
  if (facts.earthing == Earthing::unknown || facts.earthing == Earthing::tn_s_distributor) {
    answer.ask_distributor.emplace_back("What earthing does the distributor declare for this service? Until "
                                        "it is known to be otherwise, a separate "
                                        "earth provided by the distributor is treated as PME.");
  }
  answer.ask_distributor.emplace_back(
      "May an additional electrode be joined to the PME terminal here, and what size of earthing conductor "
      "is asked "
      "for? With the PEN broken upstream it becomes the neutral of whoever is beyond the break.");
  answer.ask_distributor.emplace_back(
      "What separation from PME metalwork in the ground does the distributor ask for, "
      "should TT be chosen?");
}

}  // namespace

std::string_view earthing_word(Earthing earthing) {
  for (const EarthingWord& row : earthing_table) {
    if (row.earthing == earthing) return row.word;
  }
  throw InternalError("an earthing arrangement without its word");
}

std::optional<Earthing> earthing_from_word(std::string_view word) {
  for (const EarthingWord& row : earthing_table) {
    if (row.word == word) return row.earthing;
  }
  return std::nullopt;
}

std::vector<std::string_view> earthing_words() {
  std::vector<std::string_view> words;
  for (const EarthingWord& row : earthing_table)
    words.push_back(row.word);
  return words;
}

DeskAnswer desk_answer(const DeskFacts& facts) {
  require_facts(facts);
  DeskAnswer answer;
  answer.cautions = cautions();
  answer.test_rod = facts.rod_reading ? facts.rod_reading->rod : facts.test_rod;
  if (auto exit = exit_by_earthing(facts.earthing)) {
    answer.early_exit = std::move(*exit);
    answer.verdict = Verdict::feasible;
    answer.headline = "No broken PEN can lift this installation: the electrode question does not arise.";
    return answer;
  }
  explain_distributor(facts, answer);
  if (facts.earthing != Earthing::tn_c_s) {
    answer.assumptions.push_back(
        facts.earthing == Earthing::unknown
            ? "Earthing arrangement unknown: treated as PME."
            : "Separate earth provided by a distributor: treated as PME, since it may be "
              "repaired or extended with combined sections.");
  }
  if (facts.is_looped == Answer::yes) {
    answer.early_exit =
        "Looped service: a break in the shared part adds the neighbour's current, which is not known "
        "here. Ask the distributor first; the rest of this page holds for a break in your own part "
        "only.";
  }
  if (facts.phase_count != 1) {
    answer.assumptions.emplace_back(
        facts.phase_count == 3
            ? "Three phases, each between nothing and the demand: the fully loaded phase alone is "
              "the worst case (unity power factor). An evidenced minimum load may ease it: 'ohmroot "
              "study'."
            : "Number of phases unknown: the demand is taken as that of one phase, which is the "
              "worst case for three.");
  }
  if (!facts.demand_a)
    answer.assumptions.emplace_back(
        "Demand unknown: shown for a 32 A charge point alone and for usual supply ratings.");
  answer.assumptions.emplace_back(
      "The PEN breaks in the customer's own service; no other path to earth is counted.");
  answer.assumptions.emplace_back(
      "Uniform soil, dry-season change not counted: in layers or in a drought the truth "
      "may lie well outside these numbers.");

  answer.requirements = desk_requirements(facts);
  // Without a demand the 32 A charge point alone is the mildest case, 100 A the hardest.
  answer.strictest_ohm = supply::span_of(answer.requirements.back().by_model).strictest->resistance_ohm;
  answer.most_lenient_ohm =
      supply::span_of(answer.requirements.front().by_model).most_lenient->resistance_ohm;

  answer.soil_ohm_m = desk_soil(facts, answer);
  if (facts.land_length_m && facts.land_width_m && facts.depth_m) {
    answer.arrangement = detail::largest_arrangement(
        {*facts.land_length_m, *facts.land_width_m, *facts.depth_m}, facts.rod_diameter_m);
    answer.volume = electrode::ReachableVolume{*facts.land_length_m, *facts.land_width_m, *facts.depth_m};
    answer.floor_factor_per_m = electrode::ellipsoid_floor_bound_per_m(*answer.volume);
    answer.break_even_ohm_m = answer.strictest_ohm / answer.arrangement->factor_per_m;
    answer.block_floor_factor_per_m =
        electrode::block_resistance(earth::LayeredSoil(1.0), *answer.volume).lower_bound_ohm;
    answer.no_go_ohm_m = answer.most_lenient_ohm / answer.block_floor_factor_per_m;
    answer.ellipsoid_no_go_ohm_m = answer.most_lenient_ohm / answer.floor_factor_per_m;
    answer.separate_rods_no_go_ohm_m =
        answer.most_lenient_ohm * answer.arrangement->rod_count /
        electrode::default_formula(answer.arrangement->rod).geometry_factor_per_m;
    const double rod_factor_per_m = electrode::default_formula(answer.test_rod).geometry_factor_per_m;
    answer.go_reading_ohm = *answer.break_even_ohm_m * rod_factor_per_m;
    answer.no_go_reading_ohm = *answer.no_go_ohm_m * rod_factor_per_m;
    if (answer.soil_ohm_m) {
      answer.arrangement_ohm = arrangement_in_soil(facts, answer);
      answer.floor_ohm = scaled(*answer.soil_ohm_m, answer.block_floor_factor_per_m,
                                "land and depth as one solid block of metal, lower bound, uniform soil");
    }
  }
  if (facts.rod_reading) {
    answer.least_rods_bound =
        electrode::least_count_bound({facts.rod_reading->resistance_ohm, answer.most_lenient_ohm});
  }
  explain_measurement(facts, answer);
  judge(facts, answer);
  if (facts.is_looped == Answer::yes) {
    answer.verdict = Verdict::undecided;
    answer.headline = "Cannot be decided: the service is looped. Ask the distributor.";
  }
  if (answer.why.empty() && answer.break_even_ohm_m) {
    answer.why = fmt::format("The largest arrangement ({} rods of {} round the boundary) meets the strictest "
                             "limit ({}) in uniform soil "
                             "below {}; above {} no electrode inside this land and depth can meet even the "
                             "most lenient limit ({}). Between "
                             "the two the desk cannot tell.",
                             answer.arrangement->rod_count, metres(answer.arrangement->rod.length_m),
                             ohms(answer.strictest_ohm), ohm_metres(*answer.break_even_ohm_m),
                             ohm_metres(*answer.no_go_ohm_m), ohms(answer.most_lenient_ohm));
  }
  return answer;
}

}  // namespace ohmroot::study

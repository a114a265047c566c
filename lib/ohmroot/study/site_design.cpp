// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/design/worst_season.hpp>
#include <ohmroot/electrode/field_solution.hpp>
#include <ohmroot/routes/methods.hpp>
#include <ohmroot/routes/route_price.hpp>
#include <ohmroot/routes/tt.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/detail/design_over_time.hpp>
#include <ohmroot/study/detail/drawn_soils.hpp>
#include <ohmroot/study/detail/ground_events.hpp>
#include <ohmroot/study/detail/soil_evidence.hpp>
#include <ohmroot/study/detail/surroundings.hpp>
#include <ohmroot/study/detail/testability.hpp>
#include <ohmroot/study/governing_load.hpp>
#include <ohmroot/study/site_design.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <utility>

namespace ohmroot::study {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

std::string ohms(double value_ohm) {
  return std::isfinite(value_ohm) ? format_quantity(value_ohm, Dimension::resistance) : "any resistance";
}

design::GroundDraws ground_draws(const Site& site, const SoilPicture& picture, std::size_t count) {
  std::mt19937_64 engine(site.seed);
  detail::EventEngines events(site.seed);
  const bool is_known = std::holds_alternative<SoilFromLayers>(*site.soil) ||
                        std::holds_alternative<SoilFromReadings>(*site.soil);
  if (!is_known)
    throw DomainError(
        "soil", "one rod or a word",
        "readings or stated layers: without them there are no states of the ground to design for");
  std::vector<earth::LayeredSoil> soils = detail::drawn_soils(engine, site, picture, count);
  design::GroundDraws draws;
  for (earth::LayeredSoil& soil : soils) {
    draws.push_back({std::move(soil),
                     detail::drawn(engine, site.season->least_ratio, site.season->greatest_ratio),
                     std::min(1.0, site.season->least_ratio)});
    detail::draw_events(events, site.design->ground, draws.back());
  }
  return draws;
}

/// Strictest and most lenient requirement; none_needed is infinite, none_suffices 0.
struct RequirementEnds {
  double strictest_ohm;
  double lenient_ohm;
  bool has_uncovered;
};

RequirementEnds requirement_ends(const Site& site, const std::vector<supply::Load>& loads) {
  const std::vector<supply::Requirement> all = supply::requirements({site.supply, loads, site.limit_v});
  const supply::RequirementSpan span = supply::span_of(all);
  const auto ohm = [](const supply::Requirement* requirement) {
    if (requirement == nullptr || requirement->outcome == supply::RequirementOutcome::none_suffices)
      return 0.0;
    return requirement->outcome == supply::RequirementOutcome::none_needed ? infinite
                                                                           : requirement->resistance_ohm;
  };
  return {ohm(span.strictest), ohm(span.most_lenient), span.has_uncovered};
}

/// Largest whole-ampere setting of the charge points that an electrode of that resistance allows.
std::optional<std::string> charge_point_change(const Site& site, double best_ohm) {
  const bool has_one = std::any_of(site.loads.begin(), site.loads.end(), [](const supply::Load& load) {
    return load.charge_point == supply::ChargePoint::alone;
  });
  if (!has_one) return std::nullopt;
  constexpr int greatest_a = 80;
  for (int setting_a = greatest_a; setting_a >= 0; --setting_a) {
    std::vector<supply::Load> loads = site.loads;
    bool is_lowered = false;
    for (supply::Load& load : loads) {
      if (load.charge_point != supply::ChargePoint::alone || load.greatest_current_a <= setting_a) continue;
      is_lowered = true;
      load.greatest_current_a = setting_a;
      load.least_current_a = std::min(load.least_current_a, load.greatest_current_a);
      load.current_ceiling_a = std::min(load.current_ceiling_a, static_cast<double>(setting_a));
    }
    if (!is_lowered) continue;
    std::erase_if(loads, [](const supply::Load& load) { return load.greatest_current_a == 0.0; });
    if (loads.empty() || requirement_ends(site, loads).strictest_ohm >= best_ohm)
      return fmt::format("Charge point: the best electrode found ({}) allows a setting of {} A and no more.",
                         ohms(best_ohm), setting_a);
  }
  return fmt::format(
      "Charge point: with the best electrode found ({}) no setting is low enough; the other loads "
      "alone ask for less.",
      ohms(best_ohm));
}

/// What would be required of the electrode if the loads of one phase were spread over three.
std::optional<std::string> three_phase_change(Site site, double best_ohm) {
  if (site.supply.phase_count != 1 || site.loads.empty()) return std::nullopt;
  constexpr int phase_count = 3;
  std::vector<supply::Load> spread;
  for (const supply::Load& load : site.loads) {
    for (int phase = 1; phase <= phase_count; ++phase) {
      spread.push_back(load);
      spread.back().phase = phase;
      spread.back().least_current_a = 0.0;  // nothing is known of a minimum there
      spread.back().minimum_basis.clear();
      spread.back().greatest_current_a /= phase_count;
      spread.back().current_ceiling_a /= phase_count;
    }
  }
  site.supply.phase_count = phase_count;
  const double required_ohm = requirement_ends(site, spread).strictest_ohm;
  if (!(required_ohm > 0.0)) return std::nullopt;
  if (std::isinf(required_ohm))
    return std::string("Three-phase supply, every load spread over it evenly: no electrode is needed.");
  return fmt::format(
      "Three-phase supply, every load spread over it evenly: {} is required, the worst phase drawing "
      "alone; the best electrode found ({}) {}.",
      ohms(required_ohm), ohms(best_ohm), required_ohm >= best_ohm ? "would do" : "would not do");
}

/// How much deeper, or how much more land both ways, before the closed-form floor no longer forbids it in the
/// middle state of the ground. Necessary, not sufficient.
std::vector<std::string> volume_changes(const DesignResult& result) {
  const electrode::ReachableVolume volume = design::reachable_volume(result.question.plan);
  const double conductor_ohm = result.question.goal.conductor_ohm;
  const double needed_ratio = (result.question.goal.required_ohm - conductor_ohm) /
                              (result.proof.ellipsoid.middle_ohm - conductor_ohm);
  if (!(needed_ratio > 0 && needed_ratio < 1)) return {};
  const double now_per_m = electrode::ellipsoid_floor_bound_per_m(volume);
  std::vector<std::string> changes;
  // The floor of a body scaled all ways goes with 1/scale.
  changes.push_back(fmt::format("Land and depth together: at least {} times as large each way.",
                                format_number(1 / needed_ratio)));
  constexpr double greatest_depth_m = 1000;
  const auto floor_ratio = [&](double depth_m) {
    return electrode::ellipsoid_floor_bound_per_m({volume.length_m, volume.width_m, depth_m}) / now_per_m;
  };
  if (floor_ratio(greatest_depth_m) < needed_ratio) {
    double least_m = volume.depth_m, most_m = greatest_depth_m;
    while (most_m - least_m > 0.01) {
      const double middle_m = (least_m + most_m) / 2;
      (floor_ratio(middle_m) > needed_ratio ? least_m : most_m) = middle_m;
    }
    changes.push_back(
        fmt::format("Deeper drive: at least {} on this land.", format_quantity(most_m, Dimension::length)));
  }
  return changes;
}

/// Of the ground that is neither hard nor easy for this arrangement: the draw with the middle resistance of a few.
const earth::LayeredSoil& middle_soil(const design::Question& question, const electrode::Electrode& metal) {
  constexpr std::size_t draw_count = 11;
  const std::size_t step = (question.draws.size() + draw_count - 1) / draw_count;
  std::vector<std::pair<double, const earth::LayeredSoil*>> soils;
  for (std::size_t i = 0; i < question.draws.size(); i += step)
    soils.emplace_back(electrode::solve_field(question.draws[i].soil, {metal}).resistance_ohm(0, 0),
                       &question.draws[i].soil);
  const auto middle = soils.begin() + static_cast<std::ptrdiff_t>(soils.size() / 2);
  std::nth_element(soils.begin(), middle, soils.end());
  return *middle->second;
}

void add_surface(DesignResult& result, const electrode::Electrode& metal, const earth::LayeredSoil& soil) {
  const design::Polygon& land = result.question.plan.land;
  detail::PlanWindow window{land[0].x_m, land[0].x_m, land[0].y_m, land[0].y_m};
  for (const design::PlanPoint& corner : land) {
    window.x_from_m = std::min(window.x_from_m, corner.x_m);
    window.x_to_m = std::max(window.x_to_m, corner.x_m);
    window.y_from_m = std::min(window.y_from_m, corner.y_m);
    window.y_to_m = std::max(window.y_to_m, corner.y_m);
  }
  const double margin_m = 0.15 * std::max(window.x_to_m - window.x_from_m, window.y_to_m - window.y_from_m);
  window = {window.x_from_m - margin_m, window.x_to_m + margin_m, window.y_from_m - margin_m,
            window.y_to_m + margin_m};
  result.surface = detail::surface_shares(metal, soil, window);
}

/// What is seen in the middle state of the ground, of the design or else of the lowest found.
void add_middle_state(const Site& site, DesignResult& result) {
  const std::optional<design::Design>& shown = result.search.best ? result.search.best : result.search.lowest;
  if (!shown) return;
  const electrode::Electrode metal = design::metal_of(shown->arrangement, result.question.parts);
  try {
    const earth::LayeredSoil& soil = middle_soil(result.question, metal);
    add_surface(result, metal, soil);
    result.over_time = detail::over_time_of(site, result, soil);
  } catch (const DomainError& refused) {
    result.assumptions.push_back(fmt::format(
        "Potentials on the plan, heating, touch and step voltage are not told: the field solution "
        "refuses ({}).",
        refused.what()));
  }
}

void conclude(const Site& site, DesignResult& result) {
  const double required_ohm = result.question.goal.required_ohm;
  const design::SearchResult& search = result.search;
  const bool may_accept = detail::may_accept(result.evidence);
  if (search.best) {
    result.testability =
        detail::testability_of(search.best->arrangement, result.question, site.design->lead_run_m);
    for (const design::Design& other : search.others)
      result.others_testability.push_back(
          detail::testability_of(other.arrangement, result.question, site.design->lead_run_m).sentence);
    const bool is_provable = result.testability->can_be_tested;
    result.verdict = may_accept && is_provable ? Verdict::feasible : Verdict::undecided;
    result.headline =
        fmt::format("{}: {} {}; at most {} in the worst season with {} % planning confidence, where {} is "
                    "required. Only the "
                    "test of the finished electrode settles it.{}{}",
                    design::describe(search.best->arrangement, result.question.parts),
                    result.question.prices.currency, format_number(search.best->cost, 4),
                    ohms(search.check->value_ohm), format_number(100 * result.question.goal.confidence_ratio),
                    ohms(required_ohm), may_accept ? "" : " The soil data cannot carry 'feasible'.",
                    is_provable ? "" : " Without a test that can prove it, it is not called feasible.");
    return;
  }
  const double lowest_ohm = search.lowest ? search.lowest->value_ohm : infinite;
  if (result.proof.is_proved && detail::may_rule_out(result.evidence)) {
    result.verdict = Verdict::not_feasible;
    result.headline = fmt::format("Proved infeasible: {}", result.proof.sentence);
  } else {
    result.verdict = Verdict::undecided;
    result.headline =
        fmt::format("Not shown feasible, and not proved infeasible: the lowest found is {} ({}), {} is "
                    "required{}. {}",
                    ohms(lowest_ohm),
                    search.lowest ? design::describe(search.lowest->arrangement, result.question.parts) : "-",
                    ohms(required_ohm),
                    std::isfinite(result.lenient_ohm) ? ""
                                                      : "; the most lenient load model needs no electrode, "
                                                        "so that no floor can rule one out under every model",
                    result.proof.sentence);
  }
  if (search.lowest)
    for (auto change : {charge_point_change(site, lowest_ohm), three_phase_change(site, lowest_ohm)})
      if (change) result.changes.push_back(std::move(*change));
  for (std::string& change : volume_changes(result))
    result.changes.push_back(std::move(change));
}

/// What the test must show, and what the MET does in the states of the ground that the design was checked on.
void add_promises(const Site& site, DesignResult& result) {
  if (!result.search.best) return;
  const design::Goal& goal = result.question.goal;
  acceptance::Criterion criterion;
  criterion.strictest_ohm = goal.required_ohm;
  criterion.most_lenient_ohm = std::max(goal.required_ohm, result.lenient_ohm);
  criterion.earthing_conductor_ohm = goal.conductor_ohm;
  const design::Lasting lasting{site.season->greatest_ratio, goal.confidence_ratio};
  const double factor = design::worst_season_ratio(result.search.best->arrangement, result.question.parts,
                                                   result.question.draws, lasting);
  const bool has_events = factor != site.season->greatest_ratio;
  criterion.season = acceptance::Criterion::Season{
      site.season->least_ratio, std::max(factor, site.season->least_ratio),
      has_events ? site.season->basis + "; with frost and corrosion over the design life"
                 : site.season->basis};
  result.month_of_measurement = site.month_of_measurement;
  constexpr double greatest_factor = 20.0;  // beyond it no reading of one month says anything of another
  if (criterion.season->greatest_ratio <= greatest_factor)
    result.acceptance = acceptance::acceptance_value(criterion);
  const GoverningLoad governing =
      governing_load(site, supply::requirements({site.supply, site.loads, site.limit_v}));
  result.load_description = governing.description;
  for (const double worst_ohm : result.search.check->worst_season_ohm) {
    supply::OpenPenCircuit circuit = governing.circuit;
    circuit.earth_path_ohm = {worst_ohm};
    const supply::OpenPenState state = supply::open_pen_state(circuit);
    if (state.status == supply::OpenPenStatus::solved) result.met_v.push_back(std::abs(state.met_v));
  }
  std::sort(result.met_v.begin(), result.met_v.end());
}

/// The cheapest arrangement tried that would do as the electrode of a TT system: for an RCD of 30 mA, and stable.
const design::Design* cheapest_for_tt(const Site& site, const DesignResult& result) {
  for (const design::Design& design : result.search.front) {
    const routes::TtCheck check =
        routes::check_tt(exactly(design.value_ohm, "worst season"), site.tt_limit_v);
    if (check.is_stable && check.devices.front().is_met) return &design;
  }
  return nullptr;
}

/// By [design.prices]; a total only where they are in the currency of [route_prices].
std::optional<routes::RouteCost> electrode_cost(routes::Method method, const Site& site,
                                                const DesignResult& result) {
  const design::Design* electrode = method == routes::Method::tt_island ? cheapest_for_tt(site, result)
                                    : result.search.best                ? &*result.search.best
                                                                        : nullptr;
  if (electrode == nullptr) return std::nullopt;
  routes::RouteCost cost;
  cost.sentence = fmt::format("{}, {}, by [design.prices]",
                              design::describe(electrode->arrangement, result.question.parts),
                              ohms(electrode->value_ohm));
  if (site.routes.prices->currency == result.question.prices.currency)
    cost.total = electrode->cost;
  else
    cost.sentence += " in another currency";
  return cost;
}

/// By the site's [route_prices], the electrodes by [design.prices]. The supplementary electrode only where one is found.
std::vector<std::string> route_prices(const Site& site, const DesignResult& result) {
  if (!site.routes.prices)
    return {"The other permitted methods are not priced: the site file has no [route_prices]."};
  std::vector<std::string> sentences;
  for (const std::string_view word : routes::method_words()) {
    const routes::Method method = *routes::method_named(word);
    if (method == routes::Method::supplementary_electrode && !result.search.best) continue;
    sentences.push_back(fmt::format(
        "{}: {}", word,
        routes::cost_of(method, *site.routes.prices, electrode_cost(method, site, result)).sentence));
  }
  return sentences;
}

}  // namespace

DesignResult design_electrode(const Site& site, const DesignOptions& options) {
  if (!site.design) throw DomainError("design", "absent", "a [design] with parts and prices");
  if (!site.land) throw DomainError("land", "absent", "a [land] to place the electrode on");
  if (!site.season) throw DomainError("season", "absent", "a [season]: a design holds for the worst season");
  if (!site.soil) throw DomainError("soil", "absent", "readings or stated layers");
  const RequirementEnds ends = requirement_ends(site, site.loads);
  if (ends.has_uncovered || !(ends.strictest_ohm > 0 && std::isfinite(ends.strictest_ohm)))
    throw DomainError("loads",
                      ends.strictest_ohm == infinite ? "none needs an electrode" : "no resistance will do",
                      "loads that set a largest resistance; 'ohmroot pen' shows it");
  const DesignBrief& brief = *site.design;
  const SoilPicture picture = soil_picture(site);
  DesignResult result;
  result.evidence = picture.evidence;
  result.lenient_ohm = ends.lenient_ohm;
  result.question = {{site.land->corners, brief.keep_outs, site.land->drivable_depth_m, brief.grid_step_m,
                      brief.boundary_clearance_m, brief.met},
                     brief.parts,
                     brief.prices,
                     ground_draws(site, picture, options.draw_count),
                     {ends.strictest_ohm, brief.confidence_ratio, site.earthing_conductor_ohm}};
  design::SearchOptions search = options.search;
  search.test_cost = detail::test_cost_of(result.question, brief.lead_run_m);
  result.search = design::find_cheapest(result.question, search);
  const bool is_open = !result.search.best && std::isfinite(ends.lenient_ohm);
  const bool has_steel = brief.parts.steel.has_value();
  design::ProofQuestion question{design::reachable_volume(result.question.plan), result.question.draws,
                                 std::isfinite(ends.lenient_ohm) ? ends.lenient_ohm : ends.strictest_ohm,
                                 site.earthing_conductor_ohm};
  if (has_steel) question.beside_ohm = design::steel_ohm(brief.parts, question.draws);
  question.block_draw_count = is_open ? options.block_draw_count : 0;
  result.proof = design::prove_infeasible(question);
  if (!std::isfinite(ends.lenient_ohm)) result.proof.is_proved = false;
  result.assumptions = {
      "The break of the PEN is in the own service; loads beyond it are not in this requirement.",
      "Other earth paths are not counted: the electrode alone carries the requirement.",
      "The season's factor is spread evenly in its logarithm over its interval (judgement), the same for all "
      "rods.",
      "The floor concerns new metal inside the land and depth stated, not metal already there, unless it is "
      "named."};
  for (std::string& sentence : detail::event_sentences(brief.ground))
    result.assumptions.push_back(std::move(sentence));
  if (has_steel)
    result.assumptions.push_back("Existing steel is taken as joined throughout and in contact with damp "
                                 "ground through its concrete: prove "
                                 "its continuity, and ask who owns the building. Copper joined to steel in "
                                 "the ground corrodes steel that is "
                                 "not in concrete (common practice, no source).");
  conclude(site, result);
  add_promises(site, result);
  add_middle_state(site, result);
  result.route_prices = route_prices(site, result);
  return result;
}

}  // namespace ohmroot::study

// SPDX-License-Identifier: MIT
#include <ohmroot/routes/places.hpp>

#include <algorithm>
#include <string>

namespace ohmroot::routes {
namespace {

constexpr std::string_view from_memory = "from memory, not checked against the licensed text";
constexpr std::string_view practice = "common practice, no source";

std::vector<PlaceEffect> on(std::initializer_list<Method> methods, Support support) {
  std::vector<PlaceEffect> effects;
  for (const Method method : methods)
    effects.push_back({method, support});
  return effects;
}

/// Methods that leave the charge point on the supplier's earth.
std::vector<PlaceEffect> pme_methods(Support support) {
  return on({Method::three_phase_load, Method::supplementary_electrode, Method::probe_device,
             Method::line_to_neutral_device, Method::equivalent_device},
            support);
}

std::vector<PlaceRule> make_rules() {
  const auto undecided = Support::does_not_tell;
  const auto against = Support::contradicts;
  return {
      {Place::flats_or_car_park, "flats_or_car_park", "Is it a block of flats or a car park?",
       "steel frame, reinforcement and services of a shared building are bonded to the PME earth and run "
       "under the "
       "vehicle: separation for TT has to be shown, not assumed, and another electrode joins the building's "
       "own",
       practice, on({Method::tt_island}, undecided)},
      {Place::street_furniture, "street_furniture",
       "Are lamp posts or other street furniture near the vehicle?",
       "a lamp post or cabinet may stand on another PME earth of the street: within 2.5 m of where the "
       "vehicle can "
       "stand it carries the raised voltage to the hand",
       "arm's reach second-hand; the rest common practice", on({Method::tt_island}, undecided)},
      {Place::farm_or_livestock, "farm_or_livestock", "Are livestock kept near the electrode or the vehicle?",
       "animals bear far less than people, and the step voltage over an electrode is across their bodies: 25 "
       "V is asked "
       "for and step voltage has to be looked at; 70 V is no limit for them",
       "BS 7671 section 705, from memory",
       on({Method::three_phase_load, Method::supplementary_electrode, Method::tt_island}, undecided), true},
      {Place::construction_site, "construction_site", "Is it a construction or demolition site?",
       "the supplier's PME earth may not be used for the movable parts of a construction site",
       "BS 7671 section 704, from memory", pme_methods(against)},
      {Place::caravan_site, "caravan_site", "Is it a caravan or camping site?",
       "the supplier's PME earth may not be taken to caravans",
       "ESQCR 2002 regulation 9(4) and BS 7671 section 708, from memory", pme_methods(against)},
      {Place::boat_mooring, "boat_mooring", "Is it a marina or a mooring?",
       "the supplier's PME earth may not be taken to boats",
       "ESQCR 2002 regulation 9(4) and BS 7671 section 709, from memory", pme_methods(against)},
      {Place::fuel_station, "fuel_station", "Is it a filling station, or is fuel stored near?",
       "PME itself is restricted where fuel vapour can be: ask the distributor and the guidance for filling "
       "stations before "
       "any earth is joined or driven",
       from_memory,
       [&] {
         auto all = pme_methods(undecided);
         all.push_back({Method::tt_island, undecided});
         return all;
       }()},
      {Place::swimming_pool, "swimming_pool", "Is a swimming pool or a basin near the vehicle?",
       "bare wet skin lowers what a person bears: lower limits hold near pools",
       "BS 7671 section 702, from memory",
       on({Method::three_phase_load, Method::supplementary_electrode, Method::tt_island}, undecided), true},
      {Place::high_voltage_substation, "high_voltage_substation",
       "Is a high-voltage substation or tower near?",
       "an earth fault there lifts the ground: an electrode within its reach carries that rise into the "
       "installation; the "
       "distributor must be asked for it",
       "BS EN 50522, from memory",
       on({Method::supplementary_electrode, Method::tt_island, Method::probe_device}, undecided)},
      {Place::dc_traction, "dc_traction", "Does an electric railway or tramway on direct current run near?",
       "stray direct current eats electrodes and shifts readings: ask the operator",
       "BS EN 50122-2, from memory",
       on({Method::supplementary_electrode, Method::tt_island, Method::probe_device}, undecided)},
      {Place::cathodic_protection, "cathodic_protection", "Is a pipe or tank under cathodic protection near?",
       "a new electrode joined to it, or beside it, takes its protecting current: ask its owner", practice,
       on({Method::supplementary_electrode, Method::tt_island}, undecided)},
      {Place::lightning_protection, "lightning_protection", "Has the building lightning protection?",
       "its earth is bonded to the MET: a TT earth beside it is not separate, and the lightning current is "
       "shared by any "
       "electrode at the MET",
       "BS EN 62305-3, from memory", on({Method::tt_island}, undecided)},
      {Place::dissimilar_metals, "dissimilar_metals",
       "Would the electrode be joined to steel in concrete or another metal?",
       "copper joined to buried steel or zinc makes a cell that eats the lesser metal: material and life "
       "have to be "
       "settled before the electrode is relied on",
       practice, on({Method::supplementary_electrode}, undecided)},
      {Place::island_generation, "island_generation",
       "Can generation feed the installation while the supply is off?",
       "in island mode the installation's own electrode becomes the source's earth, and neither the supply's "
       "star point nor "
       "its limits hold: that state has to be designed by itself",
       "BS 7671 section 551, from memory",
       on({Method::three_phase_load, Method::line_to_neutral_device}, undecided)},
  };
}

bool is_met_method(Method method) {
  return method != Method::tt_island;
}

int rank(Support support) {
  return support == Support::supports ? 2 : support == Support::does_not_tell ? 1 : 0;
}

}  // namespace

const std::vector<PlaceRule>& place_rules() {
  static const std::vector<PlaceRule> rules = make_rules();
  return rules;
}

void apply_places(const PlaceAnswers& answers, const TouchLimits& limits,
                  std::vector<MethodRecord>& records) {
  for (const PlaceRule& rule : place_rules()) {
    if (answers.at(static_cast<std::size_t>(rule.place)) != Answer::yes) continue;
    for (const PlaceEffect& effect : rule.effects) {
      const double limit_v = is_met_method(effect.method) ? limits.met_v : limits.tt_v;
      if (rule.is_lifted_by_low_limit && limit_v <= low_limit_v) continue;
      const auto record = std::find_if(records.begin(), records.end(),
                                       [&](const MethodRecord& r) { return r.method == effect.method; });
      if (record == records.end()) continue;
      if (rank(effect.greatest_support) < rank(record->support)) record->support = effect.greatest_support;
      record->finding += "; " + std::string(rule.sentence);
    }
  }
}

}  // namespace ohmroot::routes

// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/study/site_file.hpp>

#include <cmath>

namespace ohmroot::report {
namespace {

using detail::documents;
using detail::numbers;
using detail::object;
using text::Value;

// Keys are those of the site file with their unit suffix; what the reader takes as absent is left out.

void set_text(Value& document, std::string_view key, const std::string& text) {
  if (!text.empty()) document.set(key, text);
}

Value reading_document(const sounding::FourPoleReading& reading) {
  Value document;
  document.set("array", study::array_word(reading.array));
  if (reading.places) {
    text::Array places;
    for (const sounding::StakePlace& place : {reading.places->current_a, reading.places->current_b,
                                              reading.places->potential_m, reading.places->potential_n})
      places.push_back(numbers({place.x_m, place.y_m}));
    document.set("places_m", std::move(places));
  } else if (const auto spacing_m = sounding::wenner_spacing_m(reading)) {
    document.set("spacing_m", *spacing_m);
  } else {
    document.set("half_current_spacing_m", reading.half_current_spacing_m);
    document.set("half_potential_spacing_m", reading.half_potential_spacing_m);
    if (reading.potential_offset_m != 0.0) document.set("potential_offset_m", reading.potential_offset_m);
  }
  if (reading.is_lower_bound) document.set("over_range", true);
  if (!reading.repeats_ohm.empty()) document.set("repeats_ohm", numbers(reading.repeats_ohm));
  if (reading.polarity)
    document.set("both_ways_ohm", numbers({reading.polarity->forward_ohm, reading.polarity->reversed_ohm}));
  if (reading.contact_ohm) document.set("contact_resistance_ohm", *reading.contact_ohm);
  document.set("resistance_ohm", reading.resistance_ohm);
  document.set("stake_depth_m", reading.driven_depth_m);
  document.set("stake_contact", study::contact_word(reading.contact));
  document.set("error_ratio", reading.relative_error_ratio);
  set_text(document, "traverse", reading.traverse);
  if (reading.sheet_line > 0) document.set("sheet_line", reading.sheet_line);
  return document;
}

Value layer_document(const study::StatedLayer& layer) {
  Value document;
  document.set("resistivity_ohm_m",
               numbers({layer.least_resistivity_ohm_m, layer.greatest_resistivity_ohm_m}));
  if (std::isfinite(layer.thickness_m)) document.set("thickness_m", layer.thickness_m);
  return document;
}

Value skipped_row(const sounding::SkippedRow& row) {
  Value document;
  document.set("sheet_line", row.line);
  document.set("why", row.why);
  if (row.is_over_range) document.set("over_range_above_ohm", row.over_range_above_ohm);
  return document;
}

Value driven_rod_document(const sounding::DrivenRodReading& reading) {
  Value document;
  set_text(document, "name", reading.rod);
  document.set("length_m", reading.driven_length_m);
  document.set("diameter_m", reading.diameter_m);
  document.set("resistance_ohm", reading.resistance_ohm);
  document.set("error_ratio", reading.relative_error_ratio);
  if (reading.is_lower_bound) document.set("over_range", true);
  if (reading.current_stake_distance_m) document.set("current_stake_m", *reading.current_stake_distance_m);
  if (reading.potential_stake_distance_m)
    document.set("potential_stake_m", *reading.potential_stake_distance_m);
  return document;
}

struct SoilDocument {
  Value operator()(const study::SoilFromReadings& source) const {
    text::Array readings;
    for (const sounding::FieldSheet& sheet : source.sheet) {
      for (const auto* part : {&sheet.readings, &sheet.bounds})
        for (const sounding::FourPoleReading& reading : *part)
          readings.push_back(reading_document(reading));
    }
    text::Array skipped;
    for (const sounding::FieldSheet& sheet : source.sheet)
      for (const sounding::SkippedRow& row : sheet.skipped)
        skipped.push_back(skipped_row(row));
    Value document;
    document.set("readings", std::move(readings));
    if (!skipped.empty()) document.set("skipped_rows", std::move(skipped));
    if (!source.rods.empty()) document.set("rods", documents(source.rods, driven_rod_document));
    return document;
  }
  Value operator()(const study::SoilFromLayers& source) const {
    Value document;
    document.set("layers", documents(source.layers, layer_document));
    set_text(document, "layers_basis", source.basis);
    return document;
  }
  Value operator()(const study::SoilFromRod& source) const {
    Value rod;
    rod.set("length_m", source.rod.length_m);
    rod.set("diameter_m", source.rod.diameter_m);
    rod.set("resistance_ohm", source.resistance_ohm);
    rod.set("error_ratio", source.relative_error_ratio);
    return object().set("rod", std::move(rod));
  }
  Value operator()(const study::SoilFromWord& source) const { return object().set("word", source.word); }
};

/// The dimensions of a candidate.
struct ShapeKeys {
  Value& document;

  void operator()(const electrode::Rod& rod) const {
    document.set("length_m", rod.length_m);
    document.set("diameter_m", rod.diameter_m);
  }
  void operator()(const electrode::RodLine& line) const {
    (*this)(line.rod);
    document.set("rods", line.rod_count);
    document.set("spacing_m", line.spacing_m);
  }
  void operator()(const electrode::RodSquare& square) const {
    (*this)(square.rod);
    document.set("rods_per_side", square.rods_per_side);
    document.set("spacing_m", square.spacing_m);
  }
  void operator()(const electrode::RodTriangle& triangle) const {
    (*this)(triangle.rod);
    document.set("spacing_m", triangle.spacing_m);
  }
  void operator()(const electrode::Tape& tape) const {
    document.set("length_m", tape.length_m);
    document.set("width_m", tape.width_m);
    if (tape.thickness_m > 0) document.set("thickness_m", tape.thickness_m);
    document.set("depth_m", tape.depth_m);
  }
  void operator()(const electrode::RoundConductor& conductor) const {
    document.set("length_m", conductor.length_m);
    document.set("diameter_m", conductor.diameter_m);
    document.set("depth_m", conductor.depth_m);
  }
  void operator()(const electrode::Ring& ring) const {
    document.set("ring_diameter_m", ring.ring_diameter_m);
    document.set("diameter_m", ring.conductor_diameter_m);
    document.set("depth_m", ring.depth_m);
  }
  void operator()(const electrode::Mesh& mesh) const {
    document.set("length_m", mesh.along_x.length_m);
    document.set("breadth_m", mesh.along_y.length_m);
    document.set("meshes_along", mesh.along_x.mesh_count);
    document.set("meshes_across", mesh.along_y.mesh_count);
    document.set("diameter_m", 2.0 * mesh.radius_m);
    document.set("depth_m", mesh.depth_m);
  }
  void operator()(const electrode::RectangularPlate& plate) const {
    document.set("length_m", plate.length_m);
    document.set("breadth_m", plate.width_m);
    document.set("depth_m", plate.depth_m);
    if (plate.attitude == electrode::PlateAttitude::vertical) document.set("upright", true);
  }
};

Value places_document(const std::vector<electrode::SurfacePlace>& places) {
  return documents(places, [](const electrode::SurfacePlace& place) {
    return numbers({place.x_m, place.y_m});
  });
}

Value place_and_direction(const electrode::SurfacePlace& at,
                          const std::optional<electrode::SurfacePlace>& direction_to) {
  return direction_to ? places_document({at, *direction_to}) : places_document({at});
}

Value shape_document(const study::Candidate& candidate) {
  Value document;
  document.set("name", candidate.name);
  document.set("shape", study::shape_word(candidate.shape));
  std::visit(ShapeKeys{document}, candidate.shape);
  if (candidate.at) document.set("places_m", place_and_direction(*candidate.at, candidate.direction_to));
  return document;
}

Value supply_document(const supply::Supply& supply) {
  Value document;
  document.set("phases", supply.phase_count);
  document.set("nominal_v", supply.nominal_v);
  document.set("lowest_v", supply.lowest_v);
  document.set("highest_v", supply.highest_v);
  document.set("sequence", supply.is_sequence_reversed ? "1-3-2" : "1-2-3");
  document.set("source_earth_ohm", supply.source_earth_ohm);
  return document;
}

Value load_document(const supply::Load& load) {
  Value document;
  document.set("name", load.name);
  document.set("phase", std::to_string(load.phase));
  document.set("greatest_a", load.greatest_current_a);
  document.set("least_a", load.least_current_a);
  set_text(document, "least_basis", load.minimum_basis);
  document.set("power_factor_ratio", load.power_factor_ratio);
  document.set("leading", load.is_leading);
  if (load.stated_model) document.set("model", supply::load_model_name(*load.stated_model));
  set_text(document, "model_basis", load.model_basis);
  if (std::isfinite(load.current_ceiling_a)) document.set("ceiling_a", load.current_ceiling_a);
  document.set("charge_point", study::charge_point_word(load.charge_point));
  return document;
}

Value path_document(const study::OtherEarthPath& path) {
  Value document;
  document.set("name", path.name);
  document.set("resistance_ohm", path.resistance_ohm);
  document.set("relied_on", path.is_relied_on);
  set_text(document, "basis", path.basis);
  return document;
}

Value measured_document(const study::MeasuredElectrode& measured) {
  Value document;
  document.set("name", measured.name);
  document.set("resistance_ohm", measured.resistance_ohm);
  document.set("error_ratio", measured.relative_error_ratio);
  document.set("method", measured.method);
  document.set("date", measured.date);
  document.set("pme_disconnected", measured.was_pme_disconnected);
  return document;
}

Value season_document(const study::Site& site) {
  Value document;
  document.set("month_measured", site.month_of_measurement);
  document.set("factor_ratio", numbers({site.season->least_ratio, site.season->greatest_ratio}));
  document.set("basis", site.season->basis);
  return document;
}

Value corners_document(const design::Polygon& corners) {
  return documents(corners, [](const design::PlanPoint& corner) {
    return numbers({corner.x_m, corner.y_m});
  });
}

Value land_document(const study::Land& land) {
  Value document;
  document.set("corners_m", corners_document(land.corners));
  document.set("depth_m", land.drivable_depth_m);
  return document;
}

Value limits_document(const study::Site& site) {
  Value document;
  document.set("met_v", site.limit_v);
  set_text(document, "met_basis", site.limit_basis);
  document.set("tt_v", site.tt_limit_v);
  set_text(document, "tt_basis", site.tt_limit_basis);
  return document;
}

Value metal_document(const study::StatedMetal& metal) {
  Value document;
  document.set("name", metal.name);
  document.set("kind", routes::metal_kind_name(metal.kind));
  document.set("places_m", places_document(metal.places));
  if (metal.length_m > 0) document.set("length_m", metal.length_m);
  if (metal.diameter_m > 0) document.set("diameter_m", metal.diameter_m);
  if (metal.width_m > 0) document.set("width_m", metal.width_m);
  if (metal.depth_m > 0) document.set("depth_m", metal.depth_m);
  if (metal.is_upright) document.set("upright", true);
  return document;
}

Value neighbour_document(const study::StatedNeighbour& neighbour) {
  Value document = metal_document(neighbour.metal);
  document.set("connection", electrode::connection_name(neighbour.connection));
  return document;
}

Value above_document(const routes::MetalAbove& metal) {
  const bool is_post = metal.from.x_m == metal.to.x_m && metal.from.y_m == metal.to.y_m;
  Value document;
  document.set("name", metal.name);
  document.set("places_m", is_post ? places_document({metal.from}) : places_document({metal.from, metal.to}));
  document.set("lowest_m", metal.lowest_m);
  return document;
}

void set_separation(Value& document, const study::SeparationFacts& facts) {
  if (!facts.pme_metal.empty()) document.set("pme_metal", documents(facts.pme_metal, metal_document));
  if (!facts.nearby_metal.empty())
    document.set("nearby_metal", documents(facts.nearby_metal, neighbour_document));
  if (!facts.metal_above.empty()) document.set("metal_above", documents(facts.metal_above, above_document));
  if (facts.parking) {
    Value parking;
    parking.set("ends_m", places_document({facts.parking->from, facts.parking->to}));
    parking.set("width_m", facts.parking->width_m);
    parking.set("feet_reach_m", facts.parking->feet_reach_m);
    parking.set("arms_reach_m", facts.parking->arms_reach_m);
    document.set("parking", std::move(parking));
  }
  if (facts.tt_electrode) {
    Value place;
    place.set("places_m", place_and_direction(facts.tt_electrode->at, facts.tt_electrode->direction_to));
    set_text(place, "candidate", facts.tt_electrode->candidate);
    document.set("tt_electrode", std::move(place));
  }
}

Value answers_document(const auto& answers, const auto& rules) {
  Value document;
  for (std::size_t i = 0; i < answers.size(); ++i) {
    if (answers.at(i) != routes::Answer::not_known)
      document.set(rules[i].key, routes::answer_name(answers.at(i)));
  }
  return document;
}

/// What is a default stays one, so that a later reader is not told that somebody stated it.
void set_warmth(Value& soil, const study::SoilWarmth& warmth) {
  const study::SoilWarmth defaults;
  if (warmth.is_stated || warmth.thermal_conductivity_w_per_m_k != defaults.thermal_conductivity_w_per_m_k)
    soil.set("thermal_conductivity_w_per_m_k", warmth.thermal_conductivity_w_per_m_k);
  if (warmth.is_stated || warmth.heat_capacity_j_per_m3_k != defaults.heat_capacity_j_per_m3_k)
    soil.set("heat_capacity_j_per_m3_k", warmth.heat_capacity_j_per_m3_k);
  if (warmth.ground_degc != defaults.ground_degc) soil.set("ground_temperature_degc", warmth.ground_degc);
  if (warmth.drying_degc != defaults.drying_degc) soil.set("drying_temperature_degc", warmth.drying_degc);
}

/// An empty section says nothing and is left out.
void set_section(Value& document, const char* name, Value section) {
  if (section.is_object()) document.set(name, std::move(section));
}

void set_routes(Value& document, const study::RouteFacts& facts) {
  set_section(document, "places", answers_document(facts.places, routes::place_rules()));
  Value bridging = answers_document(facts.bridging, routes::bridge_rules());
  set_text(bridging, "checked_on", facts.bridging_checked_on);
  set_text(bridging, "distributor_on_separation", facts.distributor_on_separation);
  set_section(document, "bridging", std::move(bridging));
  Value clauses = answers_document(facts.clauses, routes::clause_register());
  set_text(clauses, "licensed_copy", facts.licensed_copy);
  set_section(document, "register", std::move(clauses));
  set_section(document, "permissions", answers_document(facts.permitted, study::permissions));
  if (facts.probe) {
    Value probe;
    probe.set("places_m", places_document({facts.probe->at}));
    probe.set("length_m", facts.probe->rod.length_m);
    probe.set("diameter_m", facts.probe->rod.diameter_m);
    if (facts.probe->input_impedance_ohm) probe.set("input_impedance_ohm", *facts.probe->input_impedance_ohm);
    if (facts.probe->acts_at_v) probe.set("acts_at_v", *facts.probe->acts_at_v);
    document.set("probe", std::move(probe));
  }
  if (facts.conductor) {
    Value conductor;
    conductor.set("section_m2", facts.conductor->section_m2);
    conductor.set("neutral_m2", facts.conductor->neutral_m2);
    conductor.set("sheathed", facts.conductor->is_sheathed);
    conductor.set("mechanically_protected", facts.conductor->is_mechanically_protected);
    if (facts.conductor->rated_current_a) conductor.set("rated_current_a", *facts.conductor->rated_current_a);
    if (const auto& fault = facts.conductor->fault) {
      conductor.set("fault_current_a", fault->current_a);
      conductor.set("fault_time_s", fault->time_s);
      conductor.set("k_ratio", fault->material_ratio);
    }
    document.set("conductor", std::move(conductor));
  }
  if (facts.devices) {
    Value devices;
    devices.set("upstream_a", facts.devices->upstream_a);
    devices.set("upstream_delayed", facts.devices->is_upstream_delayed);
    devices.set("downstream_a", facts.devices->downstream_a);
    document.set("rcd", std::move(devices));
  }
  if (facts.transformer_a) {
    Value transformer;
    transformer.set("current_a", *facts.transformer_a);
    document.set("isolating_transformer", std::move(transformer));
  }
  if (facts.prices) {
    Value prices;
    prices.set("currency", facts.prices->currency);
    prices.set("invented", facts.prices->is_invented);
    prices.set("items", documents(facts.prices->lines, [](const routes::PriceLine& line) {
                 Value row;
                 row.set("item", line.item);
                 row.set("unit", line.unit);
                 row.set("price_ratio", line.price);
                 row.set("labour_ratio", line.labour);
                 return row;
               }));
    document.set("route_prices", std::move(prices));
  }
  if (!facts.decisions.empty())
    document.set("route_decisions", documents(facts.decisions, [](const study::RouteDecision& decision) {
                   Value row;
                   row.set("method", routes::method_word(decision.method));
                   row.set("decision", decision.is_accepted ? "accepted" : "rejected");
                   row.set("reason", decision.reason);
                   return row;
                 }));
}

Value keep_out_document(const design::KeepOut& keep_out) {
  Value document;
  document.set("name", keep_out.name);
  document.set("corners_m", corners_document(keep_out.corners));
  document.set("clearance_m", keep_out.clearance_m);
  return document;
}

Value parts_document(const design::Parts& parts) {
  Value document;
  document.set("rod_section_m", parts.rod_section_m);
  document.set("rod_diameter_m", parts.rod_diameter_m);
  document.set("rod_depth_m", parts.greatest_drive_m);
  document.set("rods", parts.greatest_rod_count);
  document.set("trench_depth_m", parts.trench_depth_m);
  if (parts.may_lay_tape) document.set("tape_width_m", parts.tape_width_m);
  if (parts.plates) {
    document.set("plate_side_m", parts.plates->side_m);
    document.set("plate_depth_m", parts.plates->depth_m);
    document.set("plates", parts.plates->greatest_count);
  }
  if (parts.steel) {
    const electrode::Mesh& mesh = parts.steel->mesh;
    Value steel;
    steel.set("name", parts.steel->name);
    steel.set("corner_m", corners_document({parts.steel->corner}));
    steel.set("length_m", mesh.along_x.length_m);
    steel.set("width_m", mesh.along_y.length_m);
    steel.set("depth_m", mesh.depth_m);
    steel.set("meshes_along_length", mesh.along_x.mesh_count);
    steel.set("meshes_along_width", mesh.along_y.mesh_count);
    steel.set("bar_diameter_m", 2.0 * mesh.radius_m);
    document.set("steel", std::move(steel));
  }
  return document;
}

Value ground_document(const study::GroundEvents& events) {
  const auto ends = [](const text::Interval& interval) {
    return numbers({interval.least, interval.greatest});
  };
  Value document;
  if (events.refusal) {
    document.set("refusal_depth_m", ends(events.refusal->depth_m));
    document.set("refusal_chance_ratio", events.refusal->chance_ratio);
    document.set("refusal_basis", events.refusal->basis);
  }
  if (events.frost) {
    document.set("frost_depth_m", ends(events.frost->depth_m));
    document.set("frozen_factor_ratio", ends(events.frost->ratio));
    document.set("frost_basis", events.frost->basis);
  }
  if (events.corrosion) {
    document.set("diameter_loss_m", ends(events.corrosion->loss_m));
    document.set("design_life", events.corrosion->life_years);
    document.set("corrosion_basis", events.corrosion->basis);
  }
  return document;
}

Value prices_document(const design::Prices& prices, const design::Parts& parts) {
  Value document;
  document.set("currency", prices.currency);
  document.set("section_ratio", prices.section);
  document.set("coupler_ratio", prices.coupler);
  document.set("head_ratio", prices.head);
  document.set("driving_per_metre_ratio", prices.driving_per_m);
  document.set("trench_per_metre_ratio", prices.trench_per_m);
  document.set("tape_per_metre_ratio", prices.tape_per_m);
  document.set("conductor_per_metre_ratio", prices.conductor_per_m);
  document.set("test_lead_per_metre_ratio", prices.test_lead_per_m);
  document.set("fixed_ratio", prices.fixed);
  if (parts.plates) document.set("plate_ratio", prices.plate);
  if (parts.steel) document.set("steel_ratio", prices.steel);
  return document;
}

Value design_input_document(const study::DesignBrief& brief) {
  Value document;
  document.set("keep_out", documents(brief.keep_outs, keep_out_document));
  document.set("grid_m", brief.grid_step_m);
  document.set("clearance_m", brief.boundary_clearance_m);
  if (brief.met) document.set("met_m", corners_document({*brief.met}));
  document.set("confidence_ratio", brief.confidence_ratio);
  if (brief.lead_run_m) document.set("lead_run_m", *brief.lead_run_m);
  document.set("parts", parts_document(brief.parts));
  document.set("prices", prices_document(brief.prices, brief.parts));
  const study::GroundEvents& ground = brief.ground;
  if (ground.refusal || ground.frost || ground.corrosion) document.set("ground", ground_document(ground));
  return document;
}

}  // namespace

Value site_document(const study::Site& site) {
  Value document;
  document.set("reference", site.reference);
  set_text(document, "title", site.title);
  document.set("invented", site.is_invented);
  Value rules;
  rules.set("jurisdiction", site.jurisdiction);
  set_text(rules, "edition", site.edition);
  document.set("rules", std::move(rules));
  if (site.soil) {
    Value soil = std::visit(SoilDocument{}, *site.soil);
    set_warmth(soil, site.warmth);
    document.set("soil", std::move(soil));
  }
  if (site.season) document.set("season", season_document(site));
  if (site.measured) document.set("measured_electrode", measured_document(*site.measured));
  if (site.land) document.set("land", land_document(*site.land));
  document.set("supply", supply_document(site.supply));
  document.set("loads", documents(site.loads, load_document));
  document.set("earth_paths", documents(site.other_paths, path_document));
  document.set("earthing_conductor_ohm", site.earthing_conductor_ohm);
  document.set("limits", limits_document(site));
  if (site.break_position != study::BreakPosition::unstated) {
    Value broken;
    broken.set("position", study::break_position_word(site.break_position));
    broken.set("reason", site.break_reason);
    document.set("break", std::move(broken));
  }
  if (site.street) {
    Value street;
    street.set("basis", site.street->basis);
    street.set("loads", documents(site.street->loads, load_document));
    street.set("earth_paths", documents(site.street->earth_paths, path_document));
    document.set("street", std::move(street));
  }
  document.set("candidates", documents(site.candidates, shape_document));
  set_separation(document, site.separation);
  set_routes(document, site.routes);
  if (site.design) document.set("design", design_input_document(*site.design));
  document.set("seed", static_cast<std::int64_t>(site.seed));
  return document;
}

}  // namespace ohmroot::report

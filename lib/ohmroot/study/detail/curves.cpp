// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/study/candidate.hpp>
#include <ohmroot/study/detail/curves.hpp>
#include <ohmroot/study/detail/governing_shape.hpp>
#include <ohmroot/study/detail/heating.hpp>
#include <ohmroot/study/detail/leakage.hpp>
#include <ohmroot/study/detail/neighbourhood.hpp>
#include <ohmroot/study/detail/surroundings.hpp>
#include <ohmroot/study/governing_load.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace ohmroot::study::detail {
namespace {

/// Draws enough for a band; none where the soils are no draws.
std::vector<std::size_t> some_of(const AllowedSoils& allowed) {
  constexpr std::size_t greatest_count = 200;
  std::vector<std::size_t> indices;
  const std::size_t count = allowed.are_draws ? std::min(allowed.soils.size(), greatest_count) : 0;
  for (std::size_t i = 0; i < count; ++i)
    indices.push_back(i * allowed.soils.size() / count);
  return indices;
}

double resistivity_at_ohm_m(const earth::LayeredSoil& soil, double depth_m) {
  double bottom_m = 0.0;
  for (const earth::Layer& layer : soil.layers()) {
    bottom_m += layer.thickness_m;
    if (depth_m <= bottom_m) return layer.resistivity_ohm_m;
  }
  return soil.layers().back().resistivity_ohm_m;
}

std::optional<SectionBand> section_band(const StudyResult& result) {
  const AllowedSoils& allowed = result.soil.allowed;
  if (!allowed.are_draws) return std::nullopt;
  double deepest_m = 0.0;
  for (const auto& reading : result.soil.readings)
    deepest_m = std::max(deepest_m, 1.5 * sounding::equivalent_wenner_spacing_m(reading));
  SectionBand band;
  constexpr int point_count = 200;
  for (int i = 0; i <= point_count; ++i) {
    const double depth_m = deepest_m * i / point_count;
    std::vector<double> values_ohm_m;
    for (const earth::LayeredSoil& soil : allowed.soils)
      values_ohm_m.push_back(resistivity_at_ohm_m(soil, depth_m));
    std::sort(values_ohm_m.begin(), values_ohm_m.end());
    band.depth_m.push_back(depth_m);
    band.least_ohm_m.push_back(quantile(values_ohm_m, 0.05));
    band.middle_ohm_m.push_back(quantile(values_ohm_m, 0.5));
    band.greatest_ohm_m.push_back(quantile(values_ohm_m, 0.95));
  }
  return band;
}

std::optional<SoundingCurve> sounding_curve(const SoilPicture& soil) {
  if (!soil.interpretation || soil.readings.empty()) return std::nullopt;
  double narrowest_m = sounding::plotted_spacing_m(soil.readings.front());
  double widest_m = narrowest_m;
  for (const auto& reading : soil.readings) {
    narrowest_m = std::min(narrowest_m, sounding::plotted_spacing_m(reading));
    widest_m = std::max(widest_m, sounding::plotted_spacing_m(reading));
  }
  const earth::LayeredSoil fitted = soil.interpretation->chosen().soil();
  const std::vector<std::size_t> some = some_of(soil.allowed);
  SoundingCurve curve;
  constexpr int point_count = 61;
  const double from = std::log(narrowest_m / 2);
  const double to = std::log(widest_m * 2);
  for (int i = 0; i < point_count; ++i) {
    const double spacing_m = std::exp(from + (to - from) * i / (point_count - 1));
    // The curve is drawn for the array of the first reading, its stakes in the same proportion; for stakes in
    // other places for the Wenner array that looks as deep.
    sounding::FourPoleReading reading = soil.readings.front();
    if (reading.array == sounding::Array::dipole_dipole || reading.array == sounding::Array::four_points)
      reading = sounding::wenner_reading(spacing_m, 1.0);
    const double stretch_ratio = spacing_m / sounding::plotted_spacing_m(reading);
    reading.half_current_spacing_m *= stretch_ratio;
    reading.half_potential_spacing_m *= stretch_ratio;
    reading.potential_offset_m *= stretch_ratio;
    curve.spacing_m.push_back(spacing_m);
    curve.fitted_ohm_m.push_back(sounding::modelled_apparent_resistivity_ohm_m(fitted, reading));
    std::vector<double> allowed_ohm_m(some.size());
    for_each_index(some.size(), [&](std::size_t k) {
      allowed_ohm_m[k] = sounding::modelled_apparent_resistivity_ohm_m(soil.allowed.soils[some[k]], reading);
    });
    if (allowed_ohm_m.empty()) continue;
    std::sort(allowed_ohm_m.begin(), allowed_ohm_m.end());
    curve.least_ohm_m.push_back(quantile(allowed_ohm_m, 0.05));
    curve.greatest_ohm_m.push_back(quantile(allowed_ohm_m, 0.95));
  }
  return curve;
}

/// The governing candidate with one dimension varied: what a longer rod or one more rod would buy.
struct Variation {
  std::string abscissa;
  bool is_count = false;
  double own_value = 0.0;
  std::vector<double> values;
  electrode::Shape (*with)(const electrode::Shape&, double value) = nullptr;
};

std::vector<double> lengths_up_to(double greatest_m) {
  std::vector<double> values;
  for (int i = 1; i <= 24; ++i)
    values.push_back(greatest_m * i / 24);
  return values;
}

std::vector<double> counts(int from, int to) {
  constexpr int greatest_point_count = 24;
  const int step = (to - from) / greatest_point_count + 1;
  std::vector<double> values;
  for (int count = from; count <= to; count += step)
    values.push_back(count);
  return values;
}

struct Varied {
  const Site& site;

  [[nodiscard]] double reach_m(double own_m) const {
    return std::max(2 * own_m, site.land ? site.land->drivable_depth_m : 0.0);
  }

  Variation operator()(const electrode::Rod& rod) const {
    return {"rod length", false, rod.length_m, lengths_up_to(reach_m(rod.length_m)),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::Rod>(shape);
              varied.length_m = value;
              return varied;
            }};
  }
  Variation operator()(const electrode::RodLine& line) const {
    return {"number of rods in line", true, static_cast<double>(line.rod_count),
            counts(2, std::max(12, 2 * line.rod_count)),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::RodLine>(shape);
              varied.rod_count = static_cast<int>(value);
              return varied;
            }};
  }
  Variation operator()(const electrode::RodSquare& square) const {
    return {"rods on each side of the square", true, static_cast<double>(square.rods_per_side),
            counts(2, std::max(8, 2 * square.rods_per_side)),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::RodSquare>(shape);
              varied.rods_per_side = static_cast<int>(value);
              return varied;
            }};
  }
  Variation operator()(const electrode::RodTriangle& triangle) const {
    return {"length of each of three rods", false, triangle.rod.length_m,
            lengths_up_to(reach_m(triangle.rod.length_m)),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::RodTriangle>(shape);
              varied.rod.length_m = value;
              return varied;
            }};
  }
  Variation operator()(const electrode::Tape& tape) const {
    return {"length of tape", false, tape.length_m, lengths_up_to(2 * tape.length_m),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::Tape>(shape);
              varied.length_m = value;
              return varied;
            }};
  }
  Variation operator()(const electrode::RoundConductor& conductor) const {
    return {"length of conductor", false, conductor.length_m, lengths_up_to(2 * conductor.length_m),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::RoundConductor>(shape);
              varied.length_m = value;
              return varied;
            }};
  }
  Variation operator()(const electrode::Ring& ring) const {
    return {"diameter of the ring", false, ring.ring_diameter_m, lengths_up_to(2 * ring.ring_diameter_m),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::Ring>(shape);
              varied.ring_diameter_m = value;
              return varied;
            }};
  }
  Variation operator()(const electrode::RectangularPlate& plate) const {
    // Upright, it would stand out of the soil as it grows.
    const double most_m =
        plate.attitude == electrode::PlateAttitude::vertical
            ? std::min(2 * plate.length_m, 2 * plate.depth_m * plate.length_m / plate.width_m)
            : 2 * plate.length_m;
    return {"length of the plate, other side in proportion", false, plate.length_m, lengths_up_to(most_m),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::RectangularPlate>(shape);
              varied.width_m *= value / varied.length_m;
              varied.length_m = value;
              return varied;
            }};
  }
  /// Wider meshes of the same number.
  Variation operator()(const electrode::Mesh& mesh) const {
    return {"length of the mesh, breadth in proportion", false, mesh.along_x.length_m,
            lengths_up_to(2 * mesh.along_x.length_m),
            [](const electrode::Shape& shape, double value) -> electrode::Shape {
              auto varied = std::get<electrode::Mesh>(shape);
              varied.along_y.length_m *= value / varied.along_x.length_m;
              varied.along_x.length_m = value;
              return varied;
            }};
  }
};

/// A curve needs many electrodes, so each meets fewer soils than the candidate itself.
SoilCount curve_soils(const CandidateResult& candidate) {
  constexpr int small_count = 150;
  return {candidate.field && candidate.field->unknown_count <= small_count ? std::size_t{40}
                                                                           : std::size_t{12}};
}

std::optional<ResistanceCurve> resistance_curve(const StudyResult& result) {
  const Candidate* found = governing_shape(result);
  if (found == nullptr) return std::nullopt;
  const std::string& name = found->name;
  const SoilCount soils = curve_soils(result.candidates[*result.governing_candidate]);
  const Variation variation = std::visit(Varied{result.site}, found->shape);
  ResistanceCurve curve;
  curve.abscissa = variation.abscissa;
  curve.is_count = variation.is_count;
  curve.candidate_value = variation.own_value;
  for (const double value : variation.values) {
    const electrode::Shape shape = variation.with(found->shape, value);
    try {
      const CandidateResult varied = candidate_resistance(result.site, result.soil, {name, shape}, soils);
      // Outside its range a formula says nothing that a curve should show.
      const bool is_shown = varied.field || varied.formulas.front().is_inside_valid_box;
      if (!is_shown || !std::isfinite(varied.to_earth_ohm.greatest)) continue;
      curve.abscissa_value.push_back(value);
      curve.least_ohm.push_back(varied.to_earth_ohm.least);
      curve.value_ohm.push_back(varied.to_earth_ohm.value);
      curve.greatest_ohm.push_back(varied.to_earth_ohm.greatest);
    } catch (const DomainError&) {
      continue;  // the shape itself is impossible there (a rod shorter than its diameter)
    }
  }
  if (curve.abscissa_value.size() < 2) return std::nullopt;
  return curve;
}

std::optional<LeakageCurve> leakage_curve(const StudyResult& result) {
  const Candidate* found = governing_shape(result);
  if (found == nullptr || !result.candidates[*result.governing_candidate].field) return std::nullopt;
  return leakage_of(found->shape, result.candidates[*result.governing_candidate].field->middle_soil);
}

std::optional<Surroundings> surroundings(const StudyResult& result) {
  const Candidate* found = governing_shape(result);
  if (found == nullptr || !result.candidates[*result.governing_candidate].field) return std::nullopt;
  return surroundings_of(found->shape, result.candidates[*result.governing_candidate].field->middle_soil);
}

double met_voltage_v(supply::OpenPenCircuit circuit, double load_ratio,
                     std::optional<double> resistance_ohm) {
  if (resistance_ohm) circuit.earth_path_ohm = {*resistance_ohm};
  for (supply::DefiniteLoad& load : circuit.loads)
    load.current_a *= load_ratio;
  return std::abs(supply::open_pen_state(circuit).met_v);
}

std::optional<VoltageCurve> voltage_curve(const StudyResult& result) {
  const GoverningLoad governing = governing_load(result.site, result.requirements);
  std::array<double, 3> phase_current_a{};
  for (const supply::DefiniteLoad& load : governing.circuit.loads) {
    phase_current_a.at(static_cast<std::size_t>(load.phase - 1)) += load.current_a;
  }
  VoltageCurve curve;
  curve.operating_current_a = *std::max_element(phase_current_a.begin(), phase_current_a.end());
  if (!(curve.operating_current_a > 0)) return std::nullopt;
  curve.load_description = governing.description + ", all scaled together";
  std::optional<double> least_ohm;
  std::optional<double> greatest_ohm;
  if (result.governing_candidate) {
    const Estimate& to_earth = result.candidates[*result.governing_candidate].to_earth_ohm;
    least_ohm = to_earth.least;
    if (std::isfinite(to_earth.greatest)) greatest_ohm = to_earth.greatest;
  }
  constexpr int point_count = 60;
  for (int i = 1; i <= point_count; ++i) {
    const double load_ratio = 1.25 * i / point_count;
    curve.current_a.push_back(curve.operating_current_a * load_ratio);
    curve.without_electrode_v.push_back(met_voltage_v(governing.circuit, load_ratio, std::nullopt));
    if (least_ohm) curve.least_v.push_back(met_voltage_v(governing.circuit, load_ratio, least_ohm));
    if (greatest_ohm) curve.greatest_v.push_back(met_voltage_v(governing.circuit, load_ratio, greatest_ohm));
  }
  return curve;
}

}  // namespace

const Candidate* governing_shape(const StudyResult& result) {
  if (!result.governing_candidate || !result.site.soil) return nullptr;
  const std::string& name = result.candidates[*result.governing_candidate].name;
  const auto found = std::find_if(result.site.candidates.begin(), result.site.candidates.end(),
                                  [&](const Candidate& candidate) { return candidate.name == name; });
  return found == result.site.candidates.end() ? nullptr : &*found;
}

void add_curves(StudyResult& result) {
  result.sounding_curve = sounding_curve(result.soil);
  result.section_band = section_band(result);
  result.resistance_curve = resistance_curve(result);
  result.voltage_curve = voltage_curve(result);
  result.leakage_curve = leakage_curve(result);
  result.surroundings = surroundings(result);
  result.nearby = nearby_of(result);
  result.vehicle_touch = vehicle_touch_of(result);
  if (!result.leakage_curve) return;
  if (std::holds_alternative<electrode::RectangularPlate>(governing_shape(result)->shape)) {
    result.assumptions.emplace_back("How warm a plate gets with the PEN open, and what short-time current it "
                                    "bears, is not computed: heat does not "
                                    "leave it along a radius, as it does a bar.");
    return;
  }
  result.heating = heating_of(result, governing_shape(result)->shape);
  if (!result.heating->standing_condition.empty())
    result.voided_by.push_back(result.heating->standing_condition);
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/study/detail/design_section.hpp>
#include <ohmroot/study/detail/reading_reader.hpp>
#include <ohmroot/study/detail/route_keys.hpp>
#include <ohmroot/study/detail/separation_reader.hpp>
#include <ohmroot/study/detail/site_keys.hpp>
#include <ohmroot/study/detail/words.hpp>
#include <ohmroot/study/land.hpp>
#include <ohmroot/study/rules.hpp>
#include <ohmroot/study/site_file.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace ohmroot::study {
namespace {

using namespace detail;
using text::Dialect;
using text::Section;

constexpr double unlimited = std::numeric_limits<double>::infinity();

// ---- words ----

constexpr std::array<Word<BreakPosition>, 4> break_words{
    {{BreakPosition::unstated, "not stated"},
     {BreakPosition::own_service, "own service"},
     {BreakPosition::shared_service, "shared service"},
     {BreakPosition::distribution_main, "distribution main"}}};
constexpr std::array<Word<supply::ChargePoint>, 3> charge_point_words{
    {{supply::ChargePoint::none, "none"},
     {supply::ChargePoint::alone, "alone"},
     {supply::ChargePoint::included, "included"}}};
constexpr std::array<Word<supply::LoadModel>, 3> model_words{
    {{supply::LoadModel::constant_impedance, "constant impedance"},
     {supply::LoadModel::constant_current, "constant current"},
     {supply::LoadModel::constant_power, "constant power"}}};

// ---- one reader per section ----

sounding::SheetDefaults sheet_defaults(const Section& soil) {
  sounding::SheetDefaults defaults;
  defaults.array = value_of(soil.text("array"), detail::array_words);
  defaults.driven_depth_m = soil.quantity("stake_depth").value_or(defaults.driven_depth_m);
  defaults.contact = value_of(soil.text("stake_contact"), detail::contact_words).value_or(defaults.contact);
  defaults.relative_error_ratio = soil.quantity("reading_error").value_or(defaults.relative_error_ratio);
  return defaults;
}

SoilFromReadings read_readings(const Section& soil, const FileLoader& load_file) {
  SoilFromReadings result;
  const sounding::SheetDefaults defaults = sheet_defaults(soil);
  for (const std::string& name : soil.texts("files").value_or(std::vector<std::string>{})) {
    const auto bytes = load_file(name);
    if (!bytes) {
      soil.error("files", "missing-file", fmt::format("cannot read the readings file \"{}\"", name),
                 "the name is taken relative to the folder of the site file");
      continue;
    }
    Diagnostics sheet_diagnostics(name);
    result.sheet.push_back(sounding::read_field_sheet(*bytes, defaults, sheet_diagnostics));
    result.file.push_back(name);
    const auto& rods = result.sheet.back().rods;
    result.rods.insert(result.rods.end(), rods.begin(), rods.end());
    soil.diagnostics().append(sheet_diagnostics);
  }
  sounding::FieldSheet written_here;
  for (const Section& section : soil.tables("readings", reading_keys)) {
    const auto reading = detail::read_reading(section, defaults);
    if (!reading || !reading->is_lower_bound) ++written_here.data_row_count;  // a bound is a skipped row, too
    if (reading) (reading->is_lower_bound ? written_here.bounds : written_here.readings).push_back(*reading);
  }
  for (const Section& section : soil.tables("skipped_rows", skipped_keys)) {
    ++written_here.data_row_count;
    sounding::SkippedRow row;
    row.line = section.count("sheet_line").value_or(0);
    row.why = section.text("why").value_or("");
    row.is_over_range = section.has("over_range_above");
    row.over_range_above_ohm = section.quantity("over_range_above").value_or(0.0);
    written_here.skipped.push_back(row);
  }
  if (written_here.data_row_count > 0) {
    result.file.emplace_back("readings in the site file");
    result.sheet.push_back(std::move(written_here));
  }
  return result;
}

SoilFromLayers read_layers(const Section& soil) {
  SoilFromLayers result;
  result.basis = soil.text("layers_basis").value_or("stated without a basis");
  const std::vector<Section> sections = soil.tables("layers", layer_keys);
  for (std::size_t i = 0; i < sections.size(); ++i) {
    const bool is_last = i + 1 == sections.size();
    const auto resistivity = sections[i].interval("resistivity");
    const auto thickness_m = sections[i].quantity("thickness");
    if (!is_last && !sections[i].has("thickness")) {
      sections[i].error("", "missing-key", "every layer but the last needs its thickness");
    }
    if (is_last && sections[i].has("thickness")) {
      sections[i].warning("thickness", "ignored",
                          "the last layer reaches down without end; its thickness is not used");
    }
    if (resistivity) {
      result.layers.push_back(
          {resistivity->least, resistivity->greatest, is_last ? unlimited : thickness_m.value_or(unlimited)});
    }
  }
  return result;
}

std::optional<SoilFromRod> read_rod(const Section& soil) {
  const auto section = soil.table("rod", rod_reading_keys);
  if (!section) return std::nullopt;
  const auto length_m = section->quantity("length");
  const auto diameter_m = section->quantity("diameter");
  const auto resistance_ohm = section->quantity("resistance");
  const double error_ratio = section->quantity("error").value_or(0.05);
  if (!length_m || !diameter_m || !resistance_ohm) return std::nullopt;
  if (!(*diameter_m < *length_m)) {
    section->error("diameter", "out-of-range", "the diameter must be less than the length");
    return std::nullopt;
  }
  return SoilFromRod{{*length_m, *diameter_m}, *resistance_ohm, error_ratio};
}

std::vector<sounding::DrivenRodReading> read_driven_rods(const Section& soil) {
  std::vector<sounding::DrivenRodReading> rods;
  for (const Section& section : soil.tables("rods", driven_rod_keys)) {
    const auto length_m = section.quantity("length");
    const auto diameter_m = section.quantity("diameter");
    const auto resistance_ohm = section.quantity("resistance");
    sounding::DrivenRodReading reading;
    reading.rod = section.text("name").value_or("");
    reading.relative_error_ratio = section.quantity("error").value_or(reading.relative_error_ratio);
    reading.current_stake_distance_m = section.quantity("current_stake");
    reading.potential_stake_distance_m = section.quantity("potential_stake");
    reading.is_lower_bound = section.flag("over_range").value_or(false);
    if (section.has("current_stake") != section.has("potential_stake"))
      section.error("", "conflict", "needs current_stake and potential_stake together, or neither");
    if (!length_m || !diameter_m || !resistance_ohm) continue;
    if (!(*diameter_m < *length_m)) {
      section.error("diameter", "out-of-range", "the diameter must be less than the length");
      continue;
    }
    if (reading.current_stake_distance_m && reading.potential_stake_distance_m &&
        !(*reading.potential_stake_distance_m > *diameter_m &&
          *reading.potential_stake_distance_m < *reading.current_stake_distance_m)) {
      section.error("potential_stake", "out-of-range", "must stand between the rod and the current stake");
      continue;
    }
    reading.driven_length_m = *length_m;
    reading.diameter_m = *diameter_m;
    reading.resistance_ohm = *resistance_ohm;
    rods.push_back(std::move(reading));
  }
  return rods;
}

std::optional<SoilSource> read_soil(const Section& soil, const FileLoader& load_file) {
  constexpr std::array<std::string_view, 5> sources{"files", "readings", "layers", "rod", "word"};
  const auto given = std::count_if(sources.begin(), sources.end(), [&](auto key) { return soil.has(key); });
  const bool is_readings = soil.has("files") || soil.has("readings");
  if (given == 0) {
    soil.error("", "missing-key", "[soil] names no source",
               "give one of: files, readings, layers, rod, word");
    return std::nullopt;
  }
  if (given > (soil.has("files") && soil.has("readings") ? 2 : 1)) {
    soil.error("", "conflict", "[soil] names more than one source",
               "keep the best one: readings before layers before a rod before a word");
    return std::nullopt;
  }
  if (is_readings) {
    SoilFromReadings readings = read_readings(soil, load_file);
    for (sounding::DrivenRodReading& rod : read_driven_rods(soil))
      readings.rods.push_back(std::move(rod));
    const bool has_stakes =
        std::any_of(readings.sheet.begin(), readings.sheet.end(),
                    [](const sounding::FieldSheet& sheet) { return !sheet.readings.empty(); });
    if (!has_stakes && !soil.diagnostics().has_errors())
      soil.error("", "no-readings",
                 "holds readings of driven rods only; they are joined with four-pole readings",
                 "one rod alone goes into [soil.rod]");
    return SoilSource(std::move(readings));
  }
  if (soil.has("rods"))
    soil.error("rods", "conflict", "is joined with four-pole readings, and there are none",
               "one rod alone goes into [soil.rod]");
  if (soil.has("layers")) return SoilSource(read_layers(soil));
  if (soil.has("rod")) {
    if (const auto rod = read_rod(soil)) return SoilSource(*rod);
    return std::nullopt;
  }
  const auto word = soil.text("word");
  if (!word) return std::nullopt;
  if (earth::find_soil_word(*word) == nullptr) {
    std::vector<std::string_view> known;
    for (const auto& row : earth::soil_words())
      known.push_back(row.word);
    const std::string near = nearest_word(*word, known);
    soil.error("word", "unknown-word", fmt::format("\"{}\" is not in the list", *word),
               near.empty() ? "'ohmroot desk --soil-words' lists the words"
                            : fmt::format("did you mean \"{}\"?", near));
    return std::nullopt;
  }
  return SoilSource(SoilFromWord{*word});
}

void read_season(const Section& section, Site& site) {
  site.month_of_measurement = section.text("month_measured").value_or("");
  const auto factor = section.interval("factor");
  const auto basis = section.text("basis");
  if (factor && basis) site.season = FactorInterval{factor->least, factor->greatest, *basis};
}

void read_measured(const Section& section, Site& site) {
  const auto resistance_ohm = section.quantity("resistance");
  const auto method = section.text("method");
  const auto date = section.text("date");
  const auto disconnected = section.flag("pme_disconnected");
  if (!resistance_ohm || !method || !date || !disconnected) return;
  site.measured = MeasuredElectrode{section.text("name").value_or("measured electrode"),
                                    *resistance_ohm,
                                    section.quantity("error").value_or(0.1),
                                    *method,
                                    *date,
                                    *disconnected};
}

void read_land(const Section& section, Site& site) {
  Land land;
  const auto depth_m = section.quantity("depth");
  const bool is_rectangle = section.has("length") || section.has("width");
  if (section.has("corners") == is_rectangle) {
    section.error("", "conflict", "needs either length and width, or corners");
    return;
  }
  if (is_rectangle) {
    const auto length_m = section.quantity("length");
    const auto width_m = section.quantity("width");
    if (!section.has("length") || !section.has("width")) {
      section.error("", "missing-key", "a rectangle needs both length and width");
    }
    if (!length_m || !width_m) return;
    land.corners = {{0, 0}, {*length_m, 0}, {*length_m, *width_m}, {0, *width_m}};
  } else {
    const auto corners = section.points("corners");
    if (!corners) return;
    for (const text::Point& corner : *corners)
      land.corners.push_back({corner.x_m, corner.y_m});
    if (const std::string problem = design::polygon_problem(land.corners); !problem.empty()) {
      section.error("corners", "bad-polygon", problem, "give the corners in order round the land");
      return;
    }
  }
  if (!depth_m) return;
  land.drivable_depth_m = *depth_m;
  site.land = land;
}

void read_supply(const Section& section, Site& site) {
  supply::Supply& supply = site.supply;
  supply.phase_count = section.count("phases").value_or(1);
  if (supply.phase_count == 2) {
    section.error("phases", "out-of-range", "must be 1 or 3, is 2");
    supply.phase_count = 3;
  }
  supply.nominal_v = section.quantity("nominal").value_or(supply.nominal_v);
  supply.lowest_v = section.quantity("lowest").value_or(0.94 * supply.nominal_v);
  supply.highest_v = section.quantity("highest").value_or(1.10 * supply.nominal_v);
  supply.is_sequence_reversed = section.text("sequence").value_or("1-2-3") == "1-3-2";
  supply.source_earth_ohm = section.quantity("source_earth").value_or(0.0);
  if (supply.lowest_v > supply.highest_v) {
    section.error("lowest", "out-of-range",
                  fmt::format("{} V is above highest, {} V", supply.lowest_v, supply.highest_v));
  }
}

std::vector<int> phases_of(const Section& section, int phase_count) {
  const std::string word = section.text("phase").value_or("1");
  if (word == "all") return phase_count == 1 ? std::vector<int>{1} : std::vector<int>{1, 2, 3};
  if (word.size() == 1 && word[0] >= '1' && word[0] <= '3') {
    const int phase = word[0] - '0';
    if (phase <= phase_count) return {phase};
    section.error("phase", "out-of-range", fmt::format("{} is not there: the supply has one phase", phase),
                  "set phases = 3 in [supply], or phase = \"1\"");
    return {};
  }
  section.error("phase", "not-allowed",
                fmt::format("must be \"1\", \"2\", \"3\" or \"all\", is \"{}\"", word));
  return {};
}

void read_load(const Section& section, int phase_count, std::vector<supply::Load>& loads) {
  supply::Load load;
  load.name = section.text("name").value_or("");
  const auto greatest_a = section.quantity("greatest");
  load.least_current_a = section.quantity("least").value_or(0.0);
  load.minimum_basis = section.text("least_basis").value_or("");
  load.power_factor_ratio = section.quantity("power_factor").value_or(1.0);
  load.is_leading = section.flag("leading").value_or(false);
  load.stated_model = value_of(section.text("model"), model_words);
  load.model_basis = section.text("model_basis").value_or("");
  load.current_ceiling_a = section.quantity("ceiling").value_or(unlimited);
  load.charge_point =
      value_of(section.text("charge_point"), charge_point_words).value_or(supply::ChargePoint::none);
  if (load.least_current_a > 0 && load.minimum_basis.empty()) {
    section.error("least", "missing-basis", "a minimum load needs its evidence",
                  "add least_basis (the log or the reason), or leave the minimum out");
  }
  if (load.stated_model && load.model_basis.empty()) {
    section.error("model", "missing-basis", "a stated load model needs its basis",
                  "add model_basis, or leave the model out so that all three are tried");
  }
  const std::vector<int> phases = phases_of(section, phase_count);
  if (!greatest_a) return;
  load.greatest_current_a = *greatest_a;
  if (load.least_current_a > load.greatest_current_a) {
    section.error(
        "least", "out-of-range",
        fmt::format("least ({} A) is above greatest ({} A)", load.least_current_a, load.greatest_current_a));
  }
  if (load.current_ceiling_a < load.greatest_current_a) {
    section.error("ceiling", "out-of-range", "the ceiling is below the greatest current that the load draws");
  }
  for (const int phase : phases) {
    load.phase = phase;
    loads.push_back(load);
  }
}

void read_path(const Section& section, std::vector<OtherEarthPath>& paths) {
  OtherEarthPath path;
  path.name = section.text("name").value_or("");
  path.is_relied_on = section.flag("relied_on").value_or(false);
  path.basis = section.text("basis").value_or("");
  if (path.is_relied_on && path.basis.empty()) {
    section.error("relied_on", "missing-basis", "a path that is relied on needs its basis",
                  "add basis, or leave relied_on out");
  }
  if (const auto resistance_ohm = section.quantity("resistance")) {
    path.resistance_ohm = *resistance_ohm;
    paths.push_back(path);
  }
}

void read_street(const Section& section, Site& site) {
  Street street;
  street.basis = section.text("basis").value_or("");
  for (const Section& load : section.tables("loads", load_keys))
    read_load(load, 3, street.loads);  // a street has three phases, whatever the site has
  for (const Section& path : section.tables("earth_paths", path_keys))
    read_path(path, street.earth_paths);
  site.street = std::move(street);
}

/// The quantities a shape needs, each reported if it is missing.
class ShapeReader {
public:
  explicit ShapeReader(const Section& section) : section_(section) {}

  double quantity(std::string_view key) { return needed(key, section_.quantity(key)); }
  int count(std::string_view key) { return needed(key, section_.count(key)); }
  electrode::Rod rod() { return {quantity("length"), quantity("diameter")}; }
  [[nodiscard]] bool is_complete() const { return is_complete_; }

private:
  template <class T>
  T needed(std::string_view key, const std::optional<T>& found) {
    if (!found && !section_.has(key)) {
      section_.error(
          "", "missing-key",
          fmt::format("the shape \"{}\" needs the key {}", section_.text("shape").value_or("?"), key));
    }
    is_complete_ = is_complete_ && found.has_value();
    return found.value_or(T{1});
  }

  const Section& section_;
  bool is_complete_ = true;
};

/// A lying plate as a candidate needs soil over it for the field around it, whose bars are as thick as this part of its
/// breadth; of other shapes the preconditions see to that.
bool is_covered(const electrode::Shape& shape, const Section& section) {
  constexpr double least_depth_ratio = 1.0 / 16.0;
  const auto* plate = std::get_if<electrode::RectangularPlate>(&shape);
  if (plate == nullptr || plate->attitude == electrode::PlateAttitude::vertical ||
      plate->depth_m >= least_depth_ratio * plate->width_m)
    return true;
  section.error("depth", "out-of-range",
                fmt::format("a lying plate {} across is only {} deep",
                            format_given(plate->width_m, Dimension::length),
                            format_given(plate->depth_m, Dimension::length)),
                "lay it at least a sixteenth of its breadth deep");
  return false;
}

std::optional<electrode::Shape> read_shape(const Section& section) {
  const auto word = section.text("shape");
  if (!word) return std::nullopt;
  ShapeReader read(section);
  electrode::Shape shape;
  if (*word == "rod")
    shape = read.rod();
  else if (*word == "rods in line")
    shape = electrode::RodLine{read.rod(), read.count("rods"), read.quantity("spacing")};
  else if (*word == "rods in square")
    shape = electrode::RodSquare{read.rod(), read.count("rods_per_side"), read.quantity("spacing")};
  else if (*word == "rods in triangle")
    shape = electrode::RodTriangle{read.rod(), read.quantity("spacing")};
  else if (*word == "tape")
    shape = electrode::Tape{read.quantity("length"), read.quantity("width"), read.quantity("depth"),
                            section.quantity("thickness").value_or(0.0)};
  else if (*word == "round conductor")
    shape =
        electrode::RoundConductor{read.quantity("length"), read.quantity("diameter"), read.quantity("depth")};
  else if (*word == "ring")
    shape =
        electrode::Ring{read.quantity("ring_diameter"), read.quantity("diameter"), read.quantity("depth")};
  else if (*word == "mesh")
    shape = electrode::Mesh{{read.quantity("length"), read.count("meshes_along")},
                            {read.quantity("breadth"), read.count("meshes_across")},
                            read.quantity("depth"),
                            read.quantity("diameter") / 2.0};
  else if (*word == "plate")
    shape = electrode::RectangularPlate{
        read.quantity("length"), read.quantity("breadth"), read.quantity("depth"),
        section.flag("upright").value_or(false) ? electrode::PlateAttitude::vertical
                                                : electrode::PlateAttitude::horizontal};
  else
    throw InternalError("a shape word without its reader");
  if (!read.is_complete()) return std::nullopt;
  try {
    (void)electrode::default_formula(shape);  // the shape's own preconditions, said at its place in the file
  } catch (const DomainError& problem) {
    section.error("shape", "out-of-range", problem.what());
    return std::nullopt;
  }
  return is_covered(shape, section) ? std::optional(shape) : std::nullopt;
}

SoilWarmth read_warmth(const Section& soil) {
  SoilWarmth warmth;
  const auto conductivity = soil.quantity("thermal_conductivity");
  const auto capacity = soil.quantity("heat_capacity");
  warmth.thermal_conductivity_w_per_m_k = conductivity.value_or(warmth.thermal_conductivity_w_per_m_k);
  warmth.heat_capacity_j_per_m3_k = capacity.value_or(warmth.heat_capacity_j_per_m3_k);
  warmth.ground_degc = soil.quantity("ground_temperature").value_or(warmth.ground_degc);
  warmth.drying_degc = soil.quantity("drying_temperature").value_or(warmth.drying_degc);
  warmth.is_stated = conductivity && capacity;
  if (!(warmth.drying_degc > warmth.ground_degc))
    soil.error(soil.has("drying_temperature") ? "drying_temperature" : "ground_temperature", "out-of-range",
               "the soil dries only above the temperature that the ground has anyway",
               "state a drying_temperature above ground_temperature");
  return warmth;
}

void read_limits(const Section& section, Site& site) {
  site.limit_v = section.quantity("met").value_or(site.limit_v);
  site.tt_limit_v = section.quantity("tt").value_or(site.tt_limit_v);
  if (const auto basis = section.text("met_basis"))
    site.limit_basis = *basis;
  else if (section.has("met") && site.limit_v != 70.0) {
    section.error("met", "missing-basis", "a limit other than 70 V needs met_basis");
  }
  if (const auto basis = section.text("tt_basis"))
    site.tt_limit_basis = *basis;
  else if (section.has("tt") && site.tt_limit_v != 50.0) {
    section.error("tt", "missing-basis", "a limit other than 50 V needs tt_basis");
  }
}

void require_part(bool is_required, const Section& root, std::string_view key, std::string_view what) {
  if (is_required && !root.has(key)) {
    root.error("", "missing-key", fmt::format("the document has no [{}]: {}", key, what));
  }
}

}  // namespace

std::string_view break_position_word(BreakPosition position) {
  return word_of(position, break_words);
}
std::string_view array_word(sounding::Array array) {
  return word_of(array, detail::array_words);
}
std::string_view contact_word(sounding::StakeContact contact) {
  return word_of(contact, detail::contact_words);
}
std::string_view charge_point_word(supply::ChargePoint charge_point) {
  return word_of(charge_point, charge_point_words);
}

std::string_view shape_word(const electrode::Shape& shape) {
  constexpr std::array<std::string_view, 9> words{
      "rod",  "rods in line", "rods in square", "rods in triangle", "tape", "round conductor",
      "ring", "mesh",         "plate"};
  static_assert(words.size() == std::variant_size_v<electrode::Shape>);
  return words.at(shape.index());
}

std::optional<Site> read_site(const text::Value& document, Dialect dialect, const RequiredParts& required,
                              const FileLoader& load_file, Diagnostics& diagnostics) {
  const Section root(document, "", site_keys, dialect, diagnostics);
  Site site;
  site.limit_basis = std::string(default_limit_basis);
  site.tt_limit_basis = std::string(default_tt_limit_basis);
  site.reference = root.text("reference").value_or("");
  site.title = root.text("title").value_or("");
  site.is_invented = root.flag("invented").value_or(false);
  site.earthing_conductor_ohm = root.quantity("earthing_conductor").value_or(0.0);
  site.seed = static_cast<std::uint64_t>(root.count("seed").value_or(1));
  if (const auto rules = root.table("rules", rules_keys)) {
    site.jurisdiction = rules->text("jurisdiction").value_or(site.jurisdiction);
    site.edition = rules->text("edition").value_or("");
  }
  if (const auto soil = root.table("soil", soil_keys)) {
    site.soil = read_soil(*soil, load_file);
    site.warmth = read_warmth(*soil);
  }
  if (const auto season = root.table("season", season_keys)) read_season(*season, site);
  if (const auto measured = root.table("measured_electrode", measured_keys)) read_measured(*measured, site);
  if (const auto land = root.table("land", land_keys)) read_land(*land, site);
  if (const auto supply = root.table("supply", supply_keys)) read_supply(*supply, site);
  for (const Section& load : root.tables("loads", load_keys))
    read_load(load, site.supply.phase_count, site.loads);
  for (const Section& path : root.tables("earth_paths", path_keys))
    read_path(path, site.other_paths);
  if (const auto limits = root.table("limits", limit_keys)) read_limits(*limits, site);
  if (const auto broken = root.table("break", break_keys)) {
    site.break_position = value_of(broken->text("position"), break_words).value_or(BreakPosition::unstated);
    site.break_reason = broken->text("reason").value_or("");
  }
  if (const auto street = root.table("street", street_keys)) read_street(*street, site);
  if (const auto design = root.table("design", design_keys)) site.design = read_design(*design, site.land);
  for (const Section& candidate : root.tables("candidates", candidate_keys)) {
    const std::string name = candidate.text("name").value_or("");
    auto shape = read_shape(candidate);
    const auto places = detail::candidate_places(candidate);
    if (shape) site.candidates.push_back({name, std::move(*shape), places.at, places.direction_to});
  }
  site.separation = read_separation(root, site.candidates);
  site.routes = read_route_facts(root);
  if (required.soil && required.loads && required.candidates && !root.has("reference")) {
    root.error("", "missing-key", "a study needs its reference",
               "add reference = \"your number of the job\" at the top");
  }
  require_part(required.soil && !root.has("measured_electrode"), root, "soil",
               "without soil data nothing can be said of an electrode");
  require_part(required.loads, root, "loads", "without a load there is no voltage to limit");
  require_part(required.candidates && !root.has("measured_electrode"), root, "candidates",
               "name at least one electrode to judge");
  if (diagnostics.has_errors()) return std::nullopt;
  return site;
}

}  // namespace ohmroot::study

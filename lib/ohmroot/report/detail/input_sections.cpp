// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/report/detail/sections.hpp>
#include <ohmroot/report/detail/words.hpp>
#include <ohmroot/report/signs.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/study/site_file.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

namespace ohmroot::report::detail {
namespace {

std::string given(double si_value, Dimension dimension) {
  return std::isfinite(si_value) ? as_given(si_value, dimension) : "none";
}

std::string given_interval(double least, double greatest, Dimension dimension) {
  return least == greatest ? given(least, dimension)
                           : given(least, dimension) + " to " + given(greatest, dimension);
}

std::string or_dash(std::string text) {
  return text.empty() ? "-" : text;
}

void add_supply(const study::Site& site, Rows& rows) {
  const supply::Supply& supply = site.supply;
  rows.push_back(
      {"Phases", fmt::format("{}", supply.phase_count), supply.is_sequence_reversed ? "sequence 1-3-2" : ""});
  rows.push_back({"Voltage, line to neutral", given(supply.nominal_v, Dimension::voltage),
                  "source between " + given(supply.lowest_v, Dimension::voltage) + " and " +
                      given(supply.highest_v, Dimension::voltage)});
  rows.push_back({"Earth of the star point", given(supply.source_earth_ohm, Dimension::resistance), ""});
  rows.push_back(
      {"Break asked about", std::string(study::break_position_word(site.break_position)), site.break_reason});
  rows.push_back({"Limit, MET to true earth", given(site.limit_v, Dimension::voltage), site.limit_basis});
  rows.push_back({"Limit, TT", given(site.tt_limit_v, Dimension::voltage), site.tt_limit_basis});
  rows.push_back({"Earthing conductor", given(site.earthing_conductor_ohm, Dimension::resistance), ""});
}

void add_ground(const study::Site& site, Rows& rows) {
  if (site.season)
    rows.push_back({"Season factor, measured in " + site.month_of_measurement,
                    given_interval(site.season->least_ratio, site.season->greatest_ratio, Dimension::ratio),
                    site.season->basis});
  else
    rows.push_back({"Season factor", "none", "not stated"});
  if (site.land) {
    std::string corners;
    for (const study::LandCorner& corner : site.land->corners)
      corners += fmt::format("{}({}, {})", corners.empty() ? "" : " ", given(corner.x_m, Dimension::ratio),
                             given(corner.y_m, Dimension::ratio));
    rows.push_back({"Depth that can be driven", given(site.land->drivable_depth_m, Dimension::length),
                    "land with the corners " + corners + " [m]"});
  }
  for (const study::OtherEarthPath& path : site.other_paths)
    rows.push_back({"Other path to earth: " + path.name, given(path.resistance_ohm, Dimension::resistance),
                    path.is_relied_on ? "relied on: " + path.basis : "not to be relied on, left out"});
  for (const study::Candidate& candidate : site.candidates)
    rows.push_back({"Candidate: " + candidate.name, electrode::describe(candidate.shape), ""});
  if (site.measured)
    rows.push_back(
        {"Measured electrode: " + site.measured->name,
         given(site.measured->resistance_ohm, Dimension::resistance),
         fmt::format("{}, {}, standard error {}, {}", site.measured->method, site.measured->date,
                     given(100 * site.measured->relative_error_ratio, Dimension::ratio) + " %",
                     site.measured->was_pme_disconnected ? "PME disconnected" : "PME NOT disconnected")});
}

struct SoilRows {
  Rows& rows;

  void operator()(const study::SoilFromReadings& source) const {
    for (std::size_t i = 0; i < source.file.size(); ++i)
      rows.push_back(
          {"Soil: field sheet", source.file[i],
           i < source.sheet.size() ? fmt::format("{} readings", source.sheet[i].readings.size()) : ""});
    for (const sounding::DrivenRodReading& reading : source.rods)
      rows.push_back(
          {fmt::format("Soil: driven rod {}", reading.rod),
           (reading.is_lower_bound ? "over " : "") + given(reading.resistance_ohm, Dimension::resistance),
           fmt::format("{} deep, standard error {} %", given(reading.driven_length_m, Dimension::length),
                       given(100 * reading.relative_error_ratio, Dimension::ratio))});
  }
  void operator()(const study::SoilFromLayers& source) const {
    for (std::size_t i = 0; i < source.layers.size(); ++i)
      rows.push_back({fmt::format("Soil: stated layer {}", i + 1),
                      given_interval(source.layers[i].least_resistivity_ohm_m,
                                     source.layers[i].greatest_resistivity_ohm_m, Dimension::resistivity),
                      (std::isfinite(source.layers[i].thickness_m)
                           ? given(source.layers[i].thickness_m, Dimension::length) + " thick; "
                           : "without end; ") +
                          source.basis});
  }
  void operator()(const study::SoilFromRod& source) const {
    rows.push_back({"Soil: one rod " + electrode::describe(source.rod),
                    given(source.resistance_ohm, Dimension::resistance),
                    "standard error " + given(100 * source.relative_error_ratio, Dimension::ratio) + " %"});
  }
  void operator()(const study::SoilFromWord& source) const {
    rows.push_back({"Soil: word", source.word, ""});
  }
};

void write_loads(Html& html, const study::Site& site) {
  Rows rows;
  for (const supply::Load& load : site.loads) {
    std::string remark = load.minimum_basis.empty() ? "" : "least: " + load.minimum_basis;
    if (!load.model_basis.empty()) remark += (remark.empty() ? "model: " : "; model: ") + load.model_basis;
    rows.push_back(
        {load.name, fmt::format("{}", load.phase),
         given_interval(load.least_current_a, load.greatest_current_a, Dimension::current),
         given(load.power_factor_ratio, Dimension::ratio) + (load.is_leading ? " leading" : ""),
         load.stated_model ? std::string(supply::load_model_name(*load.stated_model)) : "all three tried",
         given(load.current_ceiling_a, Dimension::current),
         std::string(study::charge_point_word(load.charge_point)), or_dash(remark)});
  }
  write_table(html, "Loads, line to neutral, currents at nominal voltage",
              {{"Load", CellKind::given},
               {"Phase"},
               {"Current"},
               {"Power factor"},
               {"Model"},
               {"Ceiling", CellKind::number},
               {"Charge point"},
               {"Basis"}},
              rows);
}

void write_warnings(Html& html, const study::StudyResult& result) {
  if (result.warnings.empty()) return;
  html.element("h3", "Warnings");
  std::vector<std::string> sentences;
  for (const Diagnostic& warning : result.warnings)
    sentences.push_back(to_text(warning));
  write_list(html, sentences);
}

bool is_doubtful(const study::SoilPicture& soil, std::size_t reading) {
  return std::any_of(soil.doubts.begin(), soil.doubts.end(),
                     [&](const sounding::ReadingDoubt& doubt) { return doubt.reading_index == reading; });
}

std::vector<std::string> doubt_sentences(const study::SoilPicture& soil) {
  std::vector<std::string> sentences;
  for (const sounding::ReadingDoubt& doubt : soil.doubts) {
    const int line = soil.readings.at(doubt.reading_index).sheet_line;
    sentences.push_back((line > 0 ? fmt::format("Doubtful, row {} of the sheet: ", line) : "Doubtful: ") +
                        doubt.sentence);
  }
  return sentences;
}

std::string residual_words(const study::SoilPicture& soil, std::size_t reading) {
  if (!soil.interpretation || reading >= soil.interpretation->chosen().residual_ratio.size()) return "-";
  const double tenths = std::round(1000 * std::expm1(soil.interpretation->chosen().residual_ratio[reading]));
  return fmt::format("{:+.1f} %", tenths / 10 + 0.0);  // + 0.0: no minus sign before a zero
}

/// A column of the table of readings, and what it holds of each.
struct ReadingColumn {
  Column column;
  std::function<std::string(const sounding::FourPoleReading& reading, std::size_t index)> cell;
};

/// Only the columns that say something: the table is wide enough.
std::vector<ReadingColumn> reading_columns(const study::SoilPicture& soil) {
  using Reading = sounding::FourPoleReading;
  const auto any = [&](auto&& holds) {
    return std::any_of(soil.readings.begin(), soil.readings.end(), holds);
  };
  const bool is_wenner = !any([](const Reading& r) { return r.array != sounding::Array::wenner; });
  const bool is_schlumberger =
      !any([](const Reading& r) { return r.array != sounding::Array::schlumberger; });
  std::vector<ReadingColumn> columns;
  const auto add = [&](std::string head, CellKind kind, auto&& cell) {
    columns.push_back({{std::move(head), kind}, cell});
  };
  add("Row of sheet", CellKind::words,
      [](const Reading& r, std::size_t) { return r.sheet_line > 0 ? fmt::format("{}", r.sheet_line) : "-"; });
  if (any([](const Reading& r) { return !r.traverse.empty(); }))
    add("Line of stakes", CellKind::given, [](const Reading& r, std::size_t) { return or_dash(r.traverse); });
  if (!is_wenner && !is_schlumberger)
    add("Array", CellKind::words,
        [](const Reading& r, std::size_t) { return std::string(study::array_word(r.array)); });
  const bool is_either = !any([](const Reading& r) {
    return r.array != sounding::Array::wenner && r.array != sounding::Array::schlumberger;
  });
  add(is_wenner         ? "a (Wenner)"
      : is_schlumberger ? "AB/2 (Schlumberger)"
      : is_either       ? "a or AB/2"
                        : "Spacing as plotted",
      CellKind::number,
      [](const Reading& r, std::size_t) { return given(sounding::plotted_spacing_m(r), Dimension::length); });
  if (any([](const Reading& r) { return r.array == sounding::Array::schlumberger; }))
    add("MN/2", CellKind::number, [](const Reading& r, std::size_t) {
      return r.array != sounding::Array::schlumberger ? "-"
                                                      : given(r.half_potential_spacing_m, Dimension::length);
    });
  add("R", CellKind::number,
      [](const Reading& r, std::size_t) { return given(r.resistance_ohm, Dimension::resistance); });
  add("Stake depth", CellKind::number, [](const Reading& r, std::size_t) {
    return given(r.driven_depth_m, Dimension::length) +
           (r.contact == sounding::StakeContact::insulated ? " insulated" : "");
  });
  add("Standard error", CellKind::number, [](const Reading& r, std::size_t) {
    return given(100 * r.relative_error_ratio, Dimension::ratio) + " %";
  });
  add("Apparent resistivity", CellKind::number, [&soil](const Reading&, std::size_t i) {
    return format_quantity(soil.apparent_resistivity_ohm_m.at(i), Dimension::resistivity);
  });
  add("Off model", CellKind::number,
      [&soil](const Reading&, std::size_t i) { return residual_words(soil, i); });
  if (!soil.doubts.empty())
    add("Remark", CellKind::words, [&soil](const Reading&, std::size_t i) {
      return std::string(is_doubtful(soil, i) ? "doubtful" : "-");
    });
  return columns;
}

void write_reading_table(Html& html, const study::SoilPicture& soil) {
  const std::vector<ReadingColumn> columns = reading_columns(soil);
  std::vector<Column> heads;
  for (const ReadingColumn& column : columns)
    heads.push_back(column.column);
  Rows rows;
  for (std::size_t i = 0; i < soil.readings.size(); ++i) {
    rows.emplace_back();
    for (const ReadingColumn& column : columns)
      rows.back().push_back(column.cell(soil.readings[i], i));
  }
  write_table(html, "Readings, apparent resistivity, and how far each lies off the model", heads, rows);
}

Rows skipped_rows(const study::SoilPicture& soil) {
  Rows rows;
  for (const sounding::SkippedRow& row : soil.skipped)
    rows.push_back({fmt::format("{}", row.line), row.why,
                    row.is_over_range && row.over_range_above_ohm > 0
                        ? "above " + given(row.over_range_above_ohm, Dimension::resistance)
                        : "-"});
  return rows;
}

}  // namespace

void write_inputs(Html& html, const study::StudyResult& result) {
  const Section section(html, "inputs", "Assumptions and inputs");
  if (!result.assumptions.empty()) {
    html.element("h3", "Assumptions");
    const Element list(html, "ol");
    for (const std::string& assumption : result.assumptions)
      html.element("li", assumption);
  }
  html.element("h3", "Inputs as given");
  Rows rows;
  add_supply(result.site, rows);
  add_ground(result.site, rows);
  if (result.site.soil) std::visit(SoilRows{rows}, *result.site.soil);
  rows.push_back({"Seed", fmt::format("{}", result.site.seed), ""});
  write_table(html, "Site", {{"Input", CellKind::given}, {"Value"}, {"Basis", CellKind::given}}, rows);
  write_loads(html, result.site);
  write_warnings(html, result);
}

void write_readings(Html& html, const study::StudyResult& result) {
  const study::SoilPicture& soil = result.soil;
  if (soil.readings.empty() && soil.skipped.empty()) return;
  const Section section(html, "readings", "Readings as received");
  html.element("p", fmt::format("{} readings from {} rows; {} rows left out.", soil.readings.size(),
                                std::max(soil.data_row_count,
                                         static_cast<int>(soil.readings.size() + soil.skipped.size())),
                                soil.skipped.size()));
  write_reading_table(html, soil);
  write_list(html, doubt_sentences(soil));
  write_table(html, "Rows left out", {{"Row of sheet"}, {"Why"}, {"Bound", CellKind::number}},
              skipped_rows(soil));
  write_list(html, soil.notes);
}

}  // namespace ohmroot::report::detail

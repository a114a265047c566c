// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/heating_parts.hpp>
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/detail/words.hpp>

#include <fmt/format.h>

#include <cmath>

namespace ohmroot::report::detail {
namespace {

using text::Value;

std::string after_words(const std::optional<double>& time_s) {
  if (!time_s) return "never";
  constexpr double day_s = 86400.0;
  return *time_s < 2.0 * day_s ? format_number(*time_s / 3600.0, 2) + " h"
                               : format_number(*time_s / day_s, 2) + " d";
}

/// Linear in the logarithm of time, between points an eighth of a decade apart.
double rise_at_k(const study::HeatingResult& heating, const study::HeatedPart& part, double time_s) {
  std::size_t i = 1;
  while (i + 1 < heating.time_s.size() && heating.time_s[i] < time_s)
    ++i;
  const double share =
      std::log(time_s / heating.time_s[i - 1]) / std::log(heating.time_s[i] / heating.time_s[i - 1]);
  return part.rise_k[i - 1] + share * (part.rise_k[i] - part.rise_k[i - 1]);
}

void set_time(Value& document, const char* name, const std::optional<double>& time_s) {
  if (time_s)
    document.set(Key{name, "s"}.text(), *time_s);
  else
    set_missing(document, {name, "s"}, "never, or not within a hundred years");
}

}  // namespace

void write_heating(Html& html, const study::StudyResult& result, FigureShelf& figures) {
  if (!result.heating) return;
  const study::HeatingResult& heating = *result.heating;
  const Section section(html, "heating", "The electrode over time, with the PEN open");
  html.element("p", heating.finding + fmt::format(" Current into the soil {}. Voltage: {}.",
                                                  format_quantity(heating.current_a, Dimension::current),
                                                  heating.voltage_basis));
  Rows rows;
  for (const study::HeatedPart& part : heating.parts) {
    constexpr std::size_t most_rows = 8;
    if (rows.size() == most_rows) break;  // the warmest come first; results.json has them all
    std::vector<std::string> row{part.name, format_number(part.current_a_per_m) + " A/m"};
    for (const double time_s : {4.0 * 3600.0, 7.0 * 86400.0, 365.25 * 86400.0})
      row.push_back(format_number(rise_at_k(heating, part, time_s), 2) + " K");
    row.push_back(after_words(part.dries_after_s));
    row.push_back(after_words(part.boils_after_s));
    rows.push_back(std::move(row));
  }
  write_table(html, "Rise of temperature at the metal, the warmest first",
              {{"Metal"},
               {"Leaves it", CellKind::number},
               {"4 hours", CellKind::number},
               {"A week", CellKind::number},
               {"A year", CellKind::number},
               {"Dries after", CellKind::number},
               {"Boils after", CellKind::number}},
              rows);
  figures.write(html, "heating");
  Rows duties;
  for (const study::FaultDuty& duty : heating.duties)
    duties.push_back({format_given(duty.time_s, Dimension::time),
                      format_quantity(duty.current_a, Dimension::current),
                      format_quantity(duty.is_3043_current_a, Dimension::current),
                      format_quantity(duty.ieee_142_current_a, Dimension::current)});
  write_table(html, "Greatest fault current into the electrode that its most loaded metal bears",
              {{"For", CellKind::number},
               {"Used here", CellKind::number},
               {"IS 3043", CellKind::number},
               {"Ascribed to IEEE 142", CellKind::number}},
              duties);
  for (const std::string& note : heating.notes)
    html.element("p", note);
}

Value heating_document(const study::HeatingResult& heating) {
  Value document;
  document.set("finding", heating.finding);
  document.set("voltage_v", heating.voltage_v);
  document.set("voltage_basis", heating.voltage_basis);
  document.set("current_a", heating.current_a);
  document.set("steady_rise_k", heating.steady_rise_k);
  document.set("least_resistivity_ohm_m", heating.least_resistivity_ohm_m);
  document.set("radius_m", heating.radius_m);
  document.set("time_s", numbers(heating.time_s));
  document.set("parts", documents(heating.parts, [](const study::HeatedPart& part) {
                 Value row;
                 row.set("name", part.name);
                 row.set("current_a_per_m", part.current_a_per_m);
                 row.set("resistivity_ohm_m", part.resistivity_ohm_m);
                 row.set("rise_k", numbers(part.rise_k));
                 set_time(row, "dries_after", part.dries_after_s);
                 set_time(row, "boils_after", part.boils_after_s);
                 return row;
               }));
  document.set("fault_duties", documents(heating.duties, [](const study::FaultDuty& duty) {
                 Value row;
                 row.set("time_s", duty.time_s);
                 row.set("current_a", duty.current_a);
                 row.set("is_3043_current_a", duty.is_3043_current_a);
                 row.set("ieee_142_current_a", duty.ieee_142_current_a);
                 return row;
               }));
  document.set("notes", texts(heating.notes));
  return document;
}

}  // namespace ohmroot::report::detail

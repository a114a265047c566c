// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/evidence/detail/soil_given.hpp>
#include <ohmroot/sounding/doubts.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::evidence::detail {

namespace {

using sounding::FourPoleReading;

constexpr Word<sounding::StakeContact> contact_words[] = {
    {"bare", sounding::StakeContact::bare},
    {"insulated", sounding::StakeContact::insulated},
};

constexpr Word<sounding::StakeDepthRule> depth_rule_words[] = {
    {"effective_point", sounding::StakeDepthRule::effective_point},
    {"handbook", sounding::StakeDepthRule::handbook},
};

constexpr Word<sounding::Array> wenner_words[] = {
    {"alpha", sounding::Array::wenner},
    {"beta", sounding::Array::wenner_beta},
    {"gamma", sounding::Array::wenner_gamma},
};

/// Geometry of one or more readings: 'spacing_m' for Wenner in one of its 'order's, 'dipole_m' and 'gap_m' for
/// dipole-dipole, 'places_m' (x and y of A, B, M, N) for any one reading, otherwise the two halves for
/// Schlumberger, MN 'potential_offset_m' off the centre. A list gives one reading per item; a lone number
/// beside a list holds for all of them.
const std::string geometry_takes =
    "spacing_m?, order?, half_current_spacing_m?, half_potential_spacing_m?, potential_offset_m?, dipole_m?, "
    "gap_m?, places_m?";

double item(const std::vector<double>& list, std::size_t index, std::size_t count) {
  if (list.size() != count && list.size() != 1) {
    throw NotComputable(fmt::format("a list of {} values stands beside one of {}", list.size(), count));
  }
  return list.size() == 1 ? list.front() : list[index];
}

bool is_list(const Given& given) {
  for (const char* key : {"spacing_m", "half_current_spacing_m", "gap_m"}) {
    if (given.has(key)) return given.is_list(key);
  }
  return false;
}

FourPoleReading reading_at_places(const std::vector<double>& places_m) {
  if (places_m.size() != 8) throw NotComputable("places_m takes x and y of A, B, M and N: eight numbers");
  const auto place = [&](std::size_t stake) {
    return sounding::StakePlace{places_m[2 * stake], places_m[2 * stake + 1]};
  };
  return sounding::four_point_reading({place(0), place(1), place(2), place(3)}, 1.0);
}

std::vector<FourPoleReading> schlumberger_readings(const Given& given) {
  std::vector<FourPoleReading> readings;
  const std::vector<double> outer_m = given.numbers("half_current_spacing_m");
  const std::vector<double> inner_m = given.numbers("half_potential_spacing_m");
  const std::vector<double> offset_m =
      given.has("potential_offset_m") ? given.numbers("potential_offset_m") : std::vector<double>{0.0};
  for (std::size_t i = 0; i < outer_m.size(); ++i) {
    FourPoleReading reading;
    reading.array = sounding::Array::schlumberger;
    reading.half_current_spacing_m = outer_m[i];
    reading.half_potential_spacing_m = item(inner_m, i, outer_m.size());
    reading.potential_offset_m = item(offset_m, i, outer_m.size());
    reading.resistance_ohm = 1.0;
    readings.push_back(reading);
  }
  return readings;
}

std::vector<FourPoleReading> geometry_in(const Given& given) {
  std::vector<FourPoleReading> readings;
  if (given.has("places_m")) return {reading_at_places(given.numbers("places_m"))};
  if (given.has("spacing_m")) {
    const sounding::Array array = meaning_of(given.text_or("order", "alpha"), wenner_words);
    for (double spacing_m : given.numbers("spacing_m"))
      readings.push_back(sounding::wenner_reading_of(array, spacing_m, 1.0));
    return readings;
  }
  if (!given.has("dipole_m")) return schlumberger_readings(given);
  for (double gap_m : given.numbers("gap_m"))
    readings.push_back(sounding::dipole_dipole_reading({given.number("dipole_m"), gap_m}, 1.0));
  return readings;
}

/// One value per reading: a list if the geometry is one, otherwise a number.
template <class Function>
text::Value per_reading(const Given& given, const std::vector<FourPoleReading>& readings, Function value_of) {
  if (!is_list(given)) {
    return value_of(readings.front());
  }
  std::vector<double> values;
  std::transform(readings.begin(), readings.end(), std::back_inserter(values), value_of);
  return list_of(values);
}

/// Readings as taken: V/I directly, or voltage and current, with the stakes as they stood.
std::vector<FourPoleReading> field_readings_in(const Given& given) {
  std::vector<FourPoleReading> readings = geometry_in(given);
  const std::size_t count = readings.size();
  for (std::size_t i = 0; i < count; ++i) {
    if (given.has("resistance_ohm")) {
      readings[i].resistance_ohm = item(given.numbers("resistance_ohm"), i, count);
    } else if (given.has("voltage_v")) {
      readings[i].resistance_ohm =
          item(given.numbers("voltage_v"), i, count) / item(given.numbers("current_a"), i, count);
    }
    readings[i].driven_depth_m = given.number_or("driven_depth_m", 0.0);
    readings[i].contact = meaning_of(given.text_or("contact", "bare"), contact_words);
  }
  return readings;
}

sounding::StakeDepthRule depth_rule_in(const Given& given) {
  return meaning_of(given.text_or("depth_rule", "effective_point"), depth_rule_words);
}

/// Readings of which the publication prints the apparent resistivity: stakes at the surface.
std::vector<FourPoleReading> printed_readings_in(const Given& given) {
  std::vector<FourPoleReading> readings = geometry_in(given);
  const std::vector<double> apparent_ohm_m = given.numbers("apparent_resistivity_ohm_m");
  for (std::size_t i = 0; i < readings.size(); ++i) {
    readings[i].resistance_ohm =
        item(apparent_ohm_m, i, readings.size()) / sounding::geometric_factor_m(readings[i]);
  }
  return readings;
}

/// Root mean square of ln(measured / modelled) of a stated soil.
double model_misfit_ratio(const earth::LayeredSoil& soil, const std::vector<FourPoleReading>& readings) {
  double sum = 0.0;
  for (const FourPoleReading& reading : readings) {
    const double residual = std::log(sounding::apparent_resistivity_ohm_m(reading) /
                                     sounding::modelled_apparent_resistivity_ohm_m(soil, reading));
    sum += residual * residual;
  }
  return std::sqrt(sum / static_cast<double>(readings.size()));
}

sounding::SoilFit fit_in(const Given& given, int layer_count) {
  sounding::InterpretationOptions options;
  options.greatest_layer_count = layer_count;
  options.objective = sounding::Objective::plain;
  const sounding::Interpretation interpretation = sounding::interpret(printed_readings_in(given), options);
  for (const sounding::SoilFit& fit : interpretation.fits) {
    if (fit.layer_count == layer_count && fit.status == sounding::FitStatus::converged) {
      return fit;
    }
  }
  throw NotComputable(fmt::format("no fit of {} layers", layer_count));
}

bool is_inside(const sounding::ParameterInterval& interval, double value) {
  return (value >= interval.least || !interval.is_least_resolved) &&
         (value <= interval.greatest || !interval.is_greatest_resolved);
}

/// Where a stated soil lies beside the 90 % intervals of a fit of as many layers to the same readings.
std::string place_of(const earth::LayeredSoil& stated, const sounding::SoilFit& fit) {
  std::string outside;
  const auto check = [&](const sounding::ParameterInterval& interval, double value, const std::string& name) {
    if (!is_inside(interval, value)) outside += (outside.empty() ? "outside: " : ", ") + name;
  };
  const auto& layers = stated.layers();
  for (std::size_t i = 0; i < layers.size(); ++i)
    check(fit.resistivity_ohm_m[i], layers[i].resistivity_ohm_m, fmt::format("resistivity {}", i + 1));
  for (std::size_t i = 0; i + 1 < layers.size(); ++i)
    check(fit.thickness_m[i], layers[i].thickness_m, fmt::format("thickness {}", i + 1));
  return outside.empty() ? "inside" : outside;
}

text::Value values_of(const std::vector<sounding::ParameterInterval>& parameters) {
  std::vector<double> values;
  for (const sounding::ParameterInterval& parameter : parameters) {
    values.push_back(parameter.value);
  }
  return list_of(values);
}

std::vector<Quantity> reduction_quantities() {
  const std::string stakes = ", driven_depth_m?, contact?, depth_rule?";
  return {
      {"sounding.apparent_resistivity_ohm_m", "ohm m",
       geometry_takes + ", resistance_ohm?, voltage_v?, current_a?" + stakes, Comparison::equal,
       [](const Given& given) {
         return per_reading(given, field_readings_in(given), [&](const FourPoleReading& reading) {
           return sounding::apparent_resistivity_ohm_m(reading, depth_rule_in(given));
         });
       }},
      {"sounding.geometric_factor_m", "m", geometry_takes + stakes, Comparison::equal,
       [](const Given& given) {
         return per_reading(given, field_readings_in(given), [&](const FourPoleReading& reading) {
           return sounding::geometric_factor_m(reading, depth_rule_in(given));
         });
       }},
      {"sounding.median_depth_m", "m", geometry_takes, Comparison::equal,
       [](const Given& given) { return per_reading(given, geometry_in(given), sounding::median_depth_m); }},
      {"sounding.modelled_resistance_ohm", "ohm", geometry_takes + ", layers" + stakes, Comparison::equal,
       [](const Given& given) {
         const earth::LayeredSoil soil = soil_in(given);
         return per_reading(given, field_readings_in(given), [&](const FourPoleReading& reading) {
           return sounding::modelled_resistance_ohm(soil, reading, depth_rule_in(given));
         });
       }},
      {"sounding.modelled_apparent_resistivity_ohm_m", "ohm m", geometry_takes + ", layers",
       Comparison::equal,
       [](const Given& given) {
         const earth::LayeredSoil soil = soil_in(given);
         return per_reading(given, geometry_in(given), [&](const FourPoleReading& reading) {
           return sounding::modelled_apparent_resistivity_ohm_m(soil, reading);
         });
       }},
  };
}

std::vector<Quantity> interpretation_quantities() {
  const std::string printed = geometry_takes + ", apparent_resistivity_ohm_m";
  return {
      {"sounding.model_misfit_ratio", "1", printed + ", layers", Comparison::equal,
       [](const Given& given) -> text::Value {
         return model_misfit_ratio(soil_in(given), printed_readings_in(given));
       }},
      {"sounding.published_model_place", "inside or outside", printed + ", layers", Comparison::equal,
       [](const Given& given) -> text::Value {
         const earth::LayeredSoil stated = soil_in(given);
         return place_of(stated, fit_in(given, static_cast<int>(stated.layers().size())));
       }},
      {"sounding.fit_misfit_ratio", "1", printed + ", layer_count", Comparison::equal,
       [](const Given& given) -> text::Value {
         return fit_in(given, given.count("layer_count")).misfit_ratio;
       }},
      {"sounding.fit_resistivity_ohm_m", "ohm m", printed + ", layer_count", Comparison::equal,
       [](const Given& given) {
         return values_of(fit_in(given, given.count("layer_count")).resistivity_ohm_m);
       }},
      {"sounding.fit_thickness_m", "m", printed + ", layer_count", Comparison::equal,
       [](const Given& given) { return values_of(fit_in(given, given.count("layer_count")).thickness_m); }},
      {"sounding.chosen_layer_count", "1", printed, Comparison::equal,
       [](const Given& given) -> text::Value {
         return sounding::interpret(printed_readings_in(given)).chosen_layer_count;
       }},
      {"sounding.has_doubtful_readings", "yes or no", printed, Comparison::equal,
       [](const Given& given) -> text::Value {
         return sounding::doubtful_readings(printed_readings_in(given)).empty() ? "no" : "yes";
       }},
  };
}

}  // namespace

std::vector<Quantity> sounding_quantities() {
  std::vector<Quantity> all = reduction_quantities();
  for (Quantity& quantity : interpretation_quantities()) {
    all.push_back(std::move(quantity));
  }
  return all;
}

}  // namespace ohmroot::evidence::detail

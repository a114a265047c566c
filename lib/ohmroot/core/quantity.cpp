// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

namespace ohmroot {
namespace {

struct DimensionFacts {
  Dimension dimension;
  std::string_view name;
  std::string_view article;
  std::string_view unit;
  std::string_view suffix;
};

constexpr std::array<DimensionFacts, 12> dimension_facts{{
    {Dimension::ratio, "number without unit", "a", "", "ratio"},
    {Dimension::length, "length", "a", "m", "m"},
    {Dimension::area, "area", "an", "m2", "m2"},
    {Dimension::resistance, "resistance", "a", "ohm", "ohm"},
    {Dimension::resistivity, "resistivity", "a", "ohm m", "ohm_m"},
    {Dimension::voltage, "voltage", "a", "V", "v"},
    {Dimension::current, "current", "a", "A", "a"},
    {Dimension::power, "power", "a", "W", "w"},
    {Dimension::time, "time", "a", "s", "s"},
    {Dimension::thermal_conductivity, "thermal conductivity", "a", "W/(m K)", "w_per_m_k"},
    {Dimension::heat_capacity, "heat capacity by volume", "a", "J/(m3 K)", "j_per_m3_k"},
    {Dimension::temperature, "temperature", "a", "degC", "degc"},
}};

const DimensionFacts& facts(Dimension dimension) {
  const auto found = std::find_if(dimension_facts.begin(), dimension_facts.end(),
                                  [&](const DimensionFacts& row) { return row.dimension == dimension; });
  if (found == dimension_facts.end()) throw InternalError("a dimension without facts");
  return *found;
}

/// One way of writing a unit, and its value in SI. Blanks and dots inside compound units are removed
/// before the look-up, so "ohm m", "ohm.m" and "ohm-m" are one entry.
struct Unit {
  std::string_view text;
  Dimension dimension;
  double si_per_unit;  // unit: SI unit of the dimension per unit written
};

constexpr double metre_per_foot = 0.3048;  // exact by definition (international foot, 1959)

constexpr std::array<Unit, 54> units{{
    {"%", Dimension::ratio, 0.01},
    {"m", Dimension::length, 1.0},
    {"mm", Dimension::length, 1e-3},
    {"cm", Dimension::length, 1e-2},
    {"km", Dimension::length, 1e3},
    {"ft", Dimension::length, metre_per_foot},
    {"m2", Dimension::area, 1.0},
    {"m^2", Dimension::area, 1.0},
    {"mm2", Dimension::area, 1e-6},
    {"mm^2", Dimension::area, 1e-6},
    {"ohm", Dimension::resistance, 1.0},
    {"ohms", Dimension::resistance, 1.0},
    {"Ohm", Dimension::resistance, 1.0},
    {"Ohms", Dimension::resistance, 1.0},
    {"mohm", Dimension::resistance, 1e-3},
    {"kohm", Dimension::resistance, 1e3},
    {"Mohm", Dimension::resistance, 1e6},
    {"ohmm", Dimension::resistivity, 1.0},
    {"ohmsm", Dimension::resistivity, 1.0},
    {"Ohmm", Dimension::resistivity, 1.0},
    {"ohmmetre", Dimension::resistivity, 1.0},
    {"ohmmetres", Dimension::resistivity, 1.0},
    {"kohmm", Dimension::resistivity, 1e3},
    {"ohmcm", Dimension::resistivity, 1e-2},
    {"ohmscm", Dimension::resistivity, 1e-2},
    {"V", Dimension::voltage, 1.0},
    {"mV", Dimension::voltage, 1e-3},
    {"uV", Dimension::voltage, 1e-6},
    {"kV", Dimension::voltage, 1e3},
    {"A", Dimension::current, 1.0},
    {"mA", Dimension::current, 1e-3},
    {"uA", Dimension::current, 1e-6},
    {"kA", Dimension::current, 1e3},
    {"W", Dimension::power, 1.0},
    {"mW", Dimension::power, 1e-3},
    {"kW", Dimension::power, 1e3},
    {"MW", Dimension::power, 1e6},
    {"s", Dimension::time, 1.0},
    {"ms", Dimension::time, 1e-3},
    {"min", Dimension::time, 60.0},
    {"h", Dimension::time, 3600.0},
    {"W/(mK)", Dimension::thermal_conductivity, 1.0},
    {"W/mK", Dimension::thermal_conductivity, 1.0},
    {"J/(m3K)", Dimension::heat_capacity, 1.0},
    {"kJ/(m3K)", Dimension::heat_capacity, 1e3},
    {"MJ/(m3K)", Dimension::heat_capacity, 1e6},
    {"J/m3K", Dimension::heat_capacity, 1.0},
    {"kJ/m3K", Dimension::heat_capacity, 1e3},
    {"MJ/m3K", Dimension::heat_capacity, 1e6},
    {"degC", Dimension::temperature, 1.0},
    {"d", Dimension::time, 86400.0},
    {"us", Dimension::time, 1e-6},
    {"MV", Dimension::voltage, 1e6},
    {"MA", Dimension::current, 1e6},
}};

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
    text.replace(at, from.size(), to);
  }
}

/// The text with the code points that people type replaced by ASCII: ohm sign and Greek omega, micro sign
/// and Greek mu, no-break space, middle dot, superscript two.
std::string in_ascii(std::string_view text) {
  std::string ascii(text);
  constexpr std::array<std::array<std::string_view, 2>, 9> replacements{{
      {"\xCE\xA9", "ohm"},
      {"\xE2\x84\xA6", "ohm"},
      {"\xC2\xB5", "u"},
      {"\xCE\xBC", "u"},
      {"\xC2\xA0", " "},
      {"\xE2\x80\xAF", " "},
      {"\xC2\xB7", "."},
      {"\xE2\x8B\x85", "."},
      {"\xC2\xB2", "2"},
  }};
  for (const auto& [from, to] : replacements)
    replace_all(ascii, from, to);
  return ascii;
}

std::string_view stripped(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

/// "ohm m", "ohm.m", "ohm-m", "ohm*m" are the same compound unit.
std::string compact_unit(std::string_view text) {
  std::string compact;
  std::copy_if(text.begin(), text.end(), std::back_inserter(compact),
               [](char c) { return c != ' ' && c != '.' && c != '-' && c != '*' && c != '\t'; });
  return compact;
}

const Unit* find_unit(std::string_view compact) {
  const auto found =
      std::find_if(units.begin(), units.end(), [&](const Unit& unit) { return unit.text == compact; });
  return found == units.end() ? nullptr : &*found;
}

struct NumberAndRest {
  double value;
  std::string_view rest;
};

/// Reads the number at the front; an error leaves a sentence in problem.
std::optional<NumberAndRest> leading_number(std::string_view text, ParsedQuantity& result) {
  if (text.empty()) {
    result.problem = "is empty";
    result.hint = "write a number";
    return std::nullopt;
  }
  const std::string_view digits = text.front() == '+' ? text.substr(1) : text;
  double value = 0.0;
  const auto [end, status] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  const std::string_view rest = digits.substr(static_cast<std::size_t>(end - digits.data()));
  if (status == std::errc::result_out_of_range) {
    result.problem = fmt::format("\"{}\" is too large or too small to be used", text);
    return std::nullopt;
  }
  if (status != std::errc{} || (text.size() > 1 && text[0] == '+' && (text[1] == '-' || text[1] == '+'))) {
    result.problem = fmt::format("\"{}\" does not start with a number", text);
    result.hint = "write digits first, as in 2.4";
    return std::nullopt;
  }
  if (!std::isfinite(value)) {
    result.problem = fmt::format("\"{}\" is not a finite number", text);
    return std::nullopt;
  }
  if (rest.size() > 1 && rest[0] == ',' && rest[1] >= '0' && rest[1] <= '9') {
    result.problem = fmt::format("\"{}\" has a comma", text);
    result.hint = "write the decimal point as a point and leave out marks between thousands";
    return std::nullopt;
  }
  if (!rest.empty() && (rest[0] == 'x' || rest[0] == 'X') && value == 0.0) {
    result.problem = fmt::format("\"{}\" is hexadecimal", text);
    result.hint = "write a decimal number";
    return std::nullopt;
  }
  return NumberAndRest{value, stripped(rest)};
}

std::string with_article(Dimension dimension) {
  return fmt::format("{} {}", facts(dimension).article, facts(dimension).name);
}

std::string example_of(double value, Dimension dimension) {
  return fmt::format("\"{} {}\"", value, unit_text(dimension));
}

void explain_unit(std::string_view unit_written, double value, Dimension wanted, ParsedQuantity& result) {
  if (const Unit* unit = find_unit(compact_unit(unit_written))) {
    result.problem = fmt::format("is {} ({}) where {} is needed", with_article(unit->dimension), unit_written,
                                 with_article(wanted));
  } else {
    result.problem = fmt::format("has the unit \"{}\", which is not known", unit_written);
    const std::string compact = compact_unit(unit_written);
    std::vector<std::string_view> names;
    for (const Unit& known : units) {
      if (known.dimension == wanted) names.push_back(known.text);
    }
    if (const std::string near = nearest_word(compact, names); !near.empty()) {
      result.hint = fmt::format("did you mean {}? ", near);
    }
  }
  if (wanted == Dimension::ratio) {
    result.hint += fmt::format("write {} without a unit, or as a percentage", value);
  } else {
    result.hint += fmt::format("units known for {}: {}", with_article(wanted), accepted_units(wanted));
  }
}

}  // namespace

std::string_view dimension_name(Dimension dimension) {
  return facts(dimension).name;
}
std::string_view unit_text(Dimension dimension) {
  return facts(dimension).unit;
}
std::string_view unit_suffix(Dimension dimension) {
  return facts(dimension).suffix;
}

std::string accepted_units(Dimension dimension) {
  switch (dimension) {
  case Dimension::ratio:
    return "none, or %";
  case Dimension::length:
    return "m, mm, cm, km, ft";
  case Dimension::area:
    return "m2, mm2";
  case Dimension::resistance:
    return "ohm, mohm, kohm, Mohm";
  case Dimension::resistivity:
    return "ohm m, kohm m, ohm cm";
  case Dimension::voltage:
    return "V, mV, kV";
  case Dimension::current:
    return "A, mA, kA";
  case Dimension::power:
    return "W, kW, MW";
  case Dimension::time:
    return "s, ms, min, h, d";
  case Dimension::thermal_conductivity:
    return "W/(m K)";
  case Dimension::heat_capacity:
    return "J/(m3 K), kJ/(m3 K), MJ/(m3 K)";
  case Dimension::temperature:
    return "degC";
  }
  throw InternalError("a dimension without units");
}

ParsedQuantity parse_quantity(std::string_view text, Dimension dimension) {
  ParsedQuantity result;
  const std::string ascii = in_ascii(text);
  const auto number = leading_number(stripped(ascii), result);
  if (!number) return result;
  if (number->rest.empty()) {
    if (dimension == Dimension::ratio) {
      result.si_value = number->value;
    } else {
      result.problem = fmt::format("\"{}\" has no unit", stripped(ascii));
      result.hint = fmt::format("write the unit, as in {}", example_of(number->value, dimension));
    }
    return result;
  }
  const Unit* unit = find_unit(compact_unit(number->rest));
  if (unit == nullptr || unit->dimension != dimension) {
    explain_unit(number->rest, number->value, dimension, result);
    return result;
  }
  const double si_value = number->value * unit->si_per_unit;
  if (!std::isfinite(si_value)) {
    result.problem = fmt::format("\"{}\" is too large to be used", text);
    return result;
  }
  result.si_value = si_value;
  return result;
}

ParsedQuantity parse_number(std::string_view text) {
  ParsedQuantity result;
  const std::string ascii = in_ascii(text);
  const auto number = leading_number(stripped(ascii), result);
  if (!number) return result;
  if (!number->rest.empty()) {
    result.problem = fmt::format("\"{}\" has \"{}\" after the number", stripped(ascii), number->rest);
    result.hint = "write the number alone";
    return result;
  }
  result.si_value = number->value;
  return result;
}

std::string format_number(double value, int significant_figures) {
  if (!std::isfinite(value))
    return std::isnan(value) ? "not a number" : (value > 0 ? "unlimited" : "-unlimited");
  if (value == 0.0) return "0";
  const int figures = std::clamp(significant_figures, 1, std::numeric_limits<double>::max_digits10);
  // Rounding can carry into the next decade (9.996 to 3 figures), so the exponent is read after rounding.
  const std::string rounded = fmt::format("{:.{}e}", value, figures - 1);
  int exponent = 0;
  const std::size_t sign = rounded.find('e') + 1 + (rounded[rounded.find('e') + 1] == '+' ? 1U : 0U);
  std::from_chars(rounded.data() + sign, rounded.data() + rounded.size(), exponent);
  if (exponent >= 6 || exponent < -4) return fmt::format("{:.{}g}", value, figures);
  const int decimals = figures - 1 - exponent;
  if (decimals >= 0) return fmt::format("{:.{}f}", value, decimals);
  double whole = value;  // figures end before the decimal point: 1234.5 to 3 is 1230
  std::from_chars(rounded.data(), rounded.data() + rounded.size(), whole);
  return fmt::format("{:.0f}", whole);
}

std::string format_quantity(double si_value, Dimension dimension, int significant_figures) {
  const std::string_view unit = unit_text(dimension);
  if (unit.empty()) return format_number(si_value, significant_figures);
  struct Prefix {
    std::string_view text;
    double factor;
  } prefix{"", 1.0};
  const bool takes_prefix = dimension == Dimension::length || dimension == Dimension::resistance ||
                            dimension == Dimension::voltage || dimension == Dimension::current ||
                            dimension == Dimension::power || dimension == Dimension::heat_capacity;
  const double size = std::abs(si_value);
  if (takes_prefix && std::isfinite(size) && size > 0.0) {
    const bool is_length = dimension == Dimension::length;  // kilometres read badly below ten
    if (size >= 1e6 && !is_length)
      prefix = {"M", 1e6};
    else if (size >= (is_length ? 1e4 : 1e3))
      prefix = {"k", 1e3};
    else if (size < 0.1)
      prefix = {"m", 1e-3};
  }
  return fmt::format("{} {}{}", format_number(si_value / prefix.factor, significant_figures), prefix.text,
                     unit);
}

std::string format_given(double si_value, Dimension dimension) {
  constexpr int most_figures = 6;
  std::string text = format_quantity(si_value, dimension, most_figures);
  const std::size_t end = std::min(text.find(' '), text.size());
  if (text.find('.') >= end || text.find('e') < end) return text;
  std::size_t last = text.find_last_not_of('0', end - 1);
  if (text[last] == '.') --last;
  return text.erase(last + 1, end - last - 1);
}

std::string format_signed_percent(double off_ratio) {
  return (off_ratio < 0 ? "-" : "+") + format_number(100 * std::abs(off_ratio), 2) + " %";
}

std::string nearest_word(std::string_view word, std::span<const std::string_view> candidates) {
  // Letters left out, put in, changed, or swapped with their neighbour: one slip each.
  const auto distance = [](std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    std::vector<std::size_t> above = row;
    std::vector<std::size_t> two_above = row;
    for (std::size_t i = 0; i < a.size(); ++i) {
      two_above.swap(above);
      above = row;
      row[0] = i + 1;
      for (std::size_t j = 0; j < b.size(); ++j) {
        row[j + 1] = std::min({above[j + 1] + 1, row[j] + 1, above[j] + (a[i] == b[j] ? 0 : 1)});
        if (i > 0 && j > 0 && a[i] == b[j - 1] && a[i - 1] == b[j])
          row[j + 1] = std::min(row[j + 1], two_above[j - 1] + 1);
      }
    }
    return row[b.size()];
  };
  if (word.size() > 256) return {};
  std::string_view best;
  // Two slips are near in a word of four letters or more.
  std::size_t best_distance = (word.size() < 4 ? 1 : std::max<std::size_t>(2, word.size() / 3)) + 1;
  for (const std::string_view candidate : candidates) {
    if (const std::size_t d = distance(word, candidate); d < best_distance) {
      best_distance = d;
      best = candidate;
    }
  }
  return std::string(best);
}

}  // namespace ohmroot

// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/detail/columns.hpp>

#include <algorithm>
#include <array>
#include <initializer_list>

namespace ohmroot::sounding::detail {
namespace {

// A few helpers for bytes: <cctype> depends on the locale and fails above 127.
char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c;
}

std::string lowered(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(), lower);
  return result;
}

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
    text.replace(at, from.size(), to);
}

/// Between a name and its unit: blanks and marks that carry no meaning of their own.
constexpr std::string_view between = " _-,;:/=\t";

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(between);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(between) - first + 1);
}

/// Lower case without blanks and dots: "Pin Spacing" and "pin-spacing" are one name.
std::string canonical(std::string_view title) {
  std::string name = lowered(title);
  replace_all(name, "\xCF\x81", "rho");    // Greek rho
  replace_all(name, "\xCE\x94", "delta");  // Greek delta, both cases
  replace_all(name, "\xCE\xB4", "delta");
  replace_all(name, "\xC2\xA0", "");     // no-break space
  replace_all(name, "\xC2\xBD", "1/2");  // one half
  std::string_view ignored = " _-.:*\t";
  name.erase(std::remove_if(name.begin(), name.end(),
                            [&](char c) { return ignored.find(c) != std::string_view::npos; }),
             name.end());
  return name;
}

struct Names {
  ColumnKind kind;
  std::initializer_list<std::string_view> names;
};

const std::array<Names, 36>& known_names() {
  static const std::array<Names, 36> names{{
      {ColumnKind::spacing,
       {"a",
        "spacing",
        "spacinga",
        "aspacing",
        "wennera",
        "wennerspacing",
        "electrodespacing",
        "electrodespacinga",
        "stakespacing",
        "pinspacing",
        "pinspacinga",
        "stakespacinga",
        "probespacinga",
        "probespacing",
        "rodspacing",
        "spikespacing",
        "separation",
        "pinseparation",
        "electrodeseparation",
        "interval",
        "distancea",
        "adistance",
        "distance"}},
      {ColumnKind::half_current_spacing,
       {"ab/2", "ab2", "halfab", "1/2ab", "ab1/2", "halfcurrentspacing", "outerhalfspacing",
        "halfouterspacing", "oa", "ao", "c1c2/2"}},
      {ColumnKind::current_spacing,
       {"ab", "currentspacing", "outerspacing", "c1c2", "currentelectrodespacing"}},
      {ColumnKind::half_potential_spacing,
       {"mn/2", "mn2", "halfmn", "1/2mn", "mn1/2", "halfpotentialspacing", "innerhalfspacing",
        "halfinnerspacing", "om", "mo", "p1p2/2"}},
      {ColumnKind::potential_spacing,
       {"mn", "potentialspacing", "innerspacing", "p1p2", "potentialelectrodespacing"}},
      {ColumnKind::place_of_a, {"ax", "xa", "xofa"}},
      {ColumnKind::place_of_b, {"bx", "xb", "xofb"}},
      {ColumnKind::place_of_m, {"mx", "xm", "xofm"}},
      {ColumnKind::place_of_n, {"nx", "xn", "xofn"}},
      {ColumnKind::offset_of_a, {"ay", "ya", "yofa"}},
      {ColumnKind::offset_of_b, {"by", "yb", "yofb"}},
      {ColumnKind::offset_of_m, {"my", "ym", "yofm"}},
      {ColumnKind::offset_of_n, {"ny", "yn", "yofn"}},
      {ColumnKind::rod_length,
       {"rodlength", "drivenrodlength", "rodlengthdriven", "roddrivenlength", "lengthofrod", "driventodepth",
        "rodlengthinground"}},
      {ColumnKind::rod_diameter, {"roddiameter", "diameterofrod", "roddia"}},
      {ColumnKind::rod_current_stake,
       {"currentstake", "currentstakedistance", "distancetocurrentstake", "currentstakeat"}},
      {ColumnKind::rod_potential_stake,
       {"potentialstake", "potentialstakedistance", "distancetopotentialstake", "potentialstakeat"}},
      {ColumnKind::rod_name, {"rod", "rodname", "rodno", "rodnumber"}},
      {ColumnKind::resistance,
       {"r", "resistance", "res", "rmeas", "rmeasured", "measuredr", "measuredresistance", "reading",
        "meterreading", "testerreading", "readingr", "rreading", "resistancer", "v/i", "r=v/i", "rv/i", "re",
        "rg", "u/i"}},
      {ColumnKind::voltage,
       {"v", "v+", "v1", "vforward", "voltage", "volts", "volt", "u", "deltav", "deltau", "dv", "vmn",
        "potential", "potentialdifference", "pd"}},
      {ColumnKind::current,
       {"i", "i+", "i1", "iforward", "current", "amps", "ampere", "amperes", "testcurrent", "iab",
        "currenti"}},
      {ColumnKind::reversed_resistance,
       {"rrev", "rreversed", "reversedr", "rreverse", "resistancereversed", "reversedresistance"}},
      {ColumnKind::reversed_voltage,
       {"vrev", "vreversed", "vreverse", "v2", "reversedv", "voltagereversed", "reversedvoltage", "urev"}},
      {ColumnKind::reversed_current,
       {"irev", "ireversed", "ireverse", "i2", "reversedi", "currentreversed", "reversedcurrent"}},
      {ColumnKind::repeat,
       {"r1", "r2", "r3", "r4", "r5", "r6", "r7", "r8", "r9", "repeat1", "repeat2", "repeat3", "repeat4",
        "repeat5", "repeat"}},
      {ColumnKind::contact_resistance,
       {"contactresistance", "contact", "stakeresistance", "rc", "rp", "proberesistance"}},
      {ColumnKind::potential_offset, {"offset", "mnoffset", "offsetofmn", "offcentre", "x0", "centreoffset"}},
      {ColumnKind::separation_factor, {"n", "factorn", "separationfactor", "dipoleseparation"}},
      {ColumnKind::resistivity,
       {"rho", "rhoa", "arho", "rhoapp", "resistivity", "apparentresistivity", "soilresistivity", "appres",
        "appresistivity", "apparentrho", "earthresistivity"}},
      {ColumnKind::depth,
       {"depth", "stakedepth", "pindepth", "roddepth", "probedepth", "electrodedepth", "spikedepth",
        "drivendepth", "insertiondepth", "depthdriven", "depthofstakes", "depthofpins", "stakelength",
        "drivenlength"}},
      {ColumnKind::error,
       {"error", "err", "relativeerror", "sd", "stddev", "stdev", "standarddeviation", "uncertainty",
        "deviation", "tolerance", "accuracy", "\xC2\xB1", "+/"}},
      {ColumnKind::traverse,
       {"traverse", "line", "direction", "profile", "run", "section", "axis", "traversename", "linename",
        "traverseno", "lineno", "azimuth", "bearing", "orientation"}},
      {ColumnKind::array,
       {"array", "arrangement", "configuration", "electrodearray", "arraytype", "method", "testmethod"}},
      {ColumnKind::entry, {"entry"}},
      {ColumnKind::replaces, {"replaces"}},
      {ColumnKind::accepted, {"accepted"}},
  }};
  return names;
}

std::optional<ColumnKind> kind_named(std::string_view title) {
  const std::string name = canonical(title);
  for (const Names& entry : known_names()) {
    if (std::find(entry.names.begin(), entry.names.end(), name) != entry.names.end()) return entry.kind;
  }
  return std::nullopt;
}

/// A title that is nothing but a unit ("ohm", "mV"). Single letters are names first.
std::optional<ColumnKind> kind_by_unit(std::string_view title) {
  if (trimmed(title).size() < 2) return std::nullopt;
  for (const ColumnKind kind :
       {ColumnKind::resistance, ColumnKind::resistivity, ColumnKind::voltage, ColumnKind::current}) {
    if (read_sheet_unit(title, kind)) return kind;
  }
  return std::nullopt;
}

struct Title {
  ColumnKind kind;
  std::string_view unit;  ///< empty if none is stated
};

/// "a (m)", "R [ohm]": the name before the bracket, the unit in it.
std::optional<Title> bracketed_title(std::string_view text) {
  const auto open = text.find_first_of("([");
  if (open == std::string_view::npos) return std::nullopt;
  const auto kind = kind_named(trimmed(text.substr(0, open)));
  if (!kind) return std::nullopt;
  const std::string_view inner = text.substr(open + 1);
  return Title{*kind, trimmed(inner.substr(0, inner.find_first_of(")]")))};
}

/// "V / mV", "a, m", "stake depth cm", "rho_ohm_m": the name up to some mark, a unit after it.
std::optional<Title> split_title(std::string_view text) {
  for (std::size_t at = text.find_first_of(between); at != std::string_view::npos;
       at = text.find_first_of(between, at + 1)) {
    const auto kind = kind_named(trimmed(text.substr(0, at)));
    const std::string_view unit = trimmed(text.substr(at));
    if (kind && !unit.empty() && read_sheet_unit(unit, *kind)) return Title{*kind, unit};
  }
  return std::nullopt;
}

std::optional<Title> read_title(std::string_view text) {
  if (const auto kind = kind_named(text)) return Title{*kind, {}};
  if (const auto title = bracketed_title(text)) return title;
  if (const auto title = split_title(text)) return title;
  if (const auto kind = kind_by_unit(text)) return Title{*kind, trimmed(text)};
  return std::nullopt;
}

void set_unit(Column& column, std::string_view text) {
  column.unit = read_sheet_unit(text, column.kind);
  if (!column.unit) column.unknown_unit = text;
}

std::string_view without_brackets(std::string_view text) {
  if (text.size() >= 2 && (text.front() == '(' || text.front() == '['))
    return text.substr(1, text.size() - 2);
  return text;
}

std::string_view cell_text(const text::Row& row, std::size_t index) {
  return index < row.cells.size() ? std::string_view(row.cells[index].text) : std::string_view();
}

/// A row that holds units and nothing else in the recognised columns, at least one of them.
bool is_row_of_units(const text::Row& row, const std::vector<Column>& columns) {
  bool has_unit = false;
  for (const Column& column : columns) {
    const std::string_view text = without_brackets(cell_text(row, column.index));
    if (text.empty() || text == "-") continue;
    if (!is_number(column.kind) || !read_sheet_unit(text, column.kind)) return false;
    has_unit = true;
  }
  return has_unit;
}

/// Every length word in one case; an ohm sign, lost or not, as "ohm".
std::string plain_unit(std::string_view text, Dimension dimension) {
  std::string unit(text);
  if (dimension == Dimension::length) unit = lowered(unit);
  replace_all(unit, "?", "ohm");
  replace_all(unit, "\xEF\xBF\xBD", "ohm");  // replacement character
  for (std::size_t at = lowered(unit).find("ohm"); at != std::string::npos;
       at = lowered(unit).find("ohm", at + 3))
    unit.replace(at, 3, "ohm");
  for (char& c : unit) {
    if (c == '_') c = ' ';
  }
  return unit;
}

struct UnitWord {
  std::string_view word;
  std::string_view unit;
};

constexpr std::array<UnitWord, 22> unit_words{{
    {"metre", "m"},       {"metres", "m"},       {"meter", "m"},       {"meters", "m"},
    {"mtr", "m"},         {"mtrs", "m"},         {"feet", "ft"},       {"foot", "ft"},
    {"centimetre", "cm"}, {"centimetres", "cm"}, {"milliohm", "mohm"}, {"milliohms", "mohm"},
    {"kiloohm", "kohm"},  {"kilohm", "kohm"},    {"volt", "V"},        {"volts", "V"},
    {"millivolt", "mV"},  {"millivolts", "mV"},  {"amps", "A"},        {"ampere", "A"},
    {"milliamps", "mA"},  {"percent", "%"},
}};

}  // namespace

bool is_spacing(ColumnKind kind) {
  return kind <= ColumnKind::rod_length;
}

bool is_number(ColumnKind kind) {
  return kind <= ColumnKind::error;
}

Dimension dimension_of(ColumnKind kind) {
  switch (kind) {
  case ColumnKind::resistance:
  case ColumnKind::reversed_resistance:
  case ColumnKind::repeat:
  case ColumnKind::contact_resistance:
    return Dimension::resistance;
  case ColumnKind::voltage:
  case ColumnKind::reversed_voltage:
    return Dimension::voltage;
  case ColumnKind::current:
  case ColumnKind::reversed_current:
    return Dimension::current;
  case ColumnKind::resistivity:
    return Dimension::resistivity;
  case ColumnKind::separation_factor:
  case ColumnKind::error:
    return Dimension::ratio;
  default:
    return Dimension::length;
  }
}

std::string_view accepted_sheet_units(ColumnKind kind) {
  switch (dimension_of(kind)) {
  case Dimension::length:
    return "m, cm, mm or ft";
  case Dimension::resistance:
    return "ohm, mohm or kohm";
  case Dimension::resistivity:
    return "ohm m or ohm cm";
  case Dimension::voltage:
    return "V, mV or uV";
  case Dimension::current:
    return "A, mA or uA";
  default:
    return "% or ohm";
  }
}

std::optional<SheetUnit> read_sheet_unit(std::string_view text, ColumnKind kind) {
  text = trimmed(text);
  if (text.empty() || !is_number(kind)) return std::nullopt;
  const Dimension dimension = dimension_of(kind);
  if (dimension == Dimension::ratio && lowered(text) == "ratio") return SheetUnit{dimension, 1.0};
  std::string unit = plain_unit(text, dimension);
  const std::string word = lowered(unit);
  for (const UnitWord& entry : unit_words) {
    if (entry.word == word) unit = entry.unit;
  }
  const bool is_ohm_sign_lost =
      text.find('?') != std::string_view::npos || text.find("\xEF\xBF\xBD") != std::string_view::npos;
  const auto read_as = [&](Dimension wanted) -> std::optional<SheetUnit> {
    const bool is_mega = unit.front() == 'M' && wanted != Dimension::length;
    const bool holds_number = unit.find_first_of("0123456789") != std::string::npos;
    if (is_mega || holds_number) return std::nullopt;
    const ParsedQuantity parsed = parse_quantity("1 " + unit, wanted);
    if (!parsed.si_value) return std::nullopt;
    return SheetUnit{wanted, *parsed.si_value, is_ohm_sign_lost};
  };
  const auto found = read_as(dimension);
  if (found || kind != ColumnKind::error) return found;
  return read_as(Dimension::resistance);  // an error may be stated in ohm
}

const Column* Header::find(ColumnKind kind) const {
  const auto found =
      std::find_if(columns.begin(), columns.end(), [&](const Column& column) { return column.kind == kind; });
  return found == columns.end() ? nullptr : &*found;
}

bool Header::has_spacing() const {
  return std::any_of(columns.begin(), columns.end(),
                     [](const Column& column) { return is_spacing(column.kind); });
}

bool Header::has_resistance() const {
  return has(ColumnKind::resistance) || has(ColumnKind::repeat) ||
         (has(ColumnKind::voltage) && has(ColumnKind::current));
}

bool Header::has_reading() const {
  return has_resistance() || has(ColumnKind::resistivity);
}

Header header_from(const std::vector<text::Row>& rows, std::size_t row) {
  Header header;
  header.at = {rows[row].line, 1};
  for (std::size_t i = 0; i < rows[row].cells.size(); ++i) {
    const std::string& text = rows[row].cells[i].text;
    const auto title = read_title(text);
    if (!title) {
      if (!text.empty()) header.unused.push_back(text);
      continue;
    }
    Column column{title->kind, i, rows[row].cells[i].at, text, {}, {}};
    if (!title->unit.empty() && is_number(column.kind)) set_unit(column, title->unit);
    const bool is_second = header.has(column.kind) && column.kind != ColumnKind::repeat;
    (is_second ? header.repeated : header.columns).push_back(column);
  }
  if (row + 1 < rows.size() && is_row_of_units(rows[row + 1], header.columns)) {
    header.row_count = 2;
    for (Column& column : header.columns) {
      const std::string_view text = without_brackets(cell_text(rows[row + 1], column.index));
      if (!text.empty() && text != "-" && !column.unit) set_unit(column, text);
    }
  }
  return header;
}

}  // namespace ohmroot::sounding::detail

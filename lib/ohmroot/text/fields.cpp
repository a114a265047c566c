// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/text/detail/utf8.hpp>
#include <ohmroot/text/fields.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::text {
namespace {

using detail::excerpt;

bool has_unit(Kind kind) {
  return kind == Kind::quantity || kind == Kind::interval || kind == Kind::quantities || kind == Kind::points;
}

/// Points are pairs of lengths whatever their spec says.
Dimension dimension_of(const KeySpec& spec) {
  return spec.kind == Kind::points ? Dimension::length : spec.dimension;
}

std::vector<std::string_view> choices_of(const KeySpec& spec) {
  std::vector<std::string_view> choices;
  for (std::string_view rest = spec.allowed; !rest.empty();) {
    const std::size_t bar = std::min(rest.find('|'), rest.size());
    choices.push_back(rest.substr(0, bar));
    rest.remove_prefix(std::min(bar + 1, rest.size()));
  }
  return choices;
}

/// "2.4 m", or the number alone for a ratio.
std::string with_unit(std::string_view number, Dimension dimension) {
  return dimension == Dimension::ratio ? std::string(number)
                                       : fmt::format("{} {}", number, unit_text(dimension));
}

std::string in_words(double si_value, Dimension dimension) {
  return with_unit(fmt::format("{}", si_value), dimension);
}

/// "greater than 0 m and at most 100 m"; empty if everything is allowed.
std::string range_in_words(const KeySpec& spec) {
  std::string words;
  if (std::isfinite(spec.least)) {
    words = fmt::format("{} {}", spec.least_is_excluded ? "greater than" : "at least",
                        in_words(spec.least, dimension_of(spec)));
  }
  if (std::isfinite(spec.greatest)) {
    words += fmt::format("{}at most {}", words.empty() ? "" : " and ",
                         in_words(spec.greatest, dimension_of(spec)));
  }
  return words;
}

bool is_within(double value, const KeySpec& spec) {
  const bool is_enough = spec.least_is_excluded ? value > spec.least : value >= spec.least;
  return is_enough && value <= spec.greatest;
}

std::string article_for(std::string_view noun) {
  return std::string_view("aeiou").find(noun.front()) == std::string_view::npos ? "a" : "an";
}

/// "a length with its unit, as in "2.4 m"" or "a number in m": what a quantity looks like in a dialect.
std::string quantity_in_words(Dimension dimension, Dialect dialect) {
  if (dimension == Dimension::ratio) return "a number without unit";
  if (dialect == Dialect::sent_by_programs) return fmt::format("a number in {}", unit_text(dimension));
  const std::string_view name = dimension_name(dimension);
  return fmt::format("{} {} with its unit, as in \"{}\"", article_for(name), name,
                     with_unit("2.4", dimension));
}

/// A whole number, or nothing: 3 and 3.0 are, 2.5 and 1e300 are not.
std::optional<int> whole_number(const Value& value) {
  if (!value.is_number()) return std::nullopt;
  const double number = value.number();
  if (number != std::trunc(number) || std::abs(number) > std::numeric_limits<int>::max()) return std::nullopt;
  return static_cast<int>(number);
}

/// A value as the user wrote it: for messages.
std::string as_written(const Value& value) {
  if (value.is_text()) return fmt::format("\"{}\"", excerpt(value.text()));
  if (value.is_number()) return fmt::format("{}", value.number());
  if (value.is_boolean()) return value.boolean() ? "true" : "false";
  return std::string(value.kind_name());
}

std::string found_in_words(const Value& value) {
  if (value.is_text() || value.is_number())
    return fmt::format("{} ({})", value.kind_name(), as_written(value));
  return as_written(value);
}

std::string element_name(const std::string& list, std::size_t index) {
  return fmt::format("{}[{}]", list, index + 1);  // people count from one
}

}  // namespace

std::string key_in(const KeySpec& spec, Dialect dialect) {
  if (dialect == Dialect::typed_by_people || !has_unit(spec.kind)) return std::string(spec.name);
  return fmt::format("{}_{}", spec.name, unit_suffix(dimension_of(spec)));
}

Section::Section(const Value& table, std::string path, std::span<const KeySpec> specs, Dialect dialect,
                 Diagnostics& diagnostics)
    : table_(&table), path_(std::move(path)), specs_(specs), dialect_(dialect), diagnostics_(&diagnostics) {
  if (!table.is_object()) {
    report_wrong_kind(table, path_.empty() ? "the document" : path_, "a table");
    return;
  }
  for (const Member& member : table.object()) {
    const bool is_known = std::any_of(specs.begin(), specs.end(), [&](const KeySpec& spec) {
      return key_in(spec, dialect) == member.first;
    });
    if (!is_known) report_unknown(member);
  }
  for (const KeySpec& spec : specs) {
    if (spec.is_required && value(spec) == nullptr) report_missing(spec);
  }
}

/// " in [soil]", " in loads[1]", or nothing for the document itself.
std::string Section::place_in_words() const {
  if (path_.empty()) return {};
  const bool is_header = dialect_ == Dialect::typed_by_people && path_.find('[') == std::string::npos;
  return is_header ? fmt::format(" in [{}]", path_) : fmt::format(" in {}", path_);
}

void Section::report_unknown(const Member& member) const {
  const std::string& key = member.first;  // a lambda cannot capture a structured binding in clang 14
  const Value& found = member.second;
  std::vector<std::string> keys;
  for (const KeySpec& spec : specs_)
    keys.push_back(key_in(spec, dialect_));
  // The key of the other dialect is the likeliest slip, then a misspelt key, then a misspelt bare name.
  const Dialect other =
      dialect_ == Dialect::typed_by_people ? Dialect::sent_by_programs : Dialect::typed_by_people;
  const auto same = std::find_if(specs_.begin(), specs_.end(),
                                 [&](const KeySpec& spec) { return key_in(spec, other) == key; });
  std::string meant;
  if (same != specs_.end()) {
    meant = key_in(*same, dialect_);
  } else {
    const std::vector<std::string_view> candidates(keys.begin(), keys.end());
    std::vector<std::string_view> names;
    for (const KeySpec& spec : specs_)
      names.push_back(spec.name);
    meant = nearest_word(key, candidates);
    if (const std::string name = meant.empty() ? nearest_word(key, names) : std::string(); !name.empty())
      meant = key_in(spec(name), dialect_);
  }
  std::string message = fmt::format("unknown key '{}'{}", excerpt(key), place_in_words());
  std::string hint;
  if (meant.empty()) {
    hint =
        keys.empty() ? "no key is allowed here" : fmt::format("keys allowed here: {}", fmt::join(keys, ", "));
  } else {
    message += fmt::format("; did you mean '{}'?", meant);
    const auto spec_meant = std::find_if(
        specs_.begin(), specs_.end(), [&](const KeySpec& spec) { return key_in(spec, dialect_) == meant; });
    if (has_unit(spec_meant->kind) && dimension_of(*spec_meant) != Dimension::ratio) {
      hint = fmt::format("{} is {}", meant, quantity_in_words(dimension_of(*spec_meant), dialect_));
    }
  }
  diagnostics_->error(found.key_at().line > 0 ? found.key_at() : found.at(), "unknown-key",
                      std::move(message), std::move(hint));
}

void Section::report_missing(const KeySpec& spec) const {
  diagnostics_->error(table_->at(), "missing-key",
                      fmt::format("missing key '{}'{}", key_in(spec, dialect_), place_in_words()),
                      std::string(spec.help));
}

void Section::report_wrong_kind(const Value& value, const std::string& name, std::string_view wanted,
                                std::string hint) const {
  if (value.is_null()) hint = "leave the key out if the value is not known";
  diagnostics_->error(value.at(), "wrong-kind",
                      fmt::format("{} must be {}, is {}", name, wanted, found_in_words(value)),
                      std::move(hint));
}

const KeySpec& Section::spec(std::string_view key) const {
  const auto found =
      std::find_if(specs_.begin(), specs_.end(), [&](const KeySpec& spec) { return spec.name == key; });
  if (found == specs_.end())
    throw InternalError(fmt::format("the key '{}' is not among those of [{}]", key, path_));
  return *found;
}

const KeySpec& Section::spec(std::string_view key, Kind kind) const {
  const KeySpec& found = spec(key);
  if (found.kind != kind) throw InternalError(fmt::format("the key '{}' is read as another kind", key));
  return found;
}

const Value* Section::value(const KeySpec& spec) const {
  return table_->find(key_in(spec, dialect_));
}

std::string Section::full_name(std::string_view key) const {
  const std::string name = key_in(spec(key), dialect_);
  return path_.empty() ? name : fmt::format("{}.{}", path_, name);
}

bool Section::has(std::string_view key) const {
  return value(spec(key)) != nullptr;
}

Position Section::at(std::string_view key) const {
  const Value* found = key.empty() ? nullptr : value(spec(key));
  return found == nullptr ? table_->at() : found->at();
}

void Section::error(std::string_view key, std::string code, std::string message, std::string hint) const {
  const std::string name = key.empty() ? path_ : full_name(key);
  diagnostics_->error(at(key), std::move(code), name.empty() ? message : fmt::format("{}: {}", name, message),
                      std::move(hint));
}

void Section::warning(std::string_view key, std::string code, std::string message, std::string hint) const {
  const std::string name = key.empty() ? path_ : full_name(key);
  diagnostics_->warning(at(key), std::move(code),
                        name.empty() ? message : fmt::format("{}: {}", name, message), std::move(hint));
}

std::optional<std::string> Section::text(std::string_view key) const {
  const KeySpec& wanted = spec(key).kind == Kind::choice ? spec(key) : spec(key, Kind::text);
  const Value* found = value(wanted);
  if (found == nullptr) return std::nullopt;
  const auto choices = choices_of(wanted);
  if (!found->is_text()) {
    report_wrong_kind(*found, full_name(key),
                      choices.empty() ? "a text in quotes"
                                      : fmt::format("one of \"{}\"", fmt::join(choices, "\", \"")));
    return std::nullopt;
  }
  const std::string& written = found->text();
  if (wanted.kind == Kind::choice && std::find(choices.begin(), choices.end(), written) == choices.end()) {
    const std::string near = nearest_word(written, choices);
    diagnostics_->error(found->at(), "unknown-choice",
                        fmt::format("{} must be one of \"{}\", is {}", full_name(key),
                                    fmt::join(choices, "\", \""), as_written(*found)),
                        near.empty() ? "" : fmt::format("did you mean \"{}\"?", near));
    return std::nullopt;
  }
  return written;
}

std::optional<bool> Section::flag(std::string_view key) const {
  const Value* found = value(spec(key, Kind::flag));
  if (found == nullptr) return std::nullopt;
  if (found->is_boolean()) return found->boolean();
  report_wrong_kind(*found, full_name(key), "true or false", "without quotes");
  return std::nullopt;
}

std::optional<int> Section::count(std::string_view key) const {
  const KeySpec& wanted = spec(key, Kind::count);
  const Value* found = value(wanted);
  if (found == nullptr) return std::nullopt;
  const std::optional<int> number = whole_number(*found);
  if (!number) {
    report_wrong_kind(*found, full_name(key), "a whole number");
  } else if (!is_within(*number, wanted)) {
    diagnostics_->error(found->at(), "out-of-range",
                        fmt::format("{} must be {}, is {}", full_name(key), range_in_words(wanted), *number));
    return std::nullopt;
  }
  return number;
}

std::optional<double> Section::read_quantity(const Value& value, const KeySpec& spec,
                                             const std::string& name) const {
  const Dimension dimension = dimension_of(spec);
  const bool takes_text = dialect_ == Dialect::typed_by_people;
  const bool takes_number = dialect_ == Dialect::sent_by_programs || dimension == Dimension::ratio;
  if (value.is_number() && !takes_number) {
    diagnostics_->error(value.at(), "missing-unit",
                        fmt::format("{} is a bare number ({}); write its unit, as in \"{}\"", name,
                                    as_written(value), with_unit(as_written(value), dimension)));
    return std::nullopt;
  }
  double si_value = 0.0;
  std::string written;
  if (value.is_number()) {
    si_value = value.number();
    written = with_unit(as_written(value), dimension);
  } else if (value.is_text() && takes_text) {
    const ParsedQuantity parsed = parse_quantity(value.text(), dimension);
    if (!parsed.si_value) {
      diagnostics_->error(value.at(), "wrong-quantity",
                          fmt::format("{} {}", name, excerpt(parsed.problem, 200)),
                          excerpt(parsed.hint, 200));
      return std::nullopt;
    }
    si_value = *parsed.si_value;
    written = excerpt(value.text());
  } else {
    report_wrong_kind(value, name, quantity_in_words(dimension, dialect_));
    return std::nullopt;
  }
  if (!is_within(si_value, spec)) {
    diagnostics_->error(value.at(), "out-of-range",
                        fmt::format("{} must be {}, is {}", name, range_in_words(spec), written));
    return std::nullopt;
  }
  return si_value;
}

std::optional<double> Section::quantity(std::string_view key) const {
  const KeySpec& wanted = spec(key, Kind::quantity);
  const Value* found = value(wanted);
  return found == nullptr ? std::nullopt : read_quantity(*found, wanted, full_name(key));
}

std::optional<Interval> Section::interval(std::string_view key) const {
  const KeySpec& wanted = spec(key, Kind::interval);
  const Value* found = value(wanted);
  if (found == nullptr) return std::nullopt;
  const std::string name = full_name(key);
  if (!found->is_array()) {
    const auto only = read_quantity(*found, wanted, name);
    return only ? std::optional(Interval{*only, *only}) : std::nullopt;
  }
  const Array& ends = found->array();
  if (ends.size() != 2) {
    diagnostics_->error(
        found->at(), "wrong-kind",
        fmt::format("{} must be one value or [least, greatest], is a list of {}", name, ends.size()));
    return std::nullopt;
  }
  const auto least = read_quantity(ends[0], wanted, element_name(name, 0));
  const auto greatest = read_quantity(ends[1], wanted, element_name(name, 1));
  if (!least || !greatest) return std::nullopt;
  if (*least > *greatest) {
    diagnostics_->error(found->at(), "wrong-order",
                        fmt::format("{} must be [least, greatest], but {} is greater than {}", name,
                                    as_written(ends[0]), as_written(ends[1])),
                        "swap the two");
    return std::nullopt;
  }
  return Interval{*least, *greatest};
}

std::optional<std::vector<double>> Section::quantities(std::string_view key) const {
  const KeySpec& wanted = spec(key, Kind::quantities);
  const Value* found = value(wanted);
  if (found == nullptr) return std::nullopt;
  const std::string name = full_name(key);
  if (!found->is_array()) {
    report_wrong_kind(*found, name,
                      fmt::format("a list, each of it {}", quantity_in_words(wanted.dimension, dialect_)));
    return std::nullopt;
  }
  std::vector<double> values;
  for (std::size_t i = 0; i < found->array().size(); ++i) {
    if (const auto one = read_quantity(found->array()[i], wanted, element_name(name, i)))
      values.push_back(*one);
  }
  return values.size() == found->array().size() ? std::optional(std::move(values)) : std::nullopt;
}

std::optional<std::vector<Point>> Section::points(std::string_view key) const {
  const KeySpec& wanted = spec(key, Kind::points);
  const Value* found = value(wanted);
  if (found == nullptr) return std::nullopt;
  const std::string name = full_name(key);
  const std::string_view example =
      dialect_ == Dialect::typed_by_people ? R"([["0 m", "0 m"], ["8 m", "0 m"]])" : "[[0, 0], [8, 0]]";
  const std::string hint = fmt::format("write a list of pairs: {}", example);
  if (!found->is_array()) {
    report_wrong_kind(*found, name, "a list of points [x, y]", hint);
    return std::nullopt;
  }
  std::vector<Point> points;
  for (std::size_t i = 0; i < found->array().size(); ++i) {
    const Value& pair = found->array()[i];
    const std::string pair_name = element_name(name, i);
    if (!pair.is_array() || pair.array().size() != 2) {
      report_wrong_kind(pair, pair_name, "a pair [x, y]", hint);
      continue;
    }
    const auto x_m = read_quantity(pair.array()[0], wanted, element_name(pair_name, 0));
    const auto y_m = read_quantity(pair.array()[1], wanted, element_name(pair_name, 1));
    if (x_m && y_m) points.push_back({*x_m, *y_m});
  }
  return points.size() == found->array().size() ? std::optional(std::move(points)) : std::nullopt;
}

std::optional<std::vector<std::string>> Section::texts(std::string_view key) const {
  const Value* found = value(spec(key, Kind::texts));
  if (found == nullptr) return std::nullopt;
  const std::string name = full_name(key);
  if (!found->is_array()) {
    report_wrong_kind(*found, name, "a list of texts",
                      found->is_text() ? fmt::format("write [{}]", as_written(*found)) : std::string());
    return std::nullopt;
  }
  std::vector<std::string> texts;
  for (std::size_t i = 0; i < found->array().size(); ++i) {
    const Value& element = found->array()[i];
    if (element.is_text()) {
      texts.push_back(element.text());
    } else {
      report_wrong_kind(element, element_name(name, i), "a text in quotes");
    }
  }
  return texts.size() == found->array().size() ? std::optional(std::move(texts)) : std::nullopt;
}

std::optional<Section> Section::table(std::string_view key, std::span<const KeySpec> specs) const {
  const Value* found = value(spec(key, Kind::table));
  if (found == nullptr) return std::nullopt;
  if (!found->is_object()) {
    report_wrong_kind(*found, full_name(key), "a table");
    return std::nullopt;
  }
  return Section(*found, full_name(key), specs, dialect_, *diagnostics_);
}

std::vector<Section> Section::tables(std::string_view key, std::span<const KeySpec> specs) const {
  std::vector<Section> sections;
  const Value* found = value(spec(key, Kind::tables));
  if (found == nullptr) return sections;
  const std::string name = full_name(key);
  if (found->is_object()) {
    sections.emplace_back(*found, name, specs, dialect_, *diagnostics_);
  } else if (!found->is_array()) {
    report_wrong_kind(*found, name, "a table or a list of tables");
  } else {
    for (std::size_t i = 0; i < found->array().size(); ++i) {
      const Value& element = found->array()[i];
      if (element.is_object()) {
        sections.emplace_back(element, element_name(name, i), specs, dialect_, *diagnostics_);
      } else {
        report_wrong_kind(element, element_name(name, i), "a table");
      }
    }
  }
  return sections;
}

std::string describe(std::span<const KeySpec> specs) {
  const auto kind_in_words = [](const KeySpec& spec) -> std::string {
    const std::string quantity =
        spec.dimension == Dimension::ratio
            ? std::string("number without unit")
            : fmt::format("{} ({})", dimension_name(spec.dimension), accepted_units(spec.dimension));
    switch (spec.kind) {
    case Kind::text:
      return "text";
    case Kind::choice:
      return fmt::format("one of \"{}\"", fmt::join(choices_of(spec), "\", \""));
    case Kind::flag:
      return "true or false";
    case Kind::count:
      return "whole number";
    case Kind::quantity:
      return quantity;
    case Kind::interval:
      return fmt::format("{}, one value or [least, greatest]", quantity);
    case Kind::quantities:
      return fmt::format("list of {}", quantity);
    case Kind::points:
      return "list of points [x, y], two lengths each";
    case Kind::table:
      return "table";
    case Kind::tables:
      return "list of tables, or one table";
    case Kind::texts:
      return "list of texts";
    }
    throw InternalError("a kind without words");
  };
  std::size_t width = 0;
  for (const KeySpec& spec : specs)
    width = std::max(width, spec.name.size());
  std::string lines;
  for (const KeySpec& spec : specs) {
    lines += fmt::format("{:<{}}  {}", spec.name, width, kind_in_words(spec));
    if (const std::string range = range_in_words(spec); !range.empty()) lines += fmt::format("; {}", range);
    if (spec.is_required) lines += "; required";
    if (!spec.default_text.empty()) lines += fmt::format("; default: {}", spec.default_text);
    if (!spec.help.empty()) lines += fmt::format(". {}", spec.help);
    lines += '\n';
  }
  return lines;
}

}  // namespace ohmroot::text

// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/typed_reading.hpp>

#include <fmt/format.h>

#include <array>
#include <map>
#include <utility>
#include <vector>

namespace ohmroot::sounding {
namespace {

constexpr std::array<std::string_view, 10> known_keys{"a", "AB/2",  "MN/2",  "R",     "V",
                                                      "I", "depth", "error", "along", "note"};
constexpr std::string_view example = "write, for instance: a=4 m R=12.3 ohm";

/// Ends the reading of the words with a sentence.
struct Refused {
  std::string problem;
  std::string hint;
};

std::string_view stripped(std::string_view text) {
  constexpr std::string_view blanks = " \t\r\n,;";
  const auto first = text.find_first_not_of(blanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::string_view key_named(std::string_view typed) {
  const auto is_same = [](std::string_view one, std::string_view other) {
    if (one.size() != other.size()) return false;
    for (std::size_t i = 0; i < one.size(); ++i) {
      if ((one[i] | 0x20) != (other[i] | 0x20)) return false;
    }
    return true;
  };
  for (const std::string_view key : known_keys) {
    if (is_same(key, typed)) return key;
  }
  const std::string near = nearest_word(typed, known_keys);
  throw Refused{fmt::format("'{}' is none of a, AB/2, MN/2, R, V, I, depth, error, along, note", typed),
                near.empty() ? std::string(example) : fmt::format("did you mean '{}'?", near)};
}

/// Cuts words into keys and values: a value reaches to the word before the next '='.
class Words {
public:
  explicit Words(std::string_view text) : left_(stripped(text)) {
    while (!left_.empty())
      take_pair();
  }
  [[nodiscard]] std::optional<std::string> find(std::string_view key) const {
    const auto found = values_.find(key);
    return found == values_.end() ? std::nullopt : std::optional(found->second);
  }
  [[nodiscard]] bool has(std::string_view key) const { return values_.count(key) > 0; }

private:
  void take_pair() {
    const auto equals = left_.find('=');
    if (equals == std::string_view::npos)
      throw Refused{fmt::format("'{}' is no pair of name and value", left_), std::string(example)};
    const std::string_view key = key_named(stripped(left_.substr(0, equals)));
    left_ = stripped(left_.substr(equals + 1));
    std::string value = !left_.empty() && left_.front() == '"' ? quoted(key) : bare();
    if (value.empty()) throw Refused{fmt::format("{} has no value", key), std::string(example)};
    if (!values_.emplace(key, std::move(value)).second)
      throw Refused{fmt::format("{} is given twice", key), "give it once"};
    left_ = stripped(left_);
  }

  std::string quoted(std::string_view key) {
    const auto end = left_.find('"', 1);
    if (end == std::string_view::npos)
      throw Refused{fmt::format("the quote of {} is never closed", key), "close it"};
    std::string value(stripped(left_.substr(1, end - 1)));
    left_ = left_.substr(end + 1);
    return value;
  }

  std::string bare() {
    const auto equals = left_.find('=');
    if (equals == std::string_view::npos) {
      std::string value(left_);
      left_ = {};
      return value;
    }
    const auto last = left_.find_last_not_of(" \t", equals == 0 ? 0 : equals - 1);
    const auto gap = left_.find_last_of(" \t,;", last);
    if (gap == std::string_view::npos) return {};
    std::string value(stripped(left_.substr(0, gap)));
    left_ = left_.substr(gap + 1);
    return value;
  }

  std::string_view left_;
  std::map<std::string_view, std::string> values_;
};

/// The words of one reading, and what holds beside them.
class Typed {
public:
  Typed(std::string_view text, const TypedDefaults& defaults)
      : defaults_(defaults), words_(with_names(text)) {}

  TypedReading read() {
    FourPoleReading reading = defaults_.corrected.value_or(FourPoleReading{});
    if (!defaults_.corrected) {
      reading.traverse = defaults_.traverse;
      reading.driven_depth_m = defaults_.driven_depth_m;
      reading.relative_error_ratio = defaults_.relative_error_ratio;
    }
    put_spacing(reading);
    put_resistance(reading);
    if (const auto depth = quantity("depth", Dimension::length)) reading.driven_depth_m = *depth;
    if (const auto error = quantity("error", Dimension::ratio)) reading.relative_error_ratio = *error;
    if (const auto along = words_.find("along")) reading.traverse = *along;
    return {reading, words_.find("note").value_or(""), {}, {}};
  }

private:
  /// "4 12.3" with its names put in front.
  [[nodiscard]] std::string with_names(std::string_view text) const {
    const std::string_view inner = stripped(text);
    if (!defaults_.takes_bare_numbers || inner.find('=') != std::string_view::npos) return std::string(inner);
    const auto gap = inner.find_first_of(" \t");
    if (gap == std::string_view::npos) return std::string(inner);
    return fmt::format("a={} R={}", inner.substr(0, gap), stripped(inner.substr(gap)));
  }

  [[nodiscard]] std::optional<double> quantity(std::string_view key, Dimension dimension) const {
    const auto text = words_.find(key);
    if (!text) return std::nullopt;
    return number(key, *text, dimension);
  }

  [[nodiscard]] double number(std::string_view key, std::string_view text, Dimension dimension) const {
    ParsedQuantity parsed = parse_quantity(text, dimension);
    if (!parsed.si_value && defaults_.takes_bare_numbers) {
      if (const ParsedQuantity bare = parse_number(text); bare.si_value) parsed = bare;
    }
    if (!parsed.si_value) throw Refused{fmt::format("{}: {}", key, parsed.problem), parsed.hint};
    return *parsed.si_value;
  }

  void put_spacing(FourPoleReading& reading) const {
    const auto spacing_m = quantity("a", Dimension::length);
    const auto half_current_m = quantity("AB/2", Dimension::length);
    const auto half_potential_m = quantity("MN/2", Dimension::length);
    if (spacing_m && (half_current_m || half_potential_m))
      throw Refused{"both a and AB/2 or MN/2 are given", "give a for Wenner, AB/2 and MN/2 for Schlumberger"};
    if (spacing_m) {
      const FourPoleReading placed = wenner_reading(*spacing_m, 0.0);
      reading.array = placed.array;
      reading.half_current_spacing_m = placed.half_current_spacing_m;
      reading.half_potential_spacing_m = placed.half_potential_spacing_m;
      return;
    }
    const bool is_kept = defaults_.corrected.has_value();
    if (!half_current_m && !half_potential_m) {
      if (!is_kept) throw Refused{"no spacing is given", std::string(example)};
      return;
    }
    const bool is_other_kept = is_kept && reading.array == Array::schlumberger;
    if (!is_other_kept && !(half_current_m && half_potential_m))
      throw Refused{"only one of AB/2 and MN/2 is given", "give both"};
    reading.array = Array::schlumberger;
    reading.half_current_spacing_m = half_current_m.value_or(reading.half_current_spacing_m);
    reading.half_potential_spacing_m = half_potential_m.value_or(reading.half_potential_spacing_m);
  }

  void put_resistance(FourPoleReading& reading) const {
    const auto voltage_v = quantity("V", Dimension::voltage);
    const auto current_a = quantity("I", Dimension::current);
    const auto text = words_.find("R");
    if (voltage_v.has_value() != current_a.has_value())
      throw Refused{"only one of V and I is given", "give both, or R"};
    if (text && voltage_v) throw Refused{"both R and V, I are given", "give one of the two"};
    if (!text && !voltage_v) {
      if (!defaults_.corrected) throw Refused{"no reading is given", std::string(example)};
      return;
    }
    reading.is_lower_bound = false;
    if (voltage_v) {
      if (!(*current_a > 0.0)) throw Refused{"I must be greater than 0", "check the current that was shown"};
      reading.resistance_ohm = *voltage_v / *current_a;
      return;
    }
    const std::string_view value = stripped(*text);
    reading.is_lower_bound = value == "OL" || value == "ol" || value.front() == '>';
    if (!reading.is_lower_bound)
      reading.resistance_ohm = number("R", value, Dimension::resistance);
    else
      reading.resistance_ohm =
          value.front() == '>' ? number("R", stripped(value.substr(1)), Dimension::resistance) : 0.0;
  }

  const TypedDefaults& defaults_;
  Words words_;
};

}  // namespace

TypedReading read_typed(std::string_view words, const TypedDefaults& defaults) {
  try {
    return Typed(words, defaults).read();
  } catch (const Refused& refused) {
    return {std::nullopt, {}, refused.problem, refused.hint};
  }
}

}  // namespace ohmroot::sounding

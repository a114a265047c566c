// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/text/value.hpp>

#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::text {

/// Two ways of writing the same document. People type TOML: length = "2.4 m", the key without suffix.
/// Programs send JSON: "length_m": 2.4, the key with its SI suffix and a bare number. A reader asks for
/// "length" and need not know which it was.
enum class Dialect { typed_by_people, sent_by_programs };

enum class Kind {
  text,        ///< a string
  choice,      ///< a string out of a stated list
  flag,        ///< true / false
  count,       ///< a whole number
  quantity,    ///< a number with unit ("2.4 m" / length_m = 2.4); Dimension::ratio is a bare number
  interval,    ///< two quantities [least, greatest], or one quantity for both
  quantities,  ///< a list of quantities
  points,      ///< a list of [x, y] pairs of lengths
  table,       ///< a sub-table, read by its own section
  tables,      ///< a list of sub-tables, or one of them
  texts,       ///< a list of strings
};

/// One key of a section: the single place where its meaning, unit, range and default are written. Readers
/// check against it, and the reference of keys that the program prints is made from it.
struct KeySpec {
  std::string_view name;  ///< without unit suffix
  Kind kind = Kind::text;
  Dimension dimension = Dimension::ratio;
  double least = -std::numeric_limits<double>::infinity();    // unit: SI unit of dimension
  double greatest = std::numeric_limits<double>::infinity();  // unit: SI unit of dimension
  bool least_is_excluded = false;                             ///< "greater than" in place of "at least"
  bool is_required = false;
  std::string_view allowed = {};       ///< choices, separated by '|'
  std::string_view default_text = {};  ///< what holds when the key is absent, in words
  std::string_view help = {};
};

struct Interval {
  double least;     // unit: SI unit of the key's dimension
  double greatest;  // unit: SI unit of the key's dimension
};

struct Point {
  double x_m;
  double y_m;
};

/// One table of a document, read against its keys. The constructor reports unknown keys (with the nearest
/// valid one) and missing required ones; each accessor reports a wrong kind, unit or range and returns
/// nothing, so that all errors of a file come in one pass (read each key once: each call reports again).
/// Asking for a key that is not among the specs, or with the accessor of another kind, throws InternalError.
/// The document, the specs and the diagnostics must outlive the section.
class Section {
public:
  Section(const Value& table, std::string path, std::span<const KeySpec> specs, Dialect dialect,
          Diagnostics& diagnostics);

  [[nodiscard]] bool has(std::string_view key) const;
  [[nodiscard]] std::optional<std::string> text(std::string_view key) const;  ///< text or choice
  [[nodiscard]] std::optional<bool> flag(std::string_view key) const;
  [[nodiscard]] std::optional<int> count(std::string_view key) const;
  [[nodiscard]] std::optional<double> quantity(std::string_view key) const;  ///< SI; unit: per key
  [[nodiscard]] std::optional<Interval> interval(std::string_view key) const;
  [[nodiscard]] std::optional<std::vector<double>> quantities(std::string_view key) const;  // unit: per key
  [[nodiscard]] std::optional<std::vector<Point>> points(std::string_view key) const;
  [[nodiscard]] std::optional<std::vector<std::string>> texts(std::string_view key) const;

  /// Sub-tables as sections of their own; path in messages is "parent.key" or "parent.key[2]" (the second).
  [[nodiscard]] std::optional<Section> table(std::string_view key, std::span<const KeySpec> specs) const;
  [[nodiscard]] std::vector<Section> tables(std::string_view key, std::span<const KeySpec> specs) const;

  /// Position of a key's value (of the table itself if the key is absent), for errors of meaning.
  [[nodiscard]] Position at(std::string_view key = {}) const;
  /// An error of meaning at that key: prints "path.key: message", or "path: message" without a key.
  void error(std::string_view key, std::string code, std::string message, std::string hint = {}) const;
  void warning(std::string_view key, std::string code, std::string message, std::string hint = {}) const;

  [[nodiscard]] Dialect dialect() const noexcept { return dialect_; }
  [[nodiscard]] const std::string& path() const noexcept { return path_; }
  [[nodiscard]] Diagnostics& diagnostics() const noexcept { return *diagnostics_; }

private:
  [[nodiscard]] const KeySpec& spec(std::string_view key) const;
  [[nodiscard]] const KeySpec& spec(std::string_view key, Kind kind) const;
  [[nodiscard]] const Value* value(const KeySpec& spec) const;
  [[nodiscard]] std::string full_name(std::string_view key) const;
  [[nodiscard]] std::string place_in_words() const;
  void report_unknown(const Member& member) const;
  void report_missing(const KeySpec& spec) const;
  void report_wrong_kind(const Value& value, const std::string& name, std::string_view wanted,
                         std::string hint = {}) const;
  [[nodiscard]] std::optional<double> read_quantity(const Value& value, const KeySpec& spec,  // unit: per key
                                                    const std::string& name) const;

  const Value* table_;
  std::string path_;
  std::span<const KeySpec> specs_;
  Dialect dialect_;
  Diagnostics* diagnostics_;
};

/// The key as it stands in a document of that dialect: "length" or "length_m".
[[nodiscard]] std::string key_in(const KeySpec& spec, Dialect dialect);

/// One line per key: name, kind with unit, range, default, help. For printing a reference of keys.
[[nodiscard]] std::string describe(std::span<const KeySpec> specs);

}  // namespace ohmroot::text

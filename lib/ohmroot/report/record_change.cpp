// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/record_change.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

namespace ohmroot::report {
namespace {

using text::Value;

constexpr const char* nothing = "-";

/// A key without its unit, and the unit.
struct Key {
  std::string name;
  std::optional<Dimension> dimension;
};

Key key_of(std::string_view key) {
  constexpr std::array<std::pair<std::string_view, Dimension>, 9> suffixes{
      {{"_w_per_m_k", Dimension::thermal_conductivity},
       {"_j_per_m3_k", Dimension::heat_capacity},
       {"_degc", Dimension::temperature},
       {"_ohm_m", Dimension::resistivity},
       {"_ohm", Dimension::resistance},
       {"_ratio", Dimension::ratio},
       {"_m", Dimension::length},
       {"_v", Dimension::voltage},
       {"_a", Dimension::current}}};
  for (const auto& [suffix, dimension] : suffixes) {
    if (key.size() > suffix.size() && key.substr(key.size() - suffix.size()) == suffix)
      return {std::string(key.substr(0, key.size() - suffix.size())), dimension};
  }
  return {std::string(key), std::nullopt};
}

std::string spaced(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

std::string value_words(const Value& value, const std::optional<Dimension>& dimension) {
  if (value.is_number())
    return dimension && *dimension != Dimension::ratio ? format_quantity(value.number(), *dimension)
                                                       : format_number(value.number(), 4);
  if (value.is_text()) return fmt::format("\"{}\"", value.text());
  if (value.is_boolean()) return value.boolean() ? "yes" : "no";
  if (value.is_null()) return nothing;
  if (!value.is_array()) return "a table";
  std::string words;
  for (const Value& item : value.array())
    words += (words.empty() ? "" : ", ") + value_words(item, dimension);
  return "[" + words + "]";
}

bool is_same(const Value& a, const Value& b) {
  if (a.is_number() && b.is_number()) return a.number() == b.number();
  if (a.is_array() && b.is_array())
    return std::equal(a.array().begin(), a.array().end(), b.array().begin(), b.array().end(), is_same);
  if (a.is_object() && b.is_object())
    return std::equal(a.object().begin(), a.object().end(), b.object().begin(), b.object().end(),
                      [](const text::Member& x, const text::Member& y) {
                        return x.first == y.first && is_same(x.second, y.second);
                      });
  if (a.is_text() && b.is_text()) return a.text() == b.text();
  if (a.is_boolean() && b.is_boolean()) return a.boolean() == b.boolean();
  return a.is_null() && b.is_null();
}

bool is_list_of_tables(const Value& value) {
  return value.is_array() && !value.array().empty() && value.array().front().is_object();
}

/// Tables of a list under their own names ("charge point"), else numbered from 1.
std::vector<std::pair<std::string, const Value*>> named_items(const Value& list) {
  std::vector<std::pair<std::string, const Value*>> items;
  for (const Value& item : list.array()) {
    const Value* name = item.find("name");
    items.emplace_back(name != nullptr && name->is_text() ? name->text() : std::to_string(items.size() + 1),
                       &item);
  }
  return items;
}

/// Walks the input of both records.
class InputWalk {
public:
  explicit InputWalk(std::vector<RecordChange>& changes) : changes_(changes) {}

  void compare(const std::string& path, const Value* before, const Value* after) {
    if (before != nullptr && after != nullptr && is_same(*before, *after)) return;
    const bool are_lists =
        (before == nullptr || is_list_of_tables(*before)) && (after == nullptr || is_list_of_tables(*after));
    if (before != nullptr && after != nullptr && before->is_object() && after->is_object())
      return compare_members(path, *before, *after);
    if (are_lists) return compare_lists(path, before, after);
    const Key key = key_of(path);
    changes_.push_back({spaced(key.name), before == nullptr ? nothing : value_words(*before, key.dimension),
                        after == nullptr ? nothing : value_words(*after, key.dimension), ""});
  }

private:
  static std::string under(const std::string& path, const std::string& name) {
    return path.empty() ? name : path + ": " + name;
  }

  void compare_members(const std::string& path, const Value& before, const Value& after) {
    for (const auto& [name, value] : before.object())
      compare(under(path, name), &value, after.find(name));
    for (const auto& [name, value] : after.object()) {
      if (before.find(name) == nullptr) compare(under(path, name), nullptr, &value);
    }
  }

  void compare_lists(const std::string& path, const Value* before, const Value* after) {
    static const Value empty{text::Array{}};
    const auto olds = named_items(before == nullptr ? empty : *before);
    const auto news = named_items(after == nullptr ? empty : *after);
    const auto find = [](const auto& items, const std::string& name) {
      return std::find_if(items.begin(), items.end(), [&](const auto& item) { return item.first == name; });
    };
    for (const auto& [name, value] : olds) {
      const auto other = find(news, name);
      const std::string place = fmt::format("{}, {}", path, name);
      if (other == news.end())
        changes_.push_back({spaced(place), "there", "gone", ""});
      else
        compare(place, value, other->second);
    }
    for (const auto& [name, value] : news) {
      if (find(olds, name) == olds.end())
        changes_.push_back({spaced(fmt::format("{}, {}", path, name)), nothing, "new", summary(*value)});
    }
  }

  /// The numbers of a table that is new as a whole.
  static std::string summary(const Value& table) {
    std::string words;
    for (const auto& [name, value] : table.object()) {
      if (!value.is_number() && !value.is_text()) continue;
      const Key key = key_of(name);
      words += fmt::format("{}{} {}", words.empty() ? "" : ", ", spaced(key.name),
                           value_words(value, key.dimension));
    }
    return words;
  }

  std::vector<RecordChange>& changes_;
};

/// A result with its ends, as records hold it.
struct Result {
  std::optional<double> value;     // unit: of the record
  std::optional<double> least;     // unit: of the record
  std::optional<double> greatest;  // unit: of the record
  std::string words;               ///< where it is no number
};

std::optional<double> number_at(const Value* table, const char* key) {
  const Value* found = table == nullptr ? nullptr : table->find(key);
  return found != nullptr && found->is_number() ? std::optional(found->number()) : std::nullopt;
}

std::string text_at(const Value* table, const char* key) {
  const Value* found = table == nullptr ? nullptr : table->find(key);
  return found != nullptr && found->is_text() ? found->text() : std::string();
}

Result interval_of(const Value* table) {
  return {number_at(table, "value_ohm"), number_at(table, "least_ohm"), number_at(table, "greatest_ohm"), {}};
}

/// Results that matter, under their names, in the order of the record.
std::vector<std::pair<std::string, Result>> results_of(const Value& record) {
  std::vector<std::pair<std::string, Result>> results;
  if (const Value* requirements = record.find("requirements")) {
    results.push_back(
        {"limit of the MET voltage",
         {{},
          {},
          {},
          value_words(Value(number_at(requirements, "limit_v").value_or(0.0)), Dimension::voltage)}});
    if (const Value* models = requirements->find("by_model"); models != nullptr && models->is_array()) {
      for (const Value& model : models->array()) {
        const auto ohm = number_at(&model, "resistance_ohm");
        results.push_back(
            {"resistance needed, " + text_at(&model, "name"),
             ohm ? Result{ohm, {}, {}, {}} : Result{{}, {}, {}, text_at(&model, "resistance_reason")}});
      }
    }
  }
  if (const Value* candidates = record.find("candidates"); candidates != nullptr && candidates->is_array()) {
    for (const Value& candidate : candidates->array()) {
      const std::string name = fmt::format("electrode '{}'", text_at(&candidate, "name"));
      results.push_back({name + ", to earth in the worst season", interval_of(candidate.find("to_earth"))});
      results.push_back({name + ", verdict", {{}, {}, {}, text_at(&candidate, "verdict")}});
    }
  }
  if (const Value* floor = record.find("floor"))
    results.push_back({"floor of any electrode on the land", interval_of(floor)});
  if (const Value* tt = record.find("tt"))
    results.push_back({"R_A on TT", interval_of(tt->find("resistance"))});
  if (const Value* routes = record.find("routes"); routes != nullptr && routes->is_array()) {
    for (const Value& route : routes->array())
      results.push_back({"route: " + text_at(&route, "title"), {{}, {}, {}, text_at(&route, "data")}});
  }
  return results;
}

std::string result_words(const Result& result) {
  if (!result.value) return result.words.empty() ? nothing : result.words;
  std::string words = format_quantity(*result.value, Dimension::resistance);
  if (result.least && result.greatest)
    words += fmt::format(" ({} to {})", format_quantity(*result.least, Dimension::resistance),
                         format_quantity(*result.greatest, Dimension::resistance));
  return words;
}

bool has_moved(const std::optional<double>& before, const std::optional<double>& after) {
  if (!before || !after) return before.has_value() != after.has_value();
  return std::abs(*after - *before) > unchanged_within_ratio * std::max(std::abs(*before), std::abs(*after));
}

bool has_moved(const Result& before, const Result& after) {
  return before.words != after.words || has_moved(before.value, after.value) ||
         has_moved(before.least, after.least) || has_moved(before.greatest, after.greatest);
}

std::string remark_on(const Result& before, const Result& after) {
  if (!before.least || !before.greatest || !after.value) return "";
  return *after.value >= *before.least && *after.value <= *before.greatest
             ? "within the interval of the old record"
             : "outside the interval of the old record";
}

void compare_results(const Value& before, const Value& after, std::vector<RecordChange>& changes) {
  const auto olds = results_of(before);
  const auto news = results_of(after);
  const auto find = [](const auto& all, const std::string& name) {
    const auto it =
        std::find_if(all.begin(), all.end(), [&](const auto& item) { return item.first == name; });
    return it == all.end() ? Result{} : it->second;
  };
  for (const auto& [name, old] : olds) {
    const Result now = find(news, name);
    if (has_moved(old, now))
      changes.push_back({name, result_words(old), result_words(now), remark_on(old, now)});
  }
  for (const auto& [name, now] : news) {
    const bool is_new =
        std::none_of(olds.begin(), olds.end(), [&](const auto& item) { return item.first == name; });
    if (is_new) changes.push_back({name, nothing, result_words(now), ""});
  }
}

std::vector<std::string> texts_of(const Value& record, const char* key) {
  std::vector<std::string> all;
  const Value* list = record.find(key);
  if (list == nullptr || !list->is_array()) return all;
  for (const Value& item : list->array()) {
    if (item.is_text()) all.push_back(item.text());
  }
  return all;
}

std::vector<std::string> missing_from(const std::vector<std::string>& all,
                                      const std::vector<std::string>& others) {
  std::vector<std::string> missing;
  for (const std::string& text : all) {
    if (std::find(others.begin(), others.end(), text) == others.end()) missing.push_back(text);
  }
  return missing;
}

void require_record(const char* which, const Value& record) {
  if (!record.is_object() || record.find("schema_version") == nullptr || record.find("verdict") == nullptr ||
      record.find("input") == nullptr)
    throw DomainError(which, "no record of a study", "the results.json that 'study' has written");
}

}  // namespace

RecordComparison compare_records(const Value& before, const Value& after) {
  require_record("before", before);
  require_record("after", after);
  RecordComparison comparison;
  comparison.verdict_before = text_at(&before, "verdict");
  comparison.verdict_after = text_at(&after, "verdict");
  comparison.exit_code_after = static_cast<int>(number_at(&after, "exit_code").value_or(2.0));
  InputWalk(comparison.inputs).compare("", before.find("input"), after.find("input"));
  compare_results(before, after, comparison.numbers);
  for (const char* key : {"holds_for", "voided_by"}) {
    const auto olds = texts_of(before, key);
    const auto news = texts_of(after, key);
    for (std::string& text : missing_from(olds, news))
      comparison.conditions_gone.push_back(std::move(text));
    for (std::string& text : missing_from(news, olds))
      comparison.conditions_new.push_back(std::move(text));
  }
  for (const char* key : {"schema_version", "program_version"}) {
    const Value* old = before.find(key);
    const Value* now = after.find(key);
    if (old == nullptr || now == nullptr || is_same(*old, *now)) continue;
    comparison.remarks.push_back(fmt::format("{} {} before, {} after: study the old record again with this "
                                             "program before differences are read as changes of "
                                             "the site",
                                             spaced(key), value_words(*old, {}), value_words(*now, {})));
  }
  return comparison;
}

Value comparison_document(const RecordComparison& comparison) {
  const auto change = [](const RecordChange& changed) {
    Value row;
    row.set("name", changed.name);
    row.set("before", changed.before);
    row.set("after", changed.after);
    if (!changed.remark.empty()) row.set("remark", changed.remark);
    return row;
  };
  Value document;
  document.set("verdict_before", comparison.verdict_before);
  document.set("verdict_after", comparison.verdict_after);
  document.set("exit_code", comparison.exit_code_after);
  document.set("inputs", detail::documents(comparison.inputs, change));
  document.set("numbers", detail::documents(comparison.numbers, change));
  document.set("unchanged_within_ratio", unchanged_within_ratio);
  document.set("conditions_gone", detail::texts(comparison.conditions_gone));
  document.set("conditions_new", detail::texts(comparison.conditions_new));
  document.set("remarks", detail::texts(comparison.remarks));
  return document;
}

}  // namespace ohmroot::report

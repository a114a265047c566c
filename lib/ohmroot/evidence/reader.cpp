// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/evidence/check.hpp>
#include <ohmroot/evidence/detail/names.hpp>
#include <ohmroot/evidence/detail/quantities.hpp>
#include <ohmroot/text/toml.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <span>

namespace ohmroot::evidence {

namespace {

using detail::find_quantity;
using text::Value;

// A row inherits from its group and its file whatever it does not say itself.
constexpr std::string_view shared_keys[] = {"quantity", "given",      "tolerance_ratio", "because", "source",
                                            "where",    "provenance", "standing",        "remark"};
constexpr std::string_view file_only_keys[] = {"group"};
constexpr std::string_view group_only_keys[] = {"check"};
constexpr std::string_view row_only_keys[] = {"id", "expected"};
constexpr std::string_view source_keys[] = {"id", "title", "how_seen", "was_read"};

void report_unknown_keys(const Value& table, std::vector<std::string_view> known, Diagnostics& diagnostics) {
  for (const auto& [key, value] : table.object()) {
    if (std::find(known.begin(), known.end(), key) == known.end()) {
      const std::string nearest = nearest_word(key, known);
      diagnostics.error(value.at(), "unknown-key",
                        fmt::format("unknown key '{}'; allowed are {}", key, fmt::join(known, ", ")),
                        nearest.empty() ? "" : fmt::format("did you mean '{}'?", nearest));
    }
  }
}

std::vector<std::string_view> joined(std::span<const std::string_view> first,
                                     std::span<const std::string_view> second) {
  std::vector<std::string_view> all(first.begin(), first.end());
  all.insert(all.end(), second.begin(), second.end());
  return all;
}

std::vector<std::string_view> words_of(auto& words) {
  std::vector<std::string_view> result;
  for (const auto& word : words) {
    result.push_back(word.text);
  }
  return result;
}

/// A row with the levels above it: the innermost level that holds a key wins.
class Levels {
public:
  Levels(const Value& file, const Value& group, const Value& row) : levels_{&row, &group, &file} {}

  [[nodiscard]] Position at() const { return levels_[0]->at(); }

  [[nodiscard]] const Value* find(std::string_view key) const {
    for (const Value* level : levels_) {
      if (const Value* found = level->find(key)) {
        return found;
      }
    }
    return nullptr;
  }

  /// 'given' is merged key by key.
  [[nodiscard]] Value given(Diagnostics& diagnostics) const {
    Value merged{text::Object{}};
    for (auto level = std::rbegin(levels_); level != std::rend(levels_); ++level) {
      const Value* own = (*level)->find("given");
      if (own == nullptr) {
        continue;
      }
      if (!own->is_object()) {
        diagnostics.error(own->at(), "wrong-kind", "'given' must be a table of inputs");
        continue;
      }
      for (const auto& [key, value] : own->object()) {
        merged.set(key, value);
      }
    }
    return merged;
  }

private:
  const Value* levels_[3];
};

/// Reads one row; every problem is reported where the row stands or where the wrong value stands.
class RowReader {
public:
  RowReader(const Levels& levels, const std::vector<Source>& sources, Diagnostics& diagnostics)
      : levels_(levels), sources_(sources), diagnostics_(diagnostics) {}

  [[nodiscard]] Check read() {
    Check check;
    check.line = levels_.at().line;
    check.id = required_text("id");
    check.quantity = required_text("quantity");
    check.given = levels_.given(diagnostics_);
    check.where = required_text("where");
    check.source_id = required_text("source");
    check.provenance = word("provenance", detail::provenance_words).value_or(check.provenance);
    if (levels_.find("standing") != nullptr) {
      check.standing = word("standing", detail::standing_words).value_or(check.standing);
    }
    if (levels_.find("remark") != nullptr) {
      check.remark = required_text("remark");
    }
    read_expected(check);
    check_source(check);
    check_quantity(check);
    if (check.standing != Standing::agrees && check.remark.empty()) {
      diagnostics_.error(
          levels_.at(), "missing-reason",
          fmt::format("a row that is '{}' must say why in 'remark'", standing_name(check.standing)));
    }
    return check;
  }

private:
  const Value* required(std::string_view key) {
    const Value* found = levels_.find(key);
    if (found == nullptr) {
      diagnostics_.error(levels_.at(), "missing-key", fmt::format("the row says no '{}'", key),
                         "write it in the row, in its group or at the head of the file");
    }
    return found;
  }

  std::string required_text(std::string_view key) {
    const Value* found = required(key);
    if (found == nullptr) {
      return {};
    }
    if (!found->is_text() || found->text().empty()) {
      diagnostics_.error(found->at(), "wrong-kind",
                         fmt::format("'{}' must be a text that is not empty", key));
      return {};
    }
    return found->text();
  }

  template <class T, std::size_t N>
  std::optional<T> word(std::string_view key, const detail::Word<T> (&words)[N]) {
    const std::string text = required_text(key);
    for (const detail::Word<T>& candidate : words) {
      if (candidate.text == text) {
        return candidate.meaning;
      }
    }
    if (!text.empty()) {
      diagnostics_.error(
          levels_.find(key)->at(), "unknown-word",
          fmt::format("'{}' is '{}'; allowed are {}", key, text, fmt::join(words_of(words), ", ")));
    }
    return std::nullopt;
  }

  void read_expected(Check& check) {
    const Value* expected = required("expected");
    if (expected == nullptr) {
      return;
    }
    check.expected = *expected;
    const bool is_list = expected->is_array() && !expected->array().empty() &&
                         std::all_of(expected->array().begin(), expected->array().end(),
                                     [](const Value& item) { return item.is_number(); });
    if (!expected->is_number() && !expected->is_text() && !is_list) {
      diagnostics_.error(expected->at(), "wrong-kind",
                         "'expected' must be a number, a text or a list of numbers");
      return;
    }
    if (expected->is_text() && levels_.find("tolerance_ratio") == nullptr) {
      check.tolerance_because = "words are compared literally";
      return;
    }
    check.tolerance_because = required_text("because");
    const Value* tolerance = required("tolerance_ratio");
    if (tolerance == nullptr) {
      return;
    }
    if (!tolerance->is_number() || tolerance->number() < 0.0) {
      diagnostics_.error(tolerance->at(), "wrong-kind",
                         "'tolerance_ratio' must be a number that is not negative");
      return;
    }
    check.tolerance_ratio = tolerance->number();
  }

  void check_source(const Check& check) {
    if (check.source_id.empty()) {
      return;
    }
    const auto source = std::find_if(sources_.begin(), sources_.end(),
                                     [&](const Source& known) { return known.id == check.source_id; });
    if (source == sources_.end()) {
      std::vector<std::string_view> known;
      for (const Source& candidate : sources_) {
        known.push_back(candidate.id);
      }
      const std::string nearest = nearest_word(check.source_id, known);
      diagnostics_.error(levels_.find("source")->at(), "unknown-source",
                         fmt::format("'{}' does not stand in sources.toml", check.source_id),
                         nearest.empty() ? "" : fmt::format("did you mean '{}'?", nearest));
    } else if (check.provenance == Provenance::published && !source->was_read) {
      diagnostics_.error(levels_.at(), "source-not-read",
                         fmt::format("'published' asks for a source that was read; of '{}' it is said: {}",
                                     source->id, source->how_seen));
    }
  }

  void check_quantity(const Check& check) {
    const detail::Quantity* quantity = find_quantity(check.quantity);
    if (quantity != nullptr) {
      check_given(check, *quantity);
      return;
    }
    if (check.standing == Standing::not_yet_run || check.quantity.empty()) {
      return;  // something later will compute it
    }
    std::vector<std::string_view> known;
    for (const detail::Quantity& candidate : detail::quantities()) {
      known.push_back(candidate.name);
    }
    const std::string nearest = nearest_word(check.quantity, known);
    diagnostics_.error(levels_.find("quantity")->at(), "unknown-quantity",
                       fmt::format("nothing computes '{}'", check.quantity),
                       nearest.empty() ? "a row that waits for the code says standing = \"not_yet_run\""
                                       : fmt::format("did you mean '{}'?", nearest));
  }

  void check_given(const Check& check, const detail::Quantity& quantity) {
    const std::vector<detail::TakenKey> taken = detail::taken_keys(quantity);
    for (const text::Member& input : check.given.object()) {
      const auto is_input = [&](const detail::TakenKey& known) { return known.name == input.first; };
      if (std::none_of(taken.begin(), taken.end(), is_input)) {
        diagnostics_.error(
            input.second.at(), "unknown-key",
            fmt::format("'{}' does not take '{}'; it takes {}", quantity.name, input.first, quantity.takes));
      }
    }
    for (const detail::TakenKey& known : taken) {
      if (!known.is_optional && check.given.find(known.name) == nullptr) {
        diagnostics_.error(levels_.at(), "missing-key",
                           fmt::format("'{}' needs '{}' in 'given'", quantity.name, known.name));
      }
    }
  }

  const Levels& levels_;
  const std::vector<Source>& sources_;
  Diagnostics& diagnostics_;
};

/// The tables of a list, each one checked to be a table; an absent or empty list is an error.
std::vector<const Value*> tables_in(const Value& table, std::string_view key, Diagnostics& diagnostics) {
  std::vector<const Value*> tables;
  const Value* list = table.find(key);
  if (list == nullptr || !list->is_array() || list->array().empty()) {
    diagnostics.error(list == nullptr ? table.at() : list->at(), "no-rows",
                      fmt::format("there is no '{}': a list of tables is wanted", key));
    return tables;
  }
  for (const Value& item : list->array()) {
    if (item.is_object()) {
      tables.push_back(&item);
    } else {
      diagnostics.error(item.at(), "wrong-kind",
                        fmt::format("'{}' must hold tables, not {}", key, item.kind_name()));
    }
  }
  return tables;
}

std::optional<Value> read_file(const std::filesystem::path& path, Diagnostics& diagnostics) {
  std::ifstream stream(path, std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(stream), {}};
  if (!stream) {
    diagnostics.error({}, "cannot-read", "the file cannot be read");
    return std::nullopt;
  }
  return text::read_toml(bytes, diagnostics);
}

std::optional<Source> read_source(const Value& table, Diagnostics& diagnostics) {
  report_unknown_keys(table, joined(source_keys, {}), diagnostics);
  Source source;
  bool is_good = true;
  const auto text = [&](std::string_view key) -> std::string {
    const Value* found = table.find(key);
    if (found == nullptr || !found->is_text() || found->text().empty()) {
      diagnostics.error(found == nullptr ? table.at() : found->at(), "missing-key",
                        fmt::format("a source needs '{}', a text that is not empty", key));
      is_good = false;
      return {};
    }
    return found->text();
  };
  source.id = text("id");
  source.title = text("title");
  source.how_seen = text("how_seen");
  const Value* was_read = table.find("was_read");
  if (was_read == nullptr || !std::holds_alternative<bool>(was_read->data())) {
    diagnostics.error(table.at(), "missing-key", "a source needs 'was_read', true or false");
    return std::nullopt;
  }
  source.was_read = was_read->boolean();
  return is_good ? std::optional(source) : std::nullopt;
}

std::vector<Source> read_sources(const std::filesystem::path& path, Diagnostics& diagnostics) {
  std::vector<Source> sources;
  const std::optional<Value> document = read_file(path, diagnostics);
  if (!document) {
    return sources;
  }
  report_unknown_keys(*document, {"source"}, diagnostics);
  std::set<std::string> ids;
  for (const Value* table : tables_in(*document, "source", diagnostics)) {
    const std::optional<Source> source = read_source(*table, diagnostics);
    if (!source) {
      continue;
    }
    if (!ids.insert(source->id).second) {
      diagnostics.error(table->at(), "duplicate-id", fmt::format("the source '{}' stands twice", source->id));
      continue;
    }
    sources.push_back(*source);
  }
  return sources;
}

/// Where each id was first seen, over all files.
using Places = std::map<std::string, std::string>;

void read_rows(const Value& file, const std::string& name, CheckBook& book, Places& places,
               Diagnostics& diagnostics) {
  report_unknown_keys(file, joined(shared_keys, file_only_keys), diagnostics);
  for (const Value* group : tables_in(file, "group", diagnostics)) {
    report_unknown_keys(*group, joined(shared_keys, group_only_keys), diagnostics);
    for (const Value* row : tables_in(*group, "check", diagnostics)) {
      const std::size_t found_before = diagnostics.all().size();
      report_unknown_keys(*row, joined(shared_keys, row_only_keys), diagnostics);
      Check check = RowReader({file, *group, *row}, book.sources, diagnostics).read();
      const auto [place, is_new] = places.emplace(check.id, fmt::format("{}:{}", name, check.line));
      if (!is_new) {
        diagnostics.error(row->at(), "duplicate-id",
                          fmt::format("the id '{}' stands at {} already", check.id, place->second));
      }
      if (diagnostics.all().size() == found_before) {
        check.file = name;
        book.checks.push_back(std::move(check));
      }
    }
  }
}

std::vector<std::filesystem::path> row_files(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file() && entry.path().extension() == ".toml" &&
        entry.path() != folder / "sources.toml") {
      files.push_back(entry.path());
    }
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

CheckBook read_check_book(const std::string& folder, Diagnostics& diagnostics) {
  CheckBook book;
  const std::filesystem::path root(folder);
  std::error_code ignored;
  if (!std::filesystem::is_directory(root, ignored)) {
    diagnostics.error({}, "no-folder", fmt::format("'{}' is not a folder with check values", folder));
    return book;
  }
  Diagnostics in_sources((root / "sources.toml").generic_string());
  book.sources = read_sources(root / "sources.toml", in_sources);
  diagnostics.append(in_sources);

  const std::vector<std::filesystem::path> files = row_files(root);
  if (files.empty()) {
    diagnostics.error({}, "no-rows", fmt::format("'{}' holds no check values", folder));
  }
  Places places;
  for (const std::filesystem::path& path : files) {
    Diagnostics in_file(path.generic_string());
    if (const std::optional<Value> document = read_file(path, in_file)) {
      read_rows(*document, path.lexically_relative(root).generic_string(), book, places, in_file);
    }
    diagnostics.append(in_file);
  }
  return book;
}

}  // namespace ohmroot::evidence

// SPDX-License-Identifier: MIT
#include <ohmroot/sounding/field_record.hpp>

#include <algorithm>
#include <array>

namespace ohmroot::sounding {
namespace {

struct RecordWord {
  std::string_view beginning;
  RecordKind kind;
};

constexpr std::array<RecordWord, 26> words{{{"site", RecordKind::site},
                                            {"location", RecordKind::site},
                                            {"place", RecordKind::site},
                                            {"date", RecordKind::date},
                                            {"day", RecordKind::date},
                                            {"instrument", RecordKind::instrument},
                                            {"tester", RecordKind::instrument},
                                            {"meter", RecordKind::instrument},
                                            {"serial", RecordKind::instrument},
                                            {"weather", RecordKind::weather},
                                            {"rain", RecordKind::weather},
                                            {"temperature", RecordKind::weather},
                                            {"moisture", RecordKind::weather},
                                            {"soil", RecordKind::soil},
                                            {"ground", RecordKind::soil},
                                            {"surface", RecordKind::soil},
                                            {"nearby metal", RecordKind::nearby_metal},
                                            {"metal", RecordKind::nearby_metal},
                                            {"buried", RecordKind::nearby_metal},
                                            {"services", RecordKind::nearby_metal},
                                            {"pipes", RecordKind::nearby_metal},
                                            {"spacing error", RecordKind::spacing_error},
                                            {"stake position", RecordKind::spacing_error},
                                            {"last digit", RecordKind::last_digit},
                                            {"resolution", RecordKind::last_digit},
                                            {"digit", RecordKind::last_digit}}};

}  // namespace

RecordKind record_kind(std::string_view key) {
  std::string lowered(key);
  std::transform(lowered.begin(), lowered.end(), lowered.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; });
  const auto found = std::find_if(words.begin(), words.end(), [&](const RecordWord& word) {
    return std::string_view(lowered).substr(0, word.beginning.size()) == word.beginning;
  });
  return found == words.end() ? RecordKind::other : found->kind;
}

std::string_view record_word(RecordKind kind) {
  switch (kind) {
  case RecordKind::site:
    return "site";
  case RecordKind::date:
    return "date";
  case RecordKind::instrument:
    return "instrument";
  case RecordKind::weather:
    return "weather";
  case RecordKind::soil:
    return "soil";
  case RecordKind::nearby_metal:
    return "nearby metal";
  case RecordKind::spacing_error:
    return "spacing error";
  case RecordKind::last_digit:
    return "last digit";
  default:
    return "other";
  }
}

std::vector<RecordKind> missing_record(const std::vector<RecordEntry>& record) {
  std::vector<RecordKind> missing;
  for (const RecordKind kind : {RecordKind::date, RecordKind::instrument, RecordKind::weather,
                                RecordKind::soil, RecordKind::nearby_metal}) {
    const bool is_there = std::any_of(record.begin(), record.end(),
                                      [&](const RecordEntry& entry) { return entry.kind == kind; });
    if (!is_there) missing.push_back(kind);
  }
  return missing;
}

}  // namespace ohmroot::sounding

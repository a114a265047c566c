// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/detail/given.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::evidence::detail {

namespace {

[[noreturn]] void wrong_kind(std::string_view key, std::string_view wanted, const text::Value& found) {
  throw NotComputable(fmt::format("'{}' must be {}, not {}", key, wanted, found.kind_name()));
}

}  // namespace

const text::Value& Given::value(std::string_view key) const {
  const text::Value* found = table_->find(key);
  if (found == nullptr) {
    throw NotComputable(fmt::format("'{}' is not given", key));
  }
  return *found;
}

bool Given::has(std::string_view key) const {
  return table_->find(key) != nullptr;
}

double Given::number(std::string_view key) const {
  const text::Value& found = value(key);
  if (!found.is_number()) {
    wrong_kind(key, "a number", found);
  }
  return found.number();
}

double Given::number_or(std::string_view key, double absent) const {
  return has(key) ? number(key) : absent;
}

int Given::count(std::string_view key) const {
  const double found = number(key);
  if (std::abs(found) > 1e9 || found != std::floor(found)) {
    throw NotComputable(fmt::format("'{}' must be a whole number", key));
  }
  return static_cast<int>(found);
}

std::string Given::text_or(std::string_view key, std::string_view absent) const {
  if (!has(key)) {
    return std::string(absent);
  }
  const text::Value& found = value(key);
  if (!found.is_text()) {
    wrong_kind(key, "a text", found);
  }
  return found.text();
}

bool Given::is_list(std::string_view key) const {
  return has(key) && value(key).is_array();
}

std::vector<double> Given::numbers(std::string_view key) const {
  if (!is_list(key)) {
    return {number(key)};
  }
  std::vector<double> result;
  for (const text::Value& item : value(key).array()) {
    if (!item.is_number()) {
      wrong_kind(key, "a list of numbers", item);
    }
    result.push_back(item.number());
  }
  return result;
}

std::vector<Given> Given::tables(std::string_view key) const {
  if (!is_list(key)) {
    wrong_kind(key, "a list of tables", value(key));
  }
  std::vector<Given> result;
  for (const text::Value& item : value(key).array()) {
    if (!item.is_object()) {
      wrong_kind(key, "a list of tables", item);
    }
    result.emplace_back(item);
  }
  return result;
}

void Given::allow(std::span<const std::string_view> keys) const {
  for (const auto& [key, unused] : table_->object()) {
    if (std::find(keys.begin(), keys.end(), key) == keys.end()) {
      throw NotComputable(fmt::format("unknown key '{}'; known are {}", key, fmt::join(keys, ", ")));
    }
  }
}

text::Value list_of(std::span<const double> numbers) {
  return text::Value(text::Array(numbers.begin(), numbers.end()));
}

}  // namespace ohmroot::evidence::detail

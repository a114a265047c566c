// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace ohmroot::text {

class Value;
using Array = std::vector<Value>;

/// Keys in the order written; a document never holds a key twice (the readers report duplicates).
using Member = std::pair<std::string, Value>;
using Object = std::vector<Member>;

/// One node of a document: what TOML and JSON have in common. Readers fill in the position of each node;
/// nodes made by code have position 0:0. Numbers are finite.
class Value {
public:
  using Data = std::variant<std::nullptr_t, bool, std::int64_t, double, std::string, Array, Object>;

  Value() = default;
  Value(bool value) : data_(value) {}
  Value(int value) : data_(std::int64_t{value}) {}
  Value(std::int64_t value) : data_(value) {}
  Value(std::size_t value) : data_(static_cast<std::int64_t>(value)) {}
  Value(double value);  // unit: as the key says; throws InternalError if not finite: JSON has no NaN
  Value(const char* value) : data_(std::string(value)) {}
  Value(std::string_view value) : data_(std::string(value)) {}
  Value(std::string value) : data_(std::move(value)) {}
  Value(Array value) : data_(std::move(value)) {}
  Value(Object value) : data_(std::move(value)) {}

  [[nodiscard]] const Data& data() const noexcept { return data_; }
  [[nodiscard]] bool is_null() const noexcept { return std::holds_alternative<std::nullptr_t>(data_); }
  [[nodiscard]] bool is_object() const noexcept { return std::holds_alternative<Object>(data_); }
  [[nodiscard]] bool is_array() const noexcept { return std::holds_alternative<Array>(data_); }
  [[nodiscard]] bool is_text() const noexcept { return std::holds_alternative<std::string>(data_); }
  [[nodiscard]] bool is_boolean() const noexcept { return std::holds_alternative<bool>(data_); }
  [[nodiscard]] bool is_number() const noexcept {
    return std::holds_alternative<double>(data_) || std::holds_alternative<std::int64_t>(data_);
  }

  /// Access by kind; a wrong kind throws InternalError (readers check the kind first).
  [[nodiscard]] const Object& object() const;
  [[nodiscard]] Object& object();
  [[nodiscard]] const Array& array() const;
  [[nodiscard]] Array& array();
  [[nodiscard]] const std::string& text() const;
  [[nodiscard]] double number() const;  // unit: as the key says
  [[nodiscard]] bool boolean() const;

  /// The member of an object, or nullptr (also if this is no object).
  [[nodiscard]] const Value* find(std::string_view key) const;
  /// Sets a member of an object (a null value becomes an object first); keeps the order of first setting.
  Value& set(std::string_view key, Value value);

  [[nodiscard]] Position at() const noexcept { return at_; }
  void put_at(Position at) noexcept { at_ = at; }

  /// Where the key that names this value stands; 0:0 for a list's element, a root or a node made by code.
  [[nodiscard]] Position key_at() const noexcept { return key_at_; }
  void put_key_at(Position at) noexcept { key_at_ = at; }

  /// "a table", "a text", "a number"...: for messages.
  [[nodiscard]] std::string_view kind_name() const;

private:
  Data data_ = nullptr;
  Position at_;
  Position key_at_;
};

}  // namespace ohmroot::text

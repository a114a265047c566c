// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/text/value.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::text {
namespace {

template <class Kind, class Data>
auto& access(Data& data, std::string_view kind_found) {
  if (auto* found = std::get_if<Kind>(&data)) return *found;
  throw InternalError("a document's value is read as what it is not: it is " + std::string(kind_found));
}

}  // namespace

Value::Value(double value) : data_(value) {
  if (!std::isfinite(value)) throw InternalError("a number that is not finite cannot stand in a document");
}

const Object& Value::object() const {
  return access<Object>(data_, kind_name());
}
Object& Value::object() {
  return access<Object>(data_, kind_name());
}
const Array& Value::array() const {
  return access<Array>(data_, kind_name());
}
Array& Value::array() {
  return access<Array>(data_, kind_name());
}
const std::string& Value::text() const {
  return access<std::string>(data_, kind_name());
}
bool Value::boolean() const {
  return access<bool>(data_, kind_name());
}

double Value::number() const {
  if (const auto* whole = std::get_if<std::int64_t>(&data_)) return static_cast<double>(*whole);
  return access<double>(data_, kind_name());
}

const Value* Value::find(std::string_view key) const {
  const auto* members = std::get_if<Object>(&data_);
  if (members == nullptr) return nullptr;
  const auto found = std::find_if(members->begin(), members->end(),
                                  [&](const Member& member) { return member.first == key; });
  return found == members->end() ? nullptr : &found->second;
}

Value& Value::set(std::string_view key, Value value) {
  if (is_null()) data_ = Object{};
  Object& members = object();
  const auto found =
      std::find_if(members.begin(), members.end(), [&](const Member& member) { return member.first == key; });
  if (found == members.end()) {
    members.emplace_back(std::string(key), std::move(value));
  } else {
    found->second = std::move(value);
  }
  return *this;
}

std::string_view Value::kind_name() const {
  struct Name {
    std::string_view operator()(std::nullptr_t) const { return "null"; }
    std::string_view operator()(bool) const { return "true or false"; }
    std::string_view operator()(std::int64_t) const { return "a number"; }
    std::string_view operator()(double) const { return "a number"; }
    std::string_view operator()(const std::string&) const { return "a text"; }
    std::string_view operator()(const Array&) const { return "a list"; }
    std::string_view operator()(const Object&) const { return "a table"; }
  };
  return std::visit(Name{}, data_);
}

}  // namespace ohmroot::text

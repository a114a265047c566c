// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/text/value.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::report::detail {

/// A number under its key with unit suffix; if there is none, null there and the reason under
/// name + "_reason".
struct Key {
  std::string name;    ///< "greatest"
  std::string suffix;  ///< "ohm"; empty for none
  [[nodiscard]] std::string text() const { return suffix.empty() ? name : name + "_" + suffix; }
};
void set_number(text::Value& document, const Key& key, double value, std::string_view reason_if_none);
void set_missing(text::Value& document, const Key& key, std::string_view reason);

/// Lists; a number that is not finite is null.
[[nodiscard]] text::Value numbers(const std::vector<double>& values);
[[nodiscard]] text::Value texts(const std::vector<std::string>& values);

/// An object, so that an empty one is {} and not null.
[[nodiscard]] text::Value object();

/// A list of documents, one per item.
template <class Items, class Document>
[[nodiscard]] text::Value documents(const Items& items, Document&& document_of) {
  text::Array array;
  for (const auto& item : items)
    array.push_back(document_of(item));
  return array;
}

}  // namespace ohmroot::report::detail

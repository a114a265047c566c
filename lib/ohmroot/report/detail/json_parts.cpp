// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/json_parts.hpp>

#include <cmath>

namespace ohmroot::report::detail {

void set_number(text::Value& document, const Key& key, double value, std::string_view reason_if_none) {
  if (std::isfinite(value))
    document.set(key.text(), value);
  else
    set_missing(document, key, reason_if_none);
}

void set_missing(text::Value& document, const Key& key, std::string_view reason) {
  document.set(key.text(), text::Value());
  document.set(key.name + "_reason", reason);
}

text::Value numbers(const std::vector<double>& values) {
  return documents(values,
                   [](double value) { return std::isfinite(value) ? text::Value(value) : text::Value(); });
}

text::Value texts(const std::vector<std::string>& values) {
  return documents(values, [](const std::string& value) { return text::Value(value); });
}

text::Value object() {
  return text::Object{};
}

}  // namespace ohmroot::report::detail

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/text/value.hpp>

#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::evidence::detail {

/// The library gives no number for these inputs; the text says why. Not a failure by itself.
class NotComputable : public std::runtime_error {
public:
  using std::runtime_error::runtime_error;
};

/// Inputs of one row, read by key. A missing key, a wrong kind or an unknown word throws NotComputable.
class Given {
public:
  explicit Given(const text::Value& table) : table_(&table) {}

  [[nodiscard]] bool has(std::string_view key) const;
  [[nodiscard]] double number(std::string_view key) const;                    // unit: as the key says
  [[nodiscard]] double number_or(std::string_view key, double absent) const;  // unit: as the key says
  [[nodiscard]] int count(std::string_view key) const;
  [[nodiscard]] std::string text_or(std::string_view key, std::string_view absent) const;
  [[nodiscard]] bool is_list(std::string_view key) const;
  [[nodiscard]] std::vector<double> numbers(std::string_view key) const;  ///< a list, or one number
  [[nodiscard]] std::vector<Given> tables(std::string_view key) const;    ///< a list of tables

  /// Refuses every key that is not among the allowed ones; for tables inside 'given'.
  void allow(std::span<const std::string_view> keys) const;

private:
  [[nodiscard]] const text::Value& value(std::string_view key) const;
  const text::Value* table_;
};

/// One word out of a stated list, and what it stands for.
template <class T>
struct Word {
  std::string_view text;
  T meaning;
};

template <class T, std::size_t N>
[[nodiscard]] T meaning_of(const std::string& word, const Word<T> (&words)[N]) {
  std::string known;
  for (const Word<T>& candidate : words) {
    if (candidate.text == word) {
      return candidate.meaning;
    }
    known += (known.empty() ? "'" : ", '") + std::string(candidate.text) + "'";
  }
  throw NotComputable("'" + word + "' is not one of " + known);
}

/// A list of numbers as a value.
[[nodiscard]] text::Value list_of(std::span<const double> numbers);

}  // namespace ohmroot::evidence::detail

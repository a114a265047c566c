// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/evidence/detail/compare.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

namespace ohmroot::evidence::detail {

namespace {

std::optional<std::vector<double>> numbers_in(const text::Value& value) {
  if (value.is_number()) {
    return std::vector{value.number()};
  }
  if (!value.is_array()) {
    return std::nullopt;
  }
  std::vector<double> numbers;
  for (const text::Value& item : value.array()) {
    if (!item.is_number()) {
      return std::nullopt;
    }
    numbers.push_back(item.number());
  }
  return numbers;
}

Difference incomparable(std::string why) {
  return {false, 0.0, std::move(why)};
}

/// What a difference is measured by: the expected value itself, or its neighbours where it is 0.
double scale_of(double expected, const std::vector<double>& all) {
  if (expected != 0.0) {
    return std::abs(expected);
  }
  double greatest = 0.0;
  for (double value : all) {
    greatest = std::max(greatest, std::abs(value));
  }
  return greatest > 0.0 ? greatest : 1.0;
}

Difference equal_numbers(const std::vector<double>& expected, const std::vector<double>& computed,
                         double tolerance_ratio) {
  if (expected.size() != computed.size()) {
    return incomparable(
        fmt::format("{} values are expected, {} were computed", expected.size(), computed.size()));
  }
  double greatest_ratio = 0.0;
  for (std::size_t i = 0; i < expected.size(); ++i) {
    greatest_ratio =
        std::max(greatest_ratio, std::abs(computed[i] - expected[i]) / scale_of(expected[i], expected));
  }
  return {greatest_ratio <= tolerance_ratio, greatest_ratio, {}};
}

struct Ends {
  double least;
  double greatest;
};

/// How far the expected values lie outside the ends, each as a ratio of itself; 0 inside.
Difference inside(const std::vector<double>& expected, const Ends& ends, double tolerance_ratio) {
  double greatest_ratio = 0.0;
  for (double value : expected) {
    const double outside = std::max({ends.least - value, value - ends.greatest, 0.0});
    greatest_ratio = std::max(greatest_ratio, outside / scale_of(value, expected));
  }
  return {greatest_ratio <= tolerance_ratio, greatest_ratio, {}};
}

}  // namespace

Difference difference_of(const Comparands& values) {
  if (values.expected.is_text() && values.computed.is_text()) {
    const bool is_same = values.expected.text() == values.computed.text();
    return {is_same, is_same ? 0.0 : 1.0, {}};
  }
  const auto expected = numbers_in(values.expected);
  const auto computed = numbers_in(values.computed);
  if (!expected || !computed) {
    return incomparable(fmt::format("{} is expected, {} was computed", values.expected.kind_name(),
                                    values.computed.kind_name()));
  }
  constexpr double open = std::numeric_limits<double>::infinity();
  const std::size_t end_count = values.comparison == Comparison::inside_band ? 2 : 1;
  if (values.comparison != Comparison::equal && computed->size() != end_count) {
    return incomparable("a band has two ends, a bound one");
  }
  switch (values.comparison) {
  case Comparison::equal:
    return equal_numbers(*expected, *computed, values.tolerance_ratio);
  case Comparison::inside_band:
    return inside(*expected, {computed->front(), computed->back()}, values.tolerance_ratio);
  case Comparison::lower_bound:
    return inside(*expected, {computed->front(), open}, values.tolerance_ratio);
  case Comparison::upper_bound:
    return inside(*expected, {-open, computed->front()}, values.tolerance_ratio);
  }
  throw InternalError("a comparison without a rule");
}

}  // namespace ohmroot::evidence::detail

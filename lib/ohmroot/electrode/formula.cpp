// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/rule.hpp>
#include <ohmroot/electrode/formula.hpp>

#include <fmt/format.h>

#include <cmath>

namespace ohmroot::electrode {

namespace detail {

std::string beyond(const BoxSide& side, double ratio) {
  constexpr double rounding = 1e-9;  // 3 x 0.8 m is not less than 2.4 m
  if (ratio >= side.least * (1.0 - rounding) && ratio <= side.greatest * (1.0 + rounding)) return {};
  const std::string allowed = std::isinf(side.greatest)
                                  ? fmt::format("{:.4g} or more", side.least)
                                  : fmt::format("{:.4g} to {:.4g}", side.least, side.greatest);
  return fmt::format("{} is {:.4g} {}; the formula is for {}", side.subject, ratio, side.counted, allowed);
}

std::string first_of(std::initializer_list<std::string> texts) {
  for (const std::string& text : texts) {
    if (!text.empty()) return text;
  }
  return {};
}

}  // namespace detail

namespace {

template <typename ShapeKind>
FormulaResult evaluate(const detail::Rule<ShapeKind>& rule, const ShapeKind& shape) {
  std::string reason = rule.outside_reason(shape);
  const bool is_inside = reason.empty();
  return {&rule.formula, rule.factor_per_m(shape), is_inside, std::move(reason)};
}

}  // namespace

FormulaResult default_formula(const Shape& shape) {
  require_valid(shape);
  return std::visit([](const auto& one) { return evaluate(detail::rules_for(one).front(), one); }, shape);
}

std::vector<FormulaResult> all_formulas(const Shape& shape) {
  require_valid(shape);
  return std::visit(
      [](const auto& one) {
        std::vector<FormulaResult> results;
        for (const auto& rule : detail::rules_for(one)) {
          if (rule.means_something == nullptr || rule.means_something(one)) {
            results.push_back(evaluate(rule, one));
          }
        }
        return results;
      },
      shape);
}

}  // namespace ohmroot::electrode

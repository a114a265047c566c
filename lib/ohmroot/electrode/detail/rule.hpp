// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/formula.hpp>

#include <limits>
#include <span>
#include <string>
#include <string_view>

namespace ohmroot::electrode::detail {

/// A formula with the code that works it. The shape given to these functions is a valid one.
template <typename ShapeKind>
struct Rule {
  Formula formula;
  double (*factor_per_m)(const ShapeKind&);
  std::string (*outside_reason)(const ShapeKind&);      ///< empty inside the box
  bool (*means_something)(const ShapeKind&) = nullptr;  ///< absent: for every valid shape
};

/// All rules of a kind of shape, the default first.
[[nodiscard]] std::span<const Rule<Rod>> rules_for(const Rod&);
[[nodiscard]] std::span<const Rule<RodLine>> rules_for(const RodLine&);
[[nodiscard]] std::span<const Rule<RodSquare>> rules_for(const RodSquare&);
[[nodiscard]] std::span<const Rule<RodTriangle>> rules_for(const RodTriangle&);
[[nodiscard]] std::span<const Rule<Tape>> rules_for(const Tape&);
[[nodiscard]] std::span<const Rule<RoundConductor>> rules_for(const RoundConductor&);
[[nodiscard]] std::span<const Rule<Ring>> rules_for(const Ring&);
[[nodiscard]] std::span<const Rule<Mesh>> rules_for(const Mesh&);
[[nodiscard]] std::span<const Rule<RectangularPlate>> rules_for(const RectangularPlate&);

/// A side of a validity box: a length counted in another one.
struct BoxSide {
  std::string_view subject;  ///< "the length of the rod"
  std::string_view counted;  ///< "times its diameter"
  double least;
  double greatest = std::numeric_limits<double>::infinity();
};

/// Says in words how the ratio passes the bound, or nothing if it does not.
[[nodiscard]] std::string beyond(const BoxSide& side, double ratio);

/// The first text that says something.
[[nodiscard]] std::string first_of(std::initializer_list<std::string> texts);

/// Uniform leakage, average potential: [ln(8L/d) - 1] / (2 pi L).
[[nodiscard]] double average_potential_factor_per_m(const Rod& rod);

/// Its box; every formula for groups of rods rests on it.
[[nodiscard]] std::string beyond_rod_box(const Rod& rod);

}  // namespace ohmroot::electrode::detail

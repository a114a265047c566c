// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/detail/limits.hpp>
#include <ohmroot/electrode/detail/rule.hpp>

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>
#include <optional>

namespace ohmroot::electrode {

namespace {

using std::numbers::pi;

// BS 7430:2011 cl. 9.5, rods in line, from 2 rods: read in public course notes; 7 and 9 rods from memory.
constexpr std::array<double, 9> line_table{1.00, 1.66, 2.15, 2.54, 2.87, 3.15, 3.39, 3.61, 3.81};

// BS 7430:2011 cl. 9.5, rods round a hollow square, entered with the rods PER SIDE: from memory.
struct SquareRow {
  int rods_per_side;
  double lambda_ratio;
};
constexpr std::array<SquareRow, 14> square_table{{{2, 2.71},
                                                  {3, 4.51},
                                                  {4, 5.48},
                                                  {5, 6.13},
                                                  {6, 6.63},
                                                  {7, 7.03},
                                                  {8, 7.36},
                                                  {9, 7.65},
                                                  {10, 7.90},
                                                  {12, 8.3},
                                                  {14, 8.6},
                                                  {16, 8.9},
                                                  {18, 9.2},
                                                  {20, 9.4}}};

// Multiplying factors ascribed to IEEE Std 142, one table for line, hollow triangle, circle and square.
struct MultiplyingRow {
  int rod_count;
  double factor_ratio;
};
constexpr std::array<MultiplyingRow, 8> multiplying_table{
    {{2, 1.16}, {3, 1.29}, {4, 1.36}, {8, 1.68}, {12, 1.80}, {16, 1.92}, {20, 2.00}, {24, 2.16}}};

std::optional<double> multiplying_factor_ratio(int rod_count) {
  for (const MultiplyingRow& row : multiplying_table) {
    if (row.rod_count == rod_count) return row.factor_ratio;
  }
  return std::nullopt;
}

double distance_m(const RodPosition& a, const RodPosition& b) {
  return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m);
}

/// Mean over the rods of what all the other ones add to each.
template <typename Mutual>
double mean_sum_over_others(std::span<const RodPosition> positions, const Mutual& mutual) {
  if (positions.empty() || positions.size() > static_cast<std::size_t>(detail::most_rods)) {
    throw DomainError("positions", fmt::format("{} rods", positions.size()), "1 to 4000 rods");
  }
  double sum = 0.0;
  for (std::size_t i = 0; i < positions.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j)
      sum += 2.0 * mutual(distance_m(positions[i], positions[j]));
  }
  return sum / static_cast<double>(positions.size());
}

/// Average potential on one rod from even leakage along another: [2L asinh(2L/s) - sqrt(4L^2+s^2) + s] /
/// (4 pi L^2), written so that nothing cancels at large spacing.
double mutual_factor_per_m(double length_m, double spacing_m) {
  const double two_l = 2.0 * length_m;
  const double less = two_l * two_l / (std::hypot(two_l, spacing_m) + spacing_m);
  return (two_l * std::asinh(two_l / spacing_m) - less) / (pi * two_l * two_l);
}

int rod_count(const RodLine& group) {
  return group.rod_count;
}
int rod_count(const RodSquare& group) {
  return 4 * (group.rods_per_side - 1);
}
int rod_count(const RodTriangle&) {
  return 3;
}

GroupFactor group_factor(const RodLine& group) {
  return line_group_factor(group.rod_count);
}
GroupFactor group_factor(const RodSquare& group) {
  return square_group_factor(group.rods_per_side);
}
GroupFactor group_factor(const RodTriangle&) {
  return {2.0, true};
}  // both others at distance s, exactly

/// (R_1/n)(1 + lambda a) with a = rho / (2 pi R_1 s); for the triangle the printed 2 L / s is lambda = 2.
template <typename Group>
double lambda_factor_per_m(const Group& group) {
  const double mutual_per_m = group_factor(group).lambda_ratio / (2.0 * pi * group.spacing_m);
  return (detail::average_potential_factor_per_m(group.rod) + mutual_per_m) / rod_count(group);
}

template <typename Group>
double equal_current_group_factor_per_m(const Group& group) {
  return equal_current_factor_per_m(group.rod, rod_positions(group));
}

template <typename Group>
double multiplying_group_factor_per_m(const Group& group) {
  return detail::average_potential_factor_per_m(group.rod) *
         multiplying_factor_ratio(rod_count(group)).value() / rod_count(group);
}

template <typename Group>
bool has_multiplying_row(const Group& group) {
  return multiplying_factor_ratio(rod_count(group)).has_value();
}

// Two rods in the series of Dwight, with x the ratio in which each converges.

double two_rods_near_factor_per_m(const RodLine& group) {
  const double l = group.rod.length_m;
  const double x = group.spacing_m / l;
  const double own = std::log(8.0 * l / group.rod.diameter_m);
  const double other = std::log(4.0 / x) - 2.0 + x / 2.0 - x * x / 16.0 + x * x * x * x / 512.0;
  return (own + other) / (4.0 * pi * l);
}

double two_rods_far_factor_per_m(const RodLine& group) {
  const double x2 = std::pow(group.rod.length_m / group.spacing_m, 2);
  const double other = (1.0 - x2 / 3.0 + 2.0 * x2 * x2 / 5.0) / (4.0 * pi * group.spacing_m);
  return detail::average_potential_factor_per_m(group.rod) / 2.0 + other;
}

// Validity boxes.

template <typename Group>
std::string beyond_spacing(const Group& group, double least, double greatest) {
  return detail::beyond({"the spacing", "times the length of the rods", least, greatest},
                        group.spacing_m / group.rod.length_m);
}

constexpr double no_bound = std::numeric_limits<double>::infinity();

template <typename Group>
std::string beyond_lambda_box(const Group& group) {
  const std::string table =
      group_factor(group).is_from_table
          ? ""
          : fmt::format("the published table has no row for this number of rods ({} in all); lambda is the "
                        "equal-current sum",
                        rod_count(group));
  return detail::first_of({detail::beyond_rod_box(group.rod), beyond_spacing(group, 1.0, no_bound), table});
}

template <typename Group>
std::string beyond_equal_current_box(const Group& group) {
  return detail::first_of({detail::beyond_rod_box(group.rod), beyond_spacing(group, 0.5, no_bound),
                           detail::beyond({"the number of rods", "in all", 1, 100}, rod_count(group))});
}

template <typename Group>
std::string beyond_multiplying_box(const Group& group) {
  return detail::first_of({detail::beyond({"the length of the rods", "times their diameter", 75.0, 300.0},
                                          group.rod.length_m / group.rod.diameter_m),
                           beyond_spacing(group, 0.95, 1.05)});
}

std::string beyond_near_box(const RodLine& group) {
  return detail::first_of({detail::beyond_rod_box(group.rod), beyond_spacing(group, 0.0, 1.0)});
}

std::string beyond_far_box(const RodLine& group) {
  return detail::first_of({detail::beyond_rod_box(group.rod), beyond_spacing(group, 2.0, no_bound)});
}

// Texts that several formulas share.

constexpr std::string_view lambda_symbols =
    "R_n = resistance of n joined rods [ohm]; n = total number of rods; R_1 = rho/(2 pi L) [ln(8 L/d) - "
    "1], one rod [ohm]; lambda = factor from the table; a = rho / (2 pi R_1 s); rho = soil resistivity "
    "[ohm m]; L = buried length [m]; d = diameter [m]; s = spacing [m]";

constexpr std::string_view equal_current_expression =
    "R_n = (1/n) [R_1 + (1/n) sum over all i, j not i of R_m(s_ij)], R_m(s) = rho / (4 pi L^2) [2 L "
    "asinh(2 L / s) - sqrt(4 L^2 + s^2) + s]";
constexpr std::string_view equal_current_symbols =
    "R_n = resistance of n joined rods [ohm]; R_1 = rho/(2 pi L) [ln(8 L/d) - 1], one rod [ohm]; R_m = "
    "mutual resistance [ohm]; s_ij = distance of rods i and j [m]; rho = soil resistivity [ohm m]; L = "
    "buried length [m]; d = diameter [m]";
constexpr std::string_view equal_current_source =
    "derived for this library: average potential of even leakage, the same current in every rod; for two "
    "rods it is the sum that the series of Dwight (1936) expand";

constexpr std::string_view multiplying_expression = "R_n = R_1 F / n";
constexpr std::string_view multiplying_symbols =
    "R_n = resistance of n joined rods [ohm]; R_1 = rho/(2 pi L) [ln(8 L/d) - 1], one rod [ohm]; F = "
    "factor for n rods one rod length apart; rho = soil resistivity [ohm m]; L = buried length [m]; d = "
    "diameter [m]";
constexpr std::string_view multiplying_source =
    "common practice, not checked against the licensed text: table of multiplying factors ascribed to "
    "IEEE Std 142, one table for line, hollow triangle, circle and square, seen quoted";

constexpr std::string_view two_rods_symbols =
    "R = resistance of two joined rods [ohm]; rho = soil resistivity [ohm m]; L = buried length [m]; a = "
    "RADIUS of the rods [m]; s = spacing [m]";
constexpr std::string_view two_rods_source =
    "H. B. Dwight, Transactions of the AIEE 55 (1936) 1319-1328; repeated in IEEE Std 142: from memory, "
    "coefficients derived again";

// Bands. Equipotential solutions of solid rods for L/d from 25 to 5000. Point-source mutuals overstate the
// coupling of rods that are as long as the spacing, and more so for stout rods: at s = L the truth over the
// lambda method is lowest, line 0.934 to 0.976 (2.4 m x 16 mm: 0.954 to 0.966), triangle 0.926 to 0.960,
// square 0.920 to 0.973; at s = 2 L 0.970 to 0.993; far apart it is that of the single rod, 0.980 to 0.998.
// The equal-current sum lacks only the uneven leakage: 0.965 to 0.998 for s >= L/2. The multiplying factors
// take no account of L/d nor of the arrangement.
using detail::Rule;

constexpr std::array<Rule<RodLine>, 5> line_rules{{
    {{.id = "rods-line-factor",
      .title = "Rods in line, group factor lambda",
      .expression = "R_n = (R_1 / n) (1 + lambda a)",
      .symbols = lambda_symbols,
      .source = "BS 7430:2011 cl. 9.5 and its table for rods in line: read in public course notes on "
                "earthing design that quote it, with a worked example; the rows for 7 and 9 rods from memory",
      .valid = "s at least L, L from 25 to 5000 d, 2 to 10 rods",
      .least_truth_ratio = 0.930,
      .greatest_truth_ratio = 0.999,
      .is_published = true},
     lambda_factor_per_m<RodLine>,
     beyond_lambda_box<RodLine>},
    {{.id = "rods-line-equal-current",
      .title = "Rods in line, equal currents",
      .expression = equal_current_expression,
      .symbols = equal_current_symbols,
      .source = equal_current_source,
      .valid = "s at least L/2, L from 25 to 5000 d, up to 100 rods",
      .least_truth_ratio = 0.960,
      .greatest_truth_ratio = 0.999,
      .is_published = false},
     equal_current_group_factor_per_m<RodLine>,
     beyond_equal_current_box<RodLine>},
    {{.id = "rods-two-near-series",
      .title = "Two rods, series for small spacing",
      .expression = "R = rho / (4 pi L) [ln(4L/a) + ln(4L/s) - 2 + s/(2L) - s^2/(16L^2) + s^4/(512L^4)]",
      .symbols = two_rods_symbols,
      .source = two_rods_source,
      .valid = "two rods, s up to L, L from 25 to 5000 d",
      .least_truth_ratio = 0.966,
      .greatest_truth_ratio = 0.999,
      .is_published = true},
     two_rods_near_factor_per_m,
     beyond_near_box,
     [](const RodLine& group) {
       return group.rod_count == 2 && group.spacing_m <= 2.0 * group.rod.length_m;
     }},
    {{.id = "rods-two-far-series",
      .title = "Two rods, series for large spacing",
      .expression = "R = rho / (4 pi L) [ln(4L/a) - 1] + rho / (4 pi s) [1 - L^2/(3s^2) + 2L^4/(5s^4)]",
      .symbols = two_rods_symbols,
      .source = two_rods_source,
      .valid = "two rods, s at least 2 L (at s = L it is 3.5 % high), L from 25 to 5000 d",
      .least_truth_ratio = 0.976,
      .greatest_truth_ratio = 0.999,
      .is_published = true},
     two_rods_far_factor_per_m,
     beyond_far_box,
     [](const RodLine& group) { return group.rod_count == 2 && group.spacing_m >= group.rod.length_m; }},
    {{.id = "rods-line-multiplying-factor",
      .title = "Rods in line, multiplying factor",
      .expression = multiplying_expression,
      .symbols = multiplying_symbols,
      .source = multiplying_source,
      .valid = "s = L within 5 %, L from 75 to 300 d (our bounds), 2, 3, 4, 8, 12, 16, 20 or 24 rods",
      .least_truth_ratio = 0.78,
      .greatest_truth_ratio = 0.995,
      .is_published = true},
     multiplying_group_factor_per_m<RodLine>,
     beyond_multiplying_box<RodLine>,
     has_multiplying_row<RodLine>},
}};

constexpr std::array<Rule<RodSquare>, 3> square_rules{{
    {{.id = "rods-square-factor",
      .title = "Rods round a hollow square, group factor lambda",
      .expression = "R_n = (R_1 / n) (1 + lambda a), table entered with the rods per side, n the total",
      .symbols = lambda_symbols,
      .source = "BS 7430:2011 cl. 9.5 and its table for a hollow square: from memory; agrees with the "
                "equal-current sums within 0.9 %",
      .valid = "s at least L, L from 25 to 5000 d, 2 to 10, 12, 14, 16, 18 or 20 rods per side",
      .least_truth_ratio = 0.915,
      .greatest_truth_ratio = 0.999,
      .is_published = true},
     lambda_factor_per_m<RodSquare>,
     beyond_lambda_box<RodSquare>},
    {{.id = "rods-square-equal-current",
      .title = "Rods round a hollow square, equal currents",
      .expression = equal_current_expression,
      .symbols = equal_current_symbols,
      .source = equal_current_source,
      .valid = "s at least L/2, L from 25 to 5000 d, up to 100 rods",
      .least_truth_ratio = 0.965,
      .greatest_truth_ratio = 0.999,
      .is_published = false},
     equal_current_group_factor_per_m<RodSquare>,
     beyond_equal_current_box<RodSquare>},
    {{.id = "rods-square-multiplying-factor",
      .title = "Rods round a hollow square, multiplying factor",
      .expression = multiplying_expression,
      .symbols = multiplying_symbols,
      .source = multiplying_source,
      .valid = "s = L within 5 %, L from 75 to 300 d (our bounds), 4, 8, 12, 16, 20 or 24 rods in all",
      .least_truth_ratio = 0.87,
      .greatest_truth_ratio = 1.10,
      .is_published = true},
     multiplying_group_factor_per_m<RodSquare>,
     beyond_multiplying_box<RodSquare>,
     has_multiplying_row<RodSquare>},
}};

constexpr std::array<Rule<RodTriangle>, 3> triangle_rules{{
    {{.id = "rods-triangle",
      .title = "Three rods in an equilateral triangle",
      .expression = "R = (1/3) rho / (2 pi L) [ln(8 L / d) - 1 + 2 L / s]",
      .symbols = "R = resistance of three joined rods [ohm]; rho = soil resistivity [ohm m]; L = buried "
                 "length [m]; d = diameter [m]; s = side of the triangle [m]",
      .source = "BS 7430:2011 cl. 9.5: from memory; it is the lambda method with lambda = 2",
      .valid = "s at least L, L from 25 to 5000 d",
      .least_truth_ratio = 0.920,
      .greatest_truth_ratio = 0.999,
      .is_published = true},
     lambda_factor_per_m<RodTriangle>,
     beyond_lambda_box<RodTriangle>},
    {{.id = "rods-triangle-equal-current",
      .title = "Three rods in an equilateral triangle, equal currents",
      .expression = equal_current_expression,
      .symbols = equal_current_symbols,
      .source = equal_current_source,
      .valid = "s at least L/2, L from 25 to 5000 d",
      .least_truth_ratio = 0.970,
      .greatest_truth_ratio = 0.999,
      .is_published = false},
     equal_current_group_factor_per_m<RodTriangle>,
     beyond_equal_current_box<RodTriangle>},
    {{.id = "rods-triangle-multiplying-factor",
      .title = "Three rods in an equilateral triangle, multiplying factor",
      .expression = multiplying_expression,
      .symbols = multiplying_symbols,
      .source = multiplying_source,
      .valid = "s = L within 5 %, L from 75 to 300 d (our bounds)",
      .least_truth_ratio = 0.94,
      .greatest_truth_ratio = 1.02,
      .is_published = true},
     multiplying_group_factor_per_m<RodTriangle>,
     beyond_multiplying_box<RodTriangle>},
}};

}  // namespace

GroupFactor line_group_factor(int rod_count) {
  require_within("rod_count", rod_count, "", {2, detail::most_rods});
  const auto row = static_cast<std::size_t>(rod_count - 2);
  if (row < line_table.size()) return {line_table[row], true};
  // A metre apart: the sum does not depend on the spacing.
  const auto positions = rod_positions(RodLine{{1.0, 0.01}, rod_count, 1.0});
  return {point_source_group_factor_ratio(positions, 1.0), false};
}

GroupFactor square_group_factor(int rods_per_side) {
  require_within("rods_per_side", rods_per_side, "", {2, detail::most_rods_per_side});
  for (const SquareRow& row : square_table) {
    if (row.rods_per_side == rods_per_side) return {row.lambda_ratio, true};
  }
  const auto positions = rod_positions(RodSquare{{1.0, 0.01}, rods_per_side, 1.0});
  return {point_source_group_factor_ratio(positions, 1.0), false};
}

double point_source_group_factor_ratio(std::span<const RodPosition> positions, double spacing_m) {
  require_positive("spacing_m", spacing_m, "m");
  const double ratio = mean_sum_over_others(positions, [&](double apart_m) {
    require_positive("distance of two rods", apart_m, "m");
    return spacing_m / apart_m;
  });
  require_finite("lambda", ratio, "");
  return ratio;
}

double equal_current_factor_per_m(const Rod& rod, std::span<const RodPosition> positions) {
  require_valid(rod);
  const double others_per_m = mean_sum_over_others(positions, [&](double apart_m) {
    require_within("distance of two rods", apart_m, "m", {3.0 * rod.diameter_m * (1.0 - 1e-9), 1e12});
    return mutual_factor_per_m(rod.length_m, apart_m);
  });
  return (detail::average_potential_factor_per_m(rod) + others_per_m) / static_cast<double>(positions.size());
}

namespace detail {

std::span<const Rule<RodLine>> rules_for(const RodLine&) {
  return line_rules;
}
std::span<const Rule<RodSquare>> rules_for(const RodSquare&) {
  return square_rules;
}
std::span<const Rule<RodTriangle>> rules_for(const RodTriangle&) {
  return triangle_rules;
}

}  // namespace detail

}  // namespace ohmroot::electrode

// SPDX-License-Identifier: MIT
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/design/detail/evaluator.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <cmath>
#include <optional>

namespace ohmroot::design::detail {
namespace {

std::vector<electrode::RodPosition> positions_of(const Arrangement& rods) {
  std::vector<electrode::RodPosition> positions;
  positions.reserve(rods.rod_places.size());
  for (const PlanPoint& place : rods.rod_places)
    positions.push_back({place.x_m, place.y_m});
  return positions;
}

}  // namespace

double solved_alone_ohm(const Arrangement& arrangement, const Parts& parts, const earth::LayeredSoil& soil) {
  return electrode::solve_field(soil, {metal_of(arrangement, parts)}).resistance_ohm(0, 0);
}

void Evaluator::prepare(int section_count) {
  if (tables_.contains(section_count)) return;
  std::vector<std::optional<electrode::RodCoupling>> made(draws_.size());
  const electrode::Rod rod{section_count * parts_.rod_section_m, parts_.rod_diameter_m};
  for_each_index(draws_.size(),
                 [&](std::size_t i) { made[i].emplace(draws_[i].soil, rod, distances_); });
  std::vector<electrode::RodCoupling>& kept = tables_[section_count];
  for (auto& table : made)
    kept.push_back(std::move(*table));
}

double Evaluator::rods_ohm(const Arrangement& rods, std::size_t draw) const {
  return worst_ohm(tables_.at(rods.section_count)[draw].resistance_ohm(positions_of(rods)), draw);
}

std::vector<double> Evaluator::rods_ohm(const Arrangement& rods) const {
  const std::vector<electrode::RodPosition> positions = positions_of(rods);
  const std::vector<electrode::RodCoupling>& tables = tables_.at(rods.section_count);
  std::vector<double> ohm(draws_.size());
  for (std::size_t i = 0; i < ohm.size(); ++i)
    ohm[i] = worst_ohm(tables[i].resistance_ohm(positions), i);
  return ohm;
}

std::vector<double> Evaluator::solved_ohm(const Arrangement& arrangement) const {
  std::vector<double> ohm(draws_.size());
  for_each_index(ohm.size(), [&](std::size_t i) {
    ohm[i] = worst_ohm(solved_alone_ohm(arrangement, parts_, draws_[i].soil), i);
  });
  return ohm;
}

const std::vector<double>& Evaluator::piece_ohm(double length_m) {
  const long millimetres = std::lround(std::ceil(length_m * 1000 - 1e-6));
  std::vector<double>& ohm = pieces_[millimetres];
  if (ohm.empty()) {
    const Arrangement piece{
        Kind::tape, {}, 0, {{{0, 0}, {static_cast<double>(millimetres) / 1000, 0}}}, true};
    std::vector<double> solved(draws_.size());
    for_each_index(solved.size(),
                   [&](std::size_t i) { solved[i] = solved_alone_ohm(piece, parts_, draws_[i].soil); });
    ohm = std::move(solved);
  }
  return ohm;
}

std::vector<double> Evaluator::tape_bound_ohm(const Arrangement& arrangement) {
  std::vector<double> siemens(draws_.size(), 0.0);
  if (!arrangement.rod_places.empty()) {
    const std::vector<electrode::RodPosition> positions = positions_of(arrangement);
    for (std::size_t i = 0; i < siemens.size(); ++i)
      siemens[i] += 1 / tables_.at(arrangement.section_count)[i].resistance_ohm(positions);
  }
  for (const PlanLine& way : arrangement.ways) {
    const auto& ohm = piece_ohm(std::hypot(way.to.x_m - way.from.x_m, way.to.y_m - way.from.y_m));
    for (std::size_t i = 0; i < siemens.size(); ++i)
      siemens[i] += 1 / ohm[i];
  }
  // Tables are within 1 % of the field solution; the bound gives way by as much.
  constexpr double table_error_ratio = 0.01;
  std::vector<double> bound_ohm(draws_.size());
  for (std::size_t i = 0; i < bound_ohm.size(); ++i)
    bound_ohm[i] = worst_ohm((1 - table_error_ratio) / siemens[i], i);
  return bound_ohm;
}

}  // namespace ohmroot::design::detail

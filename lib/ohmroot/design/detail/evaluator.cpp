// SPDX-License-Identifier: MIT
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/design/detail/evaluator.hpp>
#include <ohmroot/design/detail/in_ground.hpp>

#include <algorithm>
#include <cmath>

namespace ohmroot::design::detail {
namespace {

std::vector<electrode::RodPosition> positions_of(const Arrangement& pieces) {
  std::vector<electrode::RodPosition> positions;
  positions.reserve(pieces.places.size());
  for (const PlanPoint& place : pieces.places)
    positions.push_back({place.x_m, place.y_m});
  return positions;
}

/// In the driest season, whether the ground freezes or not.
std::vector<double> dry_in_first(const Arrangement& arrangement, const Parts& parts, const GroundDraws& draws,
                                 std::size_t draw_count) {
  std::vector<double> ohm(draw_count);
  for_each_index(ohm.size(), [&](std::size_t i) {
    GroundDraw dry = draws[i];
    dry.frost_depth_m = 0.0;
    ohm[i] = worst_season_ohm(arrangement, parts, dry);
  });
  return ohm;
}

}  // namespace

void Evaluator::prepare(int section_count, double least_distance_m) {
  if (tables_.contains(section_count)) return;
  std::vector<std::optional<Tables>> made(draws_.size());
  const electrode::BodyDistances distances{least_distance_m,
                                           std::max(greatest_distance_m_, 2 * least_distance_m)};
  for_each_index(draws_.size(), [&](std::size_t i) {
    const electrode::Shape piece = piece_in(parts_, draws_[i], section_count);
    made[i].emplace(Tables{electrode::BodyCoupling(draws_[i].soil, piece, distances), {}});
    if (freezes(draws_[i])) made[i]->frozen.emplace(frozen_soil(draws_[i]), piece, distances);
  });
  std::vector<Tables>& kept = tables_[section_count];
  for (auto& tables : made)
    kept.push_back(std::move(*tables));
}

double Evaluator::alone_ohm(const electrode::BodyCoupling::Pairs& pairs, const Tables& tables,
                            std::size_t draw) const {
  const double dry_ohm = tables.usual.joined_ohm(pairs) * draws_[draw].worst_season_ratio;
  return tables.frozen ? std::max(dry_ohm, tables.frozen->joined_ohm(pairs)) : dry_ohm;
}

double Evaluator::pieces_ohm(const Arrangement& pieces, std::size_t draw) const {
  const Tables& tables = tables_.at(pieces.section_count)[draw];
  return alone_ohm(tables.usual.pairs(positions_of(pieces)), tables, draw) + conductor_ohm_;
}

std::vector<double> Evaluator::pieces_ohm(const Arrangement& pieces) const {
  const std::vector<Tables>& tables = tables_.at(pieces.section_count);
  const electrode::BodyCoupling::Pairs pairs = tables.front().usual.pairs(positions_of(pieces));
  std::vector<double> ohm(draws_.size());
  for (std::size_t i = 0; i < ohm.size(); ++i)
    ohm[i] = alone_ohm(pairs, tables[i], i) + conductor_ohm_;
  return ohm;
}

std::vector<double> Evaluator::solved_ohm(const Arrangement& arrangement) const {
  std::vector<double> ohm(draws_.size());
  for_each_index(ohm.size(), [&](std::size_t i) {
    ohm[i] = worst_season_ohm(arrangement, parts_, draws_[i]) + conductor_ohm_;
  });
  return ohm;
}

const std::vector<double>& Evaluator::tape_ohm(double length_m, std::size_t draw_count) {
  const long millimetres = std::lround(std::ceil(length_m * 1000 - 1e-6));
  std::vector<double>& ohm = tapes_[millimetres];
  if (ohm.empty())
    ohm = dry_in_first({Kind::tape, {}, 0, {{{0, 0}, {static_cast<double>(millimetres) / 1000, 0}}}, true},
                       parts_, draws_, draw_count);
  return ohm;
}

const std::vector<double>& Evaluator::steel_ohm(std::size_t draw_count) {
  if (steel_.empty())
    steel_ = dry_in_first({Kind::steel, {}, 0, {}, false, {}, true}, parts_, draws_, draw_count);
  return steel_;
}

std::vector<double> Evaluator::sum_bound_ohm(const Arrangement& arrangement, std::size_t draw_count) {
  std::vector<double> siemens(draw_count, 0.0);  // in the driest season: the worst is no better
  if (!arrangement.places.empty()) {
    const std::vector<Tables>& tables = tables_.at(arrangement.section_count);
    const electrode::BodyCoupling::Pairs pairs = tables.front().usual.pairs(positions_of(arrangement));
    for (std::size_t i = 0; i < siemens.size(); ++i)
      siemens[i] += 1 / (tables[i].usual.joined_ohm(pairs) * draws_[i].worst_season_ratio);
  }
  const auto add = [&](const std::vector<double>& ohm) {
    for (std::size_t i = 0; i < siemens.size(); ++i)
      siemens[i] += 1 / ohm[i];
  };
  if (arrangement.is_tape)
    for (const PlanLine& way : arrangement.ways)
      add(tape_ohm(std::hypot(way.to.x_m - way.from.x_m, way.to.y_m - way.from.y_m), draw_count));
  if (arrangement.joins_steel) add(steel_ohm(draw_count));
  // Tables are within 1 % of the field solution, those of plates within 2 %; the bound gives way by as much.
  constexpr double table_error_ratio = 0.02;
  std::vector<double> bound_ohm(draw_count);
  for (std::size_t i = 0; i < bound_ohm.size(); ++i)
    bound_ohm[i] = (1 - table_error_ratio) / siemens[i] + conductor_ohm_;
  return bound_ohm;
}

}  // namespace ohmroot::design::detail

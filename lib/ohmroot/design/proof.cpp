// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/design/detail/in_ground.hpp>
#include <ohmroot/design/proof.hpp>
#include <ohmroot/electrode/block_floor.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <vector>

namespace ohmroot::design {
namespace {

constexpr double proof_share_ratio = 0.99;
constexpr int coarsest_cells = 3;  // a coarser block lies lower: still a floor

FloorShare share_of(const std::vector<double>& floors_ohm, double lenient_ohm) {
  FloorShare share;
  share.draw_count = floors_ohm.size();
  share.above_count = static_cast<std::size_t>(
      std::count_if(floors_ohm.begin(), floors_ohm.end(), [&](double ohm) { return ohm > lenient_ohm; }));
  share.share_ratio = static_cast<double>(share.above_count) / static_cast<double>(share.draw_count);
  share.least_1_percent_ohm = value_at_share(floors_ohm, 1 - proof_share_ratio);
  share.middle_ohm = value_at_share(floors_ohm, 0.5);
  return share;
}

/// With what may be joined, in the most favourable season, conductor included.
double floor_ohm(const ProofQuestion& question, const GroundDraw& draw, double alone_ohm, std::size_t i) {
  const double siemens = 1 / alone_ohm + (question.beside_ohm.empty() ? 0.0 : 1 / question.beside_ohm[i]);
  return draw.best_season_ratio / siemens + question.conductor_ohm;
}

std::vector<double> ellipsoid_floors_ohm(const ProofQuestion& question) {
  const double factor_per_m = electrode::ellipsoid_floor_bound_per_m(question.volume);
  std::vector<double> floors_ohm;
  for (std::size_t i = 0; i < question.draws.size(); ++i) {
    const GroundDraw& draw = question.draws[i];
    floors_ohm.push_back(floor_ohm(question, draw, factor_per_m * draw.soil.least_resistivity_ohm_m(), i));
  }
  return floors_ohm;
}

void solve_blocks(const ProofQuestion& question, Proof& proof) {
  const std::size_t draw_count = std::min(question.draws.size(), question.block_draw_count);
  const double factor_per_m = electrode::ellipsoid_floor_bound_per_m(question.volume);
  std::vector<double> floors_ohm(draw_count);
  std::vector<char> is_refused(draw_count, 0);
  for_each_index(draw_count, [&](std::size_t i) {
    const std::size_t place = i * question.draws.size() / draw_count;
    const GroundDraw& draw = question.draws[place];
    // Where the block refuses the soil, the closed form is still a floor.
    double alone_ohm = factor_per_m * draw.soil.least_resistivity_ohm_m();
    try {
      alone_ohm =
          std::max(alone_ohm,
                   electrode::block_resistance(draw.soil, question.volume, {coarsest_cells}).lower_bound_ohm);
    } catch (const DomainError&) {
      is_refused[i] = 1;
    }
    floors_ohm[i] = floor_ohm(question, draw, alone_ohm, place);
  });
  proof.refused_count = static_cast<std::size_t>(std::count(is_refused.begin(), is_refused.end(), char{1}));
  proof.block = share_of(floors_ohm, question.lenient_ohm);
}

std::string percent(double ratio) {
  return format_number(100 * ratio, 3) + " %";
}

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

const char* share_sentence(const FloorShare& share) {
  return share.share_ratio >= proof_share_ratio ? "That is enough for a proof against that resistance."
                                                : "That proves nothing: it takes 99 %.";
}

}  // namespace

std::vector<double> steel_ohm(const Parts& parts, const GroundDraws& draws) {
  std::vector<double> ohm(draws.size());
  for_each_index(ohm.size(), [&](std::size_t i) {
    const GroundDraw as_measured{draws[i].soil};
    ohm[i] = detail::worst_season_ohm({Kind::steel, {}, 0, {}, false, {}, true}, parts, as_measured);
  });
  return ohm;
}

const FloorShare& decisive_floor(const Proof& proof) {
  return proof.block.draw_count > 0 ? proof.block : proof.ellipsoid;
}

Proof prove_infeasible(const ProofQuestion& question) {
  if (question.draws.empty()) throw DomainError("draws", "none", "at least one draw of the ground");
  require_positive("lenient_ohm", question.lenient_ohm, "ohm");
  require_not_negative("conductor_ohm", question.conductor_ohm, "ohm");
  if (!question.beside_ohm.empty() && question.beside_ohm.size() != question.draws.size())
    throw DomainError("beside_ohm", static_cast<double>(question.beside_ohm.size()), "",
                      "one resistance for each draw, or none");
  Proof proof;
  proof.ellipsoid = share_of(ellipsoid_floors_ohm(question), question.lenient_ohm);
  const bool is_closed_form_enough = proof.ellipsoid.share_ratio >= proof_share_ratio;
  if (!is_closed_form_enough && question.block_draw_count > 0) solve_blocks(question, proof);
  proof.is_proved = is_closed_form_enough || proof.block.share_ratio >= proof_share_ratio;
  const FloorShare& used = decisive_floor(proof);
  proof.sentence =
      fmt::format("In {} of {} states of the ground ({}) no new electrode inside this land and depth{} can "
                  "have {} even in the "
                  "most favourable season; the floor is above {} in 99 % of them. {}{} It concerns new "
                  "metal, not {}metal already "
                  "there.",
                  percent(used.share_ratio), used.draw_count,
                  &used == &proof.ellipsoid ? "half-ellipsoid round land and depth, closed form"
                                            : "land and depth as a solid block of metal, by field solution",
                  question.beside_ohm.empty() ? "" : ", joined to the existing steel that is stated,",
                  ohms(question.lenient_ohm), ohms(used.least_1_percent_ohm), share_sentence(used),
                  proof.refused_count > 0
                      ? fmt::format(" The block solution refused {} soils; the closed form stood in for it.",
                                    proof.refused_count)
                      : "",
                  question.beside_ohm.empty() ? "" : "other ");
  return proof;
}

}  // namespace ohmroot::design

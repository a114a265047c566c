// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/detail/branch.hpp>

#include <boost/math/tools/toms748_solve.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

namespace ohmroot::supply::detail {

namespace {

constexpr int step_count = 200;
constexpr std::uintmax_t iteration_limit = 200;
constexpr double turning_width_ratio = 1e-9;
// Constant power has no current at no voltage: the walk stops just short of it.
constexpr double last_shortfall_ratio = 1.0 - 1e-12;

void require_converged(std::uintmax_t iterations) {
  if (iterations >= iteration_limit) throw InternalError("operating point: root finding did not settle");
}

}  // namespace

bool is_linear(const std::vector<DefiniteLoad>& loads) {
  return std::all_of(loads.begin(), loads.end(),
                     [](const DefiniteLoad& load) { return load.model == LoadModel::constant_impedance; });
}

bool is_one_branch(const std::vector<DefiniteLoad>& loads) {
  return std::all_of(loads.begin(), loads.end(), [&loads](const DefiniteLoad& load) {
    return load.phase == loads.front().phase && load.current_a > 0.0;
  });
}

Branch::Branch(const OpenPenCircuit& circuit, std::vector<DefiniteLoad> loads)
    : source_v_(circuit.source_v), nominal_v_(circuit.nominal_v), loads_(std::move(loads)) {
  if (loads_.empty()) throw InternalError("a branch of operating points needs a load");
}

Branch::Point Branch::at(double shortfall_v) const {
  Point point;
  point.shortfall_v = shortfall_v;
  point.load_v = source_v_ - shortfall_v;
  for (const DefiniteLoad& load : loads_) {
    point.current_a += current_at_a(load, point.load_v, nominal_v_) * current_direction(load);
  }
  point.current_size_a = std::abs(point.current_a);
  // |u + V|^2 = E^2 for V = R I, which is inclined to u as I is; solved for |V| without cancellation.
  const double along_v = point.load_v * point.current_a.real() / point.current_size_a;
  const double missing_v2 = shortfall_v * (source_v_ + point.load_v);  // E^2 - |u|^2
  point.displacement_v = missing_v2 / (along_v + std::sqrt(along_v * along_v + missing_v2));
  point.resistance_ohm = point.displacement_v / point.current_size_a;
  return point;
}

/// The first maximum of R in between: narrowed from samples, since a load that comes to its ceiling makes a
/// corner, which a search for a smooth maximum may take for its end.
Branch::Point Branch::turning_point(double from_v, double to_v) const {
  constexpr int part_count = 8;
  Point best = at(from_v);
  while (to_v - from_v > turning_width_ratio * source_v_) {
    const double part_v = (to_v - from_v) / part_count;
    best = at(from_v);
    int part = 1;
    for (; part <= part_count; ++part) {
      const Point next = at(part == part_count ? to_v : from_v + part * part_v);
      if (next.resistance_ohm < best.resistance_ohm) break;
      best = next;
    }
    to_v = std::min(to_v, from_v + part * part_v);
    from_v += std::max(0, part - 2) * part_v;
  }
  return best;
}

Branch::Point Branch::passage(const std::function<double(const Point&)>& excess, double from_v,
                              double to_v) const {
  std::uintmax_t iterations = iteration_limit;
  const auto bracket =
      boost::math::tools::toms748_solve([&](double x_v) { return excess(at(x_v)); }, from_v, to_v,
                                        boost::math::tools::eps_tolerance<double>(), iterations);
  require_converged(iterations);
  return at(bracket.first);
}

/// Where to look along the branch: even steps, and each corner that a load makes as it comes to its ceiling.
std::vector<double> Branch::places_v() const {
  std::vector<double> places_v;
  for (int step = 1; step < step_count; ++step)
    places_v.push_back(source_v_ * step / step_count);
  places_v.push_back(source_v_ * last_shortfall_ratio);
  for (const DefiniteLoad& load : loads_) {
    if (load.model != LoadModel::constant_power || std::isinf(load.current_ceiling_a)) continue;
    const double corner_v = source_v_ - load.current_a * nominal_v_ / load.current_ceiling_a;
    if (corner_v > 0.0 && corner_v < places_v.back()) places_v.insert(places_v.begin(), corner_v);
  }
  std::sort(places_v.begin(), places_v.end());
  return places_v;
}

Branch::Reached Branch::follow(const std::function<double(const Point&)>& excess) const {
  Point before = at(0.0);
  Point here = before;
  for (const double place_v : places_v()) {
    Point next = at(place_v);
    const bool has_turned = next.resistance_ohm < here.resistance_ohm;
    // The turn lies in the last step or the one before it, and may hide a passage in either.
    if (has_turned) next = turning_point(before.shortfall_v, next.shortfall_v);
    const Point& from = has_turned ? before : here;
    if (excess(next) >= 0.0) return {passage(excess, from.shortfall_v, next.shortfall_v), false};
    if (has_turned) return {next, true};
    before = here;
    here = next;
  }
  return {here, true};
}

}  // namespace ohmroot::supply::detail

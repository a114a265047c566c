// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/fall_of_potential.hpp>

#include <boost/math/tools/roots.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace ohmroot::electrode {

namespace {

using std::numbers::pi;

constexpr double golden = 0.6180339887498949;  // (sqrt(5) - 1) / 2
constexpr double half_turn_deg = 180.0;
constexpr double field_tolerance_ratio = 1e-3;

SurfacePlace along(const SurfacePlace& start, double direction_deg, double distance_m) {
  const double angle = direction_deg * pi / half_turn_deg;
  return {start.x_m + distance_m * std::cos(angle), start.y_m + distance_m * std::sin(angle)};
}

void require_valid(const TestLayout& layout) {
  require_finite("start.x_m", layout.start.x_m, "m");
  require_finite("start.y_m", layout.start.y_m, "m");
  require_finite("current_direction_deg", layout.current_direction_deg, "deg");
  require_finite("between_deg", layout.between_deg, "deg");
  require_within("current_distance_m", layout.current_distance_m, "m", {0.1, 1e5});
}

/// The electrode under test with what is joined to it first, then what is not, the current stake last.
std::vector<Electrode> electrodes_of(const Electrode& electrode, const std::vector<NearbyMetal>& nearby,
                                     const TestLayout& layout, const CurrentStake& stake) {
  require_valid(layout);
  std::vector<Electrode> electrodes{electrode};
  for (const NearbyMetal& near : nearby) {
    if (near.connection != Connection::joined) {
      electrodes.push_back(near.metal);
    } else {
      auto& all = electrodes.front().conductors;
      all.insert(all.end(), near.metal.conductors.begin(), near.metal.conductors.end());
    }
  }
  const auto [x, y] = along(layout.start, layout.current_direction_deg, layout.current_distance_m);
  const Conductor bar{{x, y, 0.0}, {x, y, stake.length_m}, stake.diameter_m / 2.0};
  electrodes.push_back({"current stake", {bar}});
  return electrodes;
}

FieldState test_state(const FieldSolution& field, const std::vector<NearbyMetal>& nearby) {
  std::vector<Duty> duties(field.electrode_count(), {DutyKind::floating, 0.0});
  std::size_t next = 1;
  for (const NearbyMetal& near : nearby) {
    if (near.connection == Connection::joined) continue;
    if (near.connection == Connection::earthed) duties[next] = {DutyKind::potential, 0.0};
    ++next;
  }
  duties.front() = {DutyKind::current, 1.0};
  duties.back() = {DutyKind::current, -1.0};
  return field.state(duties);
}

/// Root of a function between two ends of different sign.
template <class Function>
double root_of(Function function, double from, double to) {
  std::uintmax_t most_steps = 100;
  const auto [low, high] = boost::math::tools::toms748_solve(
      function, from, to, boost::math::tools::eps_tolerance<double>(40), most_steps);
  return 0.5 * (low + high);
}

/// Greatest horizontal distance of the electrode's metal from the start.
double extent_m(const Electrode& electrode, const SurfacePlace& start) {
  double greatest_m = 0.0;
  for (const Conductor& bar : electrode.conductors)
    for (const Place& end : {bar.from, bar.to})
      greatest_m = std::max({greatest_m, std::hypot(end.x_m - start.x_m, end.y_m - start.y_m), end.depth_m});
  return greatest_m;
}

/// The test with its current stake so far away that it does nothing to how the electrode leaks: both are solved alone, and
/// what one does to the other follows by reciprocity.
class FarStake {
public:
  FarStake(const earth::LayeredSoil& soil, const Electrode& electrode, const TestLayout& layout)
      : layout_(layout), electrode_(soil, electrode),
        stake_(soil, electrodes_of(electrode, {}, layout, {}).back()) {}

  /// Of the reading with the potential stake at 61.8 % of the distance.
  [[nodiscard]] double error_ratio(double distance_m) const {
    const double at_stake_v = electrode_.potential_v(place(distance_m));
    const double at_probe_v = electrode_.potential_v(place(golden * distance_m));
    const double by_stake_v =
        stake_.potential_v(place(layout_.current_distance_m - (1.0 - golden) * distance_m));
    return (by_stake_v - at_stake_v - at_probe_v) / electrode_.field.resistance_ohm(0, 0);
  }

private:
  /// One ampere into metal that is alone in the soil.
  struct Alone {
    Alone(const earth::LayeredSoil& soil, const Electrode& metal)
        : field(solve_field(soil, {metal},
                            {.tolerance_ratio = field_tolerance_ratio,
                             .place_tolerance_ratio = 2.0 * field_tolerance_ratio})),
          state(state_of(field, {0, 1.0})) {}
    [[nodiscard]] double potential_v(const SurfacePlace& at) const {
      const Place place{at.x_m, at.y_m, 0.0};
      return field.potentials_v(state, {&place, 1}).front();
    }
    FieldSolution field;
    FieldState state;
  };
  [[nodiscard]] SurfacePlace place(double distance_m) const {
    return along(layout_.start, layout_.current_direction_deg, distance_m);
  }

  TestLayout layout_;
  Alone electrode_;
  Alone stake_;
};

/// Reading of an electrode whose middle lies behind the start, less a constant: over rho / (2 pi D).
double reading_of_hidden_point(double middle_ratio, double position_ratio) {
  return -1.0 / (position_ratio + middle_ratio) + 1.0 / (1.0 - position_ratio);
}

double slope_of_hidden_point(double middle_ratio) {
  return slope_ratio({reading_of_hidden_point(middle_ratio, 0.2), reading_of_hidden_point(middle_ratio, 0.4),
                      reading_of_hidden_point(middle_ratio, 0.6)});
}

}  // namespace

FallOfPotential::FallOfPotential(const earth::LayeredSoil& soil, const Electrode& electrode,
                                 const std::vector<NearbyMetal>& nearby, const TestLayout& layout,
                                 const CurrentStake& stake)
    : field_(solve_field(
          soil, electrodes_of(electrode, nearby, layout, stake),
          {.tolerance_ratio = field_tolerance_ratio, .place_tolerance_ratio = 2.0 * field_tolerance_ratio})),
      state_(test_state(field_, nearby)), layout_(layout) {}

double FallOfPotential::resistance_ohm() const {
  return field_.resistance_ohm(0, 0);
}

double FallOfPotential::reading_ohm(double distance_m) const {
  require_not_negative("distance_m", distance_m, "m");
  const double direction_deg = layout_.current_direction_deg + layout_.between_deg;
  return touch_voltage_v(field_, state_, 0, along(layout_.start, direction_deg, distance_m));
}

std::vector<CurvePoint> FallOfPotential::curve(std::span<const double> distances_m) const {
  std::vector<CurvePoint> points;
  for (const double distance_m : distances_m)
    points.push_back({distance_m, reading_ohm(distance_m)});
  return points;
}

std::vector<double> FallOfPotential::correct_distances_m() const {
  constexpr int step_count = 400;
  const double step_m = 2.0 * layout_.current_distance_m / step_count;
  const auto excess_ohm = [this](double distance_m) { return reading_ohm(distance_m) - resistance_ohm(); };
  std::vector<double> distances_m;
  double before_ohm = excess_ohm(0.0);
  for (int i = 1; i <= step_count; ++i) {
    const double here_ohm = excess_ohm(i * step_m);
    if (before_ohm * here_ohm < 0.0 || here_ohm == 0.0)
      distances_m.push_back(here_ohm == 0.0 ? i * step_m : root_of(excess_ohm, (i - 1) * step_m, i * step_m));
    before_ohm = here_ohm;
  }
  return distances_m;
}

NeededDistance needed_current_distance(const earth::LayeredSoil& soil, const Electrode& electrode,
                                       const std::vector<NearbyMetal>& nearby, const TestLayout& layout,
                                       double greatest_error_ratio) {
  require_within("greatest_error_ratio", greatest_error_ratio, "1", {1e-4, 0.5});
  TestLayout tried = layout;
  tried.between_deg = 0.0;
  const auto error_at = [&](double distance_m) {
    tried.current_distance_m = distance_m;
    const FallOfPotential test(soil, electrode, nearby, tried);
    return test.reading_ohm(golden * distance_m) / test.resistance_ohm() - 1.0;
  };
  const double reach_m = extent_m(electrode, layout.start);
  const double least_m = std::max(1.05 * reach_m, 0.5);
  const double farthest_m = std::min(100.0 * least_m, 1e5);
  std::optional<FarStake> far_stake;
  if (nearby.empty()) {
    tried.current_distance_m = farthest_m;
    far_stake.emplace(soil, electrode, tried);
  }
  constexpr double far_ratio =
      8.0;  // beyond it what the stake does to the electrode is below 0.1 % of the reading
  const auto excess_ratio = [&](double distance_m) {
    const bool is_far = far_stake && distance_m > far_ratio * reach_m;
    return std::abs(is_far ? far_stake->error_ratio(distance_m) : error_at(distance_m)) -
           greatest_error_ratio;
  };
  double distance_m = farthest_m;
  if (excess_ratio(distance_m) > 0.0)
    throw DomainError("greatest_error_ratio", greatest_error_ratio, "1",
                      "one that is met with the current stake at 100 times the electrode's extent");
  constexpr double step_ratio = 1.25;
  constexpr int thousandth_bits = 10;
  while (distance_m > least_m) {
    const double nearer_m = std::max(distance_m / step_ratio, least_m);
    if (excess_ratio(nearer_m) > 0.0) {
      std::uintmax_t most_steps = 30;
      distance_m =
          boost::math::tools::toms748_solve(excess_ratio, nearer_m, distance_m,
                                            boost::math::tools::eps_tolerance<double>(thousandth_bits),
                                            most_steps)
              .second;  // the end on which the error is met
      break;
    }
    distance_m = nearer_m;
  }
  return {distance_m, error_at(distance_m)};
}

double small_electrode_error_ratio(double x) {
  if (!(x > 0.0 && x < 1.0)) throw DomainError("position_ratio", x, "1", "between 0 and 1");
  return -(1.0 + 1.0 / x - 1.0 / (1.0 - x));
}

double small_electrode_position_ratio() {
  return golden;
}

double equal_distance_angle_deg() {
  return 2.0 * std::asin(0.25) * half_turn_deg / pi;
}

double slope_ratio(const SlopeReadings& readings) {
  for (const double reading_ohm :
       {readings.at_20_percent_ohm, readings.at_40_percent_ohm, readings.at_60_percent_ohm})
    require_finite("reading", reading_ohm, "ohm");
  const double first_ohm = readings.at_40_percent_ohm - readings.at_20_percent_ohm;
  if (first_ohm == 0.0)
    throw DomainError("at_40_percent_ohm", readings.at_40_percent_ohm, "ohm",
                      "another reading than that at 20 %");
  return (readings.at_60_percent_ohm - readings.at_40_percent_ohm) / first_ohm;
}

double slope_position_ratio(double ratio) {
  require_within("slope_ratio", ratio, "1", {0.4, 1.59});
  // the slope grows from 4/7 with the middle behind the start, and falls below it with the middle before it
  const double middle_ratio =
      root_of([&](double middle) { return slope_of_hidden_point(middle) - ratio; }, -0.19, 10.0);
  return golden * (1.0 + middle_ratio) - middle_ratio;
}

}  // namespace ohmroot::electrode

// SPDX-License-Identifier: MIT
// Where the branch of the healthy state ends, by a walk of its own in very small steps along the curve of operating
// points, with the loads' laws and the slopes by differences: too slow for use, but no two turns fit between its steps
// that could matter to a voltage. Source: circuit theory, as open_pen.hpp states it.
#include "helpers.hpp"

#include <ohmroot/supply/open_pen.hpp>

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <complex>
#include <vector>

using namespace ohmroot::supply;

namespace {

using Complex = std::complex<double>;
using Place = Eigen::Vector3d;  // V / E, real and imaginary part, and the angle atan(R scale)

const double right_angle_rad = 0.5 * std::acos(-1.0);

class SmallSteps {
public:
  explicit SmallSteps(const OpenPenCircuit& circuit) : circuit_(circuit) {
    for (const DefiniteLoad& load : circuit.loads)
      scale_a_ += std::abs(current_a(load, circuit.source_v));
  }

  enum class End { turned, open, away };
  struct Walk {
    End end = End::away;
    std::vector<Place> places;
  };
  [[nodiscard]] Walk walk() const {
    constexpr double length = 2e-4;
    Walk walk;
    walk.places.push_back(Place::Zero());
    while (true) {
      const Place here = walk.places.back();
      const Place along = direction(here);
      Place next = here + length * along;
      for (int turn = 0; turn < 8; ++turn) {
        Eigen::Matrix3d rows;
        rows << gradients(next), along.transpose();
        const Eigen::Vector2d residual = residual_at(next);
        next -= rows.partialPivLu().solve(Place(residual[0], residual[1], along.dot(next - here) - length));
      }
      // A step that leaves its sphere, a load without voltage, a displacement beyond use: the walk says nothing there.
      if (!((next - here).norm() < 1.5 * length) || is_near_a_phase(next) || next.head<2>().norm() > 5.0)
        return walk;
      if (next[2] < here[2] || direction(next)[2] <= 0.0) {
        walk.end = End::turned;
        return walk;
      }
      if (next[2] >= right_angle_rad) {
        walk.end = End::open;
        return walk;
      }
      walk.places.push_back(next);
    }
  }

  [[nodiscard]] double displacement_v(const Place& place) const {
    return place.head<2>().norm() * circuit_.source_v;
  }
  [[nodiscard]] OpenPenState state_at(double angle_rad) const {
    OpenPenCircuit circuit = circuit_;
    circuit.earth_path_ohm = {std::tan(angle_rad) * circuit_.source_v / scale_a_};
    return open_pen_state(circuit);
  }

private:
  [[nodiscard]] double current_a(const DefiniteLoad& load, double across_v) const {
    if (load.model == LoadModel::constant_impedance) return load.current_a * across_v / circuit_.nominal_v;
    if (load.model == LoadModel::constant_current) return load.current_a;
    return std::copysign(
        std::min(std::abs(load.current_a) * circuit_.nominal_v / across_v, load.current_ceiling_a),
        load.current_a);
  }
  [[nodiscard]] Complex phase_v(int phase) const {
    return std::polar(circuit_.source_v, -4.0 / 3.0 * right_angle_rad * (phase - 1));
  }
  [[nodiscard]] bool is_near_a_phase(const Place& place) const {
    return std::any_of(circuit_.loads.begin(), circuit_.loads.end(), [&](const DefiniteLoad& load) {
      return std::abs(phase_v(load.phase) / circuit_.source_v - Complex{place[0], place[1]}) < 1e-3;
    });
  }
  [[nodiscard]] Eigen::Vector2d residual_at(const Place& place) const {
    Complex sum_a;
    for (const DefiniteLoad& load : circuit_.loads) {
      const Complex across_v = phase_v(load.phase) - circuit_.source_v * Complex{place[0], place[1]};
      const double angle_rad = std::acos(load.power_factor_ratio) * (load.is_leading ? 1.0 : -1.0);
      sum_a +=
          std::polar(1.0, angle_rad) * current_a(load, std::abs(across_v)) * across_v / std::abs(across_v);
    }
    const Complex residual =
        std::cos(place[2]) * Complex{place[0], place[1]} - std::sin(place[2]) * sum_a / scale_a_;
    return {residual.real(), residual.imag()};
  }
  [[nodiscard]] Eigen::Matrix<double, 2, 3> gradients(const Place& place) const {
    constexpr double apart = 1e-7;
    Eigen::Matrix<double, 2, 3> rows;
    for (int k = 0; k < 3; ++k)
      rows.col(k) =
          (residual_at(place + apart * Place::Unit(k)) - residual_at(place - apart * Place::Unit(k))) /
          (2.0 * apart);
    return rows;
  }
  [[nodiscard]] Place direction(const Place& place) const {
    const auto rows = gradients(place);
    const Place first = rows.row(0);
    const Place second = rows.row(1);
    return first.cross(second).normalized();
  }

  const OpenPenCircuit& circuit_;
  double scale_a_ = 0.0;
};

/// Everything that the walk knows, asked of the solver. Returns how it ended.
SmallSteps::End compare(const OpenPenCircuit& circuit) {
  const SmallSteps steps(circuit);
  const SmallSteps::Walk walk = steps.walk();
  const std::size_t last = walk.places.size() - 1;
  for (const double share : {0.2, 0.5, 0.8, 0.95, 0.999}) {
    const Place& place = walk.places[static_cast<std::size_t>(share * static_cast<double>(last))];
    if (place[2] == 0.0) continue;
    const OpenPenState state = steps.state_at(place[2]);
    CHECK(state.status == OpenPenStatus::solved);
    if (share < 0.99) CHECK(std::abs(state.met_v) == Approx(steps.displacement_v(place)).epsilon(0.01));
  }
  const double beyond_rad = walk.places.back()[2] + 1e-3;
  if (walk.end == SmallSteps::End::turned && beyond_rad < right_angle_rad)
    CHECK(steps.state_at(beyond_rad).status == OpenPenStatus::no_operating_point);
  return walk.end;
}

constexpr LoadModel power = LoadModel::constant_power;
constexpr LoadModel current = LoadModel::constant_current;

}  // namespace

TEST_CASE("two turns of the curve on the way to a ceiling end the branch at the first of them", "[supply]") {
  // Each was followed past its turn to the corner that a ceiling makes, 0.4 to 5 V higher.
  OpenPenCircuit three;
  three.source_v = 247.88;
  three.loads = {{1, 56.91782525, 0.9629781525, false, power},
                 {2, 56.63544933, 0.8368158267, false, power},
                 {3, 57.02304122, 0.8368158267, false, power, 66.45137076}};
  CHECK(compare(three) == SmallSteps::End::turned);
  OpenPenCircuit six;
  six.source_v = 241.131775478;
  six.loads = {{1, 56.14367971, 0.7251827218, true, power},
               {2, 56.16290146, 0.7251827218, true, power, 65.47319333},
               {3, 56.13986001, 0.7011221904, true, current},
               {1, 56.16548648, 0.8888413393, true, current},
               {2, 56.14703881, 0.7199661104, true, power},
               {3, 56.14372721, 0.7480393668, true, power, 123.0281536}};
  CHECK(compare(six) == SmallSteps::End::turned);
}

TEST_CASE("random loads lose their operating point where a walk in very small steps says so",
          "[supply][property]") {
  Draw draw(80);
  int turned_count = 0;
  for (int trial = 0; trial < 32; ++trial) {
    INFO("trial " << trial);
    const double base_a = draw.between(5.0, 80.0);
    const double spread = std::vector<double>{0.001, 0.01, 0.1, 1.0}[static_cast<std::size_t>(trial % 4)];
    const bool has_exports = trial % 8 == 7;
    OpenPenCircuit circuit;
    circuit.source_v = draw.between(207.0, 253.0);
    const int count = draw.chance(0.5) ? 3 : 6;
    for (int k = 0; k < count; ++k) {
      DefiniteLoad load;
      load.phase = k % 3 + 1;
      load.current_a = base_a * (1.0 + spread * draw.between(-0.5, 0.5));
      if (has_exports && draw.chance(0.3)) load.current_a *= -draw.between(0.0, 0.5);
      load.power_factor_ratio = draw.between(0.7, 1.0);
      load.model = draw.chance(0.7) ? power : static_cast<LoadModel>(draw.integer(0, 2));
      if (draw.chance(0.5)) load.current_ceiling_a = std::abs(load.current_a) * draw.between(1.0, 2.5);
      circuit.loads.push_back(load);
    }
    if (compare(circuit) == SmallSteps::End::turned) ++turned_count;
  }
  CHECK(turned_count > 12);
}

// SPDX-License-Identifier: MIT
// One constant power per phase, no ceilings, source earth 0: where the operating point is lost, by a derivation of its
// own, apart from the curve that the library follows.
//
// With z = V / E and s_k the conjugate of the load's admittance at nominal voltage, Kirchhoff's law is
// z = t conj(f(z)), f(z) = sum of s_k / (e_k - z), t the resistance in units of E^2 / U0. So h(z) = z f(z) = |z|^2 / t is
// real and above 0. At a fixed t a change of z is dz = t conj(f' dz) + ..., which has one answer while t |f'| < 1, that
// is |z^2 f'| < h. Up to there Re(z h') > 0, so |z| and h grow along the branch of the healthy state, and it is the root
// of h(z) = y that starts at 0: with e_k^3 = 1 the cubic (C + y) z^3 + B z^2 + A z = y. Where |z^2 f'| = y first, the
// branch ends. As f(z) = 0 has no root with f' = 0 but for loads in exact balance, every other such star has lost its
// operating point once nothing holds the neutral.
#include "helpers.hpp"

#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <cmath>
#include <complex>
#include <vector>

using namespace ohmroot::supply;

namespace {

using Complex = std::complex<double>;

class PowerStar {
public:
  explicit PowerStar(const OpenPenCircuit& circuit) : circuit_(circuit) {
    const double turn_rad = (circuit.is_sequence_reversed ? 2.0 : -2.0) * std::acos(-1.0) / 3.0;
    for (const DefiniteLoad& load : circuit.loads) {
      const double angle_rad = std::acos(load.power_factor_ratio) * (load.is_leading ? -1.0 : 1.0);
      const Complex direction = std::polar(1.0, turn_rad * (load.phase - 1));
      const Complex drawn_a = std::polar(load.current_a, angle_rad);
      phase_.push_back({direction, drawn_a});
      cubic_[0] += drawn_a * std::conj(direction);
      cubic_[1] += drawn_a * direction;
      cubic_[2] += drawn_a;
    }
  }

  struct Place {
    double size_v = 0.0;
    double resistance_ohm = 0.0;
  };
  /// The last place of the branch before the MET passes the limit, and whether it ends there.
  struct End {
    Place place;
    bool is_lost = false;
  };
  [[nodiscard]] End walk(double limit_v) const {
    // h' is A at the healthy state: these steps move z by 0.002 there.
    double step = 0.002 * std::abs(cubic_[0]);
    const double finest = 1e-10 * step;
    double y = 0.0;
    Complex z;
    End end;
    while (step > finest) {
      const Complex next = root(z, y + step);
      const double derivative = std::abs(next * next * slope(next));
      const bool is_lost = !(derivative < y + step) || std::abs(next - z) > 0.01;
      if (is_lost || std::abs(next) * circuit_.source_v > limit_v) {
        end.is_lost = is_lost;
        step *= 0.5;
        continue;
      }
      z = next;
      y += step;
    }
    end.place.size_v = std::abs(z) * circuit_.source_v;
    end.place.resistance_ohm = std::norm(z) / y * circuit_.source_v * circuit_.source_v / circuit_.nominal_v;
    return end;
  }

private:
  struct Phase {
    Complex direction;
    Complex drawn_a;
  };
  [[nodiscard]] Complex slope(Complex z) const {
    Complex sum;
    for (const Phase& phase : phase_)
      sum += phase.drawn_a / ((phase.direction - z) * (phase.direction - z));
    return sum;
  }
  [[nodiscard]] Complex root(Complex z, double y) const {
    const auto [a, b, c] = cubic_;
    for (int turn = 0; turn < 20; ++turn) {
      const Complex value = ((c + y) * z + b) * z * z + a * z - y;
      z -= value / ((3.0 * (c + y) * z + 2.0 * b) * z + a);
    }
    return z;
  }

  const OpenPenCircuit& circuit_;
  std::vector<Phase> phase_;
  std::array<Complex, 3> cubic_;  // A, B, C
};

OpenPenCircuit power_star(std::array<double, 3> current_a) {
  OpenPenCircuit circuit;
  circuit.source_v = 253.0;
  for (int phase = 1; phase <= 3; ++phase)
    circuit.loads.push_back(
        {phase, current_a[static_cast<std::size_t>(phase - 1)], 1.0, false, LoadModel::constant_power});
  return circuit;
}

OpenPenStatus status_with(OpenPenCircuit circuit, double resistance_ohm) {
  circuit.earth_path_ohm = {resistance_ohm};
  return open_pen_state(circuit).status;
}

/// The same loads as a question without intervals.
RequirementQuestion question_of(const OpenPenCircuit& circuit) {
  RequirementQuestion question;
  question.supply.phase_count = 3;
  question.supply.is_sequence_reversed = circuit.is_sequence_reversed;
  question.supply.lowest_v = question.supply.highest_v = circuit.source_v;
  for (const DefiniteLoad& load : circuit.loads) {
    Load fixed;
    fixed.phase = load.phase;
    fixed.least_current_a = fixed.greatest_current_a = load.current_a;
    fixed.power_factor_ratio = load.power_factor_ratio;
    fixed.is_leading = load.is_leading;
    fixed.stated_model = LoadModel::constant_power;
    question.loads.push_back(fixed);
  }
  return question;
}

}  // namespace

TEST_CASE("constant powers close to balance lose their operating point where the cubic says so",
          "[supply][property]") {
  Draw draw(51);
  int lost_count = 0;
  for (int trial = 0; trial < 400; ++trial) {
    INFO("trial " << trial);
    const double spread = draw.log_between(0.001, 1.0);
    const double base_a = draw.log_between(5.0, 50.0);
    OpenPenCircuit circuit = power_star({});
    circuit.is_sequence_reversed = draw.chance(0.5);
    for (DefiniteLoad& load : circuit.loads) {
      load.current_a = base_a * (1.0 + spread * draw.between(0.0, 1.0));
      if (trial % 2 == 0) continue;
      load.power_factor_ratio = 1.0 - 0.3 * spread * draw.between(0.0, 1.0);
      load.is_leading = draw.chance(0.3);
    }
    const PowerStar::End end = PowerStar(circuit).walk(70.0);
    CHECK(status_with(circuit, end.place.resistance_ohm * (1.0 - 1e-6)) == OpenPenStatus::solved);
    CHECK(open_pen_state(circuit).status == OpenPenStatus::no_operating_point);
    if (end.is_lost) {
      ++lost_count;
      for (const double ratio : {1.0 + 1e-6, 1.01, 1.5, 4.0, 100.0})
        CHECK(status_with(circuit, end.place.resistance_ohm * ratio) == OpenPenStatus::no_operating_point);
    }
    const Requirement requirement = requirements(question_of(circuit)).front();
    REQUIRE(requirement.outcome == RequirementOutcome::limited);
    CHECK(requirement.resistance_ohm == Approx(end.place.resistance_ohm).epsilon(1e-6));
  }
  CHECK(lost_count > 50);
}

TEST_CASE("constant powers in exact balance keep the MET at rest; two that are equal end where they part",
          "[supply]") {
  const OpenPenState balanced = open_pen_state(power_star({20.0, 20.0, 20.0}));
  CHECK(balanced.status == OpenPenStatus::solved);
  CHECK(std::abs(balanced.met_v) < 1e-9);
  // On the line of symmetry the curve could be drawn on, but the least difference between the equal two turns it back:
  // the branch ends where theirs does.
  const OpenPenCircuit unequal = power_star({20.0, 22.0 * (1.0 + 1e-6), 22.0});
  const double end_ohm = PowerStar(unequal).walk(70.0).place.resistance_ohm;
  for (const double second_a : {22.0, 22.0 * (1.0 + 1e-9)}) {
    const OpenPenCircuit circuit = power_star({20.0, second_a, 22.0});
    CHECK(status_with(circuit, end_ohm * 0.999) == OpenPenStatus::solved);
    for (const double ratio : {1.001, 1.1, 2.0, 1e6})
      CHECK(status_with(circuit, end_ohm * ratio) == OpenPenStatus::no_operating_point);
  }
}

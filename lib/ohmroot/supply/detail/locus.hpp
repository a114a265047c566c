// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/detail/circuit.hpp>

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::supply::detail {

/// Operating points of loads of any model on any phases, drawing or exporting, as the resistance that holds
/// the floating neutral to the star point is raised from zero (PEN whole) to infinity (nothing holds it).
/// With V from star point to neutral, V = R (sum of I(E - V) - h), h a current drawn from the neutral
/// elsewhere. The curve is followed in the space of V and the angle a = atan(R Y), Y the size of the loads,
/// by predictor and Newton corrector along its own length, so that it is also followed into a turn.
class Locus {
public:
  /// Some current must flow: a load, or what is drawn elsewhere.
  Locus(const OpenPenCircuit& circuit, Phasor drawn_elsewhere_a = {});

  struct Point {
    Phasor displacement_v;        ///< star point to neutral
    double angle_rad = 0.0;       ///< pi/2: nothing holds the neutral
    double resistance_ohm = 0.0;  ///< infinite at pi/2
    Phasor current_a;             ///< sum of I(E - V) - h
  };

  enum class End {
    reached,  ///< excess passed zero here
    open,     ///< came to an infinite resistance without it
    turned,   ///< a larger resistance has no next point
    lost      ///< the voltage across a load goes to nothing, or the displacement beyond any use
  };
  struct Reached {
    Point point;
    End end = End::reached;
  };

  /// First point, coming from the healthy state, at which excess passes zero; excess must be below zero
  /// there. Two passages within one step (a tenth of E at most) are taken as none.
  [[nodiscard]] Reached follow(const std::function<double(const Point&)>& excess) const;

  /// The point at a given resistance (infinite allowed) on the branch of the healthy state.
  [[nodiscard]] Reached follow_to(double resistance_ohm) const;

  /// All operating points found at a resistance, on whatever branch: Newton from many starts; not a proof
  /// that there are no more. Sorted by the size of the displacement.
  [[nodiscard]] std::vector<Phasor> all_at(double resistance_ohm) const;

private:
  struct Law {
    Phasor source_v;
    DefiniteLoad load;
    Phasor direction;
  };
  /// Current of all loads and its change with the real and the imaginary part of V.
  struct Drawn {
    Phasor current_a;
    Phasor along_real_s;
    Phasor along_imag_s;
    bool is_defined = true;
  };
  [[nodiscard]] Drawn drawn_at(Phasor displacement_v) const;
  [[nodiscard]] double angle_of(double resistance_ohm) const;
  /// Whether a load is at its ceiling at one of two displacements and not at the other.
  [[nodiscard]] bool comes_to_ceiling(Phasor from_v, Phasor to_v) const;
  [[nodiscard]] Point point_at(const double (&x)[3]) const;
  [[nodiscard]] Reached follow_curve(const std::function<double(const Point&)>& excess) const;
  [[nodiscard]] std::optional<Point> limit_at_open(const Point& near) const;
  [[nodiscard]] bool settle(Phasor& displacement_v, double angle_rad) const;
  [[nodiscard]] bool settle_nearest(Phasor& displacement_v, double angle_rad) const;
  [[nodiscard]] bool is_alone(Phasor displacement_v, double angle_rad) const;

  struct Step;
  double source_v_;
  double nominal_v_;
  double scale_a_ = 0.0;  // sum of the loads' magnitudes at the source voltage
  Phasor drawn_elsewhere_a_;
  std::vector<Law> laws_;
};

/// Why there is no operating point beyond the end of a locus.
[[nodiscard]] std::string end_sentence(const OpenPenCircuit& circuit, const Locus::Point& point,
                                       Locus::End end);

}  // namespace ohmroot::supply::detail

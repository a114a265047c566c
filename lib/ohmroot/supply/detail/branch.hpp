// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/detail/circuit.hpp>

#include <functional>
#include <vector>

namespace ohmroot::supply::detail {

/// Whether all are constant impedances (also if there are none).
[[nodiscard]] bool is_linear(const std::vector<DefiniteLoad>& loads);

/// Whether they are a case for Branch: on one phase, none exporting.
[[nodiscard]] bool is_one_branch(const std::vector<DefiniteLoad>& loads);

/// Operating points of loads of any model on one phase, as the resistance between MET and star point is
/// raised from zero. The voltage u across the loads runs down from the source voltage E; given |u| the total
/// current I is known in u's frame, and |u + R I| = E names the one resistance R that belongs to it. So the
/// branch is a curve over one real unknown, the shortfall E - |u|, and no equation is solved to draw it.
class Branch {
public:
  struct Point {
    double shortfall_v = 0.0;     ///< E - |u|
    double load_v = 0.0;          ///< |u|
    Phasor current_a;             ///< all loads together, seen from u
    double current_size_a = 0.0;  ///< its magnitude
    double displacement_v = 0.0;  ///< magnitude of the voltage from star point to neutral, R |I|
    double resistance_ohm = 0.0;  ///< R: earth paths and source earth in series
  };

  /// The loads: on one phase, at least one, none exporting.
  Branch(const OpenPenCircuit& circuit, std::vector<DefiniteLoad> loads);

  [[nodiscard]] Point at(double shortfall_v) const;

  struct Reached {
    Point point;
    bool is_end = false;  ///< the branch ends here, without excess: a larger resistance has no next point
  };
  /// First point, coming from the healthy state, at which excess passes zero. excess must be below zero at
  /// the healthy state. Walked in steps of 1/200 of E: two passages within one step are taken as none.
  [[nodiscard]] Reached follow(const std::function<double(const Point&)>& excess) const;

private:
  [[nodiscard]] std::vector<double> places_v() const;
  [[nodiscard]] Point turning_point(double from_v, double to_v) const;
  [[nodiscard]] Point passage(const std::function<double(const Point&)>& excess, double from_v,
                              double to_v) const;

  double source_v_;
  double nominal_v_;
  std::vector<DefiniteLoad> loads_;
};

}  // namespace ohmroot::supply::detail

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/study/result.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::study::detail {

/// Metal in one layer, by the mean of its share of the electrode's current.
struct LeakingPiece {
  std::string name;
  double radius_m;
  double share_per_m;  ///< of the electrode's current, per metre
  double resistivity_ohm_m;
};
/// An electrode held at a voltage.
struct HeldMetal {
  double voltage_v;
  std::string voltage_basis;
  double resistance_ohm;
  double least_resistivity_ohm_m;    ///< of all layers
  std::vector<LeakingPiece> pieces;  ///< at least one
};
/// How warm it gets, and when.
[[nodiscard]] HeatingResult heating_of(const HeldMetal& held, const SoilWarmth& warmth);

/// The governing candidate with the PEN open, over time; result holds its field solution and its leakage curve.
[[nodiscard]] HeatingResult heating_of(const StudyResult& result, const electrode::Shape& shape);

}  // namespace ohmroot::study::detail

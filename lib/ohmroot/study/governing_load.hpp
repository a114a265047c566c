// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site.hpp>
#include <ohmroot/supply/open_pen.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <string>
#include <vector>

namespace ohmroot::study {

/// The load at which the constant-impedance requirement binds: the worst corner of the load intervals and of
/// the voltage range, not the greatest load. Tables and figures show the circuit there.
struct GoverningLoad {
  supply::OpenPenCircuit circuit;  ///< loads and source; no earth path yet
  std::string description;  ///< "house 40 A, charge point 32 A; constant impedance; 253 V at the source"
};
[[nodiscard]] GoverningLoad governing_load(const Site& site,
                                           const std::vector<supply::Requirement>& requirements);

}  // namespace ohmroot::study

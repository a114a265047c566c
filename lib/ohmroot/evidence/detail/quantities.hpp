// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/evidence/check.hpp>
#include <ohmroot/evidence/detail/given.hpp>

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::evidence::detail {

/// One quantity that a row can ask for: what it takes and how it is computed.
struct Quantity {
  std::string name;
  std::string unit;
  std::string takes;  ///< keys of 'given', separated by ", ", optional ones with a question mark
  Comparison comparison = Comparison::equal;
  std::function<text::Value(const Given&)> compute;
};

struct TakenKey {
  std::string name;
  bool is_optional;
};
[[nodiscard]] std::vector<TakenKey> taken_keys(const Quantity& quantity);

/// What each room offers.
[[nodiscard]] std::vector<Quantity> earth_quantities();
[[nodiscard]] std::vector<Quantity> electrode_quantities();
[[nodiscard]] std::vector<Quantity> field_quantities();    ///< of electrode: bars by the field solution
[[nodiscard]] std::vector<Quantity> mesh_quantities();     ///< of electrode: published formulas of meshes
[[nodiscard]] std::vector<Quantity> surface_quantities();  ///< of electrode: plates, blocks, readings
[[nodiscard]] std::vector<Quantity> heating_quantities();  ///< of electrode: heat and short-time current
[[nodiscard]] std::vector<Quantity> sounding_quantities();
[[nodiscard]] std::vector<Quantity> supply_quantities();
[[nodiscard]] std::vector<Quantity> routes_quantities();

/// All of them.
[[nodiscard]] const std::vector<Quantity>& quantities();

/// The quantity of that name, or nullptr.
[[nodiscard]] const Quantity* find_quantity(std::string_view name);

}  // namespace ohmroot::evidence::detail

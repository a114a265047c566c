// SPDX-License-Identifier: MIT
#include <ohmroot/evidence/detail/quantities.hpp>

#include <algorithm>
#include <iterator>

namespace ohmroot::evidence::detail {

std::vector<TakenKey> taken_keys(const Quantity& quantity) {
  std::vector<TakenKey> keys;
  std::string_view rest = quantity.takes;
  while (!rest.empty()) {
    const std::size_t end = rest.find(", ");
    std::string_view key = rest.substr(0, end);
    rest = end == std::string_view::npos ? std::string_view{} : rest.substr(end + 2);
    const bool is_optional = key.back() == '?';
    key.remove_suffix(is_optional ? 1 : 0);
    keys.push_back({std::string(key), is_optional});
  }
  return keys;
}

const std::vector<Quantity>& quantities() {
  static const std::vector<Quantity> all = [] {
    std::vector<Quantity> result;
    for (auto offer :
         {earth_quantities, electrode_quantities, field_quantities, mesh_quantities, surface_quantities,
          heating_quantities, sounding_quantities, supply_quantities, routes_quantities}) {
      std::vector<Quantity> offered = offer();
      std::move(offered.begin(), offered.end(), std::back_inserter(result));
    }
    return result;
  }();
  return all;
}

const Quantity* find_quantity(std::string_view name) {
  const std::vector<Quantity>& all = quantities();
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const Quantity& quantity) { return quantity.name == name; });
  return found == all.end() ? nullptr : &*found;
}

}  // namespace ohmroot::evidence::detail

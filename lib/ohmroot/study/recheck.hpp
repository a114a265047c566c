// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site.hpp>
#include <ohmroot/supply/requirement.hpp>

#include <optional>
#include <string>

namespace ohmroot::study {

/// A load that comes to a site after its study.
struct AddedLoad {
  double greatest_current_a = 0.0;          ///< at the nominal voltage, above 0; it may also be off
  std::optional<int> phase = std::nullopt;  ///< none: the phase on which it asks for most
  std::optional<supply::LoadModel> model = std::nullopt;  ///< none: all three apply
  std::string model_basis = {};                           ///< why the stated model holds
};

/// The site with the load on it, ready to be assessed.
struct ChangedSite {
  Site site;
  int phase = 1;                 ///< where the load was put
  bool is_phase_chosen = false;  ///< by its requirement, as it was not stated
};

/// Adds the load; without a phase on the one where the strictest requirement becomes least. Throws DomainError for a
/// current that is not positive, a phase that the supply has not, or a model without its basis.
[[nodiscard]] ChangedSite with_added_load(const Site& site, const AddedLoad& added);

/// Greatest current of such a load at which the strictest requirement of the own service still lies above a
/// resistance to earth; searched up to 1000 A in steps that end below 0.1 A. Nothing if even no load does, or the
/// requirement cannot be decided. With generation on site a smaller load may ask for more: the least current that fails
/// ends the search from below.
struct LoadRoom {
  std::optional<double> greatest_current_a;  ///< of the added load; none: there is no room at all
  bool is_endless = false;                   ///< holds up to the end of the search
};
[[nodiscard]] LoadRoom room_for_load(const Site& site, const AddedLoad& added, double to_earth_ohm);

}  // namespace ohmroot::study

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/electrode/surface_map.hpp>
#include <ohmroot/routes/bridging.hpp>
#include <ohmroot/routes/methods.hpp>
#include <ohmroot/routes/places.hpp>
#include <ohmroot/routes/register.hpp>
#include <ohmroot/routes/route_price.hpp>

#include <optional>
#include <string>
#include <vector>

namespace ohmroot::study {

/// Probe of a device that measures the MET against true earth.
struct StatedProbe {
  electrode::SurfacePlace at;
  electrode::Rod rod;
  std::optional<double> input_impedance_ohm;  ///< of the device
  std::optional<double> acts_at_v;            ///< voltage shown at which it disconnects
};

/// The conductor from the MET to the electrode, as it is to be laid.
struct StatedConductor {
  double section_m2 = 0.0;  ///< copper
  double neutral_m2 = 0.0;  ///< of the supply, copper equivalent
  bool is_sheathed = false;
  bool is_mechanically_protected = false;
};

/// What the designer decides on a method.
struct RouteDecision {
  routes::Method method;
  bool is_accepted = false;
  std::string reason;
};

/// What tells of the permitted methods besides soil, electrode and loads.
struct RouteFacts {
  routes::PlaceAnswers places{};
  routes::BridgeAnswers bridging{};
  std::string bridging_checked_on;  ///< date
  routes::RegisterAnswers clauses{};
  std::string licensed_copy;  ///< which copy the clauses were looked up in
  std::optional<StatedProbe> probe;
  std::optional<StatedConductor> conductor;
  std::optional<double> transformer_a;    ///< rated output current of an isolating transformer
  std::string distributor_on_separation;  ///< what the distributor asks for, with its date
  std::optional<routes::PriceList> prices;
  std::vector<RouteDecision> decisions;
};

}  // namespace ohmroot::study

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/electrode/surface_map.hpp>
#include <ohmroot/routes/bridging.hpp>
#include <ohmroot/routes/conductors.hpp>
#include <ohmroot/routes/methods.hpp>
#include <ohmroot/routes/places.hpp>
#include <ohmroot/routes/register.hpp>
#include <ohmroot/routes/route_price.hpp>

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
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
  std::optional<double> rated_current_a;  ///< continuous, where and as it is laid
  std::optional<routes::FaultDuty> fault;
};

/// Two residual current devices in line on the TT side.
struct StatedDevices {
  double upstream_a = 0.0;
  bool is_upstream_delayed = false;
  double downstream_a = 0.03;
};

/// What the designer decides on a method.
struct RouteDecision {
  routes::Method method;
  bool is_accepted = false;
  std::string reason;
};

/// What has to be answered with yes before anybody digs or drives.
struct Permission {
  std::string_view key;  ///< in the site file
  std::string_view question;
};
inline constexpr std::array<Permission, 4> permissions{
    {{"services_searched",
      "Are buried services searched for under every rod and trench, by plans and by locator?"},
     {"ground_clean", "Is the ground known not to be contaminated, or released for driving?"},
     {"archaeology_cleared", "Is the place free of archaeological protection, or released?"},
     {"overhead_clear", "Is there clearance to overhead lines for rods and machine?"}}};

/// What tells of the permitted methods besides soil, electrode and loads.
struct RouteFacts {
  routes::PlaceAnswers places{};
  routes::BridgeAnswers bridging{};
  std::string bridging_checked_on;  ///< date
  routes::RegisterAnswers clauses{};
  std::string licensed_copy;  ///< which copy the clauses were looked up in
  std::optional<StatedProbe> probe;
  std::optional<StatedConductor> conductor;
  std::optional<StatedDevices> devices;
  std::optional<double> transformer_a;    ///< rated output current of an isolating transformer
  std::string distributor_on_separation;  ///< what the distributor asks for, with its date
  std::optional<routes::PriceList> prices;
  std::vector<RouteDecision> decisions;
  std::array<routes::Answer, permissions.size()> permitted{};

  /// Questions not answered with yes: while there is one, nobody digs.
  [[nodiscard]] std::vector<std::string> open_permissions() const {
    std::vector<std::string> open;
    for (std::size_t i = 0; i < permissions.size(); ++i) {
      if (permitted.at(i) != routes::Answer::yes) open.emplace_back(permissions.at(i).question);
    }
    return open;
  }
};

}  // namespace ohmroot::study

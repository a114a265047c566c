// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/routes/answer.hpp>
#include <ohmroot/routes/methods.hpp>

#include <array>
#include <span>
#include <string_view>
#include <vector>

namespace ohmroot::routes {

/// Kinds of place that stop a job or change it.
enum class Place {
  flats_or_car_park,
  street_furniture,
  farm_or_livestock,
  construction_site,
  caravan_site,
  boat_mooring,
  fuel_station,
  swimming_pool,
  high_voltage_substation,
  dc_traction,
  cathodic_protection,
  lightning_protection,
  dissimilar_metals,
  island_generation,
};
inline constexpr std::size_t place_count = 14;

/// What a place does to a method.
struct PlaceEffect {
  Method method;
  Support
      greatest_support;  ///< contradicts: the method falls away; does_not_tell: it cannot be settled from here
};

struct PlaceRule {
  Place place;
  std::string_view key;       ///< in the site file
  std::string_view question;  ///< answered yes, no or not known
  std::string_view sentence;  ///< what it means, if yes
  std::string_view provenance;
  std::vector<PlaceEffect> effects;
  bool is_lifted_by_low_limit = false;  ///< the effects fall away where the limit in question is 25 V or less
};

/// All of them, in the order of Place. Sources: each in its provenance; none was checked against a licensed text.
[[nodiscard]] const std::vector<PlaceRule>& place_rules();

/// At or below it the effects that a low limit lifts fall away. [V]
inline constexpr double low_limit_v = 25.0;

/// Answers by Place.
using PlaceAnswers = std::array<Answer, place_count>;

/// Limits that the methods are judged by.
struct TouchLimits {
  double met_v = 70.0;
  double tt_v = 50.0;
};

/// Lowers the support of each method that a place with the answer yes speaks against, and adds its sentence to the
/// finding. Other answers change nothing: what is open is asked for in the record, never guessed.
void apply_places(const PlaceAnswers& answers, const TouchLimits& limits, std::vector<MethodRecord>& records);

}  // namespace ohmroot::routes

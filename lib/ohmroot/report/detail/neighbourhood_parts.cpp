// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/detail/neighbourhood_parts.hpp>
#include <ohmroot/report/detail/words.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/report/signs.hpp>

#include <fmt/format.h>

namespace ohmroot::report::detail {
void write_nearby(Html& html, const study::StudyResult& result) {
  if (!result.nearby) return;
  const study::NearbyFinding& nearby = *result.nearby;
  const Section section(html, "nearby", "Metal in the ground near the electrode");
  if (!nearby.refusal.empty()) {
    html.element("p", "Not computed: " + nearby.refusal + ".");
    return;
  }
  html.element("p", sentence(nearby.finding));
  Rows rows{{"electrode itself", "-", percent(1.0), percent(nearby.electrode_current_share_ratio)}};
  for (const electrode::NearbyEffect& effect : nearby.effects)
    rows.push_back({effect.name, std::string(electrode::connection_name(effect.connection)),
                    percent(effect.potential_share_ratio), percent(effect.current_share_ratio)});
  write_table(html, "With the electrode fed, in its middle soil; below 0: current that is taken up",
              {{"Metal", CellKind::words},
               {"Connection", CellKind::words},
               {"Potential, of the electrode's", CellKind::number},
               {"Current, of all that is fed", CellKind::number}},
              rows);
}

std::string vehicle_touch_words(const study::VehicleTouch& touch, double met_v) {
  if (!touch.refusal.empty()) return "Touch voltage at the vehicle is not computed: " + touch.refusal + ".";
  const std::string share = percent(touch.share_ratio) + " of the MET's potential to true earth";
  return fmt::format(
      "Touch voltage at a vehicle joined to the MET, feet {} from the parking rectangle: at most {}{}, at x "
      "= {}, y = {} "
      "of the plan.",
      as_given(touch.feet_reach_m, Dimension::length), share,
      met_v > 0.0 ? " (" + format_quantity(touch.share_ratio * met_v, Dimension::voltage) + ")" : "",
      format_quantity(touch.feet.x_m, Dimension::length), format_quantity(touch.feet.y_m, Dimension::length));
}

text::Value nearby_document(const study::NearbyFinding& nearby) {
  text::Value document;
  if (!nearby.refusal.empty()) {
    document.set("refusal", nearby.refusal);
    return document;
  }
  document.set("alone_ohm", estimate_document(nearby.alone_ohm, "ohm"));
  document.set("together_ohm", estimate_document(nearby.together_ohm, "ohm"));
  document.set("electrode_current_share_ratio", nearby.electrode_current_share_ratio);
  document.set("effects", documents(nearby.effects, [](const electrode::NearbyEffect& effect) {
                 text::Value one;
                 one.set("name", effect.name);
                 one.set("connection", electrode::connection_name(effect.connection));
                 one.set("potential_share_ratio", effect.potential_share_ratio);
                 one.set("current_share_ratio", effect.current_share_ratio);
                 return one;
               }));
  document.set("stake_distance_m", nearby.stake_distance_m);
  document.set("test_error_ratio", nearby.test_error_ratio);
  document.set("test_against_alone_ratio", nearby.test_against_alone_ratio);
  document.set("finding", nearby.finding);
  return document;
}

text::Value vehicle_touch_document(const study::VehicleTouch& touch) {
  text::Value document;
  document.set("feet_reach_m", touch.feet_reach_m);
  if (!touch.refusal.empty()) {
    document.set("refusal", touch.refusal);
    return document;
  }
  document.set("share_ratio", touch.share_ratio);
  document.set("feet_m", numbers({touch.feet.x_m, touch.feet.y_m}));
  return document;
}

}  // namespace ohmroot::report::detail

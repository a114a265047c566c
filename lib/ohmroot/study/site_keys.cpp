// SPDX-License-Identifier: MIT
#include <ohmroot/design/parts.hpp>
#include <ohmroot/study/detail/ground_events.hpp>
#include <ohmroot/study/detail/route_keys.hpp>
#include <ohmroot/study/detail/site_keys.hpp>
#include <ohmroot/study/site_file.hpp>

#include <fmt/format.h>

namespace ohmroot::study {

using namespace detail;

std::string site_file_keys() {
  struct Chapter {
    std::string_view heading;
    std::span<const KeySpec> keys;
  };
  const std::array<Chapter, 40> chapters{
      {{"top of the file", site_keys},
       {"[rules]", rules_keys},
       {"[soil]  (one source: files, readings, layers, rod or word)", soil_keys},
       {"[[soil.readings]]", reading_keys},
       {"[[soil.skipped_rows]]", skipped_keys},
       {"[[soil.layers]]", layer_keys},
       {"[soil.rod]", rod_reading_keys},
       {"[[soil.rods]]", driven_rod_keys},
       {"[season]", season_keys},
       {"[measured_electrode]", measured_keys},
       {"[land]", land_keys},
       {"[supply]", supply_keys},
       {"[[loads]]", load_keys},
       {"[[earth_paths]]", path_keys},
       {"[limits]", limit_keys},
       {"[break]", break_keys},
       {"[street]", street_keys},
       {"[[candidates]]", candidate_keys},
       {"[[pme_metal]]", pme_metal_keys},
       {"[[nearby_metal]]", nearby_metal_keys},
       {"[[metal_above]]", metal_above_keys},
       {"[parking]", parking_keys},
       {"[tt_electrode]", tt_electrode_keys},
       {"[places]", place_keys()},
       {"[bridging]  (yes: checked and clear)", bridging_keys()},
       {"[register]", register_keys()},
       {"[probe]", probe_keys()},
       {"[conductor]", conductor_keys()},
       {"[permissions]", permission_keys()},
       {"[rcd]", device_keys()},
       {"[isolating_transformer]", transformer_keys()},
       {"[route_prices]", route_price_keys()},
       {"[[route_prices.items]]", route_price_item_keys()},
       {"[[route_decisions]]", decision_keys()},
       {"[design]", design_keys},
       {"[[design.keep_out]]", keep_out_keys},
       {"[design.parts]", design::part_keys()},
       {"[design.parts.steel]", design::steel_keys()},
       {"[design.prices]", design::price_keys()},
       {"[design.ground]", ground_event_keys()}}};
  std::string text;
  for (const Chapter& chapter : chapters)
    text += fmt::format("{}\n{}\n", chapter.heading, describe(chapter.keys));
  return text;
}

}  // namespace ohmroot::study

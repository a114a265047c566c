// SPDX-License-Identifier: MIT
#include <ohmroot/routes/register.hpp>

namespace ohmroot::routes {

const std::array<RegisterEntry, register_count>& clause_register() {
  constexpr std::string_view second_hand = "quoted second-hand";
  constexpr std::string_view memory = "from memory";
  static constexpr std::array<RegisterEntry, register_count> entries{{
      {"methods_for_charging_on_pme", "BS 7671 722.411.4.1",
       "which methods are permitted outdoors on PME, and their letters", second_hand},
      {"limit_of_the_met", "BS 7671 722.411.4.1 and its annex", "70 V as the limit of the MET to true earth",
       second_hand},
      {"first_method_withdrawn", "the edition designed to",
       "whether the method by three-phase load still stands", "sources disagree"},
      {"device_window", "BS 7671 722.411.4.1, line-to-neutral device",
       "207 V to 253 V, disconnection within 5 s", second_hand},
      {"electrical_separation", "BS 7671 722.413.1.2",
       "a fixed isolating transformer, one charge point to each source", second_hand},
      {"tt_condition", "BS 7671 411.5.3", "R_A times I_dn not above 50 V", second_hand},
      {"tt_stability", "BS 7671 Table 41.5, its note", "above 200 ohm an electrode may not be stable",
       second_hand},
      {"disconnection_times", "BS 7671 Table 41.1",
       "0.2 s for final circuits on TT at 230 V, 1 s for distribution", second_hand},
      {"rcd_of_the_charge_point", "BS 7671 722.531.3",
       "30 mA to each point, type B or type A with 6 mA d.c. detection", memory},
      {"earthing_conductor_sizes", "BS 7671 Table 54.1", "least cross-sections of buried earthing conductors",
       memory},
      {"pme_bonding_sizes", "BS 7671 Table 54.8",
       "main bonding by the copper equivalent of the supply's neutral", second_hand},
      {"arms_reach", "BS 7671 part 2", "2.5 m from where a person, or the vehicle, can be", second_hand},
  }};
  return entries;
}

}  // namespace ohmroot::routes

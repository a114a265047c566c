// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/evidence/check.hpp>
#include <ohmroot/evidence/detail/given.hpp>

namespace ohmroot::evidence::detail {

inline constexpr Word<Provenance> provenance_words[] = {
    {"published", Provenance::published},     {"second_hand", Provenance::second_hand},
    {"from_memory", Provenance::from_memory}, {"common_practice", Provenance::common_practice},
    {"independent", Provenance::independent}, {"same_formula", Provenance::same_formula},
};

inline constexpr Word<Standing> standing_words[] = {
    {"agrees", Standing::agrees},
    {"disagrees", Standing::disagrees},
    {"not_yet_run", Standing::not_yet_run},
};

}  // namespace ohmroot::evidence::detail

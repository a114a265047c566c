// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/soils.hpp>
#include <ohmroot/study/site.hpp>
#include <ohmroot/text/fields.hpp>

#include <cstdint>
#include <random>
#include <span>
#include <string>
#include <vector>

namespace ohmroot::study::detail {

/// The keys of [design.ground], and their reader; parts bound what may be lost and where rods may stop.
[[nodiscard]] std::span<const text::KeySpec> ground_event_keys();
[[nodiscard]] GroundEvents read_ground_events(const text::Section& section, const design::Parts& parts);

/// One stream of random numbers each, so that stating one changes nothing of the others.
struct EventEngines {
  explicit EventEngines(std::uint64_t seed);
  std::mt19937_64 refusal;
  std::mt19937_64 frost;
  std::mt19937_64 corrosion;
};
/// Draws what happens in one state of the ground.
void draw_events(EventEngines& engines, const GroundEvents& events, design::GroundDraw& draw);

/// Each distribution with its basis, and what is not stated, in sentences.
[[nodiscard]] std::vector<std::string> event_sentences(const GroundEvents& events);

}  // namespace ohmroot::study::detail

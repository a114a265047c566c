// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/study/detail/drawn_soils.hpp>
#include <ohmroot/study/detail/ground_events.hpp>

#include <boost/random/uniform_01.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace ohmroot::study::detail {
namespace {

using text::KeySpec;
using text::Kind;

constexpr std::string_view own_judgement = "judgement";

constexpr std::array keys{
    KeySpec{.name = "refusal_depth",
            .kind = Kind::interval,
            .dimension = Dimension::length,
            .least = 0.1,
            .greatest = 100,
            .default_text = "absent: rods reach the depth that [design.parts] gives",
            .help = "[least, greatest]: where rods stop, all at one depth, if they are refused"},
    KeySpec{.name = "refusal_chance",
            .kind = Kind::quantity,
            .dimension = Dimension::ratio,
            .least = 0,
            .greatest = 1,
            .default_text = "stated with refusal_depth",
            .help = "probability that rods are refused within it"},
    KeySpec{.name = "refusal_basis", .default_text = "judgement", .help = "where that comes from"},
    KeySpec{.name = "frost_depth",
            .kind = Kind::interval,
            .dimension = Dimension::length,
            .least = 0,
            .greatest = 5,
            .default_text = "absent: the ground does not freeze",
            .help = "[least, greatest]: to which the ground freezes in winter"},
    KeySpec{.name = "frozen_factor",
            .kind = Kind::interval,
            .dimension = Dimension::ratio,
            .least = 1,
            .greatest = 1000,
            .default_text = "stated with frost_depth",
            .help = "[least, greatest]: resistivity of frozen over that of unfrozen ground"},
    KeySpec{.name = "frost_basis", .default_text = "judgement", .help = "where that comes from"},
    KeySpec{.name = "diameter_loss",
            .kind = Kind::interval,
            .dimension = Dimension::length,
            .least = 0,
            .greatest = 0.05,
            .default_text = "absent: nothing corrodes",
            .help = "[least, greatest]: lost by rods, and by the width of tape, over the design life"},
    KeySpec{.name = "design_life",
            .kind = Kind::count,
            .least = 1,
            .greatest = 200,
            .default_text = "stated with diameter_loss",
            .help = "in years"},
    KeySpec{.name = "corrosion_basis", .default_text = "judgement", .help = "where that comes from"},
};

double even(std::mt19937_64& engine, const text::Interval& ends) {
  return ends.least + (ends.greatest - ends.least) * boost::random::uniform_01<double>()(engine);
}

std::string basis_of(const text::Section& section, const char* key) {
  return section.text(key).value_or(std::string(own_judgement));
}

bool are_together(const text::Section& section, const char* one, const char* other) {
  if (section.has(one) == section.has(other)) return section.has(one);
  section.error(section.has(one) ? one : other, "conflict",
                fmt::format("needs {} and {} together", one, other));
  return false;
}

std::string metres(const text::Interval& ends) {
  return fmt::format("{} to {}", format_quantity(ends.least, Dimension::length),
                     format_quantity(ends.greatest, Dimension::length));
}

}  // namespace

std::span<const KeySpec> ground_event_keys() {
  return keys;
}

GroundEvents read_ground_events(const text::Section& section, const design::Parts& parts) {
  GroundEvents events;
  const auto refusal_m = section.interval("refusal_depth");
  const auto chance = section.quantity("refusal_chance");
  if (are_together(section, "refusal_depth", "refusal_chance") && refusal_m && chance) {
    if (parts.may_lay_tape && refusal_m->least <= parts.trench_depth_m)
      section.error("refusal_depth", "conflict", "begins above the bottom of the trench",
                    "a rod must reach below trench_depth to meet the tape; or leave out tape_width");
    constexpr double least_slenderness = 3.0;
    if (refusal_m->least < least_slenderness * parts.rod_diameter_m)
      section.error("refusal_depth", "conflict", "begins within three diameters of the rod",
                    "a rod refused there is none: leave rods out, or state where they do stand");
    events.refusal = RodRefusal{*refusal_m, *chance, basis_of(section, "refusal_basis")};
  }
  const auto frost_m = section.interval("frost_depth");
  const auto frozen = section.interval("frozen_factor");
  if (are_together(section, "frost_depth", "frozen_factor") && frost_m && frozen)
    events.frost = Frost{*frost_m, *frozen, basis_of(section, "frost_basis")};
  const auto loss_m = section.interval("diameter_loss");
  const auto life_years = section.count("design_life");
  if (are_together(section, "diameter_loss", "design_life") && loss_m && life_years) {
    const double thinnest_m =
        parts.may_lay_tape ? std::min(parts.rod_diameter_m, parts.tape_width_m) : parts.rod_diameter_m;
    if (loss_m->greatest > thinnest_m / 2)
      section.error("diameter_loss", "conflict",
                    fmt::format("is more than half of {}", format_quantity(thinnest_m, Dimension::length)),
                    "choose thicker metal or a shorter design life: what is left is not relied on");
    events.corrosion = Corrosion{*loss_m, *life_years, basis_of(section, "corrosion_basis")};
  }
  return events;
}

namespace {

std::mt19937_64 stream(std::uint64_t seed, std::uint32_t which) {
  std::seed_seq words{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32U), which};
  return std::mt19937_64(words);
}

}  // namespace

EventEngines::EventEngines(std::uint64_t seed)
    : refusal(stream(seed, 1)), frost(stream(seed, 2)), corrosion(stream(seed, 3)) {}

void draw_events(EventEngines& engines, const GroundEvents& events, design::GroundDraw& draw) {
  if (events.refusal) {
    const double depth_m = even(engines.refusal, events.refusal->depth_m);
    if (even(engines.refusal, {0.0, 1.0}) < events.refusal->chance_ratio) draw.refusal_depth_m = depth_m;
  }
  if (events.frost) {
    draw.frost_depth_m = even(engines.frost, events.frost->depth_m);
    draw.frozen_ratio = drawn(engines.frost, events.frost->ratio.least, events.frost->ratio.greatest);
  }
  if (events.corrosion) draw.diameter_loss_m = even(engines.corrosion, events.corrosion->loss_m);
}

std::vector<std::string> event_sentences(const GroundEvents& events) {
  std::vector<std::string> sentences;
  sentences.push_back(
      events.refusal
          ? fmt::format(
                "Refusal: with a chance of {} % all rods stop at one depth, spread evenly over {} ({}).",
                format_number(100 * events.refusal->chance_ratio), metres(events.refusal->depth_m),
                events.refusal->basis)
          : std::string("No refusal is stated: rods reach the depth planned."));
  sentences.push_back(
      events.frost
          ? fmt::format(
                "Frost: in winter the ground is frozen to a depth spread evenly over {}, with {} to {} "
                "times its resistivity, evenly in the logarithm ({}). The worse of winter and the driest "
                "season counts, not both at once.",
                metres(events.frost->depth_m), format_number(events.frost->ratio.least),
                format_number(events.frost->ratio.greatest), events.frost->basis)
          : std::string("No frost is stated: frozen ground is not looked at."));
  sentences.push_back(
      events.corrosion
          ? fmt::format(
                "Corrosion: rods, and the width of tape, lose {} in {} years, spread evenly ({}). Joints "
                "and steel in concrete are not in this.",
                metres(events.corrosion->loss_m), events.corrosion->life_years, events.corrosion->basis)
          : std::string("No corrosion is stated: the metal keeps its size."));
  if (events.refusal || events.frost || events.corrosion)
    sentences.push_back("The floor takes none of these: it holds for the most favourable case.");
  return sentences;
}

}  // namespace ohmroot::study::detail

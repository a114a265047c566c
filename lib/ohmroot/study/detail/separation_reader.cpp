// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/detail/separation.hpp>
#include <ohmroot/study/detail/separation_reader.hpp>
#include <ohmroot/study/detail/site_keys.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace ohmroot::study::detail {
namespace {

using electrode::SurfacePlace;
using routes::MetalKind;
using text::Section;

constexpr std::array metal_kinds{MetalKind::rod, MetalKind::tape, MetalKind::plate, MetalKind::line};

struct PlaceCount {
  std::size_t least;
  std::size_t greatest;
};

/// Nothing where the key is wrong, which has been said, or the number of places is, which is said here.
std::vector<SurfacePlace> places_in(const Section& section, std::string_view key, const PlaceCount& wanted,
                                    std::string_view meaning) {
  const auto points = section.points(key);
  if (!points) return {};
  if (points->size() < wanted.least || points->size() > wanted.greatest) {
    section.error(key, "out-of-range",
                  fmt::format("{} {} given", points->size(), points->size() == 1 ? "place is" : "places are"),
                  std::string(meaning));
    return {};
  }
  std::vector<SurfacePlace> places;
  for (const text::Point& point : *points)
    places.push_back({point.x_m, point.y_m});
  return places;
}

PlaceCount place_count(MetalKind kind) {
  switch (kind) {
  case MetalKind::rod:
    return {1, 1};
  case MetalKind::tape:
  case MetalKind::plate:
    return {2, 2};
  case MetalKind::line:
    return {2, 1000};
  }
  throw InternalError("place_count: a kind without places");
}

std::string_view place_meaning(MetalKind kind) {
  switch (kind) {
  case MetalKind::rod:
    return "a rod has one place: [[x, y]]";
  case MetalKind::tape:
  case MetalKind::plate:
    return "a tape or plate has two, the ends of its middle line: [[x, y], [x, y]]";
  case MetalKind::line:
    return "a pipe or sheath has two corners or more: [[x, y], [x, y]]";
  }
  throw InternalError("place_meaning: a kind without places");
}

/// A dimension that the kind needs, or one that it does not have.
struct DimensionRule {
  std::string_view key;
  double StatedMetal::*value;
  std::array<bool, 4> is_needed;  // by kind
};
constexpr std::array dimension_rules{
    DimensionRule{"length", &StatedMetal::length_m, {true, false, false, false}},
    DimensionRule{"diameter", &StatedMetal::diameter_m, {true, false, false, true}},
    DimensionRule{"width", &StatedMetal::width_m, {false, true, true, false}},
    DimensionRule{"depth", &StatedMetal::depth_m, {false, true, true, true}}};

/// False where something is missing or wrong, which has been said.
bool read_dimensions(const Section& section, StatedMetal& metal) {
  bool is_complete = true;
  for (const DimensionRule& rule : dimension_rules) {
    const std::string kind(routes::metal_kind_name(metal.kind));
    if (!rule.is_needed.at(static_cast<std::size_t>(metal.kind))) {
      if (section.has(rule.key))
        section.error(rule.key, "not-allowed", fmt::format("the kind \"{}\" has no {}", kind, rule.key),
                      rule.key == "length" ? "its length is that between its places" : "leave it out");
      continue;
    }
    const auto value = section.quantity(rule.key);
    if (!section.has(rule.key))
      section.error("", "missing-key", fmt::format("the kind \"{}\" needs the key {}", kind, rule.key));
    is_complete = is_complete && value.has_value();
    metal.*rule.value = value.value_or(0.0);
  }
  return is_complete;
}

std::optional<StatedMetal> read_metal(const Section& section) {
  StatedMetal metal;
  metal.name = section.text("name").value_or("");
  const auto word = section.text("kind");
  if (!word) return std::nullopt;
  metal.kind = *std::find_if(metal_kinds.begin(), metal_kinds.end(),
                             [&](MetalKind kind) { return routes::metal_kind_name(kind) == *word; });
  metal.is_upright = section.flag("upright").value_or(false);
  if (section.has("upright") && metal.kind != MetalKind::plate)
    section.error("upright", "not-allowed", fmt::format("only a plate stands or lies, not a {}", *word),
                  "leave it out");
  metal.places = places_in(section, "places", place_count(metal.kind), place_meaning(metal.kind));
  if (!read_dimensions(section, metal) || metal.places.empty()) return std::nullopt;
  try {
    static_cast<void>(metal_of(metal));  // the metal's own preconditions, said at its place in the file
  } catch (const DomainError& problem) {
    section.error("", "out-of-range", problem.what());
    return std::nullopt;
  }
  return metal;
}

constexpr std::array connections{electrode::Connection::floating, electrode::Connection::joined,
                                 electrode::Connection::earthed};

std::optional<StatedNeighbour> read_neighbour(const Section& section) {
  const auto word = section.text("connection");
  auto metal = read_metal(section);
  if (!word || !metal) return std::nullopt;
  const auto found =
      std::find_if(connections.begin(), connections.end(), [&](electrode::Connection connection) {
        return electrode::connection_name(connection) == *word;
      });
  return StatedNeighbour{std::move(*metal), *found};
}

void read_above(const Section& section, std::vector<routes::MetalAbove>& all) {
  const std::string name = section.text("name").value_or("");
  const double lowest_m = section.quantity("lowest").value_or(0.0);
  const std::vector<SurfacePlace> places =
      places_in(section, "places", {1, 2}, "a post has one place, a straight piece its two ends");
  if (!places.empty()) all.push_back({name, places.front(), places.back(), lowest_m});
}

std::optional<StatedParking> read_parking(const Section& section) {
  StatedParking parking;
  const auto width_m = section.quantity("width");
  parking.feet_reach_m = section.quantity("feet_reach").value_or(parking.feet_reach_m);
  parking.arms_reach_m = section.quantity("arms_reach").value_or(parking.arms_reach_m);
  const std::vector<SurfacePlace> ends =
      places_in(section, "ends", {2, 2}, "both ends of the middle line of the parking rectangle");
  if (ends.empty() || !width_m) return std::nullopt;
  parking.from = ends.front();
  parking.to = ends.back();
  parking.width_m = *width_m;
  if (outline_of(parking).length_m > 1000.0) {
    section.error("ends", "out-of-range", "the rectangle is longer than 1 km");
    return std::nullopt;
  }
  return parking;
}

std::optional<TtPlace> read_tt(const Section& section, const std::vector<Candidate>& candidates) {
  TtPlace place;
  place.candidate = section.text("candidate").value_or("");
  const std::vector<SurfacePlace> places =
      places_in(section, "places", {1, 2}, "its place, and a second one only to give the direction");
  const auto is_named = [&](const Candidate& candidate) { return candidate.name == place.candidate; };
  if (!place.candidate.empty() && std::none_of(candidates.begin(), candidates.end(), is_named)) {
    std::vector<std::string_view> names;
    for (const Candidate& candidate : candidates)
      names.push_back(candidate.name);
    const std::string near = nearest_word(place.candidate, names);
    section.error("candidate", "unknown-word", fmt::format("no candidate is named \"{}\"", place.candidate),
                  near.empty() ? "give the name of one of [[candidates]]"
                               : fmt::format("did you mean \"{}\"?", near));
    return std::nullopt;
  }
  if (candidates.empty()) {
    section.error("", "missing-key", "there is no candidate whose shape the electrode could have",
                  "add it under [[candidates]]");
    return std::nullopt;
  }
  if (places.empty()) return std::nullopt;
  place.at = places.front();
  if (places.size() == 2) place.direction_to = places.back();
  return place;
}

}  // namespace

CandidatePlaces candidate_places(const Section& section) {
  if (!section.has("places")) return {};
  const auto places =
      places_in(section, "places", {1, 2}, "its place, and a second one only to give the direction");
  CandidatePlaces result;
  if (!places.empty()) result.at = places.front();
  if (places.size() == 2) result.direction_to = places.back();
  return result;
}

SeparationFacts read_separation(const Section& root, const std::vector<Candidate>& candidates) {
  SeparationFacts facts;
  for (const Section& metal : root.tables("pme_metal", pme_metal_keys))
    if (auto read = read_metal(metal)) facts.pme_metal.push_back(std::move(*read));
  for (const Section& metal : root.tables("nearby_metal", nearby_metal_keys))
    if (auto read = read_neighbour(metal)) facts.nearby_metal.push_back(std::move(*read));
  for (const Section& metal : root.tables("metal_above", metal_above_keys))
    read_above(metal, facts.metal_above);
  if (const auto parking = root.table("parking", parking_keys)) facts.parking = read_parking(*parking);
  if (const auto place = root.table("tt_electrode", tt_electrode_keys))
    facts.tt_electrode = read_tt(*place, candidates);
  if (!facts.metal_above.empty() && !root.has("parking"))
    root.error("", "missing-key", "the document has metal_above but no [parking]",
               "arm's reach counts from where the vehicle can stand: add [parking]");
  return facts;
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/study/desk_facts.hpp>

#include <fmt/format.h>

#include <array>

namespace ohmroot::study {
namespace {

using text::KeySpec;
using text::Kind;

constexpr std::array fact_keys{
    KeySpec{.name = "earthing",
            .kind = Kind::choice,
            .is_required = true,
            .allowed = "tt|tn-s-own-transformer|tn-s-private-network|tn-s|tn-c-s|unknown",
            .help = "arrangement as found; tn-s: separate earth from the distributor"},
    KeySpec{.name = "looped",
            .kind = Kind::choice,
            .allowed = "yes|no|unknown",
            .default_text = "unknown",
            .help = "does the service feed a neighbour too?"},
    KeySpec{.name = "phases",
            .kind = Kind::count,
            .least = 1,
            .greatest = 3,
            .default_text = "unknown",
            .help = "1 or 3"},
    KeySpec{.name = "demand",
            .kind = Kind::quantity,
            .dimension = Dimension::current,
            .least = 0,
            .greatest = 1e4,
            .least_is_excluded = true,
            .default_text = "unknown",
            .help = "greatest of one phase, vehicle included"},
    KeySpec{.name = "soil_word", .default_text = "unknown", .help = "a word for the soil"},
    KeySpec{.name = "rod_reading",
            .kind = Kind::quantity,
            .dimension = Dimension::resistance,
            .least = 0,
            .greatest = 1e6,
            .least_is_excluded = true,
            .default_text = "unknown",
            .help = "of one test rod, joined to nothing"},
    KeySpec{.name = "rod_length",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0,
            .greatest = 100,
            .least_is_excluded = true,
            .default_text = "1.2 m",
            .help = "of the test rod"},
    KeySpec{.name = "rod_diameter",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.001,
            .greatest = 0.5,
            .default_text = "16 mm",
            .help = "of the test rod and of the rods reckoned with"},
    KeySpec{.name = "land_length",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.1,
            .greatest = 1e4,
            .default_text = "unknown",
            .help = "where new metal may go"},
    KeySpec{.name = "land_width",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.1,
            .greatest = 1e4,
            .default_text = "unknown",
            .help = "where new metal may go"},
    KeySpec{.name = "depth",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.1,
            .greatest = 100,
            .default_text = "unknown",
            .help = "that can be reached by driving"},
};

Answer answer_from(const std::string& word) {
  return word == "yes" ? Answer::yes : word == "no" ? Answer::no : Answer::unknown;
}

void read_soil_word(const text::Section& section, DeskFacts& facts) {
  const auto word = section.text("soil_word");
  if (!word || *word == "unknown") return;
  if (earth::find_soil_word(*word) == nullptr) {
    std::vector<std::string_view> known;
    for (const auto& row : earth::soil_words())
      known.push_back(row.word);
    const std::string near = nearest_word(*word, known);
    section.error("soil_word", "unknown-word", fmt::format("\"{}\" is not in the list", *word),
                  near.empty() ? "'ohmroot desk --soil-words' lists the words"
                               : fmt::format("did you mean \"{}\"?", near));
    return;
  }
  facts.soil_word = word;
}

}  // namespace

std::optional<DeskFacts> read_desk_facts(const text::Value& document, text::Dialect dialect,
                                         Diagnostics& diagnostics) {
  const text::Section section(document, "", fact_keys, dialect, diagnostics);
  DeskFacts facts;
  facts.earthing =
      earthing_from_word(section.text("earthing").value_or("unknown")).value_or(Earthing::unknown);
  facts.is_looped = answer_from(section.text("looped").value_or("unknown"));
  facts.phase_count = section.count("phases");
  if (facts.phase_count == 2) section.error("phases", "out-of-range", "must be 1 or 3, is 2");
  facts.demand_a = section.quantity("demand");
  facts.land_length_m = section.quantity("land_length");
  facts.land_width_m = section.quantity("land_width");
  facts.depth_m = section.quantity("depth");
  const electrode::Rod rod{section.quantity("rod_length").value_or(facts.test_rod.length_m),
                           section.quantity("rod_diameter").value_or(facts.test_rod.diameter_m)};
  if (!(rod.diameter_m < rod.length_m)) {
    section.error("rod_diameter", "out-of-range", "the rod's diameter must be less than its length");
  }
  facts.test_rod = rod;
  facts.rod_diameter_m = rod.diameter_m;
  if (const auto reading_ohm = section.quantity("rod_reading"))
    facts.rod_reading = SoilFromRod{rod, *reading_ohm};
  read_soil_word(section, facts);
  if (facts.soil_word && facts.rod_reading) {
    section.error("soil_word", "conflict", "a soil word and a rod's reading are both given",
                  "keep the reading: it was measured");
  }
  if (diagnostics.has_errors()) return std::nullopt;
  return facts;
}

std::string desk_fact_keys() {
  return text::describe(fact_keys);
}

}  // namespace ohmroot::study

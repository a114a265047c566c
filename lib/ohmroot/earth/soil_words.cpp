// SPDX-License-Identifier: MIT
#include <ohmroot/earth/soil_words.hpp>

#include <algorithm>
#include <array>
#include <string>

namespace ohmroot::earth {

namespace {

// Where each list was seen. Technologic Paper 108: reprinted in a booklet on earth testing that was read
// (IEEE Std 142 has the same table). IEC and French list: a list of the IEC 60364-5-54 and French guide
// family, read. Course notes: public notes on earthing design, undated, read.
constexpr std::string_view read_list = "list read";
constexpr std::string_view read_and_quoted =
    "list of the Bureau of Standards read in a booklet on earth testing that reprints it; course notes read; "
    "quotation of BS 7430: common practice, not checked against the licensed text";
constexpr std::string_view quoted_only =
    "common practice: a trade page quotes it as from BS 7430; not checked against the licensed text";
constexpr std::string_view read_and_from_memory = "IEC and French list and course notes read; ENA TS 41-24 "
                                                  "from memory";

constexpr std::array<SoilWord, 22> words{{
    {"chalk", 30, 300, std::nullopt,
     "BS 7430 as quoted: chalk 30 to 100; IEC and French list: chalky ground 100 to 300; they meet only "
     "at 100",
     "IEC and French list read; quotation of BS 7430: common practice, not checked against the licensed "
     "text"},
    {"clay", 3.4, 163, 40.6,
     "US Bureau of Standards Technologic Paper 108: clay, shale, gumbo, loam 3.4 to 163, average 40.6; "
     "BS 7430 as quoted: clay 10 to 100; IEC and French list: soft clay 50; course notes: loam and clay "
     "100",
     read_and_quoted},
    {"clay with sand and gravel", 10.2, 1350, 158,
     "US Bureau of Standards Technologic Paper 108: clay, shale, gumbo, loam with varying sand and "
     "gravel 10.2 to 1350, average 158; BS 7430 as quoted: mixture of clay, sand and gravel 40 to 250",
     read_and_quoted},
    {"clayey sand", 50, 500, std::nullopt,
     "IEC and French list: clayey sand 50 to 500; course notes: sandy clay 150", "both lists read"},
    {"compacted clay", 100, 200, std::nullopt,
     "IEC and French list: marl and compacted clay 100 to 200; other lists put all clay at 3.4 to 163",
     read_list},
    {"fill", 5.9, 500, 23.7,
     "US Bureau of Standards Technologic Paper 108: fills of ashes, cinders, brine waste 5.9 to 70, "
     "average 23.7; IEC and French averages: compacted damp fill 50, poor fill 500",
     "both lists read"},
    {"garden soil", 5, 50, std::nullopt, "BS 7430 as quoted: loam, garden soil 5 to 50", quoted_only},
    {"granite", 100, 10000, std::nullopt,
     "IEC and French list: granite and sandstone 1500 to 10000, weathered 100 to 600", read_list},
    {"gravel", 500, 4580, 940,
     "US Bureau of Standards Technologic Paper 108: gravel, sand, stones with little clay or loam 590 to "
     "4580, average 940 (another page prints 2585, the middle of the range); course notes: moist gravel "
     "500, dry 1000",
     "both lists read"},
    {"humus", 10, 150, std::nullopt, "IEC and French list: humus 10 to 150; course notes: moist humus 30",
     "both lists read"},
    {"limestone", 500, 5000, std::nullopt,
     "IEC and French list: limestone 1000 to 5000, fissured limestone 500 to 1000", read_list},
    {"loam", 3.4, 163, 40.6,
     "US Bureau of Standards Technologic Paper 108: clay, shale, gumbo, loam 3.4 to 163, average 40.6; "
     "BS 7430 as quoted: loam, garden soil 5 to 50; course notes: farmland, loam, clay 100",
     read_and_quoted},
    {"marl", 30, 200, std::nullopt,
     "IEC and French list: Jurassic marl 30 to 40, marl and compacted clay 100 to 200", read_list},
    {"marsh", 1, 30, std::nullopt, "IEC and French list: swampy ground 1 to 30", read_list},
    {"peat", 5, 300, std::nullopt,
     "IEC and French list: peat 5 to 100; ENA TS 41-24: marsh peat 150 to 300; they do not meet",
     read_and_from_memory},
    {"rock", 1000, 10000, std::nullopt,
     "ENA TS 41-24: rock 1000 to 10000; IEC and French average for fissured rock 3000; the course notes' "
     "30000 is left out as a likely misprint (tables of its family have 3000)",
     read_and_from_memory},
    {"sand", 200, 4580, std::nullopt,
     "IEC and French list: siliceous sand 200 to 300, average of dry sand 3000; ENA TS 41-24: sand 250 "
     "to 500; course notes: moist sand 300, dry 1000; US Bureau of Standards Technologic Paper 108: "
     "gravel, sand, stones with little clay or loam 590 to 4580",
     "ENA TS 41-24 from memory, the other lists read"},
    {"sandstone", 100, 10000, std::nullopt,
     "IEC and French list: granite and sandstone 1500 to 10000, weathered 100 to 600", read_list},
    {"shale", 3.4, 3000, std::nullopt,
     "US Bureau of Standards Technologic Paper 108: clay, shale, gumbo, loam 3.4 to 163; IEC and French "
     "list: schist, shale 50 to 300; ENA TS 41-24: slate and shale 300 to 3000; three lists, three "
     "decades",
     "ENA TS 41-24 from memory, the other lists read"},
    {"silt", 20, 100, std::nullopt, "IEC and French list: silt, alluvium 20 to 100", read_list},
    {"slate", 50, 3000, std::nullopt,
     "ENA TS 41-24: slate and shale 300 to 3000; IEC and French list: schist, shale 50 to 300, mica "
     "schist 800",
     read_and_from_memory},
    {"stony ground", 300, 3000, std::nullopt,
     "IEC and French list: bare stony ground 1500 to 3000, grass-covered 300 to 500", read_list},
}};

struct Synonym {
  std::string_view said;
  std::string_view word;
};
constexpr std::array<Synonym, 13> synonyms{{{"alluvium", "silt"},

                                            {"chalky ground", "chalk"},
                                            {"farmland", "loam"},
                                            {"fills", "fill"},
                                            {"garden", "garden soil"},
                                            {"made ground", "fill"},
                                            {"marshland", "marsh"},
                                            {"sandy clay", "clayey sand"},
                                            {"schist", "slate"},
                                            {"soft clay", "clay"},
                                            {"stones", "stony ground"},
                                            {"stony", "stony ground"},
                                            {"swamp", "marsh"}}};

/// Lower case, one space between words, none at the ends.
std::string plain(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const bool is_space = c == ' ' || c == '\t' || c == '-' || c == '_';
    if (is_space && (out.empty() || out.back() == ' ')) continue;
    out += is_space ? ' ' : (c >= 'A' && c <= 'Z') ? static_cast<char>(c - 'A' + 'a') : c;
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

}  // namespace

std::span<const SoilWord> soil_words() {
  return words;
}

const SoilWord* find_soil_word(std::string_view word) {
  const std::string said = plain(word);
  const auto synonym =
      std::find_if(synonyms.begin(), synonyms.end(), [&](const Synonym& one) { return one.said == said; });
  const std::string_view wanted = synonym == synonyms.end() ? std::string_view(said) : synonym->word;
  const auto found =
      std::find_if(words.begin(), words.end(), [&](const SoilWord& one) { return one.word == wanted; });
  return found == words.end() ? nullptr : &*found;
}

}  // namespace ohmroot::earth

// SPDX-License-Identifier: MIT
#include <ohmroot/earth/soil_words.hpp>

#include <catch2/catch.hpp>

#include <string>

using namespace ohmroot::earth;
using Catch::Matchers::Contains;

TEST_CASE("soil words are in order, each once, with a range, a source and how it was seen") {
  std::string_view before;
  for (const SoilWord& word : soil_words()) {
    CAPTURE(word.word);
    CHECK(before < word.word);
    before = word.word;
    CHECK(word.least_resistivity_ohm_m > 0.0);
    CHECK(word.least_resistivity_ohm_m < word.greatest_resistivity_ohm_m);
    if (word.typical_resistivity_ohm_m) {
      CHECK(*word.typical_resistivity_ohm_m > word.least_resistivity_ohm_m);
      CHECK(*word.typical_resistivity_ohm_m < word.greatest_resistivity_ohm_m);
    }
    CHECK_FALSE(word.source.empty());
    CHECK_THAT(std::string(word.provenance),
               Contains("read") || Contains("from memory") || Contains("common practice"));
    CHECK(find_soil_word(word.word) == &word);
  }
}

TEST_CASE("a range holds every list that has the word") {
  const auto holds = [](std::string_view word, double least, double greatest) {
    const SoilWord* found = find_soil_word(word);
    REQUIRE(found != nullptr);
    CAPTURE(word);
    CHECK(found->least_resistivity_ohm_m <= least);
    CHECK(found->greatest_resistivity_ohm_m >= greatest);
  };
  // US Bureau of Standards Technologic Paper 108, read in a booklet on earth testing.
  holds("fill", 5.9, 70.0);
  holds("clay", 3.4, 163.0);
  holds("loam", 3.4, 163.0);
  holds("shale", 3.4, 163.0);
  holds("clay with sand and gravel", 10.2, 1350.0);
  holds("gravel", 590.0, 4580.0);
  CHECK(find_soil_word("fill")->typical_resistivity_ohm_m == 23.7);
  CHECK(find_soil_word("clay")->typical_resistivity_ohm_m == 40.6);
  CHECK(find_soil_word("clay with sand and gravel")->typical_resistivity_ohm_m == 158.0);
  CHECK(find_soil_word("gravel")->typical_resistivity_ohm_m == 940.0);
  // List of the IEC 60364-5-54 and French guide family, read.
  holds("marsh", 1.0, 30.0);
  holds("silt", 20.0, 100.0);
  holds("humus", 10.0, 150.0);
  holds("peat", 5.0, 100.0);
  holds("compacted clay", 100.0, 200.0);
  holds("clayey sand", 50.0, 500.0);
  holds("sand", 200.0, 300.0);
  holds("stony ground", 300.0, 3000.0);
  holds("chalk", 100.0, 300.0);
  holds("limestone", 500.0, 5000.0);
  holds("granite", 100.0, 10000.0);
  holds("sandstone", 1500.0, 10000.0);
  // Quoted as from BS 7430 by a trade page: common practice, not checked against the licensed text.
  holds("garden soil", 5.0, 50.0);
  holds("loam", 5.0, 50.0);
  holds("clay", 10.0, 100.0);
  holds("chalk", 30.0, 100.0);
  holds("clay with sand and gravel", 40.0, 250.0);
  // ENA TS 41-24, from memory.
  holds("peat", 150.0, 300.0);
  holds("sand", 250.0, 500.0);
  holds("slate", 300.0, 3000.0);
  holds("shale", 300.0, 3000.0);
  holds("rock", 1000.0, 10000.0);
}

TEST_CASE("where lists disagree the entry tells what each prints") {
  CHECK_THAT(std::string(find_soil_word("chalk")->source), Contains("30 to 100") && Contains("100 to 300"));
  CHECK_THAT(std::string(find_soil_word("peat")->source), Contains("5 to 100") && Contains("150 to 300"));
  CHECK_THAT(std::string(find_soil_word("gravel")->source), Contains("2585"));
  CHECK_THAT(std::string(find_soil_word("rock")->source), Contains("30000") && Contains("misprint"));
}

TEST_CASE("a soil word is found in either case, with hyphens, and by a plain synonym") {
  CHECK(find_soil_word("Clay") == find_soil_word("clay"));
  CHECK(find_soil_word("  GARDEN-soil ") == find_soil_word("garden soil"));
  CHECK(find_soil_word("clay_with  sand and gravel") == find_soil_word("clay with sand and gravel"));
  CHECK(find_soil_word("made ground") == find_soil_word("fill"));
  CHECK(find_soil_word("Sandy clay")->word == "clayey sand");
  CHECK(find_soil_word("alluvium")->word == "silt");
}

TEST_CASE("an unknown soil word is not guessed") {
  CHECK(find_soil_word("") == nullptr);
  CHECK(find_soil_word("   ") == nullptr);
  CHECK(find_soil_word("cla") == nullptr);
  CHECK(find_soil_word("unknown") == nullptr);
  CHECK(find_soil_word(std::string(200000, 'x')) == nullptr);
}

// SPDX-License-Identifier: MIT
#include "markup.hpp"

#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/report/page.hpp>
#include <ohmroot/report/signs.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <regex>
#include <support/study_fixture.hpp>

using namespace ohmroot;
using test_support::Markup;
using test_support::read_markup;

namespace {

/// Two pictures with the same ids inside, as gnuplot makes them.
std::vector<report::Figure> two_figures() {
  const std::string svg = "<?xml version=\"1.0\"?>\n<svg viewBox=\"0 0 10 10\"><defs><circle id='dot' "
                          "r='1'/><pattern id=\"pat\"></pattern></defs>"
                          "<use xlink:href='#dot'/><rect fill='url(#pat)'/></svg>\n";
  return {{"sounding", "Resistivity falls.", "Chart: resistivity falls from 119 to 42 ohm m.", svg, ""},
          {"voltage", "Voltage rises.", "Chart: the voltage passes the limit of 70 V.", svg, ""}};
}

bool holds(const std::string& page, const std::string& text) {
  return page.find(report::detail::escaped(report::with_signs(text))) != std::string::npos;
}

const std::string hostile = "<script>alert(1)</script> \"quoted\" & 'single' `touch pwned` </style> \x01 end";

void make_hostile(study::StudyResult& result) {
  result.site.reference = hostile;
  result.site.title = hostile;
  result.site.edition = hostile;
  result.site.jurisdiction = hostile;
  result.site.loads[0].name = hostile;
  result.site.candidates[0].name = hostile;
  result.site.break_reason = hostile;
  result.site.other_paths[0].name = hostile;
  std::get<study::SoilFromReadings>(*result.site.soil).file[0] = hostile;
  result.candidates[0].name = hostile;
  result.candidates[0].why = hostile;
  result.headline = hostile;
  result.next_steps.push_back(hostile);
  result.soil.readings[0].traverse = hostile;
  result.soil.notes.push_back(hostile);
  result.warnings[0].message = hostile;
  result.methods[0].finding = hostile;
}

}  // namespace

TEST_CASE("the page is well formed, in British English, without scripts or outside parts", "[report]") {
  const std::vector<study::StudyResult> studies = [] {
    std::vector<study::StudyResult> all;
    all.push_back(test_support::not_feasible_study());
    all.push_back(test_support::feasible_study());
    all.push_back(test_support::empty_study());
    return all;
  }();
  for (const study::StudyResult& result : studies) {
    INFO(result.site.reference);
    const std::string page = report::study_page(result, two_figures());
    const Markup markup = read_markup(page);
    CHECK(markup.fault == "");
    CHECK(page.find("<html lang=\"en-GB\">") != std::string::npos);
    CHECK(page.find("<script") == std::string::npos);
    CHECK(page.find("http://") == std::string::npos);
    CHECK(page.find("https://") == std::string::npos);
    for (const auto& tag : markup.tags) {
      CHECK(tag.attributes.count("src") == 0);
      CHECK(tag.name != "link");
    }
    CHECK(page.find("nan") == std::string::npos);
    CHECK_FALSE(std::regex_search(page, std::regex(R"(\binf\b)")));
  }
}

TEST_CASE("the separation has its section: shares, volts, distances of practice, reach",
          "[report][separation]") {
  study::StudyResult result = test_support::not_feasible_study();
  CHECK(report::study_page(result, {}).find("id=\"separation\"") == std::string::npos);
  result.separation = test_support::invented_separation();
  const std::string page = report::study_page(result, {});
  CHECK(read_markup(page).fault == "");
  CHECK(page.find("id=\"separation\"") != std::string::npos);
  CHECK(holds(page, "27.9 % to 34.1 %"));  // of the TT electrode over the soils
  CHECK(holds(page, "62.0 V"));            // 0.31 of 200 V
  CHECK(holds(page, "sources disagree, common practice, no clause"));
  CHECK(holds(page, "sk the distributor"));
  CHECK(holds(page, "WITHIN REACH"));
  CHECK(holds(page, "beyond 5.50 m it is less"));

  result.separation->refusal = hostile;
  result.separation->reach[0].name = hostile;
  result.separation->reach[0].sentence = hostile;
  result.separation->transfer->finding = hostile;
  const std::string attacked = report::study_page(result, {});
  CHECK(read_markup(attacked).fault == "");
  CHECK(attacked.find("<script") == std::string::npos);
}

TEST_CASE("the check of the markup itself finds faults", "[report]") {
  CHECK(read_markup("<p>one</p>").fault == "");
  CHECK(read_markup("<p>one").fault != "");
  CHECK(read_markup("<p><b>one</p></b>").fault != "");
  CHECK(read_markup("<p class=x>one</p>").fault != "");
  CHECK(read_markup("<p>a & b</p>").fault != "");
  CHECK(read_markup("<p>1 < 2</p>").fault != "");
  CHECK(test_support::repeated_ids(read_markup("<p id='a'></p><p id='a'></p>")).size() == 1);
}

TEST_CASE("the verdict comes first, in words, with the number it rests on", "[report]") {
  const auto result = test_support::not_feasible_study();
  const std::string page = report::study_page(result, {});
  const std::size_t verdict = page.find("Verdict: not feasible");
  REQUIRE(verdict != std::string::npos);
  CHECK(verdict < page.find("id=\"conditions\""));
  CHECK(verdict < page.find("id=\"soil\""));
  CHECK(holds(page, result.headline));
  CHECK(holds(page, result.rests_on));
  CHECK(holds(page, "14.6 ohm to 70.5 ohm"));
  CHECK(holds(page, "1.39 ohm or less (constant power)"));
  CHECK(holds(page, "5.31 times"));  // 14.6 / 2.749, by hand
  CHECK(report::study_page(test_support::feasible_study(), {}).find("Verdict: feasible") !=
        std::string::npos);
  CHECK(report::study_page(test_support::empty_study(), {}).find("Verdict: cannot be decided") !=
        std::string::npos);
}

TEST_CASE("each verdict has its own frame, so that colour is not its only mark", "[report]") {
  const std::string page = report::study_page(test_support::not_feasible_study(), {});
  CHECK(page.find("class=\"verdict not-feasible\"") != std::string::npos);
  CHECK(page.find(".verdict.not-feasible { border-style: double") != std::string::npos);
  CHECK(page.find(".verdict.undecided { border-style: dashed") != std::string::npos);
}

TEST_CASE("every sentence of the study reaches the page", "[report]") {
  const auto result = test_support::not_feasible_study();
  const std::string page = report::study_page(result, {});
  for (const auto* list : {&result.holds_for, &result.assumptions, &result.voided_by, &result.next_steps,
                           &result.cautions, &result.soil.notes})
    for (const std::string& sentence : *list) {
      INFO(sentence);
      CHECK(holds(page, sentence));
    }
  for (const auto& requirement : result.requirements) {
    CHECK(holds(page, requirement.name));
    CHECK(page.find(report::detail::escaped(requirement.expression)) != std::string::npos);
    CHECK(holds(page, requirement.source));
  }
  for (const auto& method : result.methods) {
    CHECK(holds(page, method.title));
    CHECK(holds(page, method.finding));
    CHECK(holds(page, method.next_step));
    CHECK(holds(page, method.provenance));
  }
  for (const auto& formula : result.candidates[0].formulas) {
    CHECK(holds(page, std::string(formula.formula->title)));
    CHECK(holds(page, std::string(formula.formula->source)));
  }
  const electrode::Formula& used = *result.candidates[0].formulas[0].formula;
  CHECK(page.find(report::detail::escaped(used.expression)) != std::string::npos);
  CHECK(page.find(report::detail::escaped(used.symbols)) != std::string::npos);
  CHECK(holds(page, std::string(used.valid)));
  CHECK(holds(page, result.candidates[0].formulas[1].outside_reason));
  CHECK(holds(page, result.floor->why));
  CHECK(holds(page, result.state_description));
  CHECK(holds(page, result.tt->stability_advice));
  CHECK(holds(page, result.soil.doubts[0].sentence));
  CHECK(holds(page, result.soil.skipped[0].why));
  CHECK(holds(page, result.warnings[0].message));
}

TEST_CASE("the open-PEN table shows the state with and without the electrode", "[report]") {
  auto result = test_support::feasible_study();
  const std::string page = report::study_page(result, {});
  CHECK(holds(page, "38.7 V"));  // |38.2 + 6.1 j|
  CHECK(holds(page, "Line 3 to neutral"));
  CHECK(holds(page, "275 V"));
  CHECK(holds(page, "9.90 A"));
  CHECK(holds(page, "383 W"));
  result.candidates[0].state_at_value->status = supply::OpenPenStatus::no_operating_point;
  result.candidates[0].state_at_value->why = "the load asks for more than the circuit can give";
  const std::string without = report::study_page(result, {});
  CHECK(holds(without, "no state"));
  CHECK(holds(without, "the load asks for more than the circuit can give"));
  CHECK_FALSE(holds(without, "275 V"));
}

TEST_CASE("inputs are echoed as given and results to three figures", "[report]") {
  const std::string page = report::study_page(test_support::not_feasible_study(), {});
  CHECK(page.find("source between 216.2 V and 253 V") != std::string::npos);
  CHECK(holds(page, "20 mohm"));
  CHECK(holds(page, "0 A to 32 A"));
  CHECK(holds(page, "119 ohm m"));    // apparent resistivity of the first reading
  CHECK(holds(page, "+22.0 %"));      // its fit is off by that, by the fixture's own noise
  CHECK(holds(page, "0.404 per m"));  // (ln(8 x 2.4 / 0.016) - 1) / (2 pi 2.4), by hand
}

TEST_CASE("the table of readings has the columns that its readings need", "[report]") {
  auto result = test_support::not_feasible_study();
  const std::string wenner = report::study_page(result, {});
  CHECK(holds(wenner, "a (Wenner)"));
  CHECK_FALSE(holds(wenner, "MN/2"));
  CHECK(holds(wenner, "Line of stakes"));
  CHECK(holds(wenner, "doubtful"));
  for (auto& reading : result.soil.readings)
    reading.traverse.clear();
  result.soil.doubts.clear();
  result.soil.readings[2].array = sounding::Array::schlumberger;
  const std::string mixed = report::study_page(result, {});
  CHECK(holds(mixed, "a or AB/2"));
  CHECK(holds(mixed, "MN/2"));
  CHECK_FALSE(holds(mixed, "Line of stakes"));
  CHECK_FALSE(holds(mixed, "doubtful"));
}

TEST_CASE("an end that the data do not resolve is said, never printed as a number", "[report]") {
  auto result = test_support::not_feasible_study();
  result.soil.is_greatest_resolved = false;
  result.soil.greatest_resistivity_ohm_m = 98765;
  result.candidates[0].is_greatest_resolved = false;
  result.candidates[0].electrode_ohm.greatest = std::numeric_limits<double>::infinity();
  result.candidates[0].to_earth_ohm.greatest = std::numeric_limits<double>::infinity();
  auto& lower = result.soil.interpretation->fits[1].resistivity_ohm_m[1];
  lower = {12345, 300, 12345, true, false};
  const std::string page = report::study_page(result, {});
  CHECK(holds(page, "no upper end resolved"));
  CHECK(holds(page, "300 ohm m or more (no upper end resolved)"));
  CHECK(page.find("98.8") == std::string::npos);
  CHECK(page.find("12.3") == std::string::npos);
  CHECK(page.find("12345") == std::string::npos);
  CHECK(page.find("unlimited") == std::string::npos);
}

TEST_CASE("invented data are marked in a part that repeats on every printed page", "[report]") {
  const std::string invented = report::study_page(test_support::not_feasible_study(), {});
  const std::size_t running = invented.find("<div class=\"running\">");
  REQUIRE(running != std::string::npos);
  CHECK(invented.find("INVENTED DEMONSTRATION DATA", running) < invented.find("<main"));
  CHECK(invented.find(".running { display: table-header-group; break-inside: avoid; }") != std::string::npos);
  CHECK(report::study_page(test_support::feasible_study(), {}).find("INVENTED") == std::string::npos);
}

TEST_CASE("figures are inlined once each, with caption and alt text, and their ids do not collide",
          "[report]") {
  const auto result = test_support::not_feasible_study();
  const auto figures = two_figures();
  const std::string page = report::study_page(result, figures);
  const Markup markup = read_markup(page);
  CHECK(markup.fault == "");
  CHECK(test_support::repeated_ids(markup).empty());
  int picture_count = 0;
  std::vector<std::string> labels;
  for (const auto& tag : markup.tags) {
    if (tag.name == "svg" && !tag.is_closing) ++picture_count;
    if (const auto label = tag.attributes.find("aria-label"); label != tag.attributes.end())
      labels.push_back(label->second);
  }
  CHECK(picture_count == 2);
  for (const auto& figure : figures) {
    CHECK(std::count(labels.begin(), labels.end(), figure.alt_text) == 1);
    CHECK(holds(page, figure.caption));
    CHECK(page.find("id='" + figure.id + "-dot'") != std::string::npos);
    CHECK(page.find("xlink:href='#" + figure.id + "-dot'") != std::string::npos);
    CHECK(page.find("fill='url(#" + figure.id + "-pat)'") != std::string::npos);
  }
  CHECK(page.find("<?xml") == std::string::npos);
}

TEST_CASE("a missing picture leaves its reason and its alt text on the page", "[report]") {
  auto figures = two_figures();
  figures[0].svg.clear();
  figures[0].missing_because = "gnuplot was not found";
  figures[1].svg = "<svg><script>alert(1)</script></svg>";
  const std::string page = report::study_page(test_support::not_feasible_study(), figures);
  CHECK(holds(page, "gnuplot was not found"));
  for (const auto& figure : figures)
    CHECK(holds(page, figure.alt_text));
  CHECK(page.find("<svg") == std::string::npos);
  CHECK(page.find("<script") == std::string::npos);
}

TEST_CASE("hostile text stays text", "[report]") {
  auto result = test_support::not_feasible_study();
  make_hostile(result);
  auto figures = two_figures();
  figures[0].caption = hostile;
  figures[0].alt_text = hostile;
  const std::string page = report::study_page(result, figures);
  CHECK(read_markup(page).fault == "");
  CHECK(page.find("<script") == std::string::npos);
  CHECK(page.find("&lt;script&gt;alert(1)&lt;/script&gt;") != std::string::npos);
  CHECK(page.find('\x01') == std::string::npos);
  // The reference also stands in a style sheet, which has its own way of quoting.
  const std::size_t style_end = page.find("</style>");
  CHECK(page.find("</style>", style_end + 1) == std::string::npos);
}

TEST_CASE("letters from anywhere survive", "[report]") {
  auto result = test_support::not_feasible_study();
  result.site.title = "Caf\xc3\xa9 \xe2\x80\x93 \xce\xa9";
  CHECK(report::study_page(result, {}).find("Caf\xc3\xa9 \xe2\x80\x93 \xce\xa9") != std::string::npos);
}

TEST_CASE("the same study gives the same page", "[report]") {
  const auto result = test_support::not_feasible_study();
  CHECK(report::study_page(result, two_figures()) == report::study_page(result, two_figures()));
}

TEST_CASE("signs are put into texts for reading and nowhere else", "[report]") {
  CHECK(report::with_signs("100 ohm m") == "100\u00a0\u03a9\u00b7m");
  CHECK(report::with_signs("1.67 kohm, 20 mohm") == "1.67\u00a0k\u03a9, 20\u00a0m\u03a9");
  CHECK(report::with_signs("2.75 ohm may do") == "2.75\u00a0\u03a9 may do");
  CHECK(report::with_signs("ohms per ohm m") == "ohms per ohm m");
  CHECK(report::with_signs("2 metres, 2 V-shaped, 3 m") == "2 metres, 2 V-shaped, 3\u00a0m");
  CHECK(report::with_signs(std::string(100000, '9')).size() == 100000);
  CHECK(report::as_given(70, Dimension::voltage) == "70 V");
  CHECK(report::as_given(216.2, Dimension::voltage) == "216.2 V");
  CHECK(report::as_given(0.016, Dimension::length) == "16 mm");
  CHECK(report::as_given(100, Dimension::ratio) == "100");
  CHECK(report::as_given(0, Dimension::current) == "0 A");
  CHECK(report::as_given(1.5e9, Dimension::ratio) == "1.5e+09");
  CHECK(report::shown(41.26, Dimension::resistivity) == "41.3\u00a0\u03a9\u00b7m");
}

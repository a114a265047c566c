// SPDX-License-Identifier: MIT
// The site file's word on the permitted methods, and what the study makes of it. All sites are invented.
#include <ohmroot/report/json.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <string>

namespace {

using namespace ohmroot;
using routes::Answer;
using routes::Method;
using routes::Support;

const std::string base = R"(reference = "T-3"
[soil]
layers_basis = "a test"
[[soil.layers]]
resistivity = ["50 ohm m", "70 ohm m"]
[season]
month_measured = "May"
factor = [1.0, 1.2]
basis = "a test"
[[loads]]
name = "charge point"
greatest = "32 A"
charge_point = "alone"
[[candidates]]
name = "rod"
shape = "rod"
length = "2.4 m"
diameter = "16 mm"
)";

struct Read {
  Diagnostics diagnostics{"site.toml"};
  std::optional<study::Site> site;
};

Read read(const std::string& text) {
  Read result;
  const auto document = text::read_toml(text, result.diagnostics);
  REQUIRE(document);
  result.site = study::read_site(
      *document, text::Dialect::typed_by_people, {}, [](const std::string&) { return std::nullopt; },
      result.diagnostics);
  return result;
}

study::StudyResult assessed(const std::string& more) {
  auto result = read(base + more);
  REQUIRE_FALSE(result.diagnostics.has_errors());
  return study::assess(std::move(*result.site));
}

const study::RouteRecord& record_of(const study::StudyResult& result, Method method) {
  return result.routes.records.at(static_cast<std::size_t>(method));
}

std::string decision(const std::string& method, const std::string& what) {
  return "[[route_decisions]]\nmethod = \"" + method + "\"\ndecision = \"" + what +
         "\"\nreason = \"a test\"\n";
}

/// Everything that TT asks for, the pipe 60 m away.
const std::string separate = R"([[pme_metal]]
name = "sheath"
kind = "pipe or sheath"
places = [["0 m", "60 m"], ["10 m", "60 m"]]
diameter = "30 mm"
depth = "0.5 m"
[parking]
ends = [["0 m", "3 m"], ["0 m", "8 m"]]
width = "2 m"
[tt_electrode]
places = [["0 m", "0 m"]]
)";

std::string all_bridges_clear() {
  std::string text = "[bridging]\n";
  for (const routes::BridgeRule& rule : routes::bridge_rules())
    text += std::string(rule.key) + " = \"yes\"\n";
  return text + "checked_on = \"2026-05-02\"\n";
}

}  // namespace

TEST_CASE("nothing is accepted that nobody decided", "[study]") {
  const study::StudyResult result = assessed("");
  CHECK(result.routes.outcome == study::RouteOutcome::open);
  CHECK(result.routes.records.size() == 7);
  CHECK(result.routes.open_places.size() == routes::place_count);
  CHECK(result.routes.open_clauses.size() == routes::register_count);
  CHECK(result.routes.bridging.not_checked.size() == routes::bridge_count);
  CHECK_FALSE(result.blind_region);  // one phase
}

TEST_CASE("an acceptance that the data do not carry is said to be one", "[study]") {
  const study::StudyResult open = assessed(decision("tt", "accepted"));
  CHECK(open.routes.outcome == study::RouteOutcome::open);
  CHECK(record_of(open, Method::tt_island).conflict.find("do not tell") != std::string::npos);
  const study::StudyResult against = assessed(decision("three-phase load", "accepted"));
  CHECK(against.routes.outcome == study::RouteOutcome::against);
}

TEST_CASE("TT is settled only where the other methods are out of the question", "[study]") {
  const std::string ready = separate + all_bridges_clear() + decision("tt", "accepted");
  const study::StudyResult alone = assessed(ready);
  CHECK(record_of(alone, Method::tt_island).record.support == Support::supports);
  CHECK(alone.routes.outcome == study::RouteOutcome::open);
  CHECK(record_of(alone, Method::tt_island).conflict.find("probe device") != std::string::npos);
  std::string rejections;
  for (const std::string_view word : routes::method_words()) {
    if (word != "tt") rejections += decision(std::string(word), "rejected");
  }
  const study::StudyResult justified = assessed(ready + rejections);
  CHECK(justified.routes.outcome == study::RouteOutcome::settled);
  CHECK(record_of(justified, Method::tt_island).conflict.empty());
}

TEST_CASE("a kind of place lowers what it speaks against, and a clause may be denied", "[study]") {
  const study::StudyResult result = assessed(
      "[places]\ncaravan_site = \"yes\"\nswimming_pool = \"no\"\n[register]\ntt_condition = \"no\"\n");
  CHECK(record_of(result, Method::probe_device).record.support == Support::contradicts);
  CHECK(result.routes.places.size() == 1);
  CHECK(result.routes.open_places.size() == routes::place_count - 2);
  CHECK(result.routes.denied_clauses.size() == 1);
}

TEST_CASE("a place that speaks against the electrode keeps it from being called feasible", "[study]") {
  const std::string easy =
      "[break]\nposition = \"own service\"\nreason = \"a test\"\n[measured_electrode]\nname = "
      "\"old rods\"\nresistance = \"0.2 ohm\"\nmethod = \"fall of potential\"\ndate = "
      "\"2026-05-02\"\npme_disconnected = true\n";
  const study::StudyResult plain = assessed(easy);
  CHECK(plain.verdict == study::Verdict::feasible);
  const study::StudyResult caravans = assessed(easy + "[places]\ncaravan_site = \"yes\"\n");
  CHECK(caravans.verdict == study::Verdict::undecided);
  CHECK(caravans.candidates[0].why.find("caravans") != std::string::npos);
}

TEST_CASE("conductor, transformer and probe are judged with this site's numbers", "[study]") {
  const study::StudyResult result =
      assessed("[conductor]\nsection = \"10 mm2\"\nneutral = \"25 mm2\"\nsheathed = "
               "true\n[isolating_transformer]\ncurrent = \"40 "
               "A\"\n[probe]\nplaces = [[\"0 m\", \"0 m\"]]\nlength = \"0.5 m\"\ndiameter = \"10 mm\"\n");
  CHECK(result.routes.conductor_sentence.find("NOT met") != std::string::npos);  // 16 mm2 for a sheath alone
  CHECK(record_of(result, Method::separated_circuit).record.support == Support::supports);
  REQUIRE(result.routes.probe);
  const std::string& finding = result.routes.probe->judgement.finding;
  const std::string lead = "the probe has ";
  const auto at = finding.find(lead);
  REQUIRE(at != std::string::npos);
  // rho / (2 pi L) (ln(8 L / d) - 1) at 50 ohm m (Dwight 1936, from memory); thin rods only, here good to 3 %
  CHECK(std::stod(finding.substr(at + lead.size())) == Approx(79.5).epsilon(0.03));
}

TEST_CASE("wrong answers, double decisions and unknown items are located", "[study]") {
  for (const std::string& more :
       {std::string("[places]\ncaravan_site = \"perhaps\"\n"),
        decision("tt", "accepted") + decision("tt", "rejected"),
        std::string("[route_prices]\ncurrency = \"u\"\n[[route_prices.items]]\nitem = \"gold\"\nprice = 3\n"),
        std::string("[[route_decisions]]\nmethod = \"tt\"\ndecision = \"accepted\"\n"),
        std::string("[probe]\nplaces = [[\"0 m\", \"0 m\"]]\nlength = \"0.01 m\"\ndiameter = \"50 mm\"\n")}) {
    INFO(more);
    const Read result = read(base + more);
    CHECK(result.diagnostics.has_errors());
    for (const Diagnostic& found : result.diagnostics.all())
      CHECK(found.at.line > 0);
  }
}

TEST_CASE("all of it writes and reads back", "[study]") {
  const std::string everything = separate + all_bridges_clear() + decision("tt", "accepted") +
                                 decision("probe device", "rejected") +
                                 "[places]\ncaravan_site = \"no\"\nswimming_pool = "
                                 "\"yes\"\n[register]\ntt_condition = \"yes\"\nlicensed_copy = \"a copy\"\n"
                                 "[conductor]\nsection = \"16 mm2\"\nneutral = \"25 mm2\"\nsheathed = "
                                 "true\n[isolating_transformer]\ncurrent = \"40 A\"\n[rcd]\nupstream = \"0.1 "
                                 "A\"\nupstream_delayed = true\n"
                                 "[probe]\nplaces = [[\"3 m\", \"-2 m\"]]\nlength = \"0.5 m\"\ndiameter = "
                                 "\"10 mm\"\ninput_impedance = \"1000000 ohm\"\nacts_at = "
                                 "\"50 V\"\n[route_prices]\ncurrency = \"units\"\ninvented = "
                                 "true\n[[route_prices.items]]\nitem = \"RCD for TT\"\nprice = 95\n"
                                 "labour = 30\n";
  const Read first = read(base + everything);
  REQUIRE(first.site);
  Diagnostics found("results.json");
  const auto again = study::read_site(
      report::site_document(*first.site), text::Dialect::sent_by_programs, {},
      [](const std::string&) { return std::nullopt; }, found);
  REQUIRE(again);
  const study::RouteFacts& before = first.site->routes;
  const study::RouteFacts& after = again->routes;
  CHECK(after.places == before.places);
  CHECK(after.bridging == before.bridging);
  CHECK(after.clauses == before.clauses);
  CHECK(after.bridging_checked_on == before.bridging_checked_on);
  CHECK(after.licensed_copy == before.licensed_copy);
  REQUIRE(after.probe);
  CHECK(after.probe->at.y_m == -2.0);
  CHECK(after.probe->acts_at_v == 50.0);
  REQUIRE(after.conductor);
  CHECK(after.conductor->section_m2 == before.conductor->section_m2);
  CHECK(after.transformer_a == 40.0);
  REQUIRE(after.prices);
  CHECK(after.prices->lines.at(0).labour == 30.0);
  REQUIRE(after.decisions.size() == 2);
  CHECK(after.decisions[1].method == Method::probe_device);
  CHECK_FALSE(after.decisions[1].is_accepted);
}

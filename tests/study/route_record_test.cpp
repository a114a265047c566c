// SPDX-License-Identifier: MIT
// The site file's word on the permitted methods, and what the study makes of it. All sites are invented.
#include <ohmroot/report/json.hpp>
#include <ohmroot/study/assess.hpp>
#include <ohmroot/study/candidate.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/toml.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

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
  for (const Diagnostic& found : result.diagnostics.all())
    UNSCOPED_INFO(to_text(found));
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

TEST_CASE("each method has sites that differ in one input and get each of the three answers, with numbers",
          "[study]") {
  struct Trio {
    Method method;
    std::string common;  // of all three sites
    std::array<std::string, 3> supports_contradicts_open;
    std::string threshold;  // named in the first two findings
  };
  const auto load = [](int phase, const std::string& least, const std::string& greatest) {
    const std::string on = std::to_string(phase);
    return "[[loads]]\nname = \"heaters " + on + "\"\nphase = \"" + on + "\"\nleast = \"" + least +
           "\"\nleast_basis = \"a test\"\nmodel = \"constant impedance\"\nmodel_basis = "
           "\"heaters\"\ngreatest = \"" +
           greatest + "\"\n";
  };
  const std::string base_load = load(1, "90 A", "91 A") + load(2, "90 A", "92 A") + load(3, "90 A", "92 A");
  const std::string three_phases = "[supply]\nphases = 3\n";
  const auto edition = [](const char* name) {
    return std::string("[rules]\njurisdiction = \"GB\"\nedition = \"BS 7671:2018+") + name + "\"\n";
  };
  const std::string measured =
      "[break]\nposition = \"own service\"\nreason = \"a test\"\n[measured_electrode]\nname "
      "= \"old rods\"\nmethod = \"fall of potential\"\ndate = "
      "\"2026-05-02\"\npme_disconnected = true\n";
  const std::string probe = "[probe]\nplaces = [[\"0 m\", \"0 m\"]]\nlength = \"0.6 m\"\ndiameter = \"12 "
                            "mm\"\ninput_impedance = \"1000000 ohm\"\n" +
                            separate;
  const std::vector<Trio> trios{
      {Method::three_phase_load,
       three_phases + base_load,
       {edition("A1:2020"), edition("A4:2026"), edition("A2:2022")},
       "70 V"},
      {Method::supplementary_electrode,
       measured,
       {"resistance = \"0.2 ohm\"\n", "resistance = \"80 ohm\"\n", "resistance = \"2.9 ohm\"\n"},
       "ohm"},
      {Method::probe_device, probe, {"acts_at = \"50 V\"\n", "acts_at = \"120 V\"\n", ""}, "70 V"},
      {Method::separated_circuit,
       "",
       {"[isolating_transformer]\ncurrent = \"40 A\"\n", "[isolating_transformer]\ncurrent = \"16 A\"\n", ""},
       "kVA"},
  };
  for (const Trio& trio : trios) {
    INFO(routes::method_word(trio.method));
    const std::array expected{Support::supports, Support::contradicts, Support::does_not_tell};
    for (std::size_t i = 0; i < 3; ++i) {
      std::string text = trio.common;
      const std::string& differs = trio.supports_contradicts_open.at(i);
      // A key of the table at the end, or one of the probe's, else a table of its own.
      if (trio.method == Method::probe_device)
        text.insert(text.find("input_impedance"), differs);
      else
        text = trio.method == Method::supplementary_electrode ? text + differs : differs + text;
      const study::StudyResult result = assessed(text);
      const routes::MethodRecord& record = record_of(result, trio.method).record;
      INFO(i << ": " << record.finding);
      CHECK(record.support == expected.at(i));
      if (i < 2) CHECK(record.finding.find(trio.threshold) != std::string::npos);
      CHECK(record.finding.find_first_of("0123456789") != std::string::npos);
      CHECK_FALSE(record.next_step.empty());
    }
  }
  // A device between line and neutral: one phase; three phases; three with more on the second phase.
  const std::array<std::string, 3> watched{"",
                                           three_phases + load(2, "28 A", "32 A") + load(3, "28 A", "32 A"),
                                           three_phases + load(2, "0 A", "90 A") + load(3, "28 A", "32 A")};
  const std::array answers{Support::supports, Support::does_not_tell, Support::contradicts};
  for (std::size_t i = 0; i < 3; ++i) {
    const study::StudyResult result = assessed(watched.at(i));
    const routes::MethodRecord& record = record_of(result, Method::line_to_neutral_device).record;
    INFO(i << ": " << record.finding);
    CHECK(record.support == answers.at(i));
    CHECK(record.finding.find("70 V") != std::string::npos);
  }
  // TT: all clear; one check bridged; one not done.
  std::string bridged = all_bridges_clear();
  std::string open = all_bridges_clear();
  bridged.replace(bridged.find("\"yes\""), 5, "\"no\"");
  open.replace(open.find("\"yes\""), 5, "\"not known\"");
  const std::array<std::string, 3> bridging{all_bridges_clear(), bridged, open};
  const std::array tt_answers{Support::supports, Support::contradicts, Support::does_not_tell};
  for (std::size_t i = 0; i < 3; ++i) {
    const study::StudyResult result = assessed(separate + bridging.at(i));
    const routes::MethodRecord& record = record_of(result, Method::tt_island).record;
    INFO(i << ": " << record.finding);
    CHECK(record.support == tt_answers.at(i));
    CHECK(record.finding.find("against 50 V") != std::string::npos);
  }
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

TEST_CASE("the conductor's thermal size and rating come from what is stated of it, else they are not known",
          "[study]") {
  const std::string laid = "[conductor]\nsection = \"16 mm2\"\nneutral = \"25 mm2\"\nsheathed = true\n";
  const std::string open = assessed(laid).routes.conductor_sentence;
  CHECK(open.find("thermal size is not known") != std::string::npos);
  CHECK(open.find("no rating is stated") != std::string::npos);
  // sqrt(I^2 t) / k, BS 7671 regulation 543.1.3 (form second-hand): 3000 A for 1 s, 143: 20.979 mm2, above the 16 laid
  const study::StudyResult hot =
      assessed(laid + "fault_current = \"3000 A\"\nfault_time = \"1 s\"\nrated_current = \"80 A\"\n");
  REQUIRE(hot.routes.conductor->thermal_m2);
  CHECK(*hot.routes.conductor->thermal_m2 == Approx(20.979e-6).epsilon(1e-4));
  CHECK(hot.routes.conductor->least_m2 == *hot.routes.conductor->thermal_m2);
  CHECK(hot.routes.conductor_sentence.find("NOT met") != std::string::npos);
  CHECK(hot.routes.conductor->is_rating_enough == true);
  const study::StudyResult weak = assessed(laid + "rated_current = \"1 A\"\n");
  CHECK(weak.routes.conductor->is_rating_enough == false);
  // The current is that at the least resistance over soils and seasons, not at the middle.
  const study::CandidateResult& rod = weak.candidates.front();
  CHECK(rod.greatest_current_a > std::abs(rod.state_at_value->path_current_a.front()));
  CHECK(rod.greatest_current_a <= weak.site.supply.highest_v / study::alone_ohm(weak.site, rod).least);
  CHECK(read(base + laid + "fault_current = \"3000 A\"\n").diagnostics.has_errors());
}

TEST_CASE("the electrode is priced from the list of the routes, metre by metre", "[study]") {
  const auto priced = [](const std::string& item, int price) {
    return "[[route_prices.items]]\nitem = \"" + item + "\"\nprice = " + std::to_string(price) + "\n";
  };
  const std::string list = "[route_prices]\ncurrency = \"units\"\n" +
                           priced("conductor to the electrode", 100) + priced("test and certificate", 50) +
                           priced("metre of driven rod", 20);
  const routes::RouteCost part = record_of(assessed(list), Method::supplementary_electrode).cost;
  CHECK_FALSE(part.total);
  CHECK(part.sentence.find("head of a rod") != std::string::npos);
  const routes::RouteCost whole =
      record_of(assessed(list + priced("head of a rod", 30)), Method::supplementary_electrode).cost;
  REQUIRE(whole.total);
  CHECK(*whole.total == Approx(100.0 + 50.0 + 2.4 * 20.0 + 30.0));
}

TEST_CASE("a tick that the plan contradicts is named", "[study]") {
  const std::string post = "[[metal_above]]\nname = \"post\"\nplaces = [[\"2 m\", \"5 m\"]]\n";
  const study::StudyResult at_odds = assessed(separate + all_bridges_clear() + post);
  REQUIRE(at_odds.routes.bridging.at_odds.size() == 1);
  CHECK(at_odds.routes.bridging.at_odds.front().find("'post' 1.00 m from") != std::string::npos);
  CHECK_FALSE(at_odds.routes.bridging.is_clear());
  CHECK(record_of(at_odds, Method::tt_island).record.support == Support::contradicts);
  CHECK(assessed(separate + post).routes.bridging.at_odds.empty());  // nothing was ticked
  CHECK(assessed(separate + all_bridges_clear()).routes.bridging.at_odds.empty());
}

TEST_CASE("TT rests on the electrode that is to be the TT electrode", "[study]") {
  const std::string two =
      "[[candidates]]\nname = \"long rod\"\nshape = \"rod\"\nlength = \"6 m\"\ndiameter = \"16 mm\"\n";
  const study::StudyResult governed = assessed(two);
  const study::StudyResult named = assessed(two + separate + "candidate = \"rod\"\n");
  REQUIRE(governed.tt);
  REQUIRE(named.tt);
  CHECK(governed.tt->resistance_ohm.basis.find("'long rod'") != std::string::npos);
  CHECK(named.tt->resistance_ohm.basis.find("'rod'") != std::string::npos);
  CHECK(named.tt->resistance_ohm.greatest > governed.tt->resistance_ohm.greatest);
  REQUIRE(named.tt_fault);
  CHECK(named.tt_fault->current_a.least < governed.tt_fault->current_a.least);
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
  const std::string everything =
      separate + all_bridges_clear() + decision("tt", "accepted") + decision("probe device", "rejected") +
      "[places]\ncaravan_site = \"no\"\nswimming_pool = "
      "\"yes\"\n[register]\ntt_condition = \"yes\"\nlicensed_copy = \"a copy\"\n"
      "[conductor]\nsection = \"16 mm2\"\nneutral = \"25 mm2\"\nsheathed = "
      "true\nrated_current = \"90 A\"\nfault_current = \"800 A\"\nfault_time = "
      "\"0.4 s\"\nk = 115\n[isolating_transformer]\ncurrent = \"40 A\"\n[rcd]\nupstream = \"0.1 "
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
  CHECK(after.conductor->rated_current_a == 90.0);
  REQUIRE(after.conductor->fault);
  CHECK(after.conductor->fault->time_s == 0.4);
  CHECK(after.conductor->fault->material_ratio == 115.0);
  CHECK(after.transformer_a == 40.0);
  REQUIRE(after.prices);
  CHECK(after.prices->lines.at(0).labour == 30.0);
  REQUIRE(after.decisions.size() == 2);
  CHECK(after.decisions[1].method == Method::probe_device);
  CHECK_FALSE(after.decisions[1].is_accepted);
}

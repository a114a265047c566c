// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/core/version.hpp>
#include <ohmroot/report/detail/page_frame.hpp>
#include <ohmroot/report/detail/route_parts.hpp>
#include <ohmroot/report/detail/sections.hpp>
#include <ohmroot/report/detail/separation_parts.hpp>
#include <ohmroot/report/route_page.hpp>
#include <ohmroot/routes/bridging.hpp>
#include <ohmroot/routes/tt_selectivity.hpp>
#include <ohmroot/study/assess.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ohmroot::report {
namespace {

using detail::CellKind;
using detail::Column;
using detail::Element;
using detail::Html;
using detail::Rows;
using detail::Section;
using routes::Method;

std::string given_or(const std::string& text, const char* otherwise) {
  return text.empty() ? otherwise : text;
}

void write_heading(Html& html, const study::StudyResult& result) {
  const Element header(html, "header");
  html.element("p", "Permitted methods for a charge point on a PME supply: which, and why not the others",
               {{"class", "kind"}});
  {
    const Element title(html, "h1");
    html.verbatim(given_or(result.site.title, result.site.reference.c_str()));
  }
  detail::write_facts(html,
                      {{"Reference", result.site.reference, CellKind::given},
                       {"Jurisdiction", result.site.jurisdiction, CellKind::given},
                       {"Rules designed to", given_or(result.site.edition, "not stated"), CellKind::given},
                       {"Computed with", fmt::format("ohmroot {}", version)}});
}

const char* frame_of(study::RouteOutcome outcome) {
  return outcome == study::RouteOutcome::settled ? "part verdict feasible"
         : outcome == study::RouteOutcome::open  ? "part verdict undecided"
                                                 : "part verdict not-feasible";
}

void write_answer(Html& html, const study::StudyResult& result) {
  const study::RoutesResult& routes = result.routes;
  const Section section(html, "answer", fmt::format("Answer: {}", detail::route_outcome_name(routes.outcome)),
                        frame_of(routes.outcome));
  {
    const Element line(html, "p", {{"class", "headline"}});
    html.verbatim(routes.sentence);
  }
  html.element(
      "p", "That an electrode at the MET cannot be had does not justify TT. What does: the other methods are "
           "out of "
           "the question here, and separation from metal on the PME earth can be had and has been checked.");
  Rows rows;
  for (const study::RouteRecord& route : routes.records)
    rows.push_back({route.record.title, std::string(routes::support_name(route.record.support)),
                    !route.decision               ? "not decided"
                    : route.decision->is_accepted ? "accepted"
                                                  : "rejected",
                    route.cost.total ? fmt::format("{:.0f}", *route.cost.total) : "not known"});
  const std::string currency =
      result.site.routes.prices ? " [" + result.site.routes.prices->currency + "]" : "";
  detail::write_table(html, "The permitted methods at a glance",
                      {{"Method"}, {"The data"}, {"Decision"}, {"Cost" + currency, CellKind::number}}, rows);
}

/// Of the devices stated, else what is asked of them.
std::string selectivity_words(const study::StudyResult& result) {
  const auto& devices = result.site.routes.devices;
  if (!devices)
    return "an RCD ahead of the one at the charge point has to be time-delayed (type S) and of at least "
           "three times its rating "
           "(common practice, not checked against the licensed text); none is stated";
  const routes::SelectivityCheck check =
      routes::check_selectivity({{devices->upstream_a, devices->is_upstream_delayed},
                                 {devices->downstream_a, false},
                                 result.tt->resistance_ohm.greatest,
                                 result.tt->limit_v});
  return fmt::format("{}: {}{}{}", routes::support_name(check.judgement.support), check.judgement.finding,
                     check.judgement.next_step.empty() ? "" : "; ", check.judgement.next_step);
}

void write_tt_part(Html& html, const study::StudyResult& result) {
  const Section section(html, "tt", "TT: electrode, RCD and fault");
  if (!result.tt) {
    html.element("p", "No resistance to earth is known yet: nothing can be said of TT.");
    return;
  }
  const routes::TtCheck& tt = *result.tt;
  const study::FactorInterval season = result.site.season.value_or(study::FactorInterval{});
  std::vector<detail::Fact> facts{
      {"R_A in the worst season",
       fmt::format("{} ({} to {}); season factor {} to {}{}",
                   format_quantity(tt.resistance_ohm.value, Dimension::resistance),
                   format_quantity(tt.resistance_ohm.least, Dimension::resistance),
                   format_quantity(tt.resistance_ohm.greatest, Dimension::resistance),
                   format_number(season.least_ratio), format_number(season.greatest_ratio),
                   season.basis.empty() ? ", no basis stated" : "; " + season.basis)},
      {"Limit", fmt::format("R_A x I_dn at most {}; {}", format_given(tt.limit_v, Dimension::voltage),
                            result.site.tt_limit_basis)},
      {"Stability", tt.stability_advice}};
  if (result.tt_fault) facts.push_back({"Earth fault on TT", result.tt_fault->sentence});
  facts.push_back({"Disconnection",
                   fmt::format("final circuits within {} s, distribution within {} s at 230 V",
                               format_number(routes::disconnection_time_s(routes::EarthingArrangement::tt,
                                                                          routes::CircuitKind::final_circuit),
                                             2),
                               format_number(routes::disconnection_time_s(routes::EarthingArrangement::tt,
                                                                          routes::CircuitKind::distribution),
                                             2))});
  facts.push_back({"Selectivity", selectivity_words(result)});
  detail::write_facts(html, facts);
  Rows rows;
  for (const routes::ResidualDeviceCheck& device : tt.devices)
    rows.push_back({format_quantity(device.rated_residual_current_a, Dimension::current, 2),
                    format_quantity(device.greatest_resistance_ohm, Dimension::resistance),
                    format_quantity(device.product_v, Dimension::voltage),
                    device.is_met ? "met" : "not met"});
  detail::write_table(
      html, "Rated residual current against the upper end of R_A",
      {{"I_dn"}, {"Greatest R_A", CellKind::number}, {"R_A x I_dn", CellKind::number}, {"Condition"}}, rows);
  html.element("p", "What TT does not protect: appliances, from the over-voltage of an open PEN on whatever "
                    "stays on PME; metal "
                    "that stays bonded to the PME earth; anything joined to both earths.");
}

void write_bridging(Html& html, const study::StudyResult& result) {
  const Section section(html, "bridging", "Bridging checks");
  html.element("p", result.site.routes.bridging_checked_on.empty()
                        ? "No date of the checks is stated."
                        : "Checked on " + result.site.routes.bridging_checked_on + ".");
  Rows rows;
  for (const routes::BridgeRule& rule : routes::bridge_rules()) {
    const routes::Answer answer = result.site.routes.bridging.at(static_cast<std::size_t>(rule.bridge));
    rows.push_back({std::string(rule.check), answer == routes::Answer::yes ? "clear"
                                             : answer == routes::Answer::no
                                                 ? "BRIDGED: " + std::string(rule.sentence)
                                                 : "not checked"});
  }
  detail::write_table(html, "An unchecked line means that TT cannot be decided", {{"Check"}, {"Found"}},
                      rows);
  detail::write_list(html, result.routes.bridging.at_odds);
  detail::write_facts(
      html, {{"Distributor on separation",
              given_or(result.site.routes.distributor_on_separation,
                       "not asked: ask which separation it wants from its metal, and from which of it"),
              CellKind::given}});
}

void write_open_points(Html& html, const study::StudyResult& result) {
  const study::RoutesResult& routes = result.routes;
  const Section section(html, "open", "Open points");
  const auto part = [&](const char* heading, const std::vector<std::string>& lines) {
    if (lines.empty()) return;
    html.element("h3", heading);
    detail::write_list(html, lines);
  };
  part("The kind of place", routes.places);
  part("Questions about the place without an answer", routes.open_places);
  part("Clauses that the licensed copy does not bear out", routes.denied_clauses);
  part("Clauses not looked up in a licensed copy", routes.open_clauses);
  std::vector<std::string> conflicts;
  for (const study::RouteRecord& route : routes.records) {
    if (!route.conflict.empty()) conflicts.push_back(route.record.title + ": " + route.conflict);
  }
  part("Decisions that the data do not carry", conflicts);
  if (!result.site.routes.licensed_copy.empty())
    detail::write_facts(html, {{"Licensed copy used", result.site.routes.licensed_copy, CellKind::given}});
  const bool is_nothing_open = routes.places.empty() && routes.open_places.empty() &&
                               routes.denied_clauses.empty() && routes.open_clauses.empty() &&
                               conflicts.empty();
  if (is_nothing_open) html.element("p", "None.");
}

}  // namespace

std::string route_page(const study::StudyResult& result, const std::vector<Figure>& figures) {
  return detail::framed_page(result.site, "permitted methods", [&](Html& html) {
    detail::FigureShelf shelf(figures);
    write_heading(html, result);
    write_answer(html, result);
    write_open_points(html, result);
    {
      const Section section(html, "methods", "Every permitted method");
      detail::write_route_record(html, result);
      shelf.write(html, "blind-region");
    }
    write_tt_part(html, result);
    write_bridging(html, result);
    detail::write_separation(html, result, shelf);
    if (!result.routes.conductor_sentence.empty()) {
      const Section section(html, "conductor", "Conductor to the electrode");
      html.element("p", result.routes.conductor_sentence);
    }
    shelf.write_rest(html);
    detail::write_cautions(html, result);
    detail::write_sign_off(html, result);
  });
}

}  // namespace ohmroot::report

// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/core/version.hpp>
#include <ohmroot/electrode/conductors.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/report/detail/page_frame.hpp>
#include <ohmroot/report/handover_pages.hpp>
#include <ohmroot/study/assess.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

namespace ohmroot::report {
namespace {

using acceptance::TestVerdict;
using detail::CellKind;
using detail::Element;
using detail::Fact;
using detail::Html;
using detail::Section;

constexpr const char* blank = "________________";

std::string ohms(double value_ohm) {
  return std::isfinite(value_ohm) ? format_quantity(value_ohm, Dimension::resistance)
                                  : std::string("no upper end");
}
std::string interval(const Estimate& estimate) {
  return fmt::format("{} ({} to {})", ohms(estimate.value), ohms(estimate.least), ohms(estimate.greatest));
}

bool has_passed(const std::optional<HandoverTest>& test) {
  return test && test->verdict == TestVerdict::pass;
}

const study::RouteRecord* accepted_route(const study::StudyResult& result) {
  for (const study::RouteRecord& route : result.routes.records) {
    if (route.decision && route.decision->is_accepted) return &route;
  }
  return nullptr;
}

const study::Candidate* electrode_of(const study::StudyResult& result,
                                     const std::optional<HandoverTest>& test) {
  const std::string name = test                         ? test->electrode
                           : result.governing_candidate ? result.candidates[*result.governing_candidate].name
                                                        : "";
  const auto found = std::find_if(result.site.candidates.begin(), result.site.candidates.end(),
                                  [&](const study::Candidate& c) { return c.name == name; });
  return found == result.site.candidates.end() ? nullptr : &*found;
}

std::string test_words(const std::optional<HandoverTest>& test) {
  if (!test) return "not tested yet: nothing here is accepted.";
  return fmt::format("tested on {} by {}. {}", test->date, test->method, test->why);
}

void write_heading(Html& html, const study::StudyResult& result, std::string_view kind) {
  const Element header(html, "header");
  html.element("p", kind, {{"class", "kind"}});
  {
    const Element title(html, "h1");
    html.verbatim(result.site.title.empty() ? result.site.reference : result.site.title);
  }
  detail::write_facts(html, {{"Reference", result.site.reference, CellKind::given},
                             {"Computed with", fmt::format("ohmroot {}", version)}});
}

// --- The client ------------------------------------------------------------------------------------------

void write_client(Html& html, const study::StudyResult& result, const std::optional<HandoverTest>& test) {
  write_heading(html, result, "What was decided for your charge point, and what to keep in mind");
  const study::RouteRecord* accepted = accepted_route(result);
  {
    const Section section(html, "answer", "The answer");
    if (accepted != nullptr && accepted->conflict.empty()) {
      html.element("p", accepted->record.title, {{"class", "headline"}});
      const Element reason(html, "p");
      html.text("Reason: ");
      html.verbatim(accepted->decision->reason);
    } else if (accepted != nullptr) {
      html.element("p", "Not settled: " + accepted->record.title + ", " + accepted->conflict,
                   {{"class", "headline"}});
    } else {
      html.element("p", "No method is decided yet. " + result.headline, {{"class", "headline"}});
    }
    html.element("p", "Electrode: " + test_words(test));
    if (accepted != nullptr) html.element("p", "It protects " + accepted->protects + ".");
  }
  {
    const Section section(html, "others", "Why not the others");
    std::vector<Fact> facts;
    for (const study::RouteRecord& route : result.routes.records) {
      if (&route == accepted) continue;
      facts.push_back({route.record.title,
                       route.decision ? "rejected: " + route.decision->reason
                                      : fmt::format("not decided; the data: {}",
                                                    routes::support_name(route.record.support)),
                       CellKind::given});
    }
    detail::write_facts(html, facts);
  }
  {
    const Section section(html, "keep", "What not to alter without asking");
    detail::write_list(html, result.voided_by);
  }
  {
    const Section section(html, "signs", "Warning signs");
    detail::write_list(html,
                       {"lights that glow brighter or dimmer than usual, or flicker together",
                        "a tingle from a tap, a metal case, the vehicle or anything outdoors",
                        "appliances that fail several at once", "a warm or discoloured earthing conductor"});
    html.element("p", "Then: touch nothing metal, unplug no vehicle, keep others away, and call the "
                      "distributor's emergency number. "
                      "Only the distributor works on the supply's conductors.");
    detail::write_facts(html, {{"Distributor, emergency", blank}, {"Electrician", blank}});
  }
}

// --- The distributor -------------------------------------------------------------------------------------

void write_distributor(Html& html, const study::StudyResult& result,
                       const std::optional<HandoverTest>& test) {
  write_heading(html, result, "Data for the distributor's form");
  const study::Site& site = result.site;
  double connected_a = 0.0;
  double charge_a = 0.0;
  for (const supply::Load& load : site.loads) {
    connected_a += load.greatest_current_a;
    if (load.charge_point != supply::ChargePoint::none) charge_a += load.greatest_current_a;
  }
  const Section section(html, "data", "Supply and load");
  detail::write_facts(
      html,
      {{"Earthing arrangement", "TN-C-S (PME)"},
       {"Phases", fmt::format("{}", site.supply.phase_count)},
       {"Voltage range stated",
        fmt::format("{} to {}", format_given(site.supply.lowest_v, Dimension::voltage),
                    format_given(site.supply.highest_v, Dimension::voltage))},
       {"Greatest currents, all loads and phases", format_given(connected_a, Dimension::current)},
       {"Of that charge points", format_given(charge_a, Dimension::current)},
       {"Method", accepted_route(result) != nullptr ? accepted_route(result)->record.title : "not decided"},
       {"Electrode", electrode_of(result, test) != nullptr ? electrode_of(result, test)->name : "none",
        CellKind::given},
       {"Its resistance by test",
        test && test->resistance_ohm ? interval(*test->resistance_ohm) : "not tested"},
       {"Asked of the distributor: separation from its metal",
        site.routes.distributor_on_separation.empty() ? blank : site.routes.distributor_on_separation,
        CellKind::given},
       {"Asked of the distributor: where the PEN is shared",
        site.break_reason.empty() ? blank : site.break_reason, CellKind::given},
       {"Supply number", blank},
       {"Main fuse", blank}});
}

// --- The installer ---------------------------------------------------------------------------------------

/// The electrode from above, to scale, with the distance of each rod from the first.
std::string sketch_of(const std::vector<electrode::Conductor>& conductors) {
  double least_x = 1e9;
  double greatest_x = -1e9;
  double least_y = 1e9;
  double greatest_y = -1e9;
  for (const electrode::Conductor& conductor : conductors) {
    for (const electrode::Place& place : {conductor.from, conductor.to}) {
      least_x = std::min(least_x, place.x_m);
      greatest_x = std::max(greatest_x, place.x_m);
      least_y = std::min(least_y, place.y_m);
      greatest_y = std::max(greatest_y, place.y_m);
    }
  }
  const double extent_m = std::max({greatest_x - least_x, greatest_y - least_y, 0.5});
  const double scale = 480.0 / extent_m;
  const double height = (greatest_y - least_y) * scale + 120.0;
  std::string svg = fmt::format(
      "<svg viewBox=\"0 0 600 {:.0f}\" role=\"img\" aria-label=\"The electrode from above\" "
      "style=\"width:100%;max-height:90mm\"><g stroke=\"#1f2933\" stroke-width=\"2\" fill=\"#1f2933\" "
      "font-family=\"Arial, sans-serif\" font-size=\"14\">",
      height);
  int number = 0;
  for (const electrode::Conductor& conductor : conductors) {
    const double x = 60.0 + (conductor.from.x_m - least_x) * scale;
    const double y = height - 60.0 - (conductor.from.y_m - least_y) * scale;
    const double length_m =
        std::hypot(conductor.to.x_m - conductor.from.x_m, conductor.to.y_m - conductor.from.y_m);
    if (length_m < 1e-6) {
      const double away_m = std::hypot(conductor.from.x_m - conductors.front().from.x_m,
                                       conductor.from.y_m - conductors.front().from.y_m);
      svg += fmt::format("<circle cx=\"{0:.1f}\" cy=\"{1:.1f}\" r=\"5\"/><text x=\"{0:.1f}\" y=\"{2:.1f}\" "
                         "text-anchor=\"middle\" stroke=\"none\">{3}: {4:.2f} m</text>",
                         x, y, y - (number % 2 == 0 ? 14.0 : -26.0), number + 1, away_m);
    } else {
      svg += fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\"/>", x, y,
                         60.0 + (conductor.to.x_m - least_x) * scale,
                         height - 60.0 - (conductor.to.y_m - least_y) * scale);
    }
    ++number;
  }
  svg += fmt::format(
      "</g><g stroke=\"#52606d\" fill=\"#52606d\" font-family=\"Arial, sans-serif\" font-size=\"13\"><line "
      "x1=\"60\" "
      "y1=\"{0:.0f}\" x2=\"{1:.1f}\" y2=\"{0:.0f}\"/><text x=\"{2:.1f}\" y=\"{3:.0f}\" stroke=\"none\">1 "
      "m</text></g></svg>",
      height - 12.0, 60.0 + scale * std::min(1.0, extent_m), 66.0 + scale * std::min(1.0, extent_m),
      height - 8.0);
  return svg;
}

void write_installer(Html& html, const study::StudyResult& result, const acceptance::AcceptanceValue& value,
                     const std::optional<HandoverTest>& test) {
  write_heading(html, result, "Sheet for whoever installs the electrode");
  const std::vector<std::string> open = result.site.routes.open_permissions();
  if (!open.empty()) {
    const Section section(html, "closed", "NOT TO BE USED YET");
    html.element("p", "No place, no depth and no value is given until these are answered with yes in "
                      "[permissions] of the site file:");
    detail::write_list(html, open);
    return;
  }
  const study::Candidate* candidate = electrode_of(result, test);
  if (candidate == nullptr) {
    html.element("p", "There is no electrode to install.");
    return;
  }
  {
    const Section section(html, "electrode", "The electrode");
    const auto conductors = electrode::conductors_of(candidate->shape);
    detail::write_facts(html, {{"Name", candidate->name, CellKind::given},
                               {"What it is", electrode::describe(candidate->shape)},
                               {"First rod or start, from two fixed points",
                                fmt::format("{} m from {}, {} m from {}", "____", blank, "____", blank)},
                               {"Conductor", result.routes.conductor_sentence.empty()
                                                 ? "section not stated: look it up before it is laid"
                                                 : result.routes.conductor_sentence}});
    html.markup(sketch_of(conductors));
    html.element("p", "From above, to scale; number and distance from the first.");
  }
  {
    const Section section(html, "value", "What it has to read");
    html.element("p", value.accept_below_ohm
                          ? fmt::format("At most {} this month, alone and not connected to anything ({}).",
                                        ohms(*value.accept_below_ohm), value.expression)
                          : "No value can be given: " + value.expression);
  }
  {
    const Section section(html, "stop", "Stop rules");
    detail::write_list(html, {"A sudden fall of the resistance: the rod may have struck metal, a cable "
                              "sheath or a duct. Stop, do not touch "
                              "the rod or anything on it, stand clear.",
                              "The rod stops all at once: a duct, a cable, a foundation or rock. The same.",
                              "More resistance with more rod: a joint, the clip or the reading is bad. Mend "
                              "it before the next section."});
    detail::write_list(html, result.cautions);
  }
}

// --- The certificate and the card ------------------------------------------------------------------------

void write_certificate(Html& html, const study::StudyResult& result,
                       const std::optional<HandoverTest>& test) {
  write_heading(html, result,
                "Lines for the electrical certificate; the local form and a licensed person decide");
  const study::Candidate* candidate = electrode_of(result, test);
  const bool is_tt =
      accepted_route(result) != nullptr && accepted_route(result)->record.method == routes::Method::tt_island;
  const Section section(html, "lines", "Lines");
  detail::write_facts(
      html,
      {{"Means of earthing",
        is_tt ? "installation's own electrode (TT) for the part named here" : "distributor's facility (PME)"},
       {"Electrode, kind", candidate != nullptr ? electrode::describe(candidate->shape) : blank},
       {"Electrode, place", blank},
       {"Resistance to earth by test",
        test && test->resistance_ohm ? interval(*test->resistance_ohm) : blank},
       {"In the worst season", test && test->worst_season_ohm ? interval(*test->worst_season_ohm) : blank},
       {"Method and date", test ? test->method + ", " + test->date : blank},
       {"Judged", test_words(test)},
       {"RCD of the charge point",
        result.site.routes.devices
            ? format_quantity(result.site.routes.devices->downstream_a, Dimension::current, 2)
            : blank},
       {"Earthing conductor",
        result.site.routes.conductor
            ? fmt::format("{:.3g} mm2 copper", 1e6 * result.site.routes.conductor->section_m2)
            : blank},
       {"Departures", blank},
       {"Signed, date", blank}});
}

std::vector<std::string> registered_words(const std::vector<acceptance::RegisterEntry>& tests) {
  std::vector<std::string> lines;
  for (const acceptance::RegisterEntry& entry : tests)
    lines.push_back(fmt::format(
        "{}: {} in the worst season ({} to {}), {} by {}", entry.date,
        format_quantity(entry.worst_season_ohm.value, Dimension::resistance),
        format_quantity(entry.worst_season_ohm.least, Dimension::resistance),
        format_quantity(entry.worst_season_ohm.greatest, Dimension::resistance),
        acceptance::verdict_name(entry.verdict),
        entry.strictest_ohm ? fmt::format("the limit of {} then",
                                          format_quantity(*entry.strictest_ohm, Dimension::resistance))
                            : std::string("no limit then")));
  return lines;
}

void write_card(Html& html, const study::StudyResult& result, const std::optional<HandoverTest>& test) {
  write_heading(html, result, "Card to be kept at the consumer unit");
  {
    const Section section(html, "now", has_passed(test) ? "Tested and accepted" : "NOT ACCEPTED");
    html.element("p", test_words(test));
  }
  {
    const Section section(html, "conditions", "Void if any of this happens");
    detail::write_list(html, result.voided_by);
  }
  const Section section(html, "retest", "Test again");
  html.element("p", fmt::format("In {} (the month that the season factor counts from), and after any work in "
                                "the ground or on the supply.",
                                result.site.month_of_measurement.empty() ? "the month of the first test"
                                                                         : result.site.month_of_measurement));
  if (test && !test->registered_tests.empty()) {
    detail::write_list(html, registered_words(test->registered_tests));
    html.element("p", test->trend);
  }
  detail::write_facts(html, {{"Date", blank}, {"Reading", blank}, {"By", blank}});
  if (!result.cautions.empty()) html.element("p", result.cautions.front());
}

}  // namespace

std::vector<HandoverPage> handover_pages(const study::StudyResult& result,
                                         const acceptance::AcceptanceValue& acceptance_value,
                                         const std::optional<HandoverTest>& test) {
  const auto page = [&](const char* file, const char* kind, const std::function<void(Html&)>& write) {
    return HandoverPage{file, detail::framed_page(result.site, kind, write)};
  };
  return {page("client.html", "for the client", [&](Html& html) { write_client(html, result, test); }),
          page("distributor.html", "for the distributor",
               [&](Html& html) { write_distributor(html, result, test); }),
          page("installer.html", "for the installer",
               [&](Html& html) { write_installer(html, result, acceptance_value, test); }),
          page("certificate.html", "for the certificate",
               [&](Html& html) { write_certificate(html, result, test); }),
          page("card.html", "card", [&](Html& html) { write_card(html, result, test); })};
}

}  // namespace ohmroot::report

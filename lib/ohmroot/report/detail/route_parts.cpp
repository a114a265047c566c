// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/detail/route_parts.hpp>
#include <ohmroot/report/json.hpp>

#include <fmt/format.h>

namespace ohmroot::report::detail {
namespace {

using study::RouteRecord;
using text::Value;

std::string decision_words(const RouteRecord& route) {
  if (!route.decision) return "not decided";
  return (route.decision->is_accepted ? "accepted: " : "rejected: ") + route.decision->reason;
}

Value route_document(const RouteRecord& route) {
  Value document;
  document.set("method", routes::method_word(route.record.method));
  document.set("title", route.record.title);
  document.set("letters", route.record.letters);
  document.set("support", routes::support_name(route.record.support));
  document.set("finding", route.record.finding);
  document.set("next_step", route.record.next_step);
  document.set("provenance", route.record.provenance);
  document.set("protects", route.protects);
  document.set("cost", route.cost.sentence);
  if (route.cost.total) document.set("cost_ratio", *route.cost.total);
  if (route.decision) {
    document.set("decision", route.decision->is_accepted ? "accepted" : "rejected");
    document.set("reason", route.decision->reason);
  }
  if (!route.conflict.empty()) document.set("conflict", route.conflict);
  return document;
}

}  // namespace

std::string_view route_outcome_name(study::RouteOutcome outcome) {
  switch (outcome) {
  case study::RouteOutcome::settled:
    return "settled";
  case study::RouteOutcome::open:
    return "open";
  case study::RouteOutcome::against:
    return "against the data";
  }
  throw InternalError("route_outcome_name: an outcome without a name");
}

void write_route_record(Html& html, const study::StudyResult& result) {
  for (const RouteRecord& route : result.routes.records) {
    const Element block(html, "div", {{"class", "route"}});
    html.element("h3", route.record.title);
    write_facts(html, {{"Where it stands", route.record.letters},
                       {"Data", fmt::format("{}: {}", routes::support_name(route.record.support),
                                            route.record.finding)},
                       {"What would decide", route.record.next_step},
                       {"Protects", std::string(route.protects)},
                       {"Cost", route.cost.sentence},
                       {"Decision", decision_words(route), CellKind::given},
                       {"Conflict", route.conflict},
                       {"How it is known", route.record.provenance}});
  }
}

Value routes_document(const study::StudyResult& result) {
  const study::RoutesResult& routes = result.routes;
  Value document;
  document.set("outcome", route_outcome_name(routes.outcome));
  document.set("sentence", routes.sentence);
  document.set("methods", documents(routes.records, route_document));
  document.set("bridged", texts(routes.bridging.bridged));
  document.set("bridging_not_checked", texts(routes.bridging.not_checked));
  document.set("bridging_at_odds", texts(routes.bridging.at_odds));
  if (routes.probe && routes.probe->shown_ratio)
    document.set("probe_shown", estimate_document(*routes.probe->shown_ratio, "ratio"));
  if (routes.probe && routes.probe->met_when_acts_v)
    document.set("met_when_device_acts", estimate_document(*routes.probe->met_when_acts_v, "v"));
  if (!routes.conductor_sentence.empty()) {
    document.set("conductor", routes.conductor_sentence);
    document.set("conductor_current_a", routes.conductor->continuous_current_a);
    document.set("conductor_least_m2", routes.conductor->least_m2);
    if (routes.conductor->thermal_m2) document.set("conductor_thermal_m2", *routes.conductor->thermal_m2);
    if (routes.conductor->is_rating_enough)
      document.set("conductor_rating_met", *routes.conductor->is_rating_enough);
  }
  document.set("places", texts(routes.places));
  document.set("places_not_known", texts(routes.open_places));
  document.set("clauses_not_looked_up", texts(routes.open_clauses));
  document.set("clauses_denied", texts(routes.denied_clauses));
  return document;
}

}  // namespace ohmroot::report::detail

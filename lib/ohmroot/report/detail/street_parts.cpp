// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/detail/street_parts.hpp>
#include <ohmroot/report/detail/words.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/study/assess.hpp>

#include <fmt/format.h>

#include <complex>

namespace ohmroot::report::detail {
namespace {

using study::BreakAnswer;
using text::Value;

std::string met_words(const BreakAnswer& answer) {
  if (!answer.state_at_value) return "-";
  if (answer.state_at_value->status != supply::OpenPenStatus::solved) return "no operating point";
  return format_quantity(std::abs(answer.state_at_value->met_v), Dimension::voltage);
}

void add_rows(const study::StudyResult& result, std::size_t k, Rows& rows) {
  const auto add = [&](const char* place, const BreakAnswer& answer) {
    rows.push_back({result.candidates[k].name, place, study::verdict_name(answer.verdict),
                    interval_ohms(answer.to_earth_ohm), met_words(answer), answer.why});
  };
  if (k < result.breaks.own_service.size()) add("own service", result.breaks.own_service[k]);
  if (k < result.breaks.street.size()) add("up the street", result.breaks.street[k]);
}

void write_street_loads(Html& html, const study::Street& street) {
  Rows rows;
  for (const supply::Load& load : street.loads) {
    rows.push_back(
        {load.name, fmt::format("{}", load.phase),
         fmt::format("{} to {}", format_given(load.least_current_a, Dimension::current),
                     format_given(load.greatest_current_a, Dimension::current)),
         load.stated_model ? std::string(supply::load_model_name(*load.stated_model)) : "all three tried"});
  }
  write_table(html, "Other customers' loads beyond a break up the street (" + street.basis + ")",
              {{"Load", CellKind::given}, {"Phase", CellKind::number}, {"Current"}, {"Load model"}}, rows);
  Rows paths;
  for (const study::OtherEarthPath& path : street.earth_paths) {
    paths.push_back({path.name, ohms(path.resistance_ohm), path.is_relied_on ? "relied on" : "left out",
                     path.basis.empty() ? "-" : path.basis});
  }
  write_table(
      html, "Other ways to earth beyond a break up the street",
      {{"Path", CellKind::given}, {"Resistance", CellKind::number}, {"Counted"}, {"Basis", CellKind::given}},
      paths);
}

Value answer_document(const std::string& candidate, const BreakAnswer& answer) {
  Value document;
  document.set("candidate", candidate);
  document.set("verdict", study::verdict_name(answer.verdict));
  document.set("why", answer.why);
  document.set("to_earth", estimate_document(answer.to_earth_ohm, "ohm"));
  if (answer.state_at_value) document.set("open_pen_state", state_document(*answer.state_at_value));
  return document;
}

Value answers_document(const study::StudyResult& result, const std::vector<BreakAnswer>& answers) {
  text::Array rows;
  for (std::size_t k = 0; k < answers.size(); ++k)
    rows.push_back(answer_document(result.candidates.at(k).name, answers[k]));
  return rows;
}

}  // namespace

void write_street(Html& html, const study::StudyResult& result) {
  const study::BreakComparison& breaks = result.breaks;
  if (breaks.own_service.empty()) return;
  const Section section(html, "street", "What if the break is next door");
  html.element("p", breaks.sentence);
  Rows rows;
  for (std::size_t k = 0; k < result.candidates.size(); ++k)
    add_rows(result, k, rows);
  write_table(html,
              "The same electrode, two breaks; the MET voltage at the middle value and the load that governs",
              {{"Candidate", CellKind::given},
               {"Break"},
               {"Answer"},
               {"All ways to earth beyond it"},
               {"MET", CellKind::number},
               {"Why"}},
              rows);
  if (!result.site.street) {
    html.element("p", "Nothing is known of the street: no row can be given for it.");
    return;
  }
  Rows needed;
  for (const supply::Requirement& requirement : breaks.street_requirements)
    needed.push_back({requirement.name, requirement_words(requirement), requirement.why});
  write_table(html, "Required of all ways to earth together, loads of site and street counted",
              {{"Load model"}, {"Required"}, {"Why"}}, needed);
  html.element("p", fmt::format("The load that governs up the street: {}.", breaks.street_load));
  write_street_loads(html, *result.site.street);
  html.element(
      "p", "With a break up the street the electrode carries what the whole street leaves in the neutral, "
           "not the customer's own load: conductor and electrode must bear it.");
}

Value breaks_document(const study::StudyResult& result) {
  const study::BreakComparison& breaks = result.breaks;
  Value document;
  document.set("rule", breaks.sentence);
  document.set("own_service", answers_document(result, breaks.own_service));
  if (!result.site.street) {
    document.set("street", Value());
    document.set("street_reason", "nothing is known of the street");
    return document;
  }
  document.set("street", answers_document(result, breaks.street));
  document.set("street_requirements", documents(breaks.street_requirements, requirement_document));
  document.set("street_load", breaks.street_load);
  return document;
}

}  // namespace ohmroot::report::detail

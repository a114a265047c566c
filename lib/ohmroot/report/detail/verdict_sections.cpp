// SPDX-License-Identifier: MIT
#include <ohmroot/core/version.hpp>
#include <ohmroot/report/detail/sections.hpp>
#include <ohmroot/report/detail/words.hpp>
#include <ohmroot/report/signs.hpp>

#include <fmt/format.h>

#include <cmath>

namespace ohmroot::report::detail {
namespace {

/// The verdict is told by words, and by the frame round them, never by colour alone.
std::string_view frame_class(study::Verdict verdict) {
  switch (verdict) {
  case study::Verdict::feasible:
    return "verdict feasible";
  case study::Verdict::not_feasible:
    return "verdict not-feasible";
  case study::Verdict::undecided:
    break;
  }
  return "verdict undecided";
}

/// How far the candidate's ends stand from the two limits they are judged by.
Rows margin_rows(const Estimate& to_earth, const supply::RequirementSpan& span) {
  Rows rows;
  const auto add = [&](const char* question, double end_ohm, const supply::Requirement* requirement,
                       const char* wanted) {
    if (requirement == nullptr) return;
    std::string ratio = "-";
    if (requirement->outcome == supply::RequirementOutcome::limited && std::isfinite(end_ohm))
      ratio = format_number(end_ohm / requirement->resistance_ohm) + " times";
    rows.push_back({question, ohms(end_ohm), requirement_words(*requirement) + " (" + requirement->name + ")",
                    ratio, wanted});
  };
  add("Highest likely resistance against the strictest requirement", to_earth.greatest, span.strictest,
      "below 1 is needed for 'feasible'");
  add("Lowest likely resistance against the most lenient requirement", to_earth.least, span.most_lenient,
      "above 1 means 'not feasible'");
  return rows;
}

void write_numbers(Html& html, const study::StudyResult& result) {
  if (!result.governing_candidate) return;
  const study::CandidateResult& governing = result.candidates.at(*result.governing_candidate);
  write_table(
      html,
      fmt::format(
          "The number it rests on: resistance to earth of '{}' in the worst season, {}. Limit: {} from MET "
          "to true earth.",
          governing.name, interval_ohms(governing.to_earth_ohm),
          as_given(result.site.limit_v, Dimension::voltage)),
      {{"What is compared"},
       {"Electrode", CellKind::number},
       {"Required"},
       {"Ratio", CellKind::number},
       {"Reads"}},
      margin_rows(governing.to_earth_ohm, result.requirement_span));
}

void write_part(Html& html, std::string_view heading, const std::vector<std::string>& sentences) {
  if (sentences.empty()) return;
  const Element part(html, "section");
  html.element("h3", heading);
  write_list(html, sentences);
}

}  // namespace

void write_title(Html& html, const study::StudyResult& result) {
  const Element header(html, "header");
  html.element("p", "Earth electrode at the main earthing terminal (MET) against a broken PEN conductor",
               {{"class", "kind"}});
  {
    const Element title(html, "h1");
    html.verbatim(result.site.title.empty() ? result.site.reference : result.site.title);
  }
  write_facts(html, {{"Reference", result.site.reference, CellKind::given},
                     {"Jurisdiction", result.site.jurisdiction, CellKind::given},
                     {"Rules designed to", result.site.edition.empty() ? "not stated" : result.site.edition,
                      CellKind::given},
                     {"Computed with", fmt::format("ohmroot {}", version)}});
}

void write_verdict(Html& html, const study::StudyResult& result) {
  const Section section(html, "verdict", "Verdict: " + study::verdict_name(result.verdict),
                        frame_class(result.verdict));
  html.element("p", sentence(result.headline), {{"class", "headline"}});
  if (!result.rests_on.empty()) html.element("p", sentence(result.rests_on));
  write_numbers(html, result);
}

void write_conditions(Html& html, const study::StudyResult& result) {
  const Section section(html, "conditions", "What the verdict holds for, and what comes next");
  write_part(html, "It holds for", result.holds_for);
  write_part(html, "It is void if any of this happens", result.voided_by);
  write_part(html, "Next steps", result.next_steps);
  if (result.cautions.empty()) return;
  const Element pointer(html, "p");
  html.text("Before any measurement or driving, read the ");
  {
    const Element link(html, "a", {{"href", "#cautions"}});
    html.text("cautions");
  }
  html.text(".");
}

void write_cautions(Html& html, const study::StudyResult& result) {
  if (result.cautions.empty()) return;
  const Section section(html, "cautions", "Cautions", "cautions");
  write_list(html, result.cautions);
}

void write_sign_off(Html& html, const study::StudyResult& result) {
  const Section section(html, "sign-off", "Sign-off");
  html.element(
      "p",
      "A competent person decides. This page supports that decision; it is no certificate, and it is void "
      "without the conditions stated in it.");
  html.element(
      "p",
      fmt::format(
          "Status (strike out what does not apply): preliminary / for approval / as built. Reference {}.",
          result.site.reference));
  write_table(html, "To be filled in by hand", {{"Role"}, {"Name"}, {"Signature"}, {"Date"}},
              {{"Prepared", "", "", ""}, {"Checked", "", "", ""}, {"Approved", "", "", ""}});
}

void write_notes(Html& html, const study::StudyResult& result) {
  const Section section(html, "notes", "Method and evidence");
  write_list(
      html,
      {"Intervals are the central 90 % (5 to 95 %) unless their basis says otherwise.",
       "Feasible: the upper end of the electrode's interval, season and earthing conductor included, is "
       "below the "
       "strictest requirement, and soil data, season, break and load models allow that word. Not feasible: "
       "the "
       "lower end is above the most lenient requirement. Everything else cannot be decided yet.",
       "That judges the electrodes named here. That no electrode on this land can do is said only by the "
       "floor.",
       "An electrode's resistance is the field solution (every point of its metal at one potential) in many "
       "soils "
       "that the data allow; the interval is that of the results. The published formulas for uniform soil "
       "stand "
       "beside it.",
       "Computed numbers are printed to three significant figures; what was given is printed as given. All "
       "of them "
       "stand unrounded in results.json, with unit and basis.",
       fmt::format("Random starts of the soil fit: seed {}. The same input and seed give the same numbers.",
                   result.site.seed),
       "Each formula names its source. The program's 'validate' command compares its results with published "
       "values and prints both."});
}

}  // namespace ohmroot::report::detail

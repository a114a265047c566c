// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/report/detail/style.hpp>
#include <ohmroot/report/plan_page.hpp>
#include <ohmroot/sounding/safe_working.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::report {
namespace {

using detail::CellKind;
using detail::Element;
using detail::Html;

/// What this page has beyond the look of all pages: one sheet, room to write.
constexpr std::string_view sheet_style = R"(
@page { size: A4 portrait; margin: 12mm; }
.field { max-width: 186mm; margin: 0 auto; padding: 4mm 0; font-size: 9.5pt; line-height: 1.3; }
.field h1 { font-size: 15pt; margin: 0 0 2mm; } .field h2 { font-size: 10.5pt; margin: 3mm 0 1mm; padding: 0; border: 0; }
.field p { margin: 1mm 0; max-width: none; }
.field table { font-size: 8.5pt; margin: 1mm 0; } .field td, .field th { padding: 1.1mm 1mm; }
.field tbody tr { height: 7.5mm; } .field td { border-bottom: 1px solid var(--line); } .field td.given { border-left: 1px solid var(--line); }
.field th:nth-child(9) { min-width: 22mm; } .field th:nth-child(10) { min-width: 32mm; }
.write { border-bottom: 1px solid var(--ink); display: inline-block; min-width: 45mm; height: 1.2em; }
.sketch { border: 1.5px solid var(--ink); padding: 1mm 2mm; color: var(--quiet);
          background-image: linear-gradient(var(--pale) 1px, transparent 1px), linear-gradient(90deg, var(--pale) 1px, transparent 1px);
          background-size: 5mm 5mm; }
.ticks { columns: 2; list-style: none; padding: 0; margin: 0; } .ticks li { break-inside: avoid; max-width: none; }
.box { display: inline-block; width: 3.2mm; height: 3.2mm; border: 1.2px solid var(--ink); margin-right: 1mm; vertical-align: -0.4mm; }
)";

/// The four stakes and the tape, not to scale.
constexpr std::string_view array_picture =
    R"(<svg viewBox="0 0 600 64" role="img" style="width:100%;height:16mm"
 aria-label="Four stakes on one line, A M N B from left to right, the gaps all of length a">
<g stroke="#1f2933" stroke-width="2" fill="none"><path d="M20 34H580"/><path d="M60 20V46M220 20V46M380 20V46M540 20V46"/></g>
<g font-family="Arial, sans-serif" font-size="14" fill="#1f2933" text-anchor="middle"><text x="60" y="15">A (current)</text>
<text x="220" y="15">M</text><text x="380" y="15">N</text><text x="540" y="15">B (current)</text>
<text x="140" y="54">a</text><text x="300" y="54">a</text><text x="460" y="54">a</text></g></svg>)";

std::string metres(double value_m) {
  return fmt::format("{:.2f}", value_m);
}

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance, 2);
}

void write_head(Html& html, const FieldPlan& plan) {
  html.element("h1", "Four-pole sounding: sheet for the field");
  {
    const Element line(html, "p");
    html.text("Site: ");
    if (plan.site.empty())
      html.markup("<span class=\"write\"></span>");
    else
      html.verbatim(plan.site);
    html.markup(" &nbsp; Date: <span class=\"write\" style=\"min-width:28mm\"></span> &nbsp; By: <span "
                "class=\"write\" "
                "style=\"min-width:32mm\"></span>");
  }
  html.element("p", fmt::format("For an electrode {} deep{}. {}.",
                                format_quantity(plan.electrode.depth_m, Dimension::length),
                                plan.electrode.extent_m > 0.0
                                    ? fmt::format(", {} wide",
                                                  format_quantity(plan.electrode.extent_m, Dimension::length))
                                    : "",
                                plan.plan.why));
}

void write_safe_working(Html& html) {
  html.element("h2", "Before the first stake: yes, no or not known");
  const Element list(html, "ul", {{"class", "ticks"}});
  for (const sounding::SafetyQuestion question : sounding::safety_questions(sounding::Work::four_pole)) {
    const Element item(html, "li");
    html.markup("<span class=\"box\"></span>yes <span class=\"box\"></span>no <span class=\"box\"></span>not "
                "known: ");
    html.text(sounding::safety_words(question));
  }
}

void write_readings(Html& html, const FieldPlan& plan) {
  const double middle_m = tape_middle_m(plan.plan);
  html.element("h2", "Readings, from narrow to wide");
  html.markup(array_picture);
  const auto bands = [](const ExpectedReading& expected) {
    return fmt::format("below {}, above {}", ohms(expected.least_resistance_ohm / stop_factor_ratio),
                       ohms(expected.greatest_resistance_ohm * stop_factor_ratio));
  };
  detail::Rows rows;
  for (std::size_t i = 0; i < plan.plan.spacings.size(); ++i) {
    const sounding::PlannedSpacing& spacing = plan.plan.spacings[i];
    const ExpectedReading& expected = plan.expected[i];
    rows.push_back(
        {format_given(spacing.spacing_m, Dimension::length), metres(middle_m - spacing.outer_stake_m),
         metres(middle_m - spacing.inner_stake_m), metres(middle_m + spacing.inner_stake_m),
         metres(middle_m + spacing.outer_stake_m),
         format_quantity(spacing.greatest_stake_depth_m, Dimension::length, 2),
         fmt::format("{} to {}", ohms(expected.least_resistance_ohm), ohms(expected.greatest_resistance_ohm)),
         bands(expected), "", ""});
  }
  detail::write_table(
      html,
      fmt::format("One tape along the whole line, middle of the line at {} m; positions in metres on it.",
                  metres(middle_m)),
      {{"a", CellKind::number},
       {"A", CellKind::number},
       {"M", CellKind::number},
       {"N", CellKind::number},
       {"B", CellKind::number},
       {"stakes at most", CellKind::number},
       {"R should be", CellKind::number},
       {"stop if", CellKind::words},
       {"R read", CellKind::given},
       {"remark", CellKind::given}},
      rows);
  html.element("p", plan.expected_basis);
  html.element(
      "p",
      "Repeat: outside the range; or the same stakes, read twice, differ by more than 5 %. Stop: R grows "
      "from "
      "one spacing to the next wider one, which no layered ground does; check the order of the leads and the "
      "contact of the stakes. Write what the tester shows, also 'over range', never 0.");
}

/// The box takes what the readings leave of the page.
void write_sketch(Html& html, std::size_t reading_count) {
  const double height_mm = std::clamp(150.0 - 7.5 * static_cast<double>(reading_count), 40.0, 105.0);
  html.element("h2", "Sketch");
  const Element box(html, "div", {{"class", "sketch"}, {"style", fmt::format("height:{:.0f}mm", height_mm)}});
  html.text("Line with its ends and bearing, house, fences, known pipes and cables, where the electrode is "
            "to go; distances "
            "from two fixed points");
}

}  // namespace

double tape_middle_m(const sounding::SpacingPlan& plan) {
  return std::ceil(plan.spacings.back().outer_stake_m + 0.5);
}

std::string plan_page(const FieldPlan& plan) {
  if (plan.expected.size() != plan.plan.spacings.size() || plan.expected.empty())
    throw DomainError("plan.expected", fmt::format("{} ranges", plan.expected.size()),
                      "one for each spacing");
  Html html;
  html.markup("<!DOCTYPE html>\n");
  {
    const Element root(html, "html", {{"lang", "en-GB"}});
    {
      const Element head(html, "head");
      html.markup("<meta charset=\"utf-8\"/>\n<meta name=\"viewport\" content=\"width=device-width\"/>\n");
      html.element("title", "Four-pole sounding: sheet for the field");
      html.markup(fmt::format("<style>{}{}</style>\n", detail::style, sheet_style));
    }
    const Element body(html, "body");
    const Element main(html, "main", {{"class", "field"}});
    write_head(html, plan);
    write_safe_working(html);
    write_readings(html, plan);
    write_sketch(html, plan.expected.size());
  }
  return html.take();
}

}  // namespace ohmroot::report

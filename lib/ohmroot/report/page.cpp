// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/report/detail/sections.hpp>
#include <ohmroot/report/detail/separation_parts.hpp>
#include <ohmroot/report/detail/street_parts.hpp>
#include <ohmroot/report/detail/style.hpp>
#include <ohmroot/report/page.hpp>

#include <fmt/format.h>

namespace ohmroot::report {
namespace {

using detail::Element;
using detail::Html;

/// Paper: A4, with the job's reference and the page number at the foot (where the browser can print them).
std::string paper_style(const study::Site& site) {
  return fmt::format(
      "@page {{ size: A4; margin: 15mm 16mm 17mm;\n"
      "  @bottom-left {{ content: {}; font: 8pt sans-serif; color: #52606d; }}\n"
      "  @bottom-right {{ content: \"page \" counter(page) \" of \" counter(pages); font: 8pt sans-serif; "
      "color: #52606d; }} }}\n",
      detail::css_string(site.reference + (site.is_invented ? " - invented demonstration data" : "")));
}

void write_head(Html& html, const study::Site& site) {
  const Element head(html, "head");
  html.markup("<meta charset=\"utf-8\"/>\n<meta name=\"viewport\" content=\"width=device-width, "
              "initial-scale=1\"/>\n");
  html.element("title", site.reference + (site.title.empty() ? "" : ": " + site.title));
  const Element style(html, "style");
  html.markup(detail::style);
  html.markup(paper_style(site));
}

/// On paper this part repeats at the top of every page.
void write_running_head(Html& html, const study::Site& site) {
  const Element running(html, "div", {{"class", "running"}});
  if (site.is_invented) html.element("p", "INVENTED DEMONSTRATION DATA: no real site", {{"class", "banner"}});
}

void write_details(Html& html, const study::StudyResult& result, const std::vector<Figure>& figures) {
  detail::FigureShelf shelf(figures);
  detail::write_conditions(html, result);
  detail::write_cautions(html, result);
  detail::write_soil(html, result, shelf);
  detail::write_electrodes(html, result, shelf);
  detail::write_requirements(html, result);
  detail::write_street(html, result);
  detail::write_open_pen(html, result, shelf);
  detail::write_surroundings(html, result, shelf);
  detail::write_floor(html, result);
  detail::write_tt(html, result);
  detail::write_separation(html, result, shelf);
  detail::write_methods(html, result);
  detail::write_inputs(html, result);
  detail::write_readings(html, result);
  shelf.write_rest(html);
  detail::write_notes(html, result);
  detail::write_sign_off(html, result);
}

void write_contents(Html& html, const Html& details) {
  const Element contents(html, "nav", {{"class", "contents"}, {"aria-label", "Contents"}});
  for (const Html::Heading& heading : details.headings())
    html.element("a", heading.title, {{"href", "#" + heading.id}});
}

}  // namespace

std::string study_page(const study::StudyResult& result, const std::vector<Figure>& figures) {
  Html html;
  html.markup("<!DOCTYPE html>\n");
  {
    const Element root(html, "html", {{"lang", "en-GB"}});
    write_head(html, result.site);
    const Element body(html, "body");
    const Element sheet(html, "div", {{"class", "sheet"}});
    write_running_head(html, result.site);
    const Element main(html, "main");
    detail::write_title(html, result);
    detail::write_verdict(html, result);
    Html details;
    write_details(details, result, figures);
    write_contents(html, details);
    html.markup(details.take());
  }
  return html.take();
}

}  // namespace ohmroot::report

// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/heating_parts.hpp>
#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/report/detail/neighbourhood_parts.hpp>
#include <ohmroot/report/detail/page_frame.hpp>
#include <ohmroot/report/detail/sections.hpp>
#include <ohmroot/report/detail/separation_parts.hpp>
#include <ohmroot/report/detail/street_parts.hpp>
#include <ohmroot/report/page.hpp>

namespace ohmroot::report {
namespace {

using detail::Element;
using detail::Html;

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
  detail::write_nearby(html, result);
  detail::write_heating(html, result, shelf);
  detail::write_floor(html, result, shelf);
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
  return detail::framed_page(result.site, "", [&](Html& html) {
    detail::write_title(html, result);
    detail::write_verdict(html, result);
    Html details;
    write_details(details, result, figures);
    write_contents(html, details);
    html.markup(details.take());
  });
}

}  // namespace ohmroot::report

// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/page_frame.hpp>
#include <ohmroot/report/detail/style.hpp>

#include <fmt/format.h>

namespace ohmroot::report::detail {
namespace {

/// Paper: A4, with the job's reference and the page number at the foot (where the browser can print them).
std::string paper_style(const study::Site& site) {
  return fmt::format(
      "@page {{ size: A4; margin: 15mm 16mm 17mm;\n"
      "  @bottom-left {{ content: {}; font: 8pt sans-serif; color: #52606d; }}\n"
      "  @bottom-right {{ content: \"page \" counter(page) \" of \" counter(pages); font: 8pt sans-serif; "
      "color: #52606d; }} }}\n",
      css_string(site.reference + (site.is_invented ? " - invented demonstration data" : "")));
}

void write_head(Html& html, const study::Site& site, std::string_view kind) {
  const Element head(html, "head");
  html.markup("<meta charset=\"utf-8\"/>\n<meta name=\"viewport\" content=\"width=device-width, "
              "initial-scale=1\"/>\n");
  html.element("title", site.reference + (kind.empty() ? "" : ", " + std::string(kind)) +
                            (site.title.empty() ? "" : ": " + site.title));
  const Element style(html, "style");
  html.markup(detail::style);
  html.markup(paper_style(site));
}

/// On paper this part repeats at the top of every page.
void write_running_head(Html& html, const study::Site& site) {
  const Element running(html, "div", {{"class", "running"}});
  if (site.is_invented) html.element("p", "INVENTED DEMONSTRATION DATA: no real site", {{"class", "banner"}});
}

}  // namespace

std::string framed_page(const study::Site& site, std::string_view kind,
                        const std::function<void(Html&)>& write) {
  Html html;
  html.markup("<!DOCTYPE html>\n");
  {
    const Element root(html, "html", {{"lang", "en-GB"}});
    write_head(html, site, kind);
    const Element body(html, "body");
    const Element sheet(html, "div", {{"class", "sheet"}});
    write_running_head(html, site);
    const Element main(html, "main");
    write(html);
  }
  return html.take();
}

}  // namespace ohmroot::report::detail

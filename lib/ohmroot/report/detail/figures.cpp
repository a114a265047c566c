// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/sections.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <regex>

namespace ohmroot::report::detail {
namespace {

bool holds_ignoring_case(std::string_view text, std::string_view lower_word) {
  return std::search(text.begin(), text.end(), lower_word.begin(), lower_word.end(), [](char a, char b) {
           return std::tolower(static_cast<unsigned char>(a)) == b;
         }) != text.end();
}

}  // namespace

std::string inline_svg(std::string_view picture, std::string_view prefix) {
  constexpr std::string_view closing = "</svg>";
  const std::size_t begin = picture.find("<svg");
  const std::size_t end = picture.rfind(closing);
  if (begin == std::string_view::npos || end == std::string_view::npos || end < begin) return {};
  for (const std::string_view active : {"<script", "<foreignobject", "javascript:"})
    if (holds_ignoring_case(picture, active)) return {};
  // gnuplot gives every picture the same ids; two of them on one page would refer to each other's parts.
  static const std::regex reference(R"((\sid=['"]|href=['"]#|url\(['"]?#))");
  const std::string svg(picture.substr(begin, end + closing.size() - begin));
  return std::regex_replace(svg, reference, fmt::format("$01{}-", prefix));
}

void FigureShelf::write(Html& html, std::string_view id) {
  for (const Figure& figure : figures_)
    if (figure.id == id) write(html, figure);
}

void FigureShelf::write_rest(Html& html) {
  for (const Figure& figure : figures_)
    write(html, figure);
}

void FigureShelf::write(Html& html, const Figure& figure) {
  if (!written_.insert(figure.id).second) return;
  const Element frame(html, "figure", {{"id", "figure-" + figure.id}});
  if (const std::string svg = inline_svg(figure.svg, figure.id); !svg.empty()) {
    const Element picture(html, "div",
                          {{"class", "picture"}, {"role", "img"}, {"aria-label", figure.alt_text}});
    html.markup(svg);
  } else {
    const Element gap(html, "div", {{"class", "missing"}});
    html.element("p", "This figure is missing: " +
                          (figure.missing_because.empty() ? "no picture was given" : figure.missing_because) +
                          ".");
    html.element("p", "What it would show: " + figure.alt_text);
  }
  const Element caption(html, "figcaption");
  html.element("strong", fmt::format("Figure {}. ", written_.size()));
  html.text(figure.caption);
}

}  // namespace ohmroot::report::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/report/signs.hpp>

#include <fmt/format.h>

namespace ohmroot::report::detail {

std::string escaped(std::string_view text) {
  std::string result;
  for (const char c : text) {
    switch (c) {
    case '&':
      result += "&amp;";
      break;
    case '<':
      result += "&lt;";
      break;
    case '>':
      result += "&gt;";
      break;
    case '"':
      result += "&quot;";
      break;
    case '\'':
      result += "&#39;";
      break;
    default: {
      const bool is_forbidden = (static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t') || c == 0x7f;
      result += is_forbidden ? ' ' : c;
    }
    }
  }
  return result;
}

std::string css_string(std::string_view text) {
  std::string result = "\"";
  for (const char c : text) {
    const bool is_plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                          c == ' ' || static_cast<unsigned char>(c) >= 0x80;
    if (is_plain)
      result += c;
    else
      result += fmt::format("\\{:x} ", static_cast<unsigned>(static_cast<unsigned char>(c)));
  }
  return result + "\"";
}

void Html::text(std::string_view text) {
  page_ += escaped(with_signs(text));
}

void Html::verbatim(std::string_view text) {
  page_ += escaped(text);
}

void Html::markup(std::string_view trusted) {
  page_ += trusted;
}

void Html::element(std::string_view tag, std::string_view text, Attributes attributes) {
  const Element element(*this, tag, attributes);
  this->text(text);
}

void Html::open(std::string_view tag, Attributes attributes) {
  page_ += fmt::format("<{}", tag);
  for (const auto& [name, value] : attributes)
    page_ += fmt::format(" {}=\"{}\"", name, escaped(value));
  page_ += '>';
}

void Html::close(std::string_view tag) {
  const bool is_within_a_line = tag == "a" || tag == "strong";  // a line break there would print as a blank
  page_ += fmt::format("</{}>{}", tag, is_within_a_line ? "" : "\n");
}

Section::Section(Html& html, std::string_view id, std::string_view title, std::string_view css_class)
    : Element(html, "section", {{"id", id}, {"class", css_class}}) {
  html.element("h2", title);
  html.headings_.push_back({std::string(id), std::string(title)});
}

namespace {

std::string_view class_of(CellKind kind) {
  return kind == CellKind::number ? "number" : kind == CellKind::formula ? "formula" : "words";
}

void write_cell(Html& html, CellKind kind, std::string_view text) {
  if (kind == CellKind::formula || kind == CellKind::given)
    html.verbatim(text);
  else
    html.text(text);
}

void write_row(Html& html, const std::vector<Column>& columns, const std::vector<std::string>& row) {
  if (row.size() != columns.size()) throw InternalError("a table row with more or fewer cells than columns");
  const Element line(html, "tr");
  for (std::size_t i = 0; i < row.size(); ++i) {
    const CellKind kind = columns[i].kind;
    if (i == 0) {
      const Element head(html, "th", {{"scope", "row"}, {"class", class_of(kind)}});
      write_cell(html, kind, row[i]);
    } else {
      const Element cell(html, "td", {{"class", class_of(kind)}});
      write_cell(html, kind, row[i]);
    }
  }
}

}  // namespace

void write_table(Html& html, std::string_view caption, const std::vector<Column>& columns, const Rows& rows) {
  if (rows.empty()) return;
  const Element table(html, "table");
  html.element("caption", caption);
  {
    const Element head(html, "thead");
    const Element line(html, "tr");
    for (const Column& column : columns)
      html.element("th", column.head, {{"scope", "col"}, {"class", class_of(column.kind)}});
  }
  const Element body(html, "tbody");
  for (const auto& row : rows)
    write_row(html, columns, row);
}

void write_facts(Html& html, const std::vector<Fact>& facts) {
  const Element list(html, "dl", {{"class", "facts"}});
  for (const Fact& fact : facts) {
    if (fact.value.empty()) continue;
    const Element pair(html, "div");
    html.element("dt", fact.name);
    const Element value(html, "dd", {{"class", class_of(fact.kind)}});
    write_cell(html, fact.kind, fact.value);
  }
}

void write_list(Html& html, const std::vector<std::string>& sentences) {
  if (sentences.empty()) return;
  const Element list(html, "ul");
  for (const std::string& sentence : sentences)
    html.element("li", sentence);
}

}  // namespace ohmroot::report::detail

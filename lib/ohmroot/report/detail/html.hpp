// SPDX-License-Identifier: MIT
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ohmroot::report::detail {

/// A text with nothing left in it that HTML would read as markup, in text and in quoted attributes.
/// Control characters that HTML forbids become blanks. UTF-8 in, UTF-8 out.
[[nodiscard]] std::string escaped(std::string_view text);

/// A CSS string in double quotes; everything but letters, digits and blanks as an escape.
[[nodiscard]] std::string css_string(std::string_view text);

/// Page under construction. Elements are opened and closed by Element, so they always nest.
class Html {
public:
  using Attributes = std::initializer_list<std::pair<std::string_view, std::string_view>>;

  /// Text for reading: escaped, with ohm signs. verbatim: escaped only, for what somebody wrote.
  void text(std::string_view text);
  void verbatim(std::string_view text);
  /// Markup of our own making; nothing that came from outside.
  void markup(std::string_view trusted);
  /// <tag ...>text</tag>
  void element(std::string_view tag, std::string_view text, Attributes attributes = {});

  /// Sections written so far, for a table of contents.
  struct Heading {
    std::string id;
    std::string title;
  };
  [[nodiscard]] const std::vector<Heading>& headings() const { return headings_; }
  [[nodiscard]] std::string take() { return std::move(page_); }

private:
  friend class Element;
  friend class Section;
  void open(std::string_view tag, Attributes attributes);
  void close(std::string_view tag);
  std::string page_;
  std::vector<Heading> headings_;
};

/// An open element: closed at the end of its scope.
class Element {
public:
  Element(Html& html, std::string_view tag, Html::Attributes attributes = {}) : html_(html), tag_(tag) {
    html_.open(tag_, attributes);
  }
  ~Element() { html_.close(tag_); }
  Element(const Element&) = delete;
  Element& operator=(const Element&) = delete;

private:
  Html& html_;
  std::string tag_;
};

/// An open section of the page, with its id and heading.
class Section : public Element {
public:
  Section(Html& html, std::string_view id, std::string_view title, std::string_view css_class = "part");
};

enum class CellKind {
  words,
  number,   ///< right-aligned, never wrapped
  formula,  ///< verbatim, in a fixed-width font
  given,    ///< verbatim: as somebody wrote it
};
struct Column {
  std::string head;
  CellKind kind = CellKind::words;
};
using Rows = std::vector<std::vector<std::string>>;

/// A table with caption and column heads; the first cell of a row is its head. Nothing without rows.
void write_table(Html& html, std::string_view caption, const std::vector<Column>& columns, const Rows& rows);

/// Names and values below each other, for what is too long for a table's columns. Empty values are left out.
struct Fact {
  std::string name;
  std::string value;
  CellKind kind = CellKind::words;
};
void write_facts(Html& html, const std::vector<Fact>& facts);

/// A list of sentences; nothing if there are none.
void write_list(Html& html, const std::vector<std::string>& sentences);

}  // namespace ohmroot::report::detail

// SPDX-License-Identifier: MIT
#pragma once

#include <cctype>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace test_support {

/// One tag of a page as the test reads it.
struct Tag {
  std::string name;
  std::map<std::string, std::string> attributes;
  bool is_closing = false;
  bool is_closed_in_itself = false;
};

struct Markup {
  std::vector<Tag> tags;
  std::string fault;  // first thing that is not well formed; empty if all is
};

/// Reads tags by the strict rules of XML: every attribute quoted, every element closed, no bare < or &
/// (what stands between <style> and </style> is left alone).
inline Markup read_markup(const std::string& page) {
  Markup markup;
  std::vector<std::string> open;
  std::size_t i = page.rfind("<!DOCTYPE html>", 0) == 0 ? std::string("<!DOCTYPE html>").size() : 0;
  const auto fail = [&](const std::string& what) {
    if (markup.fault.empty()) markup.fault = what + " near: " + page.substr(i, 60);
  };
  while (i < page.size() && markup.fault.empty()) {
    if (page[i] == '&') {
      const std::size_t end = page.find(';', i);
      if (end == std::string::npos || end - i > 7) fail("a bare &");
    }
    if (page.compare(i, 4, "<!--") == 0) {
      i = page.find("-->", i);
      continue;
    }
    if (page[i] != '<') {
      ++i;
      continue;
    }
    Tag tag;
    std::size_t p = i + 1;
    tag.is_closing = page[p] == '/';
    if (tag.is_closing) ++p;
    while (p < page.size() && (std::isalnum(static_cast<unsigned char>(page[p])) || page[p] == ':'))
      tag.name += page[p++];
    if (tag.name.empty()) {
      fail("a bare <");
      break;
    }
    while (true) {
      while (p < page.size() && std::isspace(static_cast<unsigned char>(page[p])))
        ++p;
      if (p >= page.size()) {
        fail("a tag that does not end");
        return markup;
      }
      if (page[p] == '>') break;
      if (page[p] == '/' && page[p + 1] == '>') {
        tag.is_closed_in_itself = true;
        ++p;
        break;
      }
      std::string name;
      while (p < page.size() && page[p] != '=' && page[p] != '>' &&
             !std::isspace(static_cast<unsigned char>(page[p])))
        name += page[p++];
      while (p < page.size() && std::isspace(static_cast<unsigned char>(page[p])))
        ++p;
      if (p >= page.size() || page[p] != '=') {
        fail("an attribute without a value");
        return markup;
      }
      ++p;
      while (p < page.size() && std::isspace(static_cast<unsigned char>(page[p])))
        ++p;
      const char quote = p < page.size() ? page[p] : ' ';
      const std::size_t end = page.find(quote, p + 1);
      if ((quote != '"' && quote != '\'') || end == std::string::npos) {
        fail("an attribute that is not quoted");
        return markup;
      }
      tag.attributes[name] = page.substr(p + 1, end - p - 1);
      p = end + 1;
    }
    if (tag.is_closing) {
      if (open.empty() || open.back() != tag.name) fail("</" + tag.name + "> closes nothing");
      if (!open.empty()) open.pop_back();
    } else if (!tag.is_closed_in_itself) {
      open.push_back(tag.name);
    }
    i = p + 1;
    if (tag.name == "style" && !tag.is_closing) i = page.find("</style>", i);
    markup.tags.push_back(std::move(tag));
  }
  if (markup.fault.empty() && !open.empty()) markup.fault = "<" + open.back() + "> stays open";
  return markup;
}

/// Ids that stand on the page more than once.
inline std::set<std::string> repeated_ids(const Markup& markup) {
  std::set<std::string> seen;
  std::set<std::string> repeated;
  for (const Tag& tag : markup.tags)
    if (const auto id = tag.attributes.find("id");
        id != tag.attributes.end() && !seen.insert(id->second).second)
      repeated.insert(id->second);
  return repeated;
}

}  // namespace test_support

// SPDX-License-Identifier: MIT
#include <ohmroot/text/detail/ascii.hpp>
#include <ohmroot/text/detail/utf8.hpp>
#include <ohmroot/text/toml.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

namespace ohmroot::text::detail {

/// toml++ met text that it asserts never to meet ("[,]").
struct TomlAssertion {};
[[noreturn]] inline void toml_assertion_failed() {
  throw TomlAssertion{};
}

constexpr int greatest_toml_depth = 16;

}  // namespace ohmroot::text::detail

// toml++ 3.3 ends the process on small typos if built as shipped. Here its assertions throw, which they do
// only where NDEBUG is not defined; what throwing cannot mend (undefined behaviour on non-ASCII bytes outside
// strings, a history buffer too short for long numbers, deep recursion) is kept from it by find_fault().
#pragma push_macro("NDEBUG")
#undef NDEBUG
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 1
#define TOML_ENABLE_FORMATTERS 0
#define TOML_UNRELEASED_FEATURES 0
#define TOML_MAX_NESTED_VALUES 16
#define TOML_ASSERT(expression)                                                                              \
  (static_cast<bool>(expression) ? static_cast<void>(0) : ::ohmroot::text::detail::toml_assertion_failed())
#include <toml++/toml.h>
#pragma pop_macro("NDEBUG")

namespace ohmroot::text {
namespace {

using detail::excerpt;
using detail::in_lower_case;
using detail::is_ascii;
using detail::is_digit;
using detail::is_letter;
using detail::position_of;
using detail::stripped;

constexpr std::size_t greatest_size = std::size_t{1} << 20;
constexpr int greatest_dot_count = 64;
constexpr std::size_t greatest_number_length = 64;
constexpr int greatest_report_count = 20;  // of values that cannot be used: a page is enough to mend
constexpr auto npos = std::string_view::npos;

static_assert(TOML_MAX_NESTED_VALUES == detail::greatest_toml_depth);

/// Something wrong at a byte of the text.
struct Fault {
  std::size_t offset = 0;
  std::string code;
  std::string message;
  std::string hint;
};

bool is_any_of(char c, std::string_view set) {
  return set.find(c) != npos;
}
/// What bare keys, numbers and dates are made of.
bool is_word_character(char c) {
  return is_digit(c) || is_letter(c) || is_any_of(c, "_+-.:");
}

// --- Before toml++ sees the text -----------------------------------------------------------------------

/// Just past the string that opens at a byte; npos if it never closes.
std::size_t end_of_string(std::string_view text, std::size_t open) {
  const char quote = text[open];
  const bool has_escapes = quote == '"';
  const std::string fence(3, quote);
  if (text.substr(open, 3) == fence) {
    for (std::size_t i = open + 3; i < text.size(); ++i) {
      if (has_escapes && text[i] == '\\') {
        ++i;
      } else if (text.substr(i, 3) == fence) {
        // Up to two quotes may stand before the closing fence.
        i += 3;
        for (int extra = 0; extra < 2 && i < text.size() && text[i] == quote; ++extra)
          ++i;
        return i;
      }
    }
    return npos;
  }
  for (std::size_t i = open + 1; i < text.size() && text[i] != '\n'; ++i) {
    if (text[i] == quote) return i + 1;
    if (has_escapes && text[i] == '\\' && i + 1 < text.size() && text[i + 1] != '\n') ++i;
  }
  return npos;
}

std::size_t find_not_ascii(std::string_view text) {
  const auto found = std::find_if_not(text.begin(), text.end(), is_ascii);
  return found == text.end() ? npos : static_cast<std::size_t>(found - text.begin());
}

Fault not_ascii(std::string_view text, std::size_t at) {
  constexpr std::array<std::string_view, 4> curly_quotes{"\xE2\x80\x98", "\xE2\x80\x99", "\xE2\x80\x9C",
                                                         "\xE2\x80\x9D"};
  Fault fault{at, "not-ascii", "a character outside ASCII stands outside quotes",
              "put texts and values with units in quotes; keys hold letters a-z, digits, - and _"};
  if (std::any_of(curly_quotes.begin(), curly_quotes.end(),
                  [&](std::string_view quote) { return text.substr(at, quote.size()) == quote; })) {
    fault.message = "a typographic quotation mark stands here";
    fault.hint = "type straight quotes, as in \"2.4 m\"";
  } else if (text.substr(at, 2) == "\xC2\xA0") {
    fault.message = "a no-break space stands here";
    fault.hint = "replace it by an ordinary blank";
  }
  return fault;
}

/// toml++ looks at what follows a backslash, blanks passed over, in a way that is undefined outside ASCII.
std::size_t find_not_ascii_after_backslash(std::string_view text, std::size_t first, std::size_t end) {
  for (std::size_t i = text.find('\\', first); i < end; i = text.find('\\', i + 2)) {
    const std::size_t next = text.find_first_not_of(" \t\r\n", i + 1);
    if (next < end && !is_ascii(text[next])) return next;
  }
  return npos;
}

Fault unclosed_quote(std::string_view text, std::size_t at) {
  const std::string_view fence = text.substr(at, 3);
  const bool is_fence = fence == R"(""")" || fence == "'''";
  return {at, "unclosed-quote", "the quote that opens here is never closed",
          is_fence ? fmt::format("end the text with {}", fence)
                   : fmt::format("end the text with {} on the same line", text[at])};
}

/// What toml++ reads ahead when a number or a date starts at a byte: all up to a blank, a comma, a closing
/// bracket or a comment, quotes not heeded. Empty if none starts there.
std::string_view read_ahead(std::string_view text, std::size_t at) {
  if (!(is_digit(text[at]) || is_any_of(text[at], "+-"))) return {};
  if (at > 0 && is_word_character(text[at - 1])) return {};
  return text.substr(at, std::min(text.find_first_of(" \t\r\n,]}#", at), text.size()) - at);
}

/// Whatever toml++ cannot be trusted with. Knows comments and strings, nothing else of TOML.
std::optional<Fault> find_fault(std::string_view text) {
  if (text.size() > greatest_size)
    return Fault{0, "too-large", "the file is larger than 1 MiB",
                 "site files are small: is this the right one?"};
  if (const auto at = detail::find_invalid_utf8(text); at != npos)
    return Fault{at, "not-utf8", "this is not valid UTF-8", "save the file as UTF-8 in your editor"};
  if (const auto at = detail::find_control_character(text); at != npos)
    return Fault{at, "control-character", "a control character stands here",
                 "delete it; is this a text file at all?"};
  for (auto at = text.find('\r'); at != npos; at = text.find('\r', at + 1)) {
    if (text.substr(at, 2) != "\r\n")
      return Fault{at, "line-end", "a carriage return without a line feed stands here",
                   "save the file with line ends LF or CRLF"};
  }
  int dot_count = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const std::string_view number = read_ahead(text, i);
    if (number.size() > greatest_number_length)
      return Fault{i, "too-long", fmt::format("\"{}\" is longer than 64 characters", excerpt(number, 20)),
                   "shorten the number"};
    if (const auto at = find_not_ascii(number); at != npos) return not_ascii(text, i + at);
    if (c == '#') {
      i = std::min(text.find('\n', i), text.size()) - 1;
    } else if (c == '"' || c == '\'') {
      const std::size_t end = end_of_string(text, i);
      if (end == npos) return unclosed_quote(text, i);
      if (const auto at = find_not_ascii_after_backslash(text, i, end); at != npos && c == '"')
        return Fault{at, "not-ascii", "a character outside ASCII follows a backslash",
                     "write the text on one line, and \\\\ for a backslash"};
      i = end - 1;
    } else if (!is_ascii(c)) {
      return not_ascii(text, i);
    } else if (c == '.') {
      if (++dot_count > greatest_dot_count)
        return Fault{i, "too-many-dots", "the key has more than 64 dots", "shorten the key"};
    } else if (is_any_of(c, "=,[]{}\n")) {
      dot_count = 0;
    }
  }
  return std::nullopt;
}

// --- After toml++ refused it ---------------------------------------------------------------------------

std::size_t offset_of(std::string_view text, toml::source_position at) {
  detail::Cursor cursor(text);
  const auto is_before = [&] {
    return std::pair(cursor.at().line, cursor.at().column) <
           std::pair(static_cast<int>(at.line), static_cast<int>(at.column));
  };
  while (!cursor.is_at_end() && is_before())
    cursor.step();
  return cursor.offset();
}

struct Line {
  std::size_t offset = 0;
  std::string_view text;
};

Line line_at(std::string_view text, std::size_t offset) {
  const std::size_t before = offset == 0 ? npos : text.rfind('\n', offset - 1);
  const std::size_t first = before == npos ? 0 : before + 1;
  const std::size_t end = std::min(text.find('\n', first), text.size());
  return {first, text.substr(first, end - first)};
}

/// The value that a byte belongs to, as it stands on its line, and the sign that it follows: '=', ',', an
/// opening bracket, or NUL at the start of the line.
struct UnreadValue {
  std::size_t offset = 0;
  std::string_view text;
  char follows = '\0';
};

UnreadValue value_around(std::string_view text, std::size_t offset) {
  const Line line = line_at(text, offset);
  const std::size_t inside = std::min(offset - line.offset, line.text.size());
  const std::size_t sign = inside == 0 ? npos : line.text.find_last_of("=,[{", inside - 1);
  const std::size_t end = std::min(line.text.find_first_of(",]}#\r", inside), line.text.size());
  const std::size_t first = std::min(line.text.find_first_not_of(" \t", sign == npos ? 0 : sign + 1), end);
  return {line.offset + first, stripped(line.text.substr(first, end - first)),
          sign == npos ? '\0' : line.text[sign]};
}

/// The commonest slips: a number with its unit, or a word, without quotes; a decimal comma.
std::optional<Fault> slip_in_value(std::string_view text, const UnreadValue& value) {
  const std::string shown = excerpt(value.text);
  const char first = value.text.empty() ? '\0' : value.text.front();
  const auto after = text.substr(std::min(text.size(), value.offset + value.text.size()));
  if (is_digit(first) && after.size() > 1 && after[0] == ',' && is_digit(after[1])) {
    const std::string fraction =
        excerpt(stripped(after.substr(1, std::min(after.find_first_of(",]}#\r\n", 1), after.size()) - 1)));
    const bool has_unit = fraction.find_first_not_of("0123456789") != std::string::npos;
    return Fault{value.offset, "decimal-comma", fmt::format("{},{} has a decimal comma", shown, fraction),
                 has_unit ? fmt::format("write \"{}.{}\" in quotes", shown, fraction)
                          : fmt::format("write {}.{}", shown, fraction)};
  }
  if (first == '.' && value.text.size() > 1 && is_digit(value.text[1]))
    return Fault{value.offset, "syntax", fmt::format("{} starts with its point", shown),
                 fmt::format("write 0{}", shown)};
  if (!is_digit(first) && !is_letter(first) && !is_any_of(first, "+-")) return std::nullopt;
  if (value.text.find_first_not_of("0123456789.+-_eE") == npos) return std::nullopt;  // a faulty number
  if (value.text.find_first_of("\"'") != npos) return std::nullopt;
  const std::string word = in_lower_case(value.text);
  if (word == "true" || word == "false" || word == "yes" || word == "no")
    return Fault{value.offset, "syntax", fmt::format("found {}", shown), "write true or false"};
  if (word.find_first_not_of("+-") != npos) {
    const auto bare = std::string_view(word).substr(word.find_first_not_of("+-"));
    if (bare == "nan" || bare == "inf" || bare == "infinity")
      return Fault{value.offset, "not-finite", fmt::format("{} is not a finite number", shown),
                   "leave the key out if the value is not known"};
  }
  return Fault{value.offset, "unquoted-value", fmt::format("{} stands without quotes", shown),
               fmt::format("write \"{}\" in quotes", shown)};
}

/// "soil" of "soil = 1", "[soil]" of a header; empty for any other line.
std::string_view defined_on(std::string_view line) {
  const std::string_view content = stripped(line);
  if (content.substr(0, 1) == "[") return content.substr(0, content.find_last_of(']') + 1);
  const std::size_t equals = content.find('=');
  return equals == npos ? std::string_view{} : stripped(content.substr(0, equals));
}

/// name: the key as toml++ quotes it. Unless it stands in an inline table, it is what its line defines, and
/// the first definition can be looked up.
Fault second_definition(std::string_view text, std::size_t offset, std::string_view name) {
  const Line second = line_at(text, offset);
  const std::string_view definition = defined_on(second.text);
  const bool is_header = definition.substr(0, 1) == "[";
  Fault fault{offset, "duplicate-key", fmt::format("{} is set a second time", excerpt(name)),
              "keep one of the two"};
  const std::string_view before = second.text.substr(0, offset - second.offset);
  if (!is_header && before.find('=') != before.rfind('=')) return fault;
  fault.offset = second.offset + second.text.find_first_not_of(" \t");
  fault.message = fmt::format("{} is set a second time", excerpt(definition));
  for (Line line = second; line.offset > 0;) {
    line = line_at(text, line.offset - 1);
    const std::string_view earlier = defined_on(line.text);
    if (earlier == definition) {
      fault.message += fmt::format("; the first is on line {}", position_of(text, line.offset).line);
      break;
    }
    if (!is_header && earlier.substr(0, 1) == "[") break;  // another table starts there
  }
  return fault;
}

/// What toml++ refused, in words for people who type the file.
Fault refusal(std::string_view text, const toml::parse_error& error) {
  const std::size_t offset = offset_of(text, error.source().begin);
  // "Error while parsing <scope>: <description>"
  const std::string_view whole = error.description();
  constexpr std::string_view opening = "Error while parsing ";
  const std::size_t colon = std::min(whole.find(": "), whole.size());
  const std::string_view scope = whole.substr(std::min(opening.size(), colon), colon - opening.size());
  std::string description(whole.substr(std::min(colon + 2, whole.size())));
  if (description.find("maximum nested value depth") != std::string::npos)
    return {offset, "too-deep", "lists and tables are nested more than 16 deep", "nest them less"};
  if (const std::size_t open = description.find('\'');
      description.rfind("cannot redefine", 0) == 0 && open != std::string::npos) {
    const std::size_t close = description.find('\'', open + 1);
    return second_definition(text, offset, std::string_view(description).substr(open + 1, close - open - 1));
  }

  const UnreadValue value = value_around(text, offset);
  const bool is_value =
      value.follows == '=' || (scope != "key-value pair" && scope != "key" && scope != "table header" &&
                               scope != "inline table" && scope != "root table");
  if (is_value) {
    if (auto slip = slip_in_value(text, value)) return *slip;
    if (description.find("could not be interpreted") != std::string::npos ||
        description.find("not representable") != std::string::npos) {
      return {value.offset, "not-finite",
              fmt::format("{} is too large or too small to be used", excerpt(value.text)),
              "leave the key out if the value is not known"};
    }
  }
  for (const auto& [theirs, plain] : std::array<std::array<std::string_view, 2>, 3>{
           {{", saw ", ", found "},
            {"'\\n'", "the end of the line"},
            {"encountered end-of-file", "the file ends here too early"}}}) {
    if (const auto at = description.find(theirs); at != std::string::npos)
      description.replace(at, theirs.size(), plain);
  }
  Fault fault{offset, "syntax", fmt::format("cannot read this: {}", excerpt(description, 200)), ""};
  if (description.rfind("expected '='", 0) == 0 || scope == "root table") {
    fault.hint = "a line is: key = value, [table], [[list]] or # comment";
  } else if (scope == "table header") {
    fault.hint = "a header is [name] or [[name]] on a line of its own";
  } else if (description.rfind("expected value", 0) == 0) {
    fault.hint = "write a value here, or delete the key";
  }
  return fault;
}

/// Where toml++ first meets what it asserts never to meet: the shortest front part that makes it do so ends
/// there.
Fault assertion(std::string_view text) {
  const auto asserts = [&](std::size_t length) {
    while (length < text.size() && (static_cast<unsigned char>(text[length]) & 0xC0U) == 0x80U)
      ++length;  // never cut through a character
    try {
      static_cast<void>(toml::parse(text.substr(0, length), std::string_view{}));
    } catch (const detail::TomlAssertion&) {
      return true;
    } catch (const toml::parse_error&) {
    }
    return false;
  };
  std::size_t calm = 0;
  std::size_t asserting = text.size();
  while (asserting - calm > 1) {
    const std::size_t middle = calm + (asserting - calm) / 2;
    (asserts(middle) ? asserting : calm) = middle;
  }
  Fault fault{calm, "syntax",
              fmt::format("found '{}', which cannot stand here", excerpt(text.substr(calm, 1))),
              "texts stand in quotes, a line is: key = value, [table], [[list]] or # comment"};
  if (stripped(line_at(text, calm).text).substr(0, 1) == "[")
    fault.hint = "a header is [name] or [[name]]; a name holds letters a-z, digits, - and _";
  return fault;
}

// --- From toml++'s tree to ours ------------------------------------------------------------------------

Position position(toml::source_position at) {
  return {static_cast<int>(at.line), static_cast<int>(at.column)};
}

class Converter {
public:
  Converter(std::string_view text, Diagnostics& diagnostics) : text_(text), diagnostics_(diagnostics) {}

  Value value(const toml::node& node, int depth) {
    Value result = content(node, depth);
    result.put_at(position(node.source().begin));
    return result;
  }

private:
  Value content(const toml::node& node, int depth) {
    if (depth > detail::greatest_toml_depth) {
      report(node, "too-deep", "lists and tables are nested more than 16 deep", "nest them less");
      return {};
    }
    if (const auto* table = node.as_table()) return members(*table, depth);
    if (const auto* list = node.as_array()) {
      Array elements;
      for (const toml::node& element : *list)
        elements.push_back(value(element, depth + 1));
      return elements;
    }
    if (const auto* text = node.as_string()) return text->get();
    if (const auto* flag = node.as_boolean()) return flag->get();
    if (const auto* whole = node.as_integer()) return whole->get();
    if (const auto* number = node.as_floating_point()) {
      if (std::isfinite(number->get())) return number->get();
      report(node, "not-finite", "{} is not a finite number", "leave the key out if the value is not known");
      return {};
    }
    report(node, "date-not-text", "the date or time {} stands without quotes", "write \"{}\" in quotes");
    return {};
  }

  /// "{}" in message and hint stands for the value as written.
  void report(const toml::node& node, std::string_view code, std::string_view message,
              std::string_view hint) {
    if (++report_count_ > greatest_report_count) return;
    const std::string written = excerpt(value_around(text_, offset_of(text_, node.source().begin)).text);
    diagnostics_.error(position(node.source().begin), std::string(code),
                       fmt::format(fmt::runtime(message), written), fmt::format(fmt::runtime(hint), written));
  }

  /// toml++ sorts the keys of a table by name; people wrote them in an order that means something to them.
  Object members(const toml::table& table, int depth) {
    struct Entry {
      const toml::key* key;
      const toml::node* node;
    };
    std::vector<Entry> entries;
    for (const auto& [key, node] : table)
      entries.push_back({&key, &node});
    std::stable_sort(entries.begin(), entries.end(), [](const Entry& left, const Entry& right) {
      return left.key->source().begin < right.key->source().begin;
    });
    Object result;
    for (const Entry& entry : entries) {
      Value member = value(*entry.node, depth + 1);
      member.put_key_at(position(entry.key->source().begin));
      result.emplace_back(std::string(entry.key->str()), std::move(member));
    }
    return result;
  }

  std::string_view text_;
  Diagnostics& diagnostics_;
  int report_count_ = 0;
};

}  // namespace

std::optional<Value> read_toml(std::string_view text, Diagnostics& diagnostics) {
  const std::size_t count_before = diagnostics.all().size();
  text = detail::without_byte_order_mark(text);
  std::optional<Fault> fault = find_fault(text);
  std::optional<Value> document;
  if (!fault) {
    try {
      const toml::table root = toml::parse(text, std::string_view{});
      document = Converter(text, diagnostics).value(root, 0);
    } catch (const toml::parse_error& error) {
      fault = refusal(text, error);
    } catch (const detail::TomlAssertion&) {
      fault = assertion(text);
    }
  }
  if (fault) {
    const Position at = fault->code == "too-large" ? Position{} : position_of(text, fault->offset);
    diagnostics.error(at, fault->code, fault->message, fault->hint);
  }
  if (diagnostics.all().size() > count_before) return std::nullopt;
  return document;
}

}  // namespace ohmroot::text

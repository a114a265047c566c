// SPDX-License-Identifier: MIT
#include <ohmroot/text/detail/utf8.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <limits>
#include <unordered_map>

namespace ohmroot::text {
namespace {

using detail::excerpt;

constexpr std::size_t greatest_depth = 64;

/// Finds where each token starts. The parser reports keys, values and openings in the order of the text but
/// not their places; asked once per report, this walks along in step.
class TokenPlaces {
public:
  explicit TokenPlaces(std::string_view text) : cursor_(text) {}

  Position next() {
    while (!cursor_.is_at_end() && is_between_tokens(cursor_.peek()))
      cursor_.step();
    const Position start = cursor_.at();
    const char first = cursor_.peek();
    cursor_.step();
    if (first == '"') {
      skip_rest_of_text();
    } else if (first != '{' && first != '[') {
      while (!cursor_.is_at_end() && !is_between_tokens(cursor_.peek()))
        cursor_.step();
    }
    return start;
  }

private:
  static bool is_between_tokens(char c) {
    return std::string_view(" \t\r\n,:]}").find(c) != std::string_view::npos;
  }

  void skip_rest_of_text() {
    while (!cursor_.is_at_end() && cursor_.peek() != '"') {
      if (cursor_.peek() == '\\') cursor_.step();
      cursor_.step();
    }
    cursor_.step();
  }

  detail::Cursor cursor_;
};

/// Builds the document from the parser's reports.
class Builder final : public nlohmann::json_sax<nlohmann::json> {
public:
  Builder(std::string_view text, Diagnostics& diagnostics)
      : text_(text), places_(text), diagnostics_(diagnostics) {}

  bool null() override { return add({}); }
  bool boolean(bool value) override { return add(value); }
  bool number_integer(std::int64_t value) override { return add(value); }
  bool number_unsigned(std::uint64_t value) override {
    constexpr auto greatest = static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max());
    if (value <= greatest) return add(static_cast<std::int64_t>(value));
    return add(static_cast<double>(value));
  }
  bool number_float(double value, const std::string&) override { return add(value); }
  bool string(std::string& value) override { return add(std::move(value)); }
  bool binary(nlohmann::json::binary_t&) override { return false; }  // not a thing of JSON texts

  bool start_object(std::size_t) override { return open(Object{}); }
  bool start_array(std::size_t) override { return open(Array{}); }
  bool end_object() override { return close(); }
  bool end_array() override { return close(); }

  bool key(std::string& name) override {
    Level& level = levels_.back();
    level.key = std::move(name);
    level.key_at = places_.next();
    const auto [first, is_new] = level.seen.emplace(level.key, level.key_at);
    if (!is_new) {
      diagnostics_.error(level.key_at, "duplicate-key",
                         fmt::format("\"{}\" is set a second time; the first is at {}:{}", excerpt(level.key),
                                     first->second.line, first->second.column),
                         "keep one of the two");
    }
    return true;
  }

  bool parse_error(std::size_t read_count, const std::string&,
                   const nlohmann::json::exception& error) override {
    const Position at = detail::position_of(text_, read_count == 0 ? 0 : read_count - 1);
    const std::string_view what = error.what();
    if (what.find("number overflow") != std::string_view::npos) {
      diagnostics_.error(places_.next(), "not-finite", "the number is too large to be used",
                         "write a smaller number");
      return false;
    }
    // "[json.exception.parse_error.101] parse error at line 1, column 2: syntax error ...": keep the last
    const std::size_t colon = what.find(": ");
    diagnostics_.error(
        at, "syntax",
        fmt::format("this is not JSON: {}",
                    excerpt(colon == std::string_view::npos ? what : what.substr(colon + 2), 200)));
    return false;
  }

  std::optional<Value> take() { return std::move(root_); }

private:
  struct Level {
    Value value;
    Position key_at{};  // of the member being read; stays 0:0 in a list
    std::string key{};
    std::unordered_map<std::string, Position> seen{};
  };

  bool add(Value value) {
    value.put_at(places_.next());
    return put(std::move(value));
  }

  bool open(Value empty) {
    empty.put_at(places_.next());
    if (levels_.size() >= greatest_depth) {
      diagnostics_.error(empty.at(), "too-deep", "lists and tables are nested more than 64 deep",
                         "nest them less");
      return false;
    }
    levels_.push_back({std::move(empty)});
    return true;
  }

  bool close() {
    Value done = std::move(levels_.back().value);
    levels_.pop_back();
    return put(std::move(done));
  }

  /// Into the innermost open list or table, or as the root.
  bool put(Value value) {
    if (levels_.empty()) {
      root_ = std::move(value);
      return true;
    }
    Level& level = levels_.back();
    if (level.value.is_array()) {
      level.value.array().push_back(std::move(value));
    } else {
      value.put_key_at(level.key_at);
      level.value.object().emplace_back(level.key, std::move(value));
    }
    return true;
  }

  std::string_view text_;
  TokenPlaces places_;
  Diagnostics& diagnostics_;
  std::vector<Level> levels_;
  std::optional<Value> root_;
};

nlohmann::ordered_json tree_of(const Value& value) {
  struct Copy {
    nlohmann::ordered_json operator()(const Array& elements) const {
      auto list = nlohmann::ordered_json::array();
      for (const Value& element : elements)
        list.push_back(tree_of(element));
      return list;
    }
    nlohmann::ordered_json operator()(const Object& members) const {
      nlohmann::ordered_json::object_t object;
      for (const auto& [key, member] : members)
        object.emplace_back(key, tree_of(member));  // unlike operator[], looks for no earlier key
      return object;
    }
    nlohmann::ordered_json operator()(std::nullptr_t) const { return nullptr; }
    nlohmann::ordered_json operator()(bool flag) const { return flag; }
    nlohmann::ordered_json operator()(std::int64_t whole) const { return whole; }
    nlohmann::ordered_json operator()(double number) const { return number; }
    nlohmann::ordered_json operator()(const std::string& text) const { return text; }
  };
  return std::visit(Copy{}, value.data());
}

}  // namespace

std::optional<Value> read_json(std::string_view text, Diagnostics& diagnostics) {
  const std::size_t count_before = diagnostics.all().size();
  text = detail::without_byte_order_mark(text);
  if (const auto at = detail::find_invalid_utf8(text); at != std::string_view::npos) {
    diagnostics.error(detail::position_of(text, at), "not-utf8", "this is not valid UTF-8",
                      "send the document as UTF-8");
    return std::nullopt;
  }
  Builder builder(text, diagnostics);
  const bool is_read = nlohmann::json::sax_parse(text.begin(), text.end(), &builder);
  if (!is_read || diagnostics.all().size() > count_before) return std::nullopt;
  return builder.take();
}

std::string write_json(const Value& document) {
  return tree_of(document).dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ohmroot::text

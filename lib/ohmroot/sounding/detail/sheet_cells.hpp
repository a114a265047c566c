// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/sounding/detail/columns.hpp>
#include <ohmroot/text/csv.hpp>

#include <optional>
#include <string>
#include <string_view>

namespace ohmroot::sounding::detail {

/// What a cell of one column came to.
struct Found {
  enum class State { absent, empty, over_range, refused, number } state = State::absent;
  double si_value = 0.0;  // unit: SI unit of the column; for over_range the stated bound, or 0
  Position at;

  [[nodiscard]] bool is_number() const { return state == State::number; }
  [[nodiscard]] bool is_over_range() const { return state == State::over_range; }
  [[nodiscard]] bool is_refused() const { return state == State::refused; }
  [[nodiscard]] bool is_missing() const { return state == State::absent || state == State::empty; }
};

/// What a column holds, in a sentence.
[[nodiscard]] std::string_view noun(ColumnKind kind);

/// "A (m)" for messages: title and the unit taken.
[[nodiscard]] std::string column_words(const Column& column);

/// The cells of a sheet under one header. What is wrong with one is reported once it is read.
class SheetCells {
public:
  SheetCells(const text::Sheet& sheet, Diagnostics& diagnostics) : sheet_(sheet), diagnostics_(diagnostics) {}

  void set_header(const Header& header) { header_ = header; }
  [[nodiscard]] const Header& header() const { return header_; }

  [[nodiscard]] const text::Cell* cell(const text::Row& row, ColumnKind kind) const;
  [[nodiscard]] Position position(const text::Row& row, ColumnKind kind) const;
  [[nodiscard]] text::CellNumber::Kind kind_of(const text::Cell& source) const;

  Found number(const text::Row& row, ColumnKind kind);
  Found number_in(const text::Row& row, const Column& of);
  Found refuse(Position at, std::string code, std::string message, std::string hint);

private:
  [[nodiscard]] std::optional<double> factor(const text::CellNumber& number, const Column& column) const;

  const text::Sheet& sheet_;
  Diagnostics& diagnostics_;
  Header header_;
};

}  // namespace ohmroot::sounding::detail

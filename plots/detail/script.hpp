// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ohmroot::plots::detail {

/// Colours, each at least 3:1 against white (text: 4.5:1). Colour never stands alone: every line also has
/// its own dash or marker and a label.
namespace colour {
inline constexpr const char* ink = "#1f2933";     // text, axes
inline constexpr const char* guide = "#d5dae0";   // grid: decoration only
inline constexpr const char* main = "#12436d";    // what the figure is about
inline constexpr const char* band = "#cddcea";    // its interval; fill only
inline constexpr const char* accent = "#801650";  // the candidate, the operating point
inline constexpr const char* limit = "#a63d00";   // limits and required values
inline constexpr const char* beyond = "#fbe9dd";  // region past the limit; fill only
inline constexpr const char* other = "#3d3d3d";   // comparison: without the electrode
}  // namespace colour

/// A gnuplot text in single quotes: nothing in it is a command, a macro or markup. A quote in it becomes a
/// typographic one, control characters become blanks.
[[nodiscard]] std::string quoted(std::string_view text);

/// Interval shown on one axis.
struct Axis {
  double least;     // unit: that of the axis
  double greatest;  // unit: that of the axis
  bool is_log = false;
  [[nodiscard]] double decade_count() const;
  [[nodiscard]] double fraction(double value) const;  ///< 0 at least, 1 at greatest; clamped to the axis
};

/// Log axis from values > 0, with room on both sides by the given factors.
struct Room {
  double below_ratio;
  double above_ratio;
};
[[nodiscard]] Axis log_axis(const std::vector<double>& values, Room room);

/// Values 1, 2, 5 times powers of ten inside the axis: gnuplot labels one tick only on short log axes.
[[nodiscard]] std::vector<double> one_two_five(const Axis& axis);

/// Edges of the plotting box in pixels from the left and the top of the drawing.
struct Box {
  int left_px;
  int right_px;
  int top_px;
  int bottom_px;
  [[nodiscard]] int width_px() const { return right_px - left_px; }
  [[nodiscard]] int height_px() const { return bottom_px - top_px; }
};
struct Canvas {
  int width_px;
  int height_px;
};

/// Dash as gnuplot writes it ("solid", "(9,5)"). Lines of one colour need different widths to have different
/// dashes: gnuplot's SVG writer overlooks a change of dash alone.
struct LineStyle {
  const char* dash;
  double width_count;
  const char* colour;
};

/// A label to the right of the box, at a height given as a fraction of the axis.
struct EdgeLabel {
  double fraction;
  const char* colour;
  std::vector<std::string> lines;
};

/// Script under construction: gnuplot commands, one a line.
class Script {
public:
  template <typename... Values>
  void line(fmt::format_string<Values...> pattern, Values&&... values) {
    text_ += fmt::format(pattern, std::forward<Values>(values)...);
    text_ += '\n';
  }

  /// Named data block; a row with a value that is not finite becomes a gap in the line.
  void data(std::string_view name, const std::vector<std::vector<double>>& rows);

  /// What all figures share: encoding, grid, borders, no markup.
  void begin();
  void place(const Canvas& canvas, const Box& box);

  /// Range, scale and 1-2-5 ticks of an axis; name is x or y. The title must carry its unit. Ticks without
  /// numbers are for a panel that shares the axis of the one below it.
  enum class TickText { numbers, none };
  void axis(char name, const Axis& axis, std::string_view title, TickText tick_text = TickText::numbers);

  /// Labels right of the box, moved apart where they would overlap; the first one keeps its place if it can.
  void edge_labels(const Box& box, std::vector<EdgeLabel> labels);

  /// A line right across the box at a height of the vertical axis.
  void level(double value, const LineStyle& style);

  [[nodiscard]] std::string take() { return std::move(text_); }

private:
  std::string text_;
};

/// Value of a curve at an abscissa, linear between its points; the end value outside. Not finite if a
/// neighbouring point is not.
struct Curve {
  const std::vector<double>& abscissa;  // unit: that of the axis
  const std::vector<double>& ordinate;  // unit: that of the axis
  [[nodiscard]] double at(double x) const;
};

}  // namespace ohmroot::plots::detail

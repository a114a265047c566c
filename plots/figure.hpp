// SPDX-License-Identifier: MIT
#pragma once

#include <optional>
#include <string>

#include <ohmroot/study/result.hpp>

namespace ohmroot::plots {

/// A figure before it is drawn: data and script as text, made by pure functions, so that tests can read it.
struct FigureScript {
  std::string id;        ///< letters, digits, '-'
  std::string caption;
  std::string alt_text;
  std::string script;    ///< gnuplot commands and data blocks, without terminal and output
};

/// Each returns nothing if the study holds no data for it.
[[nodiscard]] std::optional<FigureScript> sounding_figure(const study::StudyResult& result);
[[nodiscard]] std::optional<FigureScript> section_figure(const study::StudyResult& result);
[[nodiscard]] std::optional<FigureScript> resistance_figure(const study::StudyResult& result);
[[nodiscard]] std::optional<FigureScript> voltage_figure(const study::StudyResult& result);

enum class RenderStatus { drawn, gnuplot_missing, failed };
struct Rendering {
  RenderStatus status = RenderStatus::failed;
  std::string svg;
  std::string why;
};

/// Runs gnuplot on the script (written through gnuplot-iostream to a file in a fresh temporary folder) and
/// reads the SVG back. Never throws on a missing or failing gnuplot.
[[nodiscard]] Rendering render_svg(const FigureScript& figure);

}  // namespace ohmroot::plots

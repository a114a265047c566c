// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <optional>
#include <string>

namespace ohmroot::plots {

/// A figure before it is drawn: data and script as text, made by pure functions, so that tests can read it.
struct FigureScript {
  std::string id;        ///< letters, digits, '-'
  std::string caption;   ///< states the finding
  std::string alt_text;  ///< finding, range and limit
  std::string script;    ///< gnuplot commands and data blocks, without terminal and output
  int width_px = 760;    ///< of the drawing; 158 mm wide on paper its text is 8 point
  int height_px = 480;
};

/// Apparent resistivity against spacing with the fitted model, and the residuals below. Nothing without
/// readings.
[[nodiscard]] std::optional<FigureScript> sounding_figure(const study::StudyResult& result);

/// Resistivity against depth, from fitted or stated layers. Nothing if the soil is known by a word or by one
/// rod only: there is no section to draw.
[[nodiscard]] std::optional<FigureScript> section_figure(const study::StudyResult& result);

/// Resistance of the electrode against its length or number, with the required values.
[[nodiscard]] std::optional<FigureScript> resistance_figure(const study::StudyResult& result);

/// Voltage of the MET against the load current, with and without the electrode, with the limit.
[[nodiscard]] std::optional<FigureScript> voltage_figure(const study::StudyResult& result);

/// Where the current leaves the conductors of the governing candidate. Nothing without a field solution.
[[nodiscard]] std::optional<FigureScript> leakage_figure(const study::StudyResult& result);

/// Temperature at the metal of the governing candidate against time with the PEN open. Nothing without a field solution.
[[nodiscard]] std::optional<FigureScript> heating_figure(const study::StudyResult& result);

/// Share of the soils that the readings allow in which the governing candidate has no more than a resistance, with
/// the required values. Nothing where the soil is not known by readings.
[[nodiscard]] std::optional<FigureScript> distribution_figure(const study::StudyResult& result);

/// The resistance that no new electrode on this land can be below, by field solution and in closed form, beside the
/// electrodes judged and the required values. Nothing where the land is not known.
[[nodiscard]] std::optional<FigureScript> floor_figure(const study::StudyResult& result);

/// Potential of the surface around the governing candidate, from above, and in the upright plane through its first
/// conductor: lines of equal share, to scale. Nothing without a field solution.
[[nodiscard]] std::optional<FigureScript> surface_figure(const study::StudyResult& result);
[[nodiscard]] std::optional<FigureScript> depth_figure(const study::StudyResult& result);

/// Share of the potential of metal on the PME earth against distance, with the distances met in practice and the table
/// of one rod. Nothing without such metal.
[[nodiscard]] std::optional<FigureScript> separation_figure(const study::StudyResult& result);

/// Loads of two phases under which a line-to-neutral device is blind; nothing on one phase.
[[nodiscard]] std::optional<FigureScript> blind_region_figure(const study::StudyResult& result);

enum class RenderStatus { drawn, gnuplot_missing, failed };
struct Rendering {
  RenderStatus status = RenderStatus::failed;
  std::string svg;  ///< a whole SVG file; empty unless drawn
  std::string why;  ///< one sentence; empty if drawn
};

/// Runs gnuplot on the script (written through gnuplot-iostream to a file in a fresh temporary folder) and
/// reads the SVG back. The same script gives the same bytes. Never throws on a missing or failing gnuplot.
[[nodiscard]] Rendering render_svg(const FigureScript& figure);

}  // namespace ohmroot::plots

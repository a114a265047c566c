// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/load_log.hpp>
#include <ohmroot/supply/open_pen.hpp>

#include <optional>
#include <plots/figure.hpp>

namespace ohmroot::plots {

/// MET voltage over the time of a load log, had the PEN broken at each instant: least to greatest in each
/// stretch. The limit in V.
[[nodiscard]] FigureScript log_time_figure(const supply::LoadLogReport& report, double limit_v);

/// MET voltage against the share of the time in which it is exceeded.
[[nodiscard]] FigureScript log_duration_figure(const supply::LoadLogReport& report, double limit_v);

/// Greatest MET voltage by hour of the day and day of the week.
[[nodiscard]] FigureScript log_week_figure(const supply::LoadLogReport& report, double limit_v);

/// The star of line-to-neutral voltages with the PEN whole and broken. Nothing if the circuit has no state.
[[nodiscard]] std::optional<FigureScript> star_figure(const supply::OpenPenCircuit& circuit, double limit_v);

/// MET voltage against the size of the loads, all scaled together from nothing to 1.5 times, under each of the
/// three load models; a line ends where its operating point does.
[[nodiscard]] FigureScript model_figure(const supply::OpenPenCircuit& circuit, double limit_v);

}  // namespace ohmroot::plots

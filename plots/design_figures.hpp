// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site_design.hpp>

#include <optional>
#include <plots/figure.hpp>

namespace ohmroot::plots {

/// The site from above, to scale: land, keep-outs, and the electrode (the lowest found where none will do).
[[nodiscard]] std::optional<FigureScript> plan_figure(const study::DesignResult& result);

/// Cost against resistance: what no arrangement tried betters in both, with the requirement. Nothing where fewer than
/// two stand on it.
[[nodiscard]] std::optional<FigureScript> front_figure(const study::DesignResult& result);

/// Share of the ground in which the design has no more than a resistance, with the requirement. Nothing where no
/// design was checked.
[[nodiscard]] std::optional<FigureScript> design_distribution_figure(const study::DesignResult& result);

}  // namespace ohmroot::plots

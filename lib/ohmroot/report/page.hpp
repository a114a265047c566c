// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>

#include <string>
#include <vector>

namespace ohmroot::report {

/// A finished picture for the page.
struct Figure {
  std::string id;        ///< letters, digits, '-': unique on the page, and its file name
  std::string caption;   ///< states the finding
  std::string alt_text;  ///< finding, range and limit, for those who cannot see it
  std::string svg;       ///< complete <svg> element; empty: the page says that the figure is missing
  std::string missing_because;
};

/// One self-contained HTML page: verdict first, figures inline, no script, prints to A4. Figures are
/// embedded with alt texts; element ids inside the SVG are made unique.
[[nodiscard]] std::string study_page(const study::StudyResult& result, const std::vector<Figure>& figures);

}  // namespace ohmroot::report

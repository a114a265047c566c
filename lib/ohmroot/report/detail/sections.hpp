// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/report/page.hpp>

#include <set>
#include <string>
#include <vector>

namespace ohmroot::report::detail {

/// The figures of a page, each written once, numbered as they come.
class FigureShelf {
public:
  explicit FigureShelf(const std::vector<Figure>& figures) : figures_(figures) {}
  void write(Html& html, std::string_view id);  ///< nothing if there is no such figure
  void write_rest(Html& html);                  ///< those that no section asked for

private:
  void write(Html& html, const Figure& figure);
  const std::vector<Figure>& figures_;
  std::set<std::string> written_;
};

/// The <svg> element of a picture, its ids and the references to them made unique by a prefix; empty if the
/// text holds no complete picture or anything that could run.
[[nodiscard]] std::string inline_svg(std::string_view picture, std::string_view prefix);

/// One section of the page each, with its heading; nothing where the study has nothing to say.
void write_title(Html& html, const study::StudyResult& result);
void write_verdict(Html& html, const study::StudyResult& result);
void write_conditions(Html& html, const study::StudyResult& result);
void write_soil(Html& html, const study::StudyResult& result, FigureShelf& figures);
void write_electrodes(Html& html, const study::StudyResult& result, FigureShelf& figures);
void write_requirements(Html& html, const study::StudyResult& result);
void write_open_pen(Html& html, const study::StudyResult& result, FigureShelf& figures);
void write_surroundings(Html& html, const study::StudyResult& result, FigureShelf& figures);
void write_floor(Html& html, const study::StudyResult& result, FigureShelf& figures);
void write_tt(Html& html, const study::StudyResult& result);
void write_methods(Html& html, const study::StudyResult& result);
void write_inputs(Html& html, const study::StudyResult& result);
void write_readings(Html& html, const study::StudyResult& result);
void write_cautions(Html& html, const study::StudyResult& result);
void write_sign_off(Html& html, const study::StudyResult& result);
void write_notes(Html& html, const study::StudyResult& result);

}  // namespace ohmroot::report::detail

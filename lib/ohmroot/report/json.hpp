// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report {

/// results.json of a study: every number with its unit in the key (SI), its basis, the whole input and the
/// standing conditions. A number that there is not (an end that the data do not resolve, no steady state) is
/// null, and the key with "_reason" in the place of the unit says why. The layout goes by "schema_version":
/// it rises when a key is renamed or changes its meaning, not when one is added.
[[nodiscard]] text::Value study_document(const study::StudyResult& result);

/// Parts of it, for the commands that do one step only.
[[nodiscard]] text::Value estimate_document(const Estimate& estimate, const char* unit_suffix);
[[nodiscard]] text::Value interpretation_document(const sounding::Interpretation& interpretation);
[[nodiscard]] text::Value soil_document(const study::SoilPicture& soil);
[[nodiscard]] text::Value requirement_document(const supply::Requirement& requirement);
[[nodiscard]] text::Value state_document(const supply::OpenPenState& state);
[[nodiscard]] text::Value candidate_document(const study::CandidateResult& candidate);
[[nodiscard]] text::Value formula_document(const electrode::FormulaResult& result);
[[nodiscard]] text::Value tt_document(const routes::TtCheck& check);
[[nodiscard]] text::Value diagnostic_document(const Diagnostic& diagnostic);

/// The input again, in the dialect that programs send: readable by the site-file reader, with the readings
/// written out in the place of the files they came from.
[[nodiscard]] text::Value site_document(const study::Site& site);

}  // namespace ohmroot::report

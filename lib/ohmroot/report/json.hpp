// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/result.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report {

/// results.json of a study: every number with its unit in the key (SI), its basis, the whole input and the
/// standing conditions. Schema: reference to "schema_version" in the document.
[[nodiscard]] text::Value study_document(const study::StudyResult& result);

/// Parts of it, for the commands that do one step only.
[[nodiscard]] text::Value estimate_document(const Estimate& estimate, const char* unit_suffix);
[[nodiscard]] text::Value interpretation_document(const sounding::Interpretation& interpretation);
[[nodiscard]] text::Value soil_document(const study::SoilPicture& soil);
[[nodiscard]] text::Value requirement_document(const supply::Requirement& requirement);
[[nodiscard]] text::Value state_document(const supply::OpenPenState& state);
[[nodiscard]] text::Value formula_document(const electrode::FormulaResult& result);
[[nodiscard]] text::Value tt_document(const routes::TtCheck& check);
[[nodiscard]] text::Value diagnostic_document(const Diagnostic& diagnostic);

/// The input again, in the dialect that programs send: readable by the site-file reader.
[[nodiscard]] text::Value site_document(const study::Site& site);

}  // namespace ohmroot::report

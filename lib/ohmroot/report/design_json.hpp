// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site_design.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::report {

/// design.json: the design with its places, cost and check, the other kinds, front, proof and what would have to
/// change; SI units in the keys, costs in the currency that "currency" names.
[[nodiscard]] text::Value design_document(const study::DesignResult& result);

}  // namespace ohmroot::report

// SPDX-License-Identifier: MIT
#pragma once

#include "record_session.hpp"

#include <ohmroot/sounding/typed_reading.hpp>

namespace ohmroot::cli {

/// Asks for site, safe working (once a day) and readings on plain standard input and output, by hand or through a pipe,
/// until 'quit' or the end of input. Returns the exit code: 0, 1 if a reading is doubtful, 74 if a line was not kept.
[[nodiscard]] int run_dialogue(RecordSession& session, const sounding::TypedDefaults& defaults);

}  // namespace ohmroot::cli

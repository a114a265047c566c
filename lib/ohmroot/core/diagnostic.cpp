// SPDX-License-Identifier: MIT
#include <ohmroot/core/diagnostic.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ohmroot {
namespace {

std::string_view severity_name(Severity severity) {
  switch (severity) {
  case Severity::error:
    return "error";
  case Severity::warning:
    return "warning";
  case Severity::note:
    return "note";
  }
  return "error";
}

}  // namespace

std::string to_text(const Diagnostic& diagnostic) {
  std::string place = diagnostic.file;
  if (diagnostic.at.line > 0) place += fmt::format(":{}", diagnostic.at.line);
  if (diagnostic.at.line > 0 && diagnostic.at.column > 0) place += fmt::format(":{}", diagnostic.at.column);
  if (!place.empty()) place += ": ";
  std::string text = fmt::format("{}{}: {}", place, severity_name(diagnostic.severity), diagnostic.message);
  if (!diagnostic.hint.empty()) text += fmt::format("\n  hint: {}", diagnostic.hint);
  return text;
}

void Diagnostics::error(Position at, std::string code, std::string message, std::string hint) {
  all_.push_back({Severity::error, file_, at, std::move(code), std::move(message), std::move(hint)});
}

void Diagnostics::warning(Position at, std::string code, std::string message, std::string hint) {
  all_.push_back({Severity::warning, file_, at, std::move(code), std::move(message), std::move(hint)});
}

void Diagnostics::note(Position at, std::string code, std::string message, std::string hint) {
  all_.push_back({Severity::note, file_, at, std::move(code), std::move(message), std::move(hint)});
}

void Diagnostics::append(const Diagnostics& other) {
  all_.insert(all_.end(), other.all_.begin(), other.all_.end());
}

bool Diagnostics::has_errors() const noexcept {
  return std::any_of(all_.begin(), all_.end(),
                     [](const Diagnostic& found) { return found.severity == Severity::error; });
}

}  // namespace ohmroot

// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <vector>

namespace ohmroot {

/// Where in a text something was found. line and column count from 1; 0 means "the file as a whole".
struct Position {
  int line = 0;
  int column = 0;
};

enum class Severity { error, warning, note };

/// One finding in a text: where, what was found, what is allowed, how to mend it.
struct Diagnostic {
  Severity severity = Severity::error;
  std::string file;  ///< as the user named it; "-" for standard input
  Position at;
  std::string code;     ///< stable, for programs: "unknown-key", "wrong-unit", ...
  std::string message;  ///< what was found and what is allowed
  std::string hint;     ///< how to mend it; may be empty
};

/// "file:line:column: error: message" and, if there is one, "  hint: ..." on a line of its own.
[[nodiscard]] std::string to_text(const Diagnostic& diagnostic);

/// All findings of one reading, in the order found. Reading goes on after an error, so that a file is
/// mended in one pass.
class Diagnostics {
public:
  explicit Diagnostics(std::string file = {}) : file_(std::move(file)) {}

  void error(Position at, std::string code, std::string message, std::string hint = {});
  void warning(Position at, std::string code, std::string message, std::string hint = {});
  void note(Position at, std::string code, std::string message, std::string hint = {});
  void append(const Diagnostics& other);

  [[nodiscard]] const std::string& file() const noexcept { return file_; }
  [[nodiscard]] const std::vector<Diagnostic>& all() const noexcept { return all_; }
  [[nodiscard]] bool has_errors() const noexcept;

private:
  std::string file_;
  std::vector<Diagnostic> all_;
};

}  // namespace ohmroot

// SPDX-License-Identifier: MIT
#pragma once

#include "exit_code.hpp"

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/study/site_file.hpp>
#include <ohmroot/text/fields.hpp>
#include <ohmroot/text/value.hpp>

#include <CLI/CLI.hpp>

#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::cli {

/// Ends the command with a message on standard error and an exit code.
class CommandError : public std::runtime_error {
public:
  CommandError(ExitCode code, const std::string& message) : std::runtime_error(message), code_(code) {}
  [[nodiscard]] ExitCode code() const noexcept { return code_; }

private:
  ExitCode code_;
};

/// Where a command leaves its exit code; it runs as the callback of its subcommand.
struct Outcome {
  int exit_code = met;
};

void add_desk(CLI::App& app, Outcome& outcome);
void add_study(CLI::App& app, Outcome& outcome);
void add_plan(CLI::App& app, Outcome& outcome);
void add_record(CLI::App& app, Outcome& outcome);
void add_design(CLI::App& app, Outcome& outcome);
void add_readings(CLI::App& app, Outcome& outcome);
void add_electrode(CLI::App& app, Outcome& outcome);
void add_pen(CLI::App& app, Outcome& outcome);
void add_loads(CLI::App& app, Outcome& outcome);
void add_acceptance(CLI::App& app, Outcome& outcome);
void add_drive(CLI::App& app, Outcome& outcome);
void add_handover(CLI::App& app, Outcome& outcome);
void add_routes(CLI::App& app, Outcome& outcome);
void add_compare(CLI::App& app, Outcome& outcome);
void add_recheck(CLI::App& app, Outcome& outcome);
void add_validate(CLI::App& app, Outcome& outcome);

// ---- options ----

/// An option typed with its unit ("2.4 m"); a wrong or missing unit is a usage error that says so.
CLI::Option* add_quantity(CLI::App& command, const std::string& names, std::optional<double>& si_value,
                          Dimension dimension, const std::string& help);

/// Footer of a command's help: examples (run by the tests) and exit codes.
[[nodiscard]] std::string help_footer(const std::vector<std::string>& examples);

// ---- input and output ----

/// The bytes of a file, or of standard input for "-". Throws CommandError(no_input).
[[nodiscard]] std::string read_input(const std::string& name);

/// A document in either dialect: JSON if it starts with '{' (as programs send it), otherwise TOML.
struct Document {
  text::Value value;
  text::Dialect dialect = text::Dialect::typed_by_people;
};
[[nodiscard]] Document read_document(const std::string& name, const std::string& bytes,
                                     Diagnostics& diagnostics);

/// Reads files named in a document from the folder that the document is in.
[[nodiscard]] study::FileLoader file_loader_beside(const std::string& document_name);

/// Reads a site, or part of one, from a document (TOML or JSON; "-": standard input). Findings are printed
/// and errors end the command.
[[nodiscard]] study::Site read_site_document(const std::string& name, const study::RequiredParts& required,
                                             bool as_json);

/// Prints all findings on standard error; throws CommandError(bad_data) if one is an error. With as_json the
/// errors also go to standard output as one JSON object.
void report_diagnostics(const Diagnostics& diagnostics, bool as_json);

/// Writes a whole file by way of a temporary one beside it. Throws CommandError.
void write_file(const std::string& path, const std::string& content);

/// Text on standard output; a closed pipe or a full disk is an error at the end of the command.
void print(std::string_view text);

/// Columns of text, aligned; the first row is the heading.
[[nodiscard]] std::string table(const std::vector<std::vector<std::string>>& rows);

/// Text broken at 100 columns, indented; as an item of a list.
[[nodiscard]] std::string paragraph(std::string_view text, int indent = 0);
[[nodiscard]] std::string bullet(std::string_view text);
/// A heading with its items below; nothing without items.
[[nodiscard]] std::string headed_list(std::string_view heading, const std::vector<std::string>& lines);

}  // namespace ohmroot::cli

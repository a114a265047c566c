// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/report/json.hpp>
#include <ohmroot/report/wrapped.hpp>
#include <ohmroot/text/json.hpp>
#include <ohmroot/text/toml.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <sstream>

namespace ohmroot::cli {
namespace fs = std::filesystem;

CLI::Option* add_quantity(CLI::App& command, const std::string& names, std::optional<double>& si_value,
                          Dimension dimension, const std::string& help) {
  CLI::Option* option = command.add_option_function<std::string>(
      names,
      [&si_value, dimension, names](const std::string& typed) {
        const ParsedQuantity parsed = parse_quantity(typed, dimension);
        if (!parsed.si_value) {
          throw CLI::ValidationError(names, parsed.problem + (parsed.hint.empty() ? "" : "; " + parsed.hint));
        }
        si_value = parsed.si_value;
      },
      help);
  return option->type_name(std::string(dimension_name(dimension)));
}

std::string help_footer(const std::vector<std::string>& examples) {
  std::string text = "Examples:\n";
  for (const std::string& example : examples)
    text += "  " + example + "\n";
  text +=
      "\nExit: 0 computed and met, 1 not met, 2 cannot be decided; 64 usage, 65 bad data, 66 input missing,\n"
      "      69 program missing, 70 internal, 73 cannot create, 74 write failed.";
  return text;
}

std::string read_input(const std::string& name) {
  std::ostringstream bytes;
  if (name == "-") {
    bytes << std::cin.rdbuf();
    return bytes.str();
  }
  if (fs::is_directory(name)) throw CommandError(no_input, fmt::format("{}: is a folder, not a file", name));
  std::ifstream in(name, std::ios::binary);
  if (!in) throw CommandError(no_input, fmt::format("{}: cannot be read: {}", name, std::strerror(errno)));
  bytes << in.rdbuf();
  if (in.bad())
    throw CommandError(no_input, fmt::format("{}: reading failed: {}", name, std::strerror(errno)));
  return bytes.str();
}

Document read_document(const std::string& name, const std::string& bytes, Diagnostics& diagnostics) {
  const auto first = bytes.find_first_not_of(" \t\r\n");
  const bool is_json = first != std::string::npos && bytes[first] == '{';
  auto value = is_json ? text::read_json(bytes, diagnostics) : text::read_toml(bytes, diagnostics);
  if (!value) {
    if (!diagnostics.has_errors()) throw InternalError(name + ": unreadable without a diagnostic");
    return {};
  }
  return {std::move(*value), is_json ? text::Dialect::sent_by_programs : text::Dialect::typed_by_people};
}

study::FileLoader file_loader_beside(const std::string& document_name) {
  const fs::path folder = document_name == "-" ? fs::path(".") : fs::path(document_name).parent_path();
  return [folder](const std::string& name) -> std::optional<std::string> {
    std::ifstream in(folder / name, std::ios::binary);
    if (!in || fs::is_directory(folder / name)) return std::nullopt;
    std::ostringstream bytes;
    bytes << in.rdbuf();
    return bytes.str();
  };
}

study::Site read_site_document(const std::string& name, const study::RequiredParts& required, bool as_json) {
  Diagnostics diagnostics(name);
  const std::string bytes = read_input(name);
  const Document document = read_document(name, bytes, diagnostics);
  // results.json carries its own input: studied again, it is that input which counts.
  const text::Value* recorded = document.value.is_object() && document.value.find("schema_version") != nullptr
                                    ? document.value.find("input")
                                    : nullptr;
  std::optional<study::Site> site;
  if (!diagnostics.has_errors()) {
    site = study::read_site(recorded != nullptr ? *recorded : document.value, document.dialect, required,
                            file_loader_beside(name), diagnostics);
  }
  report_diagnostics(diagnostics, as_json);
  if (!site) throw InternalError(name + ": no site and no error");
  return std::move(*site);
}

void report_diagnostics(const Diagnostics& diagnostics, bool as_json) {
  for (const Diagnostic& found : diagnostics.all())
    std::cerr << to_text(found) << '\n';
  if (!diagnostics.has_errors()) return;
  if (as_json) {
    text::Array findings;
    for (const Diagnostic& found : diagnostics.all())
      findings.push_back(report::diagnostic_document(found));
    text::Value document;
    document.set("errors", std::move(findings));
    print(text::write_json(document));
  }
  const auto count = std::count_if(diagnostics.all().begin(), diagnostics.all().end(),
                                   [](const Diagnostic& d) { return d.severity == Severity::error; });
  throw CommandError(
      bad_data, fmt::format("{} error{} in the input; nothing was computed", count, count == 1 ? "" : "s"));
}

void write_file(const std::string& path, const std::string& content) {
  const std::string part = path + ".part";
  {
    std::ofstream out(part, std::ios::binary | std::ios::trunc);
    if (!out)
      throw CommandError(cannot_create, fmt::format("{}: cannot be created: {}", part, std::strerror(errno)));
    out << content;
    out.flush();
    if (!out)
      throw CommandError(write_failed, fmt::format("{}: writing failed: {}", part, std::strerror(errno)));
  }
  std::error_code failed;
  fs::rename(part, path, failed);
  if (failed)
    throw CommandError(cannot_create, fmt::format("{}: cannot be created: {}", path, failed.message()));
}

void print(std::string_view text) {
  std::cout << text;
  if (!std::cout.flush()) throw CommandError(write_failed, "standard output: writing failed");
}

std::string table(const std::vector<std::vector<std::string>>& rows) {
  std::vector<std::size_t> widths;
  for (const auto& row : rows) {
    widths.resize(std::max(widths.size(), row.size()));
    for (std::size_t i = 0; i < row.size(); ++i)
      widths[i] = std::max(widths[i], row[i].size());
  }
  std::string text;
  for (const auto& row : rows) {
    std::string line = " ";
    for (std::size_t i = 0; i < row.size(); ++i)
      line += fmt::format(" {:<{}} ", row[i], widths[i]);
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + '\n';
  }
  return text;
}

std::string paragraph(std::string_view text, int indent) {
  const std::string margin(static_cast<std::size_t>(indent), ' ');
  return report::wrapped(text, {margin, margin});
}

std::string bullet(std::string_view text) {
  return report::wrapped(text, {"  - ", "    "});
}

std::string headed_list(std::string_view heading, const std::vector<std::string>& lines) {
  if (lines.empty()) return "";
  std::string text = fmt::format("\n{}\n", heading);
  for (const std::string& line : lines)
    text += bullet(line);
  return text;
}

}  // namespace ohmroot::cli

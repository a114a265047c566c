// SPDX-License-Identifier: MIT
// The rules of the house that a compiler does not check. That each public header compiles alone is checked
// by the build itself (target all_verify_interface_header_sets, built by tests/run).
#include <catch2/catch.hpp>

#include <array>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

namespace fs = std::filesystem;

namespace {

const fs::path root = OHMROOT_SOURCE_DIR;

std::string content_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

std::vector<fs::path> files_below(const fs::path& folder, const std::set<std::string>& endings) {
  std::vector<fs::path> found;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file() && endings.count(entry.path().extension().string()) > 0)
      found.push_back(entry.path());
  }
  return found;
}

/// What each room may include besides itself. Dependencies point one way: down.
const std::map<std::string, std::set<std::string>> may_include{
    {"core", {}},
    {"text", {"core"}},
    {"earth", {"core", "text"}},
    {"supply", {"core", "text"}},
    {"electrode", {"core", "text", "earth"}},
    {"sounding", {"core", "text", "earth", "electrode"}},
    {"routes", {"core", "text", "earth", "supply", "electrode", "sounding"}},
    {"design", {"core", "text", "earth", "supply", "electrode", "sounding", "routes"}},
    {"acceptance", {"core", "text", "earth", "supply", "electrode", "sounding", "routes", "design"}},
    {"study", {"core", "text", "earth", "supply", "electrode", "sounding", "routes", "design", "acceptance"}},
    {"evidence",
     {"core", "text", "earth", "supply", "electrode", "sounding", "routes", "design", "acceptance", "study"}},
    {"report",
     {"core", "text", "earth", "supply", "electrode", "sounding", "routes", "design", "acceptance", "study"}},
};

struct Include {
  std::string room;
  bool is_private;
};

std::vector<Include> includes_of(const std::string& text) {
  static const std::regex pattern(R"(#include\s*[<"]ohmroot/([a-z]+)/(detail/)?)");
  std::vector<Include> found;
  for (std::sregex_iterator it(text.begin(), text.end(), pattern), end; it != end; ++it) {
    found.push_back({(*it)[1].str(), (*it)[2].matched});
  }
  return found;
}

/// The rules applied to one file's text, so that the test can be tried on a bad text too.
std::vector<std::string> include_faults(const std::string& room, const std::string& text) {
  std::vector<std::string> faults;
  const auto allowed = may_include.find(room);
  if (allowed == may_include.end()) return {"room '" + room + "' stands on no floor"};
  for (const Include& include : includes_of(text)) {
    if (include.room == room) continue;
    if (allowed->second.count(include.room) == 0) faults.push_back(room + " includes " + include.room);
    if (include.is_private) faults.push_back(room + " includes a private header of " + include.room);
  }
  return faults;
}

/// Names of double that carry no dimension because their unit is told by a comment on the same line.
bool says_its_unit(const std::string& line) {
  return line.find("unit:") != std::string::npos;
}

const std::regex unit_suffix(R"(_(m|m2|ohm|ohm_m|v|a|w|va|s|hz|rad|k|degc|ratio|per_m|per_ohm|w_per_m_k)_?$)");

/// Every double in a public header (field, parameter or returned by a named function) whose name does not
/// say its unit.
std::vector<std::string> suffix_faults(const std::string& text) {
  static const std::regex declared(
      R"((?:std::(?:vector|optional|complex|array)<(?:std::(?:vector|optional|complex)<)?double[^;(){}]*?>+|\bdouble)\s*&?\s+([a-z_A-Z][a-z_A-Z0-9]*)\s*(?=[;,)({=]))");
  std::vector<std::string> faults;
  std::istringstream lines(text);
  std::string line;
  while (std::getline(lines, line)) {
    if (says_its_unit(line)) continue;
    const std::string code = line.substr(0, line.find("//"));
    for (std::sregex_iterator it(code.begin(), code.end(), declared), end; it != end; ++it) {
      const std::string name = (*it)[1].str();
      if (!std::regex_search(name, unit_suffix)) faults.push_back(name);
    }
  }
  return faults;
}

}  // namespace

TEST_CASE("no room includes a room above it, nor another's private headers", "[house]") {
  int file_count = 0;
  for (const fs::path& file : files_below(root / "lib" / "ohmroot", {".hpp", ".cpp"})) {
    const std::string room = fs::relative(file, root / "lib" / "ohmroot").begin()->string();
    for (const std::string& fault : include_faults(room, content_of(file))) {
      FAIL_CHECK(fs::relative(file, root).string() << ": " << fault);
    }
    ++file_count;
  }
  CHECK(file_count > 20);
  CHECK(include_faults("supply", "#include <ohmroot/earth/layers.hpp>\n").size() == 1);
  CHECK(include_faults("study", "#include <ohmroot/supply/detail/x.hpp>\n").size() == 1);
  CHECK(include_faults("earth", "#include <ohmroot/core/error.hpp>\n").empty());
}

TEST_CASE("gnuplot is known to plots only, the option parser to cli only", "[house]") {
  for (const char* folder : {"lib", "plots", "cli"}) {
    for (const fs::path& file : files_below(root / folder, {".hpp", ".cpp"})) {
      const std::string text = content_of(file);
      INFO(fs::relative(file, root).string());
      if (std::string_view(folder) != "plots") CHECK(text.find("gnuplot-iostream") == std::string::npos);
      if (std::string_view(folder) != "cli") CHECK(text.find("#include <CLI/") == std::string::npos);
    }
  }
}

TEST_CASE("every quantity in a public header carries its unit", "[house]") {
  // Core carries quantities of any dimension; the unit travels beside these names.
  const std::set<std::string> carriers{"value", "si_value", "least", "greatest"};
  int header_count = 0;
  for (const fs::path& file : files_below(root / "lib" / "ohmroot", {".hpp"})) {
    if (file.parent_path().filename() == "detail") continue;
    const bool is_core = file.parent_path().filename() == "core";
    for (const std::string& name : suffix_faults(content_of(file))) {
      if (is_core && carriers.count(name) > 0) continue;
      FAIL_CHECK(fs::relative(file, root).string()
                 << ": '" << name << "' has no unit suffix and no 'unit:' comment");
    }
    ++header_count;
  }
  CHECK(header_count > 15);
  CHECK(suffix_faults("double length;").size() == 1);
  CHECK(suffix_faults("double length_m;").empty());
  CHECK(suffix_faults("void f(double depth, double radius_m);").size() == 1);
  CHECK(suffix_faults("std::vector<double> spacing;").size() == 1);
  CHECK(suffix_faults("std::optional<double> value;  // unit: SI").empty());
}

TEST_CASE("public headers show standard types only", "[house]") {
  for (const fs::path& file : files_below(root / "lib" / "ohmroot", {".hpp"})) {
    if (file.parent_path().filename() == "detail") continue;
    const std::string text = content_of(file);
    INFO(fs::relative(file, root).string());
    for (const char* outside : {"<boost/", "<Eigen/", "<fmt/", "<nlohmann/", "<toml++", "<date/"}) {
      CHECK(text.find(outside) == std::string::npos);
    }
  }
}

TEST_CASE("sources say their licence, are ASCII, and the library neither prints nor ends the process",
          "[house]") {
  const std::regex forbidden(R"(std::(cout|cerr|exit|abort|terminate)\b|\bprintf\s*\(|\bgetenv\b|setlocale)");
  for (const char* folder : {"lib", "plots", "cli"}) {
    for (const fs::path& file : files_below(root / folder, {".hpp", ".cpp"})) {
      const std::string text = content_of(file);
      INFO(fs::relative(file, root).string());
      CHECK(text.rfind("// SPDX-License-Identifier: MIT", 0) == 0);
      CHECK(std::all_of(text.begin(), text.end(), [](unsigned char c) { return c < 128; }));
      if (std::string_view(folder) == "lib") CHECK_FALSE(std::regex_search(text, forbidden));
    }
  }
}

TEST_CASE("the top level holds what it may and nothing else", "[house]") {
  const std::set<std::string> allowed{"CMakeLists.txt", "README.md", "DEVELOPERS.md", "lib", "cli",
                                      "plots",          "tests",     "reference"};
  for (const auto& entry : fs::directory_iterator(root)) {
    const std::string name = entry.path().filename().string();
    if (name[0] == '.' || name.rfind("build", 0) == 0) continue;
    CHECK(allowed.count(name) == 1);
  }
}

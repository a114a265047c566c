// SPDX-License-Identifier: MIT
#pragma once

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <sys/wait.h>

namespace ohmroot::test {

struct ProcessResult {
  int exit_code = -1;
  std::string out;
  std::string err;
};

inline std::string file_content(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// A fresh folder, removed with everything in it at the end of the test.
class ScratchFolder {
public:
  ScratchFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "ohmroot-test-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no scratch folder");
    path_ = name;
  }
  ~ScratchFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;

  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  std::filesystem::path write(const std::string& name, const std::string& content) const {
    std::ofstream(path_ / name, std::ios::binary) << content;
    return path_ / name;
  }

private:
  std::filesystem::path path_;
};

/// Runs a shell command line in a folder; standard input from a text.
inline ProcessResult run_shell(const std::string& command, const std::filesystem::path& folder,
                               const std::string& standard_input = {}) {
  const ScratchFolder scratch;
  scratch.write("in", standard_input);
  const std::string line = "cd '" + folder.string() + "' && ( " + command + " ) < '" +
                           (scratch.path() / "in").string() + "' > '" + (scratch.path() / "out").string() +
                           "' 2> '" + (scratch.path() / "err").string() + "'";
  const int status = std::system(line.c_str());
  ProcessResult result;
  result.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  result.out = file_content(scratch.path() / "out");
  result.err = file_content(scratch.path() / "err");
  return result;
}

}  // namespace ohmroot::test

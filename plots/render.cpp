// SPDX-License-Identifier: MIT
#include <fmt/format.h>
#include <gnuplot-iostream.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <exception>
#include <fcntl.h>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <locale>
#include <plots/figure.hpp>
#include <spawn.h>
#include <sys/wait.h>
#include <system_error>
#include <unistd.h>

namespace ohmroot::plots {
namespace {

namespace fs = std::filesystem;

/// A fresh folder of our own, removed with everything in it at the end.
class TemporaryFolder {
public:
  TemporaryFolder() {
    std::string name = (fs::temp_directory_path() / "ohmroot-figure-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr)
      throw std::system_error(errno, std::generic_category(), "cannot make a temporary folder");
    path_ = name;
  }
  ~TemporaryFolder() {
    std::error_code ignored;  // nothing to be done about it here, and nothing depends on it
    fs::remove_all(path_, ignored);
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  [[nodiscard]] const fs::path& path() const { return path_; }

private:
  fs::path path_;
};

std::string file_text(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

// Names inside the folder: gnuplot runs in it, so that no path has to be quoted in its language.
constexpr const char* script_name = "figure.gp";
constexpr const char* picture_name = "figure.svg";
constexpr const char* log_name = "gnuplot.log";

/// gnuplot-iostream as a writer of script files: piping to a gnuplot that is missing or that stops would
/// end in a signal, and its exit status would be lost.
void write_script(const FigureScript& figure, const fs::path& script) {
  Gnuplot out(">" + script.string());
  out.imbue(std::locale::classic());
  out << "set terminal svg noenhanced size " << figure.width_px << ',' << figure.height_px
      << " dynamic background 'white' font 'DejaVu Sans,14' linewidth 1\n"
      << "set output '" << picture_name << "'\n"
      << figure.script << "unset output\n";
  out.flush();
  if (!out) throw std::runtime_error("cannot write " + script.string());
}

struct SpawnActions {
  posix_spawn_file_actions_t value{};
  SpawnActions() { posix_spawn_file_actions_init(&value); }
  ~SpawnActions() { posix_spawn_file_actions_destroy(&value); }
  SpawnActions(const SpawnActions&) = delete;
  SpawnActions& operator=(const SpawnActions&) = delete;
};

/// Runs gnuplot without the user's own settings (-d); its words go to the log. Returns errno if it could
/// not be started, otherwise 0 and the wait status.
struct Run {
  int start_error = 0;
  int wait_status = 0;
};
Run run_gnuplot(const fs::path& folder) {
  SpawnActions actions;
  posix_spawn_file_actions_addchdir_np(&actions.value, folder.c_str());
  posix_spawn_file_actions_addopen(&actions.value, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&actions.value, STDOUT_FILENO, log_name, O_WRONLY | O_CREAT | O_TRUNC,
                                   0600);
  posix_spawn_file_actions_adddup2(&actions.value, STDOUT_FILENO, STDERR_FILENO);
  std::string name = "gnuplot";
  std::string defaults = "-d";
  std::string file = script_name;
  char* const arguments[] = {name.data(), defaults.data(), file.data(), nullptr};
  pid_t child = 0;
  Run run;
  run.start_error = posix_spawnp(&child, name.c_str(), &actions.value, nullptr, arguments, environ);
  if (run.start_error != 0) return run;
  while (waitpid(child, &run.wait_status, 0) < 0)
    if (errno != EINTR) throw std::system_error(errno, std::generic_category(), "cannot wait for gnuplot");
  return run;
}

bool is_complete(const std::string& svg) {
  const auto end = svg.find_last_not_of(" \t\r\n");
  constexpr std::string_view closing = "</svg>";
  return end != std::string::npos && end + 1 >= closing.size() &&
         svg.compare(end + 1 - closing.size(), closing.size(), closing) == 0 &&
         svg.find("<svg") != std::string::npos;
}

Rendering failed(std::string why) {
  return {RenderStatus::failed, {}, std::move(why)};
}

Rendering render(const FigureScript& figure) {
  const TemporaryFolder folder;
  write_script(figure, folder.path() / script_name);
  const Run run = run_gnuplot(folder.path());
  if (run.start_error == ENOENT)
    return {RenderStatus::gnuplot_missing,
            {},
            "gnuplot was not found: install the package gnuplot-nox to have figures"};
  if (run.start_error != 0)
    return failed(fmt::format("gnuplot could not be started: {}", std::strerror(run.start_error)));
  if (!WIFEXITED(run.wait_status) || WEXITSTATUS(run.wait_status) != 0)
    return failed(fmt::format("gnuplot could not draw the figure '{}': {}", figure.id,
                              file_text(folder.path() / log_name)));
  std::string svg = file_text(folder.path() / picture_name);
  if (!is_complete(svg))
    return failed(fmt::format("gnuplot left an incomplete picture of the figure '{}'", figure.id));
  return {RenderStatus::drawn, std::move(svg), {}};
}

}  // namespace

Rendering render_svg(const FigureScript& figure) {
  try {
    return render(figure);
  } catch (const std::exception& problem) {
    return failed(problem.what());
  }
}

}  // namespace ohmroot::plots

// SPDX-License-Identifier: MIT
// What a command said to be on disk is there, whenever it is killed: the program itself, many times, on one file.
#include <ohmroot/sounding/safe_working.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <fcntl.h>
#include <functional>
#include <random>
#include <regex>
#include <support/process.hpp>
#include <thread>
#include <unistd.h>
#include <vector>

namespace {

using ohmroot::test::file_content;
using ohmroot::test::ProcessResult;
using ohmroot::test::run_shell;
using ohmroot::test::ScratchFolder;
using Clock = std::chrono::steady_clock;

const std::string program = OHMROOT_PROGRAM;

/// The program with its standard output in said.txt, in a folder of its own.
class Run {
public:
  /// input: a file from which standard input comes; empty: nothing comes.
  Run(const ScratchFolder& folder, const std::vector<std::string>& arguments, const std::string& input = {})
      : folder_(folder) {
    std::vector<char*> words{const_cast<char*>(program.c_str())};
    for (const std::string& argument : arguments)
      words.push_back(const_cast<char*>(argument.c_str()));
    words.push_back(nullptr);
    const std::string said = (folder.path() / "said.txt").string();
    std::filesystem::remove(
        said);  // a child killed before it opens the file must not leave the words of the last one
    pid_ = ::fork();
    REQUIRE(pid_ >= 0);
    if (pid_ != 0) return;
    const int out = ::open(said.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
    const int nowhere = ::open("/dev/null", O_RDWR);
    ::dup2(input.empty() ? nowhere : ::open(input.c_str(), O_RDONLY), 0);
    ::dup2(out, 1);
    ::dup2(nowhere, 2);
    if (::chdir(folder.path().c_str()) == 0) ::execv(program.c_str(), words.data());
    ::_exit(127);
  }

  /// True if it was still running.
  [[nodiscard]] bool killed_after(Clock::duration delay) const {
    std::this_thread::sleep_for(delay);
    ::kill(pid_, SIGKILL);
    int status = 0;
    ::waitpid(pid_, &status, 0);
    return WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL;
  }
  [[nodiscard]] int ended() const {
    int status = 0;
    ::waitpid(pid_, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  [[nodiscard]] std::string said() const { return file_content(folder_.path() / "said.txt"); }

private:
  const ScratchFolder& folder_;
  pid_t pid_ = -1;
};

/// One command that adds a line to a file: its words for the n-th line, and what that line then holds.
struct Adding {
  std::string file;
  std::regex acknowledgement;  ///< with the number of the line
  std::function<std::vector<std::string>(int)> arguments;
  std::function<std::string(int)> cells;
};

std::vector<std::string> lines_of(const std::string& content) {
  std::vector<std::string> lines;
  std::istringstream text(content);
  for (std::string line; std::getline(text, line);)
    lines.push_back(line);
  return lines;
}

/// Kills as many runs as asked for at random moments of theirs, and holds every promise against the file.
void kill_often(const ScratchFolder& folder, const Adding& adding, int kill_count) {
  const auto file = folder.path() / adding.file;
  const auto started = Clock::now();
  static_cast<void>(Run(folder, adding.arguments(0)).ended());
  Clock::duration whole_run = Clock::now() - started;
  std::vector<std::string> promised{lines_of(file_content(file)).back()};
  CHECK(promised.front().find(adding.cells(0)) != std::string::npos);
  std::mt19937 random(20261126);
  int killed = 0;
  std::string before = file_content(file);
  // How long a run takes changes with the load of the machine: the length follows, so that half of them are killed.
  for (int number = 1; killed < kill_count || promised.size() < 10; ++number) {
    REQUIRE(number < 20 * kill_count);
    const Run run(folder, adding.arguments(number));
    const bool is_killed = run.killed_after(whole_run * (1 + random() % 1300) / 1000);
    killed += is_killed ? 1 : 0;
    whole_run += (is_killed ? 1 : -1) * whole_run / 10;
    const std::string said = run.said();
    const std::string content = file_content(file);
    REQUIRE(content.rfind(before, 0) == 0);  // only ever grows
    before = content;
    std::smatch found;
    if (!std::regex_search(said, found, adding.acknowledgement)) continue;
    const std::vector<std::string> lines = lines_of(content);
    const std::size_t line = std::stoul(found[1].str());
    REQUIRE(line <= lines.size());
    INFO(lines[line - 1]);
    CHECK(lines[line - 1].find(adding.cells(number)) != std::string::npos);
    promised.push_back(lines[line - 1]);
  }
  const std::vector<std::string> lines = lines_of(before);
  for (const std::string& line : promised)
    CHECK(std::count(lines.begin(), lines.end(), line) == 1);
}

/// Killed on entering each of its first calls that write or sync: before, within and after the line itself.
void kill_at_calls(const ScratchFolder& folder, const Adding& adding) {
  if (std::system("strace -o /dev/null true > /dev/null 2>&1") != 0) {
    WARN("skipped: strace is not installed, or tracing is not allowed here");
    return;
  }
  int number = 5000;
  for (const char* call : {"write", "fsync"}) {
    for (int when = 1; when <= 3; ++when, ++number) {
      std::string line = "strace -f -o trace -e trace=write,writev,fsync -e inject=" + std::string(call) +
                         ":signal=KILL:when=" + std::to_string(when) + " '" + program + "'";
      for (const std::string& argument : adding.arguments(number))
        line += " '" + argument + "'";
      line += "; true";  // or the shell says in the test's output who was killed
      const std::string before = file_content(folder.path() / adding.file);
      const ProcessResult killed = run_shell(line, folder.path());
      const std::string after = file_content(folder.path() / adding.file);
      INFO(call << " " << when << ": " << killed.out);
      CHECK(after.rfind(before, 0) == 0);
      std::smatch found;
      if (std::regex_search(killed.out, found, adding.acknowledgement)) {
        CHECK(lines_of(after).at(std::stoul(found[1].str()) - 1).find(adding.cells(number)) !=
              std::string::npos);
        CHECK(after.back() == '\n');
      }
    }
  }
  CHECK(Run(folder, adding.arguments(number)).ended() < 64);  // it goes on where it was
  CHECK(lines_of(file_content(folder.path() / adding.file)).back().find(adding.cells(number)) !=
        std::string::npos);
}

/// The system's own record: the line is written, then synced with success, and only then spoken of.
void require_sync_before_words(const ScratchFolder& folder, const Adding& adding, const std::string& written,
                               const std::string& words) {
  if (std::system("strace -o /dev/null true > /dev/null 2>&1") != 0) {
    WARN("skipped: strace is not installed, or tracing is not allowed here");
    return;
  }
  std::string line = "strace -f -s 4096 -o trace -e trace=write,writev,fsync '" + program + "'";
  for (const std::string& argument : adding.arguments(9000))
    line += " '" + argument + "'";
  CHECK(run_shell(line, folder.path()).exit_code < 64);
  const std::string trace = file_content(folder.path() / "trace");
  const auto wrote = trace.find("\"" + written);
  const auto synced = trace.find("fsync(", wrote);
  const auto returned = trace.find("= 0", synced);
  const auto told = trace.find(words);
  REQUIRE(told != std::string::npos);
  CHECK(wrote < synced);
  CHECK(synced < returned);
  CHECK(returned < told);
}

/// The same for a dialogue: each run is given several lines to keep and killed somewhere among them.
struct Talk {
  std::string file;
  std::regex acknowledgement;
  std::function<std::vector<std::string>(int)> arguments;
  std::function<std::string(int)> typed;               ///< all that the n-th run is given on standard input
  std::function<std::vector<std::string>(int)> cells;  ///< what its lines then hold, in their order
};

void kill_talks(const ScratchFolder& folder, const Talk& talk, int kill_count) {
  const auto file = folder.path() / talk.file;
  const std::string input = (folder.path() / "typed.txt").string();
  const auto run_of = [&](int number) {
    folder.write("typed.txt", talk.typed(number));
    return Run(folder, talk.arguments(number), input);
  };
  const auto started = Clock::now();
  static_cast<void>(run_of(0).ended());
  Clock::duration whole_run = Clock::now() - started;
  std::string before = file_content(file);
  std::mt19937 random(20261127);
  std::vector<std::string> promised;
  int killed = 0;
  int killed_within = 0;  // with some of their lines acknowledged, and not all
  for (int number = 1; killed < kill_count || killed_within < kill_count / 4; ++number) {
    REQUIRE(number < 20 * kill_count);
    const bool is_killed = run_of(number).killed_after(whole_run * (1 + random() % 1300) / 1000);
    killed += is_killed ? 1 : 0;
    whole_run += (is_killed ? 1 : -1) * whole_run / 10;
    const std::string said = file_content(folder.path() / "said.txt");
    const std::string content = file_content(file);
    REQUIRE(content.rfind(before, 0) == 0);  // only ever grows
    before = content;
    const std::vector<std::string> lines = lines_of(content);
    const std::vector<std::string> cells = talk.cells(number);
    std::size_t told = 0;
    for (std::sregex_iterator at(said.begin(), said.end(), talk.acknowledgement), end; at != end;
         ++at, ++told) {
      const std::size_t line = std::stoul((*at)[1].str());
      REQUIRE(line <= lines.size());
      REQUIRE(told < cells.size());
      INFO(lines[line - 1]);
      CHECK(lines[line - 1].find(cells[told]) != std::string::npos);
      promised.push_back(lines[line - 1]);
    }
    killed_within += is_killed && told > 0 && told < cells.size() ? 1 : 0;
  }
  const std::vector<std::string> lines = lines_of(before);
  for (const std::string& line : promised)
    CHECK(std::count(lines.begin(), lines.end(), line) == 1);
}

std::string ohms(int number) {
  return std::to_string(20 + number / 1000) + "." + std::to_string(1000 + number % 1000) + "7";
}

std::string celled(const std::string& text) {
  std::string cell(1, ',');
  cell += text;
  cell += ',';
  return cell;
}

}  // namespace

TEST_CASE("a drive killed fifty times loses no section that was said to be on disk", "[cli]") {
  const ScratchFolder folder;
  folder.write("site.toml", "reference = \"T-4\"\n[soil]\nlayers_basis = \"a test\"\n[[soil.layers]]\n"
                            "resistivity = [\"60 ohm m\", \"140 ohm m\"]\n");
  const Adding adding{"book.csv", std::regex(R"(line (\d+) is on disk)"),
                      [](int number) {
                        return std::vector<std::string>{"drive",
                                                        "site.toml",
                                                        "book.csv",
                                                        "--target",
                                                        "30 ohm",
                                                        "--rod",
                                                        std::to_string(number),
                                                        "--add",
                                                        "depth=1.2 m R=" + ohms(number) + " ohm"};
                      },
                      [](int number) { return celled(ohms(number)); }};
  kill_often(folder, adding, 50);
  kill_at_calls(folder, adding);
  require_sync_before_words(folder, adding, "section,", "line ");
}

TEST_CASE(
    "a dialogue of driving killed forty times among its sections loses none that was said to be on disk",
    "[cli]") {
  const ScratchFolder folder;
  folder.write("site.toml", "reference = \"T-4\"\n[soil]\nlayers_basis = \"a test\"\n[[soil.layers]]\n"
                            "resistivity = [\"60 ohm m\", \"140 ohm m\"]\n");
  for (const ohmroot::sounding::SafetyQuestion question :
       ohmroot::sounding::safety_questions(ohmroot::sounding::Work::driving)) {
    const std::string answer = std::string(ohmroot::sounding::safety_name(question)) + ": yes";
    CHECK(Run(folder, {"drive", "site.toml", "book.csv", "--target", "5 ohm", "--answer", answer}).ended() <
          64);
  }
  // a word mistyped and a rod that stops are among the sections
  const Talk talk{
      "book.csv", std::regex(R"(line (\d+) is on disk: (?!line))"),
      [](int number) {
        return std::vector<std::string>{"drive", "site.toml",           "book.csv", "--target", "5 ohm",
                                        "--rod", std::to_string(number)};
      },
      [](int number) {
        return "1.2 " + ohms(number) + "\n2.4 " + ohms(number + 1) + "\nqiut\n3.6 " + ohms(number + 2) +
               "\nstopped 4.1\n4.8 " + ohms(number + 3) + "\nquit\n";
      },
      [](int number) {
        return std::vector<std::string>{celled(ohms(number)), celled(ohms(number + 1)),
                                        celled(ohms(number + 2)), celled("4.1"), celled(ohms(number + 3))};
      }};
  kill_talks(folder, talk, 40);
}

TEST_CASE("readings killed fifty times: none is lost that was said to be on disk", "[cli]") {
  const ScratchFolder folder;
  const Adding adding{"book.csv", std::regex(R"(line (\d+) is on disk)"),
                      [](int number) {
                        return std::vector<std::string>{"record",  "book.csv",
                                                        "--along", std::to_string(number),
                                                        "--add",   "a=4 m R=" + ohms(number) + " ohm"};
                      },
                      [](int number) { return celled(ohms(number)); }};
  kill_often(folder, adding, 50);
  kill_at_calls(folder, adding);
}

TEST_CASE("tests of an electrode killed while they are entered: none is lost that was said to be on disk",
          "[cli]") {
  const ScratchFolder folder;
  const std::filesystem::path demo = std::filesystem::path(OHMROOT_SOURCE_DIR) / "cli" / "demo" / "workshop";
  std::string site = file_content(demo / "site.toml");
  const std::string readings =
      "files = [\"readings.csv\"]\narray = \"schlumberger\"\nstake_depth = \"0.1 m\"\n"
      "reading_error = 0.04\n";
  const auto at = site.find(readings);
  REQUIRE(at != std::string::npos);
  folder.write("site.toml",
               site.replace(at, readings.size(),
                            "layers_basis = \"a test\"\nlayers = [{ resistivity = [\"22 ohm m\", "
                            "\"28 ohm m\"] }]\n"));
  const std::string sheet = file_content(demo / "acceptance.csv");
  const Adding adding{"retests.csv", std::regex(R"(Line (\d+) of retests\.csv is on disk)"),
                      [&](int number) {
                        folder.write("test.csv",
                                     "instrument,tester " + std::to_string(number) + "\n" + sheet);
                        return std::vector<std::string>{"acceptance", "site.toml", "test.csv", "--add"};
                      },
                      [](int number) { return celled("tester " + std::to_string(number)); }};
  kill_often(folder, adding, 20);
  kill_at_calls(folder, adding);
  require_sync_before_words(folder, adding, "test,", "Line ");
}

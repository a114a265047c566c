// SPDX-License-Identifier: MIT
// The promise of the journal, tried on the real file system: what was acknowledged is in the file.
#include <ohmroot/core/error.hpp>
#include <ohmroot/text/csv.hpp>
#include <ohmroot/text/journal.hpp>

#include <catch2/catch.hpp>

#include <chrono>
#include <csignal>
#include <filesystem>
#include <functional>
#include <map>
#include <random>
#include <regex>
#include <support/process.hpp>
#include <sys/resource.h>
#include <sys/stat.h>
#include <thread>
#include <unistd.h>

using namespace ohmroot;
using namespace ohmroot::text;
using ohmroot::test::file_content;
using ohmroot::test::run_shell;
using ohmroot::test::ScratchFolder;
namespace fs = std::filesystem;

namespace {

const std::string header = "entry,text,accepted";

Journal open_journal(const fs::path& file, int wait_ms = 0) {
  return Journal(file, {header, wait_ms});
}

JournalFault fault_of(const std::function<void()>& action) {
  try {
    action();
  } catch (const JournalError& error) {
    INFO(error.what());
    return error.fault();
  }
  FAIL("no error");
  return JournalFault::write_failed;
}

std::vector<std::string> lines_of(const fs::path& file) {
  std::istringstream text(file_content(file));
  std::vector<std::string> lines;
  for (std::string line; std::getline(text, line);)
    lines.push_back(line);
  return lines;
}

/// A child that runs a body and ends without touching the test's own state; its writing end of a pipe is given.
struct Child {
  pid_t pid = -1;
  int from = -1;
};

Child start(const std::function<int(int to_parent)>& body) {
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const pid_t pid = ::fork();
  REQUIRE(pid >= 0);
  if (pid == 0) {
    ::close(ends[0]);
    int code = 99;
    try {
      code = body(ends[1]);
    } catch (...) {
    }
    ::_exit(code);
  }
  ::close(ends[1]);
  return {pid, ends[0]};
}

int exit_code_of(const Child& child) {
  int status = 0;
  ::waitpid(child.pid, &status, 0);
  ::close(child.from);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

std::string entry(int number) {
  // Long enough for a write to be caught in the middle, with a quoted cell.
  return csv_line({std::to_string(number),
                   "reading, \"" + std::string(static_cast<std::size_t>(200 + number % 97), 'x') + "\"",
                   "yes"});
}

/// Reads what was acknowledged: one int per line, until the pipe ends.
std::vector<int> acknowledged(int from) {
  std::vector<int> numbers;
  int number = 0;
  while (::read(from, &number, sizeof number) == static_cast<ssize_t>(sizeof number))
    numbers.push_back(number);
  return numbers;
}

}  // namespace

TEST_CASE("a journal is a plain CSV with a header, and goes on where it was", "[journal]") {
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "book.csv";
  {
    Journal journal = open_journal(file);
    CHECK(journal.append(csv_line({"1", "a, \"quoted\" cell", "yes"})) == 2);
    CHECK(journal.append(csv_line({"2", "second", "yes"})) == 3);
  }
  {
    Journal journal = open_journal(file);
    CHECK(journal.torn_line() == 0);
    CHECK(journal.append(csv_line({"3", "third", "yes"})) == 4);
    CHECK(journal.content() == file_content(file));
  }
  Diagnostics found("book.csv");
  const Sheet sheet = read_sheet(file_content(file), found);
  CHECK(found.all().empty());
  REQUIRE(sheet.rows.size() == 4);
  CHECK(sheet.rows[1].cells[1].text == "a, \"quoted\" cell");
  CHECK(sheet.rows[3].line == 4);
}

TEST_CASE("what is no line is refused before anything is written", "[journal]") {
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "book.csv";
  Journal journal = open_journal(file);
  for (const std::string& text : {std::string(), std::string("two\nlines"), std::string("a\rb"),
                                  std::string("nul\0byte", 8), std::string("\xC3")})
    CHECK_THROWS_AS(journal.append(text), DomainError);
  CHECK_THROWS_AS(csv_line({"fine", "not\nfine"}), DomainError);
  CHECK(file_content(file) == header + "\n");
  CHECK_THROWS_AS(Journal(scratch.path() / "other", {"", 0}), DomainError);
}

TEST_CASE("a line cut off anywhere is kept, marked, and followed by a fresh line", "[journal]") {
  const std::string whole =
      csv_line({"1", "gr\xC3\xBC\xC3\x9F \xE2\x82\xAC \xF0\x9F\x8C\xB1, \"quoted\"", "yes"});
  for (std::size_t cut = 1; cut <= whole.size(); ++cut) {
    INFO(cut);
    const ScratchFolder scratch;
    const std::string before = header + "\n0,good,yes\n";
    const fs::path file = scratch.write("book.csv", before + whole.substr(0, cut));
    Journal journal = open_journal(file);
    CHECK(journal.torn_line() == 3);
    CHECK(journal.append("4,next,yes") == 4);
    const std::string content = file_content(file);
    CHECK(content.rfind(before + whole.substr(0, cut), 0) == 0);
    Diagnostics found("book.csv");
    const Sheet sheet = read_sheet(content, found);
    CHECK(found.all().empty());
    CHECK(sheet.encoding == "UTF-8");
    REQUIRE(sheet.rows.size() == 4);
    CHECK(sheet.rows[3].cells[1].text == "next");
    // Even where only the line end was missing, no last cell says "yes".
    CHECK((sheet.rows[2].cells.size() < 3 || sheet.rows[2].cells[2].text != "yes"));
  }
}

TEST_CASE("a header cut off anywhere is completed", "[journal]") {
  for (std::size_t cut = 0; cut <= header.size(); ++cut) {
    const ScratchFolder scratch;
    const fs::path file = scratch.write("book.csv", header.substr(0, cut));
    Journal journal = open_journal(file);
    CHECK(journal.append("1,a,yes") == 2);
    CHECK(file_content(file) == header + "\n1,a,yes\n");
  }
}

TEST_CASE("another file is refused and left alone", "[journal]") {
  const ScratchFolder scratch;
  for (const std::string& content :
       {std::string("a (m),R (ohm)\n1,2\n"), std::string("entry;text;accepted\n"),
        header + std::string("\n1,a\0b,yes\n", 11), std::string("\n")}) {
    const fs::path file = scratch.write("sheet.csv", content);
    CHECK(fault_of([&] { open_journal(file); }) == JournalFault::another_file);
    CHECK(file_content(file) == content);
  }
  CHECK(fault_of([&] { open_journal("/dev/full"); }) == JournalFault::cannot_open);
  CHECK(fault_of([&] { open_journal(scratch.path()); }) == JournalFault::cannot_open);
  CHECK(fault_of([&] { open_journal(scratch.path() / "no" / "folder.csv"); }) == JournalFault::cannot_open);
  ::mkfifo((scratch.path() / "pipe").c_str(), 0600);
  CHECK(fault_of([&] { open_journal(scratch.path() / "pipe"); }) == JournalFault::cannot_open);
}

TEST_CASE("killed at a random moment, four hundred times or more, the journal holds every acknowledged line",
          "[journal]") {
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "book.csv";
  std::mt19937 random(20261126);
  int next = 0;
  int acknowledged_count = 0;
  std::vector<int> promised;
  // On a loaded machine many a child is killed before its first line: go on until enough lines were promised.
  for (int kill = 0; kill < 400 || acknowledged_count < 400; ++kill) {
    REQUIRE(kill < 10000);
    const Child child = start([&](int to_parent) {
      Journal journal = open_journal(file);
      for (int number = next;; ++number) {
        journal.append(entry(number));
        if (::write(to_parent, &number, sizeof number) != static_cast<ssize_t>(sizeof number)) return 1;
      }
    });
    std::this_thread::sleep_for(std::chrono::microseconds(500 + random() % 12000));
    ::kill(child.pid, SIGKILL);
    const std::vector<int> now = acknowledged(child.from);
    CHECK(exit_code_of(child) == 128 + SIGKILL);
    promised.insert(promised.end(), now.begin(), now.end());
    acknowledged_count += static_cast<int>(now.size());
    next += static_cast<int>(now.size()) + 1000;  // numbers of one session are its own
  }
  std::map<std::string, int> count_of;
  for (const std::string& line : lines_of(file))
    ++count_of[line];
  for (const int number : promised) {
    if (count_of[entry(number)] != 1) FAIL_CHECK("line " << number << " stands " << count_of[entry(number)]);
  }
  // And the remains of every crash can be stepped over.
  Diagnostics found("book.csv");
  const Sheet sheet = read_sheet(file_content(file), found);
  CHECK(found.all().empty());
  CHECK(sheet.rows.size() > promised.size());
}

TEST_CASE("writing and syncing come before the acknowledgement, the folder's syncing before the first",
          "[journal]") {
  if (std::system("strace -o /dev/null true > /dev/null 2>&1") != 0) {
    WARN("skipped: strace is not installed, or tracing is not allowed here");
    return;
  }
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "book.csv";
  const fs::path trace = scratch.path() / "trace";
  const std::string self = fs::read_symlink("/proc/self/exe").string();
  const auto run =
      run_shell("OHMROOT_JOURNAL='" + file.string() + "' strace -f -e trace=openat,write,fsync -o '" +
                    trace.string() + "' '" + self + "' '[.journal-writer]'",
                scratch.path());
  INFO(run.out << run.err);
  REQUIRE(run.exit_code == 0);
  // Per line: a write of the line to the file, an fsync of the same descriptor that returned 0, then the word.
  const std::regex opened(R"(openat\([^"]*"([^"]*)\", [^)]*\) = (\d+))");
  std::string descriptor;
  std::string folder;
  bool is_folder_synced = false;
  bool is_written = false;
  bool is_synced = false;
  int acknowledged_count = 0;
  for (const std::string& line : lines_of(trace)) {
    std::smatch match;
    if (std::regex_search(line, match, opened)) {
      if (match[1] == file.string()) descriptor = match[2];
      if (match[1] == scratch.path().string()) folder = match[2];
    } else if (!descriptor.empty() && line.find("write(" + descriptor + ", ") != std::string::npos) {
      is_written = true;
      is_synced = false;
    } else if (!descriptor.empty() && line.find("fsync(" + descriptor + ")") != std::string::npos) {
      is_synced = line.find("= 0") != std::string::npos;
    } else if (!folder.empty() && line.find("fsync(" + folder + ")") != std::string::npos) {
      is_folder_synced = line.find("= 0") != std::string::npos;
    } else if (line.find("write(1, \"acknowledged") != std::string::npos) {
      CHECK(is_written);
      CHECK(is_synced);
      CHECK(is_folder_synced);
      is_written = is_synced = false;
      ++acknowledged_count;
    }
  }
  CHECK(acknowledged_count == 5);
}

TEST_CASE("writer that is traced", "[.journal-writer]") {
  const char* file = std::getenv("OHMROOT_JOURNAL");
  if (file == nullptr) return;
  Journal journal = open_journal(file);
  for (int number = 0; number < 5; ++number) {
    journal.append(entry(number));
    REQUIRE(::write(1, "acknowledged\n", 13) == 13);
  }
}

TEST_CASE("a full disk: the line is not acknowledged, the file is whole, and goes on when there is room",
          "[journal]") {
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "book.csv";
  const Child child = start([&](int to_parent) {
    ::signal(SIGXFSZ, SIG_IGN);
    Journal journal = open_journal(file);
    const rlimit limit{1000, 4000};
    if (::setrlimit(RLIMIT_FSIZE, &limit) != 0) return 2;
    int number = 0;
    try {
      for (;; ++number) {
        journal.append(entry(number));
        if (::write(to_parent, &number, sizeof number) < 0) return 3;
      }
    } catch (const JournalError& error) {
      if (error.fault() != JournalFault::disk_full) return 4;
    }
    const rlimit more{4000, 4000};
    if (::setrlimit(RLIMIT_FSIZE, &more) != 0) return 5;
    journal.append(entry(500));
    return 0;
  });
  const std::vector<int> kept = acknowledged(child.from);
  CHECK(exit_code_of(child) == 0);
  CHECK(kept.size() >= 2);
  std::vector<std::string> expected{header};
  for (const int number : kept)
    expected.push_back(entry(number));
  expected.push_back(entry(500));
  CHECK(lines_of(file) == expected);
}

TEST_CASE("a disk that fails in the middle is an error, never an acknowledgement", "[journal]") {
  if (std::system("strace -o /dev/null true > /dev/null 2>&1") != 0) {
    WARN("skipped: strace is not installed, or tracing is not allowed here");
    return;
  }
  const auto fault = GENERATE(values<std::string>({"fsync:error=EIO:when=5", "fsync:error=ENOSPC:when=6"}));
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "book.csv";
  const std::string self = fs::read_symlink("/proc/self/exe").string();
  const auto run = run_shell("OHMROOT_JOURNAL='" + file.string() + "' strace -o trace -e inject=" + fault +
                                 " '" + self + "' '[.journal-writer]'",
                             scratch.path());
  CHECK(run.exit_code != 0);
  const std::regex word("(^|\n)acknowledged");
  const auto acknowledged_count = static_cast<std::size_t>(
      std::distance(std::sregex_iterator(run.out.begin(), run.out.end(), word), std::sregex_iterator()));
  CHECK(acknowledged_count >= 1);
  CHECK(acknowledged_count < 5);
  CHECK(lines_of(file).size() == acknowledged_count + 1);
  Journal journal = open_journal(file);
  CHECK(journal.torn_line() == 0);
}

TEST_CASE("a folder that cannot be written to is an error of opening", "[journal]") {
  const ScratchFolder scratch;
  const fs::path folder = scratch.path() / "read-only";
  fs::create_directory(folder);
  fs::permissions(folder, fs::perms::owner_read | fs::perms::owner_exec);
  const auto attempt = [&](const fs::path& file) {
    const Child child = start([&](int) {
      // Root is let in everywhere: try as nobody (65534).
      if (::geteuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) return 2;
      try {
        open_journal(file);
      } catch (const JournalError& error) {
        return error.fault() == JournalFault::cannot_open ? 0 : 3;
      }
      return 4;
    });
    return exit_code_of(child);
  };
  fs::permissions(scratch.path(), fs::perms::others_exec | fs::perms::others_read, fs::perm_options::add);
  CHECK(attempt(folder / "book.csv") == 0);
  CHECK(fs::is_empty(folder));
  const fs::path file = scratch.write("kept.csv", header + "\n1,a,yes\n");
  fs::permissions(file, fs::perms::owner_read | fs::perms::others_read);
  CHECK(attempt(file) == 0);
  CHECK(file_content(file) == header + "\n1,a,yes\n");
  fs::permissions(folder, fs::perms::owner_all);
}

TEST_CASE("a second session is turned away, or waits, and lines never mix", "[journal]") {
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "book.csv";
  {
    const Journal first = open_journal(file);
    CHECK(fault_of([&] { open_journal(file); }) == JournalFault::in_use);
  }
  CHECK_NOTHROW(open_journal(file));
  // Two processes at once, each opening anew for every line, as one-line commands do.
  constexpr int each = 60;
  const auto writer = [&](int first) {
    return start([&file, first](int) {
      for (int i = 0; i < each; ++i)
        open_journal(file, 20000).append(entry(first + i));
      return 0;
    });
  };
  const Child one = writer(0);
  const Child two = writer(1000);
  CHECK(exit_code_of(one) == 0);
  CHECK(exit_code_of(two) == 0);
  const std::vector<std::string> lines = lines_of(file);
  REQUIRE(lines.size() == 1 + 2 * each);
  for (int i = 0; i < each; ++i) {
    CHECK(std::count(lines.begin(), lines.end(), entry(i)) == 1);
    CHECK(std::count(lines.begin(), lines.end(), entry(1000 + i)) == 1);
  }
}

TEST_CASE("a file changed, replaced or removed under the session is noticed before a line is acknowledged",
          "[journal]") {
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "book.csv";
  const auto change = GENERATE(0, 1, 2);
  {
    Journal journal = open_journal(file);
    journal.append("1,a,yes");
    if (change == 0) std::ofstream(file, std::ios::app) << "typed elsewhere\n";
    if (change == 1) fs::remove(file);
    if (change == 2) {
      fs::rename(file, scratch.path() / "moved.csv");
      scratch.write("book.csv", file_content(scratch.path() / "moved.csv"));
    }
    CHECK(fault_of([&] { journal.append("2,b,yes"); }) == JournalFault::changed_outside);
    CHECK(fault_of([&] { journal.append("2,b,yes"); }) == JournalFault::write_failed);
  }
  Journal journal = open_journal(file);
  CHECK(journal.append("2,b,yes") == (change == 0 ? 4 : change == 1 ? 2 : 3));
}

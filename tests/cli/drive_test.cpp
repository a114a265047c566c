// SPDX-License-Identifier: MIT
// A drive by the program itself, with mistakes made on purpose.
#include <catch2/catch.hpp>

#include <string>
#include <support/process.hpp>
#include <support/sample_site.hpp>

namespace {

using ohmroot::test::file_content;
using ohmroot::test::ProcessResult;
using ohmroot::test::run_shell;
using ohmroot::test::ScratchFolder;

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

struct Drive {
  ScratchFolder scratch;
  Drive() {
    scratch.write("site.toml", R"(reference = "T-4"
[soil]
layers_basis = "a test"
[[soil.layers]]
resistivity = ["60 ohm m", "140 ohm m"]
)");
  }
  [[nodiscard]] ProcessResult run(const std::string& arguments, const std::string& input = {}) const {
    return run_shell("'" + std::string(OHMROOT_PROGRAM) + "' drive site.toml book.csv --target '30 ohm' " +
                         arguments,
                     scratch.path(), input);
  }
};

}  // namespace

TEST_CASE("each section is kept and answered, a fall stops the drive", "[drive]") {
  const Drive drive;
  const ProcessResult first = drive.run("--add 'depth=1.2 m R=78 ohm'");
  INFO(first.err);
  CHECK(first.exit_code == 2);
  CHECK(has(first.out, "line 2 is on disk"));
  CHECK(has(first.out, "the next section should read"));
  CHECK(has(first.out, "services searched: not known"));
  CHECK(drive.run("--add 'depth=1.2 m R=70 ohm'").exit_code == 64);  // that depth is in
  const ProcessResult slip = drive.run("--add 'depth=2.4 m R=420 ohm'");
  CHECK(has(slip.out, "DOUBTFUL"));
  CHECK(has(slip.out, "cannot grow"));
  CHECK(has(slip.out, "slipped"));
  const ProcessResult corrected = drive.run("--correct 3 --add 'R=42 ohm'");
  CHECK(has(corrected.out, "line 4 is on disk"));
  const ProcessResult fall = drive.run("--add 'depth=3.6 m R=3 ohm'");
  CHECK(fall.exit_code == 1);
  CHECK(has(fall.out, "STOP, stand clear"));
  CHECK_FALSE(has(fall.out, "next section"));
  CHECK(has(file_content(drive.scratch.path() / "book.csv"), "420"));  // nothing is overwritten
}

TEST_CASE("a refusal stops the drive, and what is typed wrong is said", "[drive]") {
  const Drive drive;
  const ProcessResult stopped = drive.run("--stopped '2.1 m'");
  CHECK(stopped.exit_code == 1);
  CHECK(has(stopped.out, "duct"));
  CHECK_FALSE(has(stopped.out, "next section"));
  CHECK(drive.run("--add '80'").exit_code == 64);
  CHECK(drive.run("--add 'depth=1.2 m'").exit_code == 64);
  CHECK(drive.run("--add 'depth=1.2 R=80'").exit_code == 64);  // units
  CHECK(has(drive.run("--add 'depth=1,2 m R=80 ohm'").err, "comma"));
  CHECK(drive.run("--correct 9 --add 'R=42 ohm'").exit_code == 65);
  CHECK(drive.run("--withdraw 9").exit_code == 65);
}

TEST_CASE("the dialogue asks about safe working once, and takes bare numbers", "[drive]") {
  const Drive drive;
  const ProcessResult day = drive.run("", "y\ny\ny\ny\ny\ny\ny\n1.2 78\n2.4 oops\n2.4 42\nlist\nquit\n");
  INFO(day.out << day.err);
  CHECK(has(day.out, "line 9 is on disk: 78.0 ohm"));
  CHECK(has(day.out, "line 10 is on disk: 42.0 ohm"));
  CHECK(has(day.out, "R: \"oops ohm\" does not start with a number"));
  const ProcessResult later = drive.run("--add 'depth=3.6 m R=29 ohm'");
  CHECK_FALSE(has(later.out, "not answered with yes"));
}

TEST_CASE("a met target ends the drive with 0", "[drive]") {
  const Drive drive;
  CHECK(drive.run("--add 'depth=1.2 m R=15 ohm'").exit_code == 0);
}

TEST_CASE("a drive whose clock ran back says so, refuses nothing and marks the section", "[drive]") {
  const Drive drive;
  CHECK(drive.run("--add 'depth=1.2 m R=78 ohm'").exit_code == 2);
  const auto file = drive.scratch.path() / "book.csv";
  std::string content = file_content(file);
  content[content.find("\nsection,") + 9] = '9';  // the year 9026
  drive.scratch.write("book.csv", content);
  const ProcessResult later = drive.run("--add 'depth=2.4 m R=42 ohm'");
  CHECK(later.exit_code == 2);
  CHECK(has(later.out, "The last line is of 9"));
  CHECK(has(file_content(file), "clock in doubt"));
}

// SPDX-License-Identifier: MIT
// A day of readings by the program itself, with mistakes made on purpose.
#include <ohmroot/text/json.hpp>

#include <catch2/catch.hpp>

#include <regex>
#include <string>
#include <support/process.hpp>

namespace {

using ohmroot::test::file_content;
using ohmroot::test::ProcessResult;
using ohmroot::test::run_shell;
using ohmroot::test::ScratchFolder;

const std::string program = OHMROOT_PROGRAM;

struct Book {
  ScratchFolder scratch;
  ProcessResult run(const std::string& arguments, const std::string& input = {}) const {
    return run_shell("'" + program + "' " + arguments, scratch.path(), input);
  }
  ProcessResult record(const std::string& arguments, const std::string& input = {}) const {
    return run("record book.csv " + arguments, input);
  }
  [[nodiscard]] std::string content() const { return file_content(scratch.path() / "book.csv"); }
};

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// What was wrapped for a small screen, on one line.
std::string unwrapped(const std::string& text) {
  return std::regex_replace(text, std::regex("\\s+"), " ");
}

ohmroot::text::Value json_of(const std::string& text) {
  ohmroot::Diagnostics found("output");
  const auto document = ohmroot::text::read_json(text, found);
  INFO(text);
  REQUIRE(document.has_value());
  return *document;
}

const std::string curve[] = {"a=1 m R=20.7 ohm", "a=1.5 m R=13.9 ohm", "a=2 m R=9.4 ohm",
                             "a=3 m R=5.9 ohm",  "a=4 m R=4.2 ohm",    "a=6 m R=2.4 ohm"};

}  // namespace

TEST_CASE("one line on the command line: kept, reduced, judged", "[record]") {
  const Book book;
  const ProcessResult first = book.record("--site 'Invented home' --add 'a=4 m R=12.3 ohm'");
  CHECK(first.exit_code == 0);
  CHECK(has(first.out, "line 2 is on disk"));
  CHECK(has(first.out, "309 ohm m"));  // 2 pi 4 m 12.3 ohm, by hand
  CHECK(has(first.out, "services searched: not known"));
  CHECK(has(book.content(), "reading,"));
  const auto second = json_of(book.record("--add 'a=8 m R=6.1 ohm depth=20 cm' --json").out);
  CHECK(second.find("line")->number() == 3);
  CHECK(second.find("doubts")->array().empty());
  CHECK(has(book.content(), "Invented home,,Wenner,8,,,6.1,0.2,5"));
}

TEST_CASE("a reading that its neighbours do not allow is said at once, and corrected by another line",
          "[record]") {
  const Book book;
  for (const std::string& reading : curve)
    CHECK(book.record("--add '" + reading + "'").exit_code == 0);
  const ProcessResult slip = book.record("--add 'a=9 m R=17 ohm'");
  CHECK(slip.exit_code == 1);
  CHECK(has(slip.out, "DOUBTFUL"));
  CHECK(has(slip.out, "line 8"));
  CHECK(has(slip.out, "decimal mark"));
  const std::string before = book.content();
  const ProcessResult mended = book.record("--correct 8 --add 'R=1.7 ohm'");
  CHECK(mended.exit_code == 0);
  CHECK(has(mended.out, "in place of line 8"));
  CHECK(book.content().rfind(before, 0) == 0);  // nothing overwritten
  CHECK(has(book.record("--correct 8 --add 'R=1.8 ohm'").err, "line 8 has been corrected"));
  CHECK(book.run("readings book.csv").exit_code == 0);
  CHECK(has(book.run("readings book.csv --json").out, "\"resistance_ohm\": 1.7"));
  CHECK(book.record("--withdraw 9").exit_code == 0);
  CHECK_FALSE(has(book.run("readings book.csv --json").out, "\"resistance_ohm\": 1.7"));
}

TEST_CASE("a session through a pipe: asked once a day, slips repaired, everything kept", "[record]") {
  const Book book;
  const ProcessResult day = book.record(
      "", "Invented home\ny\nperhaps\n?\nn\n1\n20.7\n1.5 13.9\n2 94\ncorrect 7 9.4\n3\n5,9\n\nlists\n3 "
          "nothing\n3 1,234\n3 -5\n"
          "along hedge\n3 5.9\n4 OL\nlist\nwithdraw 99\nwithdraw 6\nfoo=3\nquit\n");
  INFO(day.out);
  CHECK(day.exit_code == 0);
  for (const char* words :
       {"Buried services", "y, n or ?", "Stop and leave the leads alone", "Disconnect the vehicle",
        "line 5 is on disk: a = 1 m", "line 7 is on disk: a = 2 m, R = 94 ohm", "DOUBTFUL",
        "line 8 is on disk: a = 2 m, R = 9.4 ohm", "in place of line 7", "nothing kept",
        "did you mean 'list'?", "has a comma", "not kept:", "are along 'hedge'",
        "over range: kept as a bound", "line 99 holds no reading", "'foo' is none of", "line 6 is withdrawn",
        "apparent resistivity over spacing"}) {
    INFO(words);
    CHECK(has(day.out, words));
  }
  const std::string content = book.content();
  CHECK(has(content, "safe working,"));
  CHECK(has(content, ",hedge,Wenner,3,"));
  // The second session of the day at this site asks nothing again.
  const ProcessResult again = book.record("", "6 2.4\n");
  CHECK_FALSE(has(again.out, "Buried services"));
  CHECK(has(again.out, "vehicle disconnected: no"));
  CHECK(book.content().rfind(content, 0) == 0);
  // Another site asks.
  CHECK(has(book.record("--site 'Invented barn'", "").out, "Buried services"));
}

TEST_CASE("the same spacing again is a repeat: kept, judged by its spread, one reading for the soil",
          "[record]") {
  const Book book;
  for (const char* reading : {"a=1 m R=20.7 ohm", "a=2 m R=9.4 ohm"})
    CHECK(book.record(std::string("--add '") + reading + "'").exit_code == 0);
  const ProcessResult again = book.record("--add 'a=2 m R=9.6 ohm'");
  CHECK(again.exit_code == 0);
  CHECK(has(again.out, "2 readings at this place: 9.4 ohm, 9.6 ohm (lines 3, 4)"));
  CHECK(has(again.out, "of 9.50 ohm"));  // (9.4 + 9.6) / 2
  const ProcessResult joined = book.run("readings book.csv --json");
  CHECK(has(joined.out, "9.5"));
  CHECK(has(joined.out, "line 3, repeated in 4"));
  // 9.4, 9.6 and 14 scatter by 23.6 % about their mean of 11; good repeats agree within 5 %
  const ProcessResult wide = book.record("--add 'a=2 m R=14 ohm'");
  CHECK(wide.exit_code == 1);
  CHECK(has(wide.out, "DOUBTFUL"));
  CHECK(has(wide.out, "scatters by 24 % over its 3"));
  CHECK_FALSE(has(wide.out, "decimal mark"));
  CHECK(book.record("--withdraw 5").exit_code == 0);
  const ProcessResult slip = book.record("--add 'a=2 m R=950 ohm'");  // 9.50 without its mark
  CHECK(has(unwrapped(slip.out), "950 ohm is about 100 times 9.6 ohm: a slip of the decimal mark?"));
  CHECK(book.record("--withdraw 7").exit_code == 0);
  CHECK(book.record("--add 'a=3 m R=5.9 ohm'").exit_code == 0);
  const std::string content = book.content();  // every line stays
  CHECK(has(content, ",9.4,"));
  CHECK(has(content, ",9.6,"));
  CHECK(has(content, ",14,"));
  // on another line of stakes the same spacing is no repeat
  CHECK_FALSE(has(book.record("--along hedge --add 'a=3 m R=9 ohm'").out, "at this place"));
}

TEST_CASE("the first reading is judged by what can be, and what cannot is said", "[record]") {
  const Book book;
  const ProcessResult first = book.record("--add 'a=4 m R=12.3 ohm'");
  CHECK(first.exit_code == 0);
  for (const char* words : {"Judged by itself: order of magnitude", "Not judged:", "from the second on",
                            "from the fifth", "depth=20 cm", "contact"}) {
    INFO(words);
    CHECK(has(unwrapped(first.out), words));
  }
  // kilohms typed as ohms: 2 pi 4 m 12.3 kohm is 309 kohm m, and no soil has that
  const Book slip;
  const ProcessResult order = slip.record("--add 'a=4 m R=12300 ohm'");
  CHECK(order.exit_code == 1);
  CHECK(has(unwrapped(order.out), "above the most of any soil"));
  CHECK(has(unwrapped(order.out), "look at unit and decimal mark"));
  // 3090 ohm m is a soil, but no clay
  const Book clay;
  CHECK(clay.record("--add 'a=4 m R=123 ohm'").exit_code == 0);
  const Book named;
  const ProcessResult against = named.record("--soil clay --add 'a=4 m R=123 ohm depth=20 cm'");
  CHECK(against.exit_code == 1);
  CHECK(has(unwrapped(against.out), "above the most of clay in published lists (163 ohm m)"));
  CHECK(has(unwrapped(against.out), "if 1.23 ohm had been meant"));
  const ProcessResult misspelt = named.record("--soil caly --add 'a=8 m R=6 ohm'");
  CHECK(misspelt.exit_code == 64);
  CHECK(has(misspelt.err, "did you mean 'clay'?"));
  // with five spacings in, an inner one leaves nothing open
  const Book whole;
  for (const std::string& reading : curve)
    CHECK(whole.record("--add '" + reading + " depth=10 cm'").exit_code == 0);
  CHECK_FALSE(has(whole.record("--add 'a=2.5 m R=7.3 ohm depth=10 cm'").out, "Not judged"));
  CHECK(has(whole.record("--add 'a=8 m R=1.7 ohm depth=10 cm'").out, "at an end of the curve"));
}

TEST_CASE("a clock that ran back is said, nothing is refused, and what it stamps is marked", "[record]") {
  const Book book;
  CHECK(book.record("--add 'a=1 m R=20.7 ohm'").exit_code == 0);
  std::string content = book.content();
  content = std::regex_replace(content, std::regex("reading,\\d{4}-"), "reading,2999-");
  book.scratch.write("book.csv", content);
  const ProcessResult later = book.record("--add 'a=2 m R=9.4 ohm note=wet'");
  CHECK(later.exit_code == 0);
  CHECK(has(later.out, "The last line is of 2999-"));
  CHECK(has(later.out, "marked, clock in doubt"));
  CHECK(has(book.content(), "wet; clock in doubt"));
  // once the clock agrees with the book again nothing is marked
  CHECK_FALSE(has(book.record("--add 'a=3 m R=5.9 ohm'").out, "clock in doubt"));
}

TEST_CASE("on site nothing is wider than a small screen", "[record]") {
  const Book book;
  const ProcessResult day = book.record(
      "", "home\nn\nn\nn\n1 20\n1.5 13\n2 94\n3 5.9\n4 4.2\nhelp\nlist\ncorect 7 5.9\nqiut\nquit\n");
  std::istringstream lines(day.out);
  for (std::string line; std::getline(lines, line);)
    CHECK(line.size() <= 80);
  CHECK(has(day.out, "did you mean 'correct'?"));
  const ProcessResult plan = book.run("plan book.csv --depth '6 m' --land '30 m'");
  std::istringstream planned(plan.out);
  for (std::string line; std::getline(planned, line);)
    CHECK(line.size() <= 80);
}

TEST_CASE("answers for scripts, and what they mark", "[record]") {
  const Book book;
  const ProcessResult all = book.record("--answer 'services searched: yes' --answer 'Weather safe=y' "
                                        "--answer 'vehicle disconnected: yes' --add 'a=1 m R=2 "
                                        "ohm'");
  CHECK(all.exit_code == 0);
  CHECK_FALSE(has(all.out, "marked"));
  const ProcessResult wrong = book.record("--answer 'weather: fine'");
  CHECK(wrong.exit_code == 64);
  CHECK(has(wrong.err, "vehicle disconnected"));
}

TEST_CASE("mistakes on the command line and in files have their exit codes, and nothing is written",
          "[record]") {
  const Book book;
  CHECK(book.record("--add 'a=4 m'").exit_code == 64);
  CHECK(book.record("--add 'a=4 R=3'").exit_code == 64);
  CHECK(book.record("--correct 2").exit_code == 64);
  CHECK(book.record("--add 'a=4 m R=-3 ohm'").exit_code == 65);
  CHECK(book.record("--correct 2 --add 'R=3 ohm'").exit_code == 65);
  CHECK(has(book.content(), "entry,"));
  CHECK_FALSE(has(book.content(), "reading,"));

  book.scratch.write("sheet.csv", "a (m),R (ohm)\n1,2\n");
  const ProcessResult other = book.run("record sheet.csv --add 'a=4 m R=3 ohm'");
  CHECK(other.exit_code == 65);
  CHECK(has(other.err, "nothing was written"));
  CHECK(file_content(book.scratch.path() / "sheet.csv") == "a (m),R (ohm)\n1,2\n");
  CHECK(book.run("record no/such/folder.csv --add 'a=4 m R=3 ohm'").exit_code == 73);
  CHECK(book.run("record /dev/full --add 'a=4 m R=3 ohm'").exit_code == 73);
}

TEST_CASE("a full disk is told line by line, with exit 74, and the file stays whole", "[record]") {
  const Book book;
  CHECK(book.record("--add 'a=1 m R=20.7 ohm'").exit_code == 0);
  const std::string before = book.content();
  // The shell's limit of file size counts in blocks of 512 bytes (POSIX ulimit -f).
  const ProcessResult full =
      run_shell("ulimit -f 1; '" + program + "' record book.csv --add 'a=2 m R=9.4 ohm'" + " --along '" +
                    std::string(500, 'x') + "'",
                book.scratch.path());
  CHECK(full.exit_code == 74);
  CHECK(has(full.err, "not kept"));
  CHECK(book.content() == before);
  CHECK(book.record("--add 'a=2 m R=9.4 ohm'").exit_code == 0);
}

TEST_CASE("a disk that fills up during a session is said for each line, and ends with exit 74", "[record]") {
  const Book book;
  // Through a pipe: the limit would stop what is said, too, if that went to a file.
  const ProcessResult full =
      run_shell("(ulimit -f 1; '" + program + "' record book.csv 2>&1; echo code $?) | cat",
                book.scratch.path(), "home\n?\n?\n?\n1 20\n2 9.4\nquit\n");
  CHECK(has(full.out, "NOT KEPT"));
  CHECK(has(full.out, "code 74"));
  CHECK(book.content().size() <= 512);
  CHECK(book.content().back() == '\n');
  CHECK(book.record("--add 'a=2 m R=9.4 ohm'").exit_code == 0);
}

TEST_CASE("the line is synced before it is said to be on disk", "[record]") {
  if (std::system("strace -o /dev/null true > /dev/null 2>&1") != 0) {
    WARN("skipped: strace is not installed, or tracing is not allowed here");
    return;
  }
  const Book book;
  const ProcessResult traced = run_shell("strace -o trace -e trace=write,fsync '" + program +
                                             "' record book.csv --add 'a=2 m R=9.4 ohm'",
                                         book.scratch.path());
  CHECK(traced.exit_code == 0);
  const std::string trace = file_content(book.scratch.path() / "trace");
  const auto written = trace.find(", \"reading,");
  const auto synced = trace.find("fsync(", written);
  const auto returned = trace.find("= 0", synced);
  const auto told = trace.find("write(1, \"line 2 is on disk");
  REQUIRE(told != std::string::npos);
  CHECK(written < synced);
  CHECK(synced < returned);
  CHECK(returned < told);
}

TEST_CASE("while a session is open no other one writes", "[record]") {
  const Book book;
  const ProcessResult both =
      run_shell("mkfifo keys; '" + program +
                    "' record book.csv < keys > first.txt & exec 3> keys; "
                    "echo 'Invented home' >&3; sleep 0.5; '" +
                    program + "' record book.csv < /dev/null; code=$?; exec 3>&-; wait; exit $code",
                book.scratch.path());
  CHECK(both.exit_code == 73);
  CHECK(has(both.err, "another session has this file open"));
}

TEST_CASE("killed in the middle of a session, the book holds every line that was said to be on disk",
          "[record]") {
  const Book book;
  const std::string typing = "i=1; while [ $i -lt 400 ]; do echo \"$((1 + i / 20)).$((100 + i)) $((100000 - "
                             "i))\"; i=$((i + 1)); done";
  const ProcessResult killed =
      run_shell("( echo home; echo y; echo y; echo y; " + typing + " ) | timeout -s KILL 0.7 '" + program +
                    "' record book.csv > said.txt; true",
                book.scratch.path());
  const std::string said = file_content(book.scratch.path() / "said.txt");
  const std::regex kept(R"(line (\d+) is on disk: a = ([0-9.]+) m, R = ([0-9.]+) (k?)ohm)");
  int count = 0;
  std::istringstream lines(book.content());
  std::vector<std::string> in_file;
  for (std::string line; std::getline(lines, line);)
    in_file.push_back(line);
  for (std::sregex_iterator it(said.begin(), said.end(), kept), end; it != end; ++it, ++count) {
    const std::size_t number = std::stoul((*it)[1].str());
    REQUIRE(number <= in_file.size());
    CHECK(has(in_file[number - 1], ",Wenner," + (*it)[2].str() + ","));
  }
  CHECK(count > 3);
}

TEST_CASE("plan: spacings, the sheet, and what to read next", "[plan]") {
  const Book book;
  const ProcessResult plan =
      book.run("plan --depth '6 m' --land '30 m' --soil clay --site 'Invented <home>' --print plan.html");
  CHECK(plan.exit_code == 0);
  CHECK(has(plan.out, "look for a longer line"));
  const std::string page = file_content(book.scratch.path() / "plan.html");
  CHECK(has(page, "Invented &lt;home&gt;"));
  CHECK(has(page, "Sketch"));
  CHECK_FALSE(has(page, "<script"));
  CHECK(book.run("plan --depth '6 m' --land '30 m' --print plan.html").exit_code == 73);
  CHECK(book.run("plan --depth '6 m'").exit_code == 64);
  CHECK(book.run("plan --depth '6 m' --land '30 m' --soil custard").exit_code == 64);
  CHECK(has(book.run("plan --depth '6 m' --land '30 m' --soil caly").err, "did you mean 'clay'?"));
  CHECK(book.run("plan missing.csv --depth '6 m' --land '30 m'").exit_code == 66);
  for (const std::string& reading : curve)
    CHECK(book.record("--add '" + reading + "'").exit_code == 0);
  const auto next = json_of(book.run("plan book.csv --depth '6 m' --land '60 m' --json").out);
  REQUIRE(next.find("next") != nullptr);
  CHECK(next.find("next")->find("spacing_m")->number() > 6.0);
  CHECK(next.find("next")->find("electrode_least_ohm")->number() <
        next.find("next")->find("electrode_greatest_ohm")->number());
}

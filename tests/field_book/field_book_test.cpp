// SPDX-License-Identifier: MIT
// The book as a state machine over its lines. Nothing here is measured: what counts is which line holds.
#include <ohmroot/core/error.hpp>
#include <ohmroot/sounding/field_book.hpp>
#include <ohmroot/sounding/field_sheet.hpp>
#include <ohmroot/text/journal.hpp>

#include <catch2/catch.hpp>

#include <sounding/random_soil.hpp>
#include <support/process.hpp>

using namespace ohmroot;
using namespace ohmroot::sounding;
using ohmroot::test::ScratchFolder;

namespace {

const BookStamp today{"2026-11-26 09:30", "Invented home"};

FieldBook read(const std::string& bytes) {
  Diagnostics found("book.csv");
  FieldBook book = read_field_book(bytes, found);
  for (const Diagnostic& d : found.all())
    UNSCOPED_INFO(to_text(d));
  CHECK_FALSE(found.has_errors());
  return book;
}

/// A book that lines are added to as record does: only without faults.
struct Written {
  std::string bytes = field_book_header() + "\n";
  void add(const std::string& line) {
    const auto faults = line_faults(bytes, line);
    for (const Diagnostic& d : faults)
      UNSCOPED_INFO(to_text(d));
    REQUIRE(faults.empty());
    bytes += line + "\n";
  }
  void reading(double spacing_m, double resistance_ohm, int replaces_line = 0) {
    add(reading_line(read(bytes), wenner_reading(spacing_m, resistance_ohm), {today, "", replaces_line}));
  }
};

std::vector<int> lines_in_force(const FieldBook& book) {
  std::vector<int> lines;
  for (const BookReading& kept : book.readings)
    lines.push_back(kept.reading.sheet_line);
  return lines;
}

}  // namespace

TEST_CASE("readings come back as they were written, by the book and by the reader of field sheets",
          "[field_book]") {
  Written book;
  FourPoleReading wenner = wenner_reading(0.7, 12.34567890123);
  wenner.traverse = "hedge, \"long\" side";
  wenner.driven_depth_m = 0.07;
  wenner.relative_error_ratio = 0.07;
  FourPoleReading wide = wenner_reading(1, 3.5);
  wide.array = Array::schlumberger;
  wide.half_current_spacing_m = 10;
  wide.half_potential_spacing_m = 0.5;
  book.add(reading_line(read(book.bytes), wenner, {today, "wet, after rain", 0}));
  book.add(reading_line(read(book.bytes), wide, {today, "", 0}));

  const FieldBook found = read(book.bytes);
  REQUIRE(found.readings.size() == 2);
  CHECK(found.readings[0].remark == "wet, after rain");
  CHECK(found.readings[0].stamp.site == "Invented home");
  CHECK(found.readings[0].stamp.time == "2026-11-26 09:30");
  CHECK(found.last_stamp.site == "Invented home");
  Diagnostics diagnostics("book.csv");
  const FieldSheet sheet = read_field_sheet(book.bytes, {}, diagnostics);
  CHECK_FALSE(diagnostics.has_errors());
  REQUIRE(sheet.readings.size() == 2);
  CHECK(sheet.readings[0].traverse == wenner.traverse);
  CHECK(sheet.readings[0].resistance_ohm == wenner.resistance_ohm);
  CHECK(sheet.readings[0].half_potential_spacing_m == wenner.half_potential_spacing_m);
  CHECK(sheet.readings[0].driven_depth_m == 0.07);
  CHECK(sheet.readings[0].relative_error_ratio == Approx(0.07).epsilon(1e-9));
  CHECK(sheet.readings[1].array == Array::schlumberger);
  CHECK(sheet.readings[1].half_current_spacing_m == 10);
  CHECK(sheet.readings[1].sheet_line == 3);
}

TEST_CASE("a correction supersedes, a correction of it supersedes again, and nothing is overwritten",
          "[field_book]") {
  Written book;
  book.reading(1, 50);   // line 2
  book.reading(2, 250);  // line 3, a slip of the decimal mark
  const std::string before = book.bytes;
  book.reading(2, 26, 3);  // line 4
  CHECK(book.bytes.rfind(before, 0) == 0);
  CHECK(lines_in_force(read(book.bytes)) == std::vector<int>{2, 4});
  book.reading(2, 25, 4);  // line 5
  const FieldBook found = read(book.bytes);
  CHECK(lines_in_force(found) == std::vector<int>{2, 5});
  CHECK(found.superseded_lines == std::vector<int>{3, 4});
  CHECK(found.readings[1].replaces_line == 4);
  book.add(withdrawal_line({today, "wrong leads", 2}));
  CHECK(lines_in_force(read(book.bytes)) == std::vector<int>{5});
  Diagnostics diagnostics("book.csv");
  CHECK(read_field_sheet(book.bytes, {}, diagnostics).readings.size() == 1);
}

TEST_CASE("what cannot be corrected is refused, with the line that holds in its place", "[field_book]") {
  Written book;
  book.reading(1, 50);
  book.add(safety_line(today, SafetyQuestion::weather, SafetyAnswer::yes));
  book.reading(1, 51, 2);
  for (const int line : {1, 2, 3, 5, 99}) {
    INFO(line);
    const auto faults =
        line_faults(book.bytes, reading_line(read(book.bytes), wenner_reading(1, 52), {today, "", line}));
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].code == "nothing-to-replace");
    if (line == 2) CHECK(faults[0].message.find("superseded by line 4") != std::string::npos);
  }
}

TEST_CASE("a line that the book could not read back is found out before it is written", "[field_book]") {
  Written book;
  FourPoleReading negative = wenner_reading(1, -5);
  CHECK(line_faults(book.bytes, reading_line(read(book.bytes), negative, {today, "", 0})).size() == 1);
  FourPoleReading mean = wenner_reading(1, 5);
  mean.traverse = "average";  // reads as a row that sums up others
  const auto faults = line_faults(book.bytes, reading_line(read(book.bytes), mean, {today, "", 0}));
  REQUIRE_FALSE(faults.empty());
  CHECK_THROWS_AS(reading_line(read(book.bytes), wenner_reading(1, 5), {today, "two\nlines", 0}),
                  DomainError);
  CHECK_THROWS_AS(reading_line(read(book.bytes), dipole_dipole_reading({1, 2}, 5), {today, "", 0}),
                  DomainError);
}

TEST_CASE("an over-range reading is kept as a bound, never as a number", "[field_book]") {
  Written book;
  FourPoleReading bound = wenner_reading(1, 1999);
  bound.is_lower_bound = true;
  book.add(reading_line(read(book.bytes), bound, {today, "", 0}));
  bound.resistance_ohm = 0;
  book.add(reading_line(read(book.bytes), bound, {today, "", 0}));
  const FieldBook found = read(book.bytes);
  CHECK(found.readings.empty());
  CHECK(found.over_range_lines == std::vector<int>{2, 3});
  book.reading(1, 900, 2);
  CHECK(lines_in_force(read(book.bytes)) == std::vector<int>{4});
}

TEST_CASE("answers hold for their day and site, the last one counts, and none refuses a reading",
          "[field_book]") {
  Written book;
  CHECK(read(book.bytes).open_questions(today, Work::four_pole).size() == 3);
  CHECK(read(book.bytes).open_questions(today, Work::acceptance).size() == 7);
  for (const SafetyQuestion question : safety_questions(Work::four_pole))
    book.add(safety_line(today, question, SafetyAnswer::yes));
  book.reading(1, 50);
  book.add(safety_line(today, SafetyQuestion::weather, SafetyAnswer::no));
  book.reading(2, 25);
  const FieldBook found = read(book.bytes);
  CHECK(found.open_questions(today, Work::four_pole).empty());
  CHECK(found.open_questions({"2026-11-26 17:00", "Invented home"}, Work::four_pole).empty());
  CHECK(found.open_questions({"2026-11-27 09:00", "Invented home"}, Work::four_pole).size() == 3);
  CHECK(found.open_questions({"2026-11-26 17:00", "Invented barn"}, Work::four_pole).size() == 3);
  CHECK(found.open_questions(today, Work::driving).size() == 4);
  CHECK(found.readings[0].safety.empty());
  CHECK(found.readings[1].safety == "weather safe: no");
  CHECK(found.safety_mark({"2026-11-27 09:00", "Invented home"}, Work::four_pole) ==
        "services searched: not known / weather safe: not known / vehicle disconnected: not known");
}

TEST_CASE("a torn line counts for nothing, wherever it was cut", "[field_book]") {
  Written book;
  const BookLine remarked{today, "a; b; c", 0};  // must not look like a sheet of semicolons
  book.add(reading_line(read(book.bytes), wenner_reading(1, 50), remarked));
  const std::string correction =
      reading_line(read(book.bytes), wenner_reading(1, 123.45), {today, "a; b; c", 2});
  for (std::size_t cut = 1; cut <= correction.size(); ++cut) {
    INFO(correction.substr(0, cut));
    const ScratchFolder scratch;
    const auto file = scratch.write("book.csv", book.bytes + correction.substr(0, cut));
    const std::string torn = text::Journal(file, {field_book_header(), 0}).content();
    const FieldBook found = read(torn);
    CHECK(lines_in_force(found) == std::vector<int>{2});
    CHECK(found.torn_lines == std::vector<int>{3});
    Diagnostics diagnostics("book.csv");
    const FieldSheet sheet = read_field_sheet(torn, {}, diagnostics);
    CHECK_FALSE(diagnostics.has_errors());
    REQUIRE(sheet.readings.size() == 1);
    CHECK(sheet.readings[0].resistance_ohm == 50);
  }
}

TEST_CASE("a book that somebody changed by hand is told so", "[field_book]") {
  const auto codes = [](const std::string& bytes) {
    Diagnostics found("book.csv");
    (void)read_field_book(bytes, found);
    std::vector<std::string> all;
    for (const Diagnostic& d : found.all())
      all.push_back(d.code);
    return all;
  };
  const std::string header = field_book_header() + "\n";
  CHECK(codes("a (m),R (ohm)\n1,2\n") == std::vector<std::string>{"no-field-book"});
  CHECK(codes(header + "party,,,,,,,,,,,,,,,,yes\n") == std::vector<std::string>{"unknown-entry"});
  CHECK(codes(header + "safe working,,,,,,,,,,,,weather safe,perhaps,,,yes\n") ==
        std::vector<std::string>{"unknown-answer"});
  CHECK(codes(header).empty());
}

TEST_CASE("words of safe working: every question has a name, is asked, and is read back", "[field_book]") {
  for (const SafetyQuestion question : safety_questions(Work::acceptance)) {
    CHECK(read_safety_name(safety_name(question)) == question);
    CHECK(safety_words(question).back() == '?');
    CHECK_FALSE(safety_advice(question).empty());
  }
  for (const SafetyAnswer answer : {SafetyAnswer::yes, SafetyAnswer::no, SafetyAnswer::not_known})
    CHECK(read_answer(answer_word(answer)) == answer);
  CHECK_FALSE(read_answer("").has_value());
  CHECK_FALSE(read_answer("maybe").has_value());
  CHECK(safety_advice(SafetyQuestion::conductors_clamped).find("open nothing") != std::string_view::npos);
  CHECK(safety_advice(SafetyQuestion::conductors_clamped).find("call the distributor") !=
        std::string_view::npos);
}

TEST_CASE("no change of bytes in a book makes its reader fail or a reading change in silence",
          "[field_book]") {
  Written book;
  book.add(safety_line(today, SafetyQuestion::weather, SafetyAnswer::yes));
  book.reading(1, 50);
  book.reading(2, 250);
  book.reading(2, 25, 4);
  ::test::Random random(9);
  for (int i = 0; i < 3000; ++i) {
    std::string bytes = book.bytes;
    for (std::size_t change = 1 + random.below(3); change > 0; --change) {
      const std::size_t at = random.below(bytes.size());
      if (random.below(2) == 0)
        bytes[at] = static_cast<char>(random.below(256));
      else
        bytes.erase(at, 1 + random.below(5));
    }
    Diagnostics found("book.csv");
    const FieldBook changed = read_field_book(bytes, found);
    for (const BookReading& kept : changed.readings) {
      CHECK(kept.reading.resistance_ohm > 0.0);
      CHECK(kept.reading.half_current_spacing_m > 0.0);
    }
  }
  for (std::size_t cut = 1; cut <= 3; ++cut) {  // of the last cell: the correction was never accepted
    Diagnostics found("book.csv");
    const FieldBook torn = read_field_book(book.bytes.substr(0, book.bytes.size() - 1 - cut) + "\n", found);
    REQUIRE(torn.readings.size() == 2);
    CHECK(torn.readings[1].reading.resistance_ohm == 250.0);
  }
}

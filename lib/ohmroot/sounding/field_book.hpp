// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/sounding/reading.hpp>
#include <ohmroot/sounding/repeats.hpp>
#include <ohmroot/sounding/safe_working.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::sounding {

/// When and where a line was written: local time as "2026-11-26 14:31", and the site's name.
struct BookStamp {
  std::string time;
  std::string site;
};

/// A reading that counts: accepted, and neither superseded nor withdrawn.
struct BookReading {
  FourPoleReading reading;  ///< its sheet_line is the line in the book
  BookStamp stamp;
  std::string safety;  ///< what was answered with no or not known when it was taken; empty if nothing
  std::string remark;
  int replaces_line = 0;  ///< 0 if it corrects none
};

struct SafetyEntry {
  BookStamp stamp;
  SafetyQuestion question;
  SafetyAnswer answer;
};

/// What the lines of a field book add up to. The book is a field sheet with more columns, which read_field_sheet()
/// reads, too; lines are only ever added, and a later line may supersede or withdraw an earlier one.
struct FieldBook {
  std::vector<BookReading> readings;  ///< in the order of their lines
  std::vector<int> over_range_lines;  ///< accepted, but a bound: the tester could not show it
  std::vector<int> superseded_lines;  ///< corrected or withdrawn by later lines
  std::vector<int> torn_lines;        ///< cut off by a crash, never accepted
  BookStamp last_stamp;               ///< of the last accepted line
  std::vector<SafetyEntry>
      answers;  ///< in the order given; the last one to a question holds for its day and site

  /// Repeats at one place joined.
  [[nodiscard]] std::vector<FourPoleReading> four_pole_readings() const;
  [[nodiscard]] JoinedReadings joined() const;
  /// The readings in force at the place of that line, itself included, in the order taken; none if it is no reading.
  [[nodiscard]] std::vector<const BookReading*> at_place_of(int line) const;
  /// Given on the day of the stamp at its site; nothing if the question was not answered.
  [[nodiscard]] std::optional<SafetyAnswer> answer(const BookStamp& stamp, SafetyQuestion question) const;
  /// The questions of this work that are not answered yet on that day at that site.
  [[nodiscard]] std::vector<SafetyQuestion> open_questions(const BookStamp& stamp, Work work) const;
  /// "services searched: no; weather: not known"; empty if all is yes. What was not asked is not known.
  [[nodiscard]] std::string safety_mark(const BookStamp& stamp, Work work) const;
};

/// First line of every field book.
[[nodiscard]] const std::string& field_book_header();

/// Reads a whole book. Errors (with their place): another header; whatever read_field_sheet() refuses; a line that
/// supersedes what is no reading in force before it; an unknown kind of entry, question or answer.
[[nodiscard]] FieldBook read_field_book(std::string_view bytes, Diagnostics& diagnostics);

/// A line to be added, complete with the marks of unsafe working. replaces_line is that of the reading corrected, or 0.
/// A reading that is a lower bound is written as over range. Throws DomainError unless the array is Wenner (A-M-N-B) or
/// Schlumberger, and if a text holds a line end.
struct BookLine {
  BookStamp stamp;
  std::string remark;
  int replaces_line = 0;
};
[[nodiscard]] std::string reading_line(const FieldBook& book, const FourPoleReading& reading,
                                       const BookLine& line);
/// Takes back a reading without putting another in its place. replaces_line must be set.
[[nodiscard]] std::string withdrawal_line(const BookLine& line);
[[nodiscard]] std::string safety_line(const BookStamp& stamp, SafetyQuestion question, SafetyAnswer answer);

/// What would be wrong with the book if the line were added: to be asked before it is, since nothing can be taken out
/// again. Empty if the line will be read back as it was meant.
[[nodiscard]] std::vector<Diagnostic> line_faults(std::string_view book_bytes, std::string_view line);

}  // namespace ohmroot::sounding

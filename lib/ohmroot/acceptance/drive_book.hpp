// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/sounding/field_book.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::acceptance {

/// One accepted line of a drive: a section that was read, or the depth at which the rod stopped.
struct DriveLine {
  int line = 0;
  sounding::DrivenRodReading reading;
  bool is_refusal = false;  ///< the rod stopped all at once; it has no resistance
  sounding::BookStamp stamp;
  std::string safety;
  std::string remark;
};

/// What the lines of a drive book add up to. Lines are only ever added (text/journal.hpp); a later one may take the place of
/// an earlier one, or withdraw it.
struct DriveBook {
  std::vector<DriveLine> lines;  ///< in force, by rod in the order of their depth
  std::vector<int> superseded_lines;
  sounding::FieldBook safety;  ///< its answers, and the last stamp
  std::string last_rod;

  /// Readings of one rod, ascending.
  [[nodiscard]] std::vector<sounding::DrivenRodReading> readings(const std::string& rod) const;
  [[nodiscard]] const DriveLine* at(int line) const;  ///< in force; nullptr if it is not
};

[[nodiscard]] const std::string& drive_book_header();

/// Reads a whole book. Errors with their place: another header, a number that is none, a depth or resistance that is not
/// positive, a line that supersedes what is not in force. A line that a crash cut off is left out, with a warning.
[[nodiscard]] DriveBook read_drive_book(std::string_view bytes, Diagnostics& diagnostics);

/// Lines to be added.
[[nodiscard]] std::string section_line(const DriveBook& book, const DriveLine& line, int replaces_line);
[[nodiscard]] std::string withdrawal_line(const sounding::BookStamp& stamp, int replaces_line);
[[nodiscard]] std::string answer_line(const sounding::BookStamp& stamp, sounding::SafetyQuestion question,
                                      sounding::SafetyAnswer answer);

}  // namespace ohmroot::acceptance

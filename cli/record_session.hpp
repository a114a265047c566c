// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/sounding/doubts.hpp>
#include <ohmroot/sounding/field_book.hpp>
#include <ohmroot/text/journal.hpp>

#include <string>
#include <vector>

namespace ohmroot::cli {

/// A reading that is on disk, and what is to be said of it.
struct KeptReading {
  int line = 0;
  sounding::FourPoleReading reading;
  std::string safety;                              ///< what was not answered with yes; empty if nothing
  std::vector<sounding::ReadingDoubt> new_doubts;  ///< said for the first time with this reading in
};

/// A field book held open: lines go in, and what they add up to is at hand.
class RecordSession {
public:
  /// Throws CommandError: 73 cannot be opened or is in use, 65 no field book, 74 failed to be written.
  RecordSession(const std::string& file, int lock_wait_ms, const std::string& site);

  /// Each throws CommandError(bad_data) where the book could not be read with the line in it, and
  /// text::JournalError where the line could not be kept. The book is then as it was.
  KeptReading keep(const sounding::FourPoleReading& reading, const std::string& remark, int replaces_line);
  int withdraw(int line, const std::string& remark);
  void answer(sounding::SafetyQuestion question, sounding::SafetyAnswer answer);

  /// A word for the soil, against which readings are judged too. Throws CommandError(usage) for one that is not known.
  void set_soil(const std::string& word);
  [[nodiscard]] const earth::SoilWord* soil() const noexcept { return soil_; }
  void set_site(const std::string& site) { site_ = site; }
  [[nodiscard]] const std::string& site() const noexcept { return site_; }
  [[nodiscard]] sounding::BookStamp stamp() const;
  [[nodiscard]] const sounding::FieldBook& book() const noexcept { return book_; }
  [[nodiscard]] int torn_line() const noexcept { return journal_.torn_line(); }
  /// Against the book as it was found; lines of this session are marked with it.
  [[nodiscard]] const std::string& clock_doubt() const noexcept { return clock_doubt_; }
  [[nodiscard]] std::vector<sounding::ReadingDoubt> doubts() const;
  /// By what the reading of a line cannot be judged yet; empty if nothing is left open.
  [[nodiscard]] std::string judged(int line) const;
  /// The reading in force at that line. Throws CommandError(bad_data) if there is none.
  [[nodiscard]] const sounding::BookReading& reading_at(int line) const;
  /// The curve of what is in: '@' the line given, '?' doubtful ones, 'o', 'x', '+'... by traverse.
  [[nodiscard]] std::string curve(int latest_line) const;

private:
  int add(const std::string& line);
  void read_book();

  text::Journal journal_;
  sounding::FieldBook book_;
  std::string site_;
  std::string clock_doubt_;
  const earth::SoilWord* soil_ = nullptr;
};

/// A limit of size is then an error to be told, not an end without a word.
void heed_size_limit();

/// Exit code of a journal that failed.
[[nodiscard]] int exit_code_of(text::JournalFault fault);

}  // namespace ohmroot::cli

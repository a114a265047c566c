// SPDX-License-Identifier: MIT
#include "record_session.hpp"

#include "clock.hpp"
#include "command.hpp"
#include "soil_word.hpp"
#include "terminal_curve.hpp"

#include <ohmroot/sounding/reduction.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <csignal>
#include <set>

namespace ohmroot::cli {
void heed_size_limit() {
  std::signal(SIGXFSZ, SIG_IGN);
}

int exit_code_of(text::JournalFault fault) {
  switch (fault) {
  case text::JournalFault::cannot_open:
  case text::JournalFault::in_use:
    return cannot_create;
  case text::JournalFault::another_file:
    return bad_data;
  case text::JournalFault::disk_full:
  case text::JournalFault::write_failed:
  case text::JournalFault::changed_outside:
    return write_failed;
  }
  return internal;
}

RecordSession::RecordSession(const std::string& file, int lock_wait_ms, const std::string& site)
    : journal_(file, {sounding::field_book_header(), lock_wait_ms}) {
  heed_size_limit();
  read_book();
  site_ = site.empty() ? book_.last_stamp.site : site;
  clock_doubt_ = cli::clock_doubt(book_.last_stamp.time);
}

void RecordSession::read_book() {
  Diagnostics found(journal_.file().string());
  book_ = sounding::read_field_book(journal_.content(), found);
  report_diagnostics(found, false);
}

sounding::BookStamp RecordSession::stamp() const {
  return {local_time(), site_};
}

int RecordSession::add(const std::string& line) {
  for (const Diagnostic& fault : sounding::line_faults(journal_.content(), line)) {
    if (fault.severity != Severity::error) continue;
    throw CommandError(
        bad_data, fmt::format("not kept: {}{}{}", fault.message, fault.hint.empty() ? "" : "; ", fault.hint));
  }
  const int number = journal_.append(line);
  read_book();
  return number;
}

KeptReading RecordSession::keep(const sounding::FourPoleReading& reading, const std::string& remark,
                                int replaces_line) {
  std::set<std::string> known;
  for (const sounding::ReadingDoubt& doubt : doubts())
    known.insert(doubt.sentence);
  KeptReading kept;
  kept.reading = reading;
  kept.safety = book_.safety_mark(stamp(), sounding::Work::four_pole);
  kept.line = add(
      sounding::reading_line(book_, reading, {stamp(), marked_remark(remark, clock_doubt_), replaces_line}));
  for (const sounding::ReadingDoubt& doubt : doubts()) {
    if (known.count(doubt.sentence) == 0) kept.new_doubts.push_back(doubt);
  }
  return kept;
}

int RecordSession::withdraw(int line, const std::string& remark) {
  return add(sounding::withdrawal_line({stamp(), marked_remark(remark, clock_doubt_), line}));
}

void RecordSession::answer(sounding::SafetyQuestion question, sounding::SafetyAnswer given) {
  add(sounding::safety_line(stamp(), question, given));
}

std::vector<sounding::ReadingDoubt> RecordSession::doubts() const {
  const auto readings = book_.four_pole_readings();
  std::vector<sounding::ReadingDoubt> doubts = sounding::doubtful_readings(readings);
  if (soil_ != nullptr) {
    std::set<std::size_t> doubted;  // for a better reason
    for (const sounding::ReadingDoubt& doubt : doubts)
      doubted.insert(doubt.reading_index);
    for (sounding::ReadingDoubt& doubt : sounding::soil_doubts(readings, *soil_)) {
      if (doubted.count(doubt.reading_index) == 0) doubts.push_back(std::move(doubt));
    }
  }
  return doubts;
}

std::string RecordSession::judged(int line) const {
  const auto joined = book_.joined();
  for (std::size_t place = 0; place < joined.parts.size(); ++place) {
    for (const std::size_t part : joined.parts[place])
      if (book_.readings[part].reading.sheet_line == line)
        return sounding::judged_words(joined.readings, place, soil_ != nullptr);
  }
  return {};
}

void RecordSession::set_soil(const std::string& word) {
  soil_ = &soil_word(word, "record");
}

const sounding::BookReading& RecordSession::reading_at(int line) const {
  const auto found =
      std::find_if(book_.readings.begin(), book_.readings.end(),
                   [&](const sounding::BookReading& kept) { return kept.reading.sheet_line == line; });
  if (found != book_.readings.end()) return *found;
  const auto& gone = book_.superseded_lines;
  const bool is_gone = std::find(gone.begin(), gone.end(), line) != gone.end();
  throw CommandError(bad_data, is_gone
                                   ? fmt::format("line {} has been corrected or withdrawn already; "
                                                 "correct the line that holds now",
                                                 line)
                                   : fmt::format("line {} holds no reading that could be corrected", line));
}

std::string RecordSession::curve(int latest_line) const {
  constexpr std::string_view marks = "ox+*#";
  const auto readings = book_.four_pole_readings();
  const auto traverses = sounding::traverse_indices(readings);
  std::set<std::size_t> doubtful;
  for (const sounding::ReadingDoubt& doubt : doubts())
    doubtful.insert(doubt.reading_index);
  const auto latest = book_.at_place_of(latest_line);
  const int latest_place_line = latest.empty() ? 0 : latest.front()->reading.sheet_line;
  std::vector<CurvePlace> places;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const char mark = readings[i].sheet_line == latest_place_line ? '@'
                      : doubtful.count(i) > 0                     ? '?'
                                                                  : marks[traverses[i] % marks.size()];
    places.push_back(
        {sounding::plotted_spacing_m(readings[i]), sounding::apparent_resistivity_ohm_m(readings[i]), mark});
  }
  const std::string drawn = terminal_curve(places);
  if (drawn.empty()) return {};
  return drawn + fmt::format("  apparent resistivity over spacing; @ this reading{}\n",
                             doubtful.empty() ? "" : ", ? doubtful");
}

}  // namespace ohmroot::cli

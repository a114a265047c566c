// SPDX-License-Identifier: MIT
#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::text {

/// Why a journal could not be opened, or a line not be kept.
enum class JournalFault {
  cannot_open,      ///< no such folder, no permission, read-only medium, no plain file, no locking
  in_use,           ///< another session holds it
  another_file,     ///< the file is there and is no journal with this header
  disk_full,        ///< no room (or a limit of size); the file is as it was before
  write_failed,     ///< writing or syncing failed for another reason
  changed_outside,  ///< another program changed, moved or removed the file during the session
};

/// The line in question was not acknowledged: whoever typed it must be told so.
class JournalError : public std::runtime_error {
public:
  JournalError(JournalFault fault, const std::string& message) : std::runtime_error(message), fault_(fault) {}
  [[nodiscard]] JournalFault fault() const noexcept { return fault_; }

private:
  JournalFault fault_;
};

struct JournalOptions {
  std::string header;    ///< first line of the file, without line end; tells one kind of journal from another
  int lock_wait_ms = 0;  // unit: ms; how long to wait for another session to end; 0 to 60 000
};

/// A text file that only ever grows, line by line, and from which no acknowledged line is lost.
///
/// When append() returns, the line is written, and file and (where it is new) folder are synced: it outlives the
/// process being killed and the power going. A line that a crash cut off is never acknowledged; the next session
/// keeps what is there of it, closes its quotes, appends torn_mark to it and goes on on a fresh line. A write that
/// fails part way is taken back, so that the file stays whole. One session at a time: an advisory lock (flock)
/// is held from opening to the end; a program that ignores it and changes the file is noticed at the next
/// append. Nothing in the file is ever overwritten.
class Journal {
public:
  /// Opens, or creates, the file. Throws JournalError; DomainError for a header that is no line or a wait out of
  /// range.
  Journal(std::filesystem::path file, const JournalOptions& options);
  ~Journal();
  Journal(const Journal&) = delete;
  Journal& operator=(const Journal&) = delete;

  /// Writes one line and syncs it. Returns its number in the file, the first line being 1. Throws JournalError
  /// if it could not be kept; after a failure of syncing, or a change from outside, every further call throws
  /// too, and the file has to be opened again. Throws DomainError for a text that is empty, not UTF-8, or holds
  /// a line end or another control character.
  int append(std::string_view line);

  /// The whole file as it stands, this session's lines included.
  [[nodiscard]] const std::string& content() const noexcept { return content_; }
  /// Number of the line that a crash had cut off and this session marked; 0 if there was none.
  [[nodiscard]] int torn_line() const noexcept { return torn_line_; }
  [[nodiscard]] const std::filesystem::path& file() const noexcept { return file_; }

private:
  void open(int lock_wait_ms);
  void take_lock(int wait_ms);
  void read_content();
  void mark_torn_line();
  void write_header(const std::string& header);
  void write_whole(std::string_view bytes);
  void take_back(std::string_view what, int error_number);
  void require_unchanged();
  void sync_folder() const;
  [[nodiscard]] JournalError fault(JournalFault kind, std::string_view what, int error_number = 0) const;

  std::filesystem::path file_;
  int descriptor_ = -1;
  bool is_broken_ = false;
  int torn_line_ = 0;
  int line_count_ = 0;
  std::string content_;
};

/// What is appended to a line that a crash cut off, behind its remains.
inline constexpr std::string_view torn_mark = " (torn: cut off by a crash and never accepted)";

/// Cells as one line of a comma-separated file (RFC 4180): quoted where needed, nothing changed. Throws
/// DomainError if a cell holds a line end or another control character: a line of a journal is one line.
[[nodiscard]] std::string csv_line(const std::vector<std::string>& cells);

}  // namespace ohmroot::text

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/text/detail/utf8.hpp>
#include <ohmroot/text/journal.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <thread>
#include <unistd.h>

namespace ohmroot::text {
namespace {

constexpr std::size_t greatest_size = std::size_t{64} << 20U;  // what the readers of sheets take

void require_line(std::string_view argument, std::string_view line) {
  const bool is_line = !line.empty() && line.find_first_of("\r\n") == std::string_view::npos &&
                       detail::find_control_character(line) == std::string_view::npos &&
                       detail::find_invalid_utf8(line) == std::string_view::npos;
  if (!is_line)
    throw DomainError(argument, line.empty() ? "nothing" : "a text that is no line",
                      "one line of UTF-8 without control characters");
}

bool is_disk_full(int error_number) {
  return error_number == ENOSPC || error_number == EDQUOT || error_number == EFBIG;
}

/// What makes a character that a crash cut through whole again, so that the file stays UTF-8.
std::string utf8_completion(std::string_view torn) {
  const auto at = detail::find_invalid_utf8(torn);
  if (at == std::string_view::npos || torn.size() - at > 3) return {};
  for (const char second : {'\x80', '\x90', '\xA0'}) {
    std::string character(torn.substr(at));
    while (character.size() < 4) {
      character += character.size() == 1 ? second : '\x80';
      if (detail::find_invalid_utf8(character) == std::string_view::npos)
        return character.substr(torn.size() - at);
    }
  }
  return {};
}

/// open, write and fsync go on after a signal.
template <class Call>
auto uninterrupted(Call call) {
  auto result = call();
  while (result < 0 && errno == EINTR)
    result = call();
  return result;
}

}  // namespace

Journal::Journal(std::filesystem::path file, const JournalOptions& options) : file_(std::move(file)) {
  require_line("options.header", options.header);
  require_within("options.lock_wait_ms", options.lock_wait_ms, "ms", {0, 60000});
  try {
    open(options.lock_wait_ms);
    read_content();
    write_header(options.header);
    mark_torn_line();
    // What an earlier session wrote without living to sync it, and the entry of the file in its folder.
    if (uninterrupted([&] { return ::fsync(descriptor_); }) != 0)
      throw fault(JournalFault::write_failed, "cannot be synced", errno);
    sync_folder();
  } catch (...) {
    if (descriptor_ >= 0) ::close(descriptor_);
    throw;
  }
  line_count_ = static_cast<int>(std::count(content_.begin(), content_.end(), '\n'));
}

Journal::~Journal() {
  ::close(descriptor_);  // gives the lock back, too
}

JournalError Journal::fault(JournalFault kind, std::string_view what, int error_number) const {
  return {kind, fmt::format("{}: {}{}{}", file_.string(), what, error_number == 0 ? "" : ": ",
                            error_number == 0 ? "" : std::strerror(error_number))};
}

void Journal::open(int lock_wait_ms) {
  descriptor_ = uninterrupted(
      [&] { return ::open(file_.c_str(), O_RDWR | O_APPEND | O_CREAT | O_CLOEXEC | O_NONBLOCK, 0666); });
  if (descriptor_ < 0) throw fault(JournalFault::cannot_open, "cannot be opened for writing", errno);
  struct stat found {};
  if (::fstat(descriptor_, &found) != 0 || !S_ISREG(found.st_mode))
    throw fault(JournalFault::cannot_open, "is no plain file, and only such a one keeps what is written");
  take_lock(lock_wait_ms);
}

void Journal::take_lock(int wait_ms) {
  const auto end = std::chrono::steady_clock::now() + std::chrono::milliseconds(wait_ms);
  while (uninterrupted([&] { return ::flock(descriptor_, LOCK_EX | LOCK_NB); }) != 0) {
    if (errno != EWOULDBLOCK)
      throw fault(JournalFault::cannot_open, "cannot be locked, so two sessions could mix their lines",
                  errno);
    if (std::chrono::steady_clock::now() >= end)
      throw fault(JournalFault::in_use, "another session has this file open; end it, or use another file");
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
}

void Journal::read_content() {
  std::array<char, 65536> block{};
  while (true) {
    const auto count = uninterrupted([&] {
      return ::pread(descriptor_, block.data(), block.size(), static_cast<off_t>(content_.size()));
    });
    if (count < 0) throw fault(JournalFault::cannot_open, "cannot be read", errno);
    if (count == 0) return;
    content_.append(block.data(), static_cast<std::size_t>(count));
    if (content_.size() > greatest_size) throw fault(JournalFault::another_file, "is larger than 64 MiB");
  }
}

void Journal::write_header(const std::string& header) {
  const std::string line = header + '\n';
  if (content_.size() < line.size() && line.compare(0, content_.size(), content_) == 0) {
    write_whole(std::string_view(line).substr(content_.size()));  // new, or cut off in its very first line
    return;
  }
  std::string_view first = detail::without_byte_order_mark(content_);
  first = first.substr(0, first.find('\n'));
  if (!first.empty() && first.back() == '\r') first.remove_suffix(1);
  if (first != header)
    throw fault(
        JournalFault::another_file,
        "is there and does not begin with the header line of this journal; nothing was written to it. "
        "Use another file name (a file saved again by a spreadsheet is not gone on with)");
  if (const auto at = detail::find_control_character(content_); at != std::string::npos)
    throw fault(
        JournalFault::another_file,
        "holds bytes that are no text (after a power cut?); nothing was written to it. Keep it, and go "
        "on in a new file");
}

void Journal::mark_torn_line() {
  if (content_.back() == '\n') return;
  const auto start = content_.rfind('\n') + 1;
  const std::string_view torn = std::string_view(content_).substr(start);
  const bool is_quote_open = std::count(torn.begin(), torn.end(), '"') % 2 != 0;
  std::string mark = utf8_completion(torn);
  if (is_quote_open) mark += '"';
  mark += torn_mark;
  write_whole(mark + '\n');
  torn_line_ = static_cast<int>(std::count(content_.begin(), content_.end(), '\n'));
}

/// All bytes and a sync, or an error and the file as it was.
void Journal::write_whole(std::string_view bytes) {
  std::string_view left = bytes;
  while (!left.empty()) {
    const auto count = uninterrupted([&] { return ::write(descriptor_, left.data(), left.size()); });
    if (count <= 0) take_back("writing failed", count < 0 ? errno : EIO);
    left.remove_prefix(static_cast<std::size_t>(count));
  }
  if (uninterrupted([&] { return ::fsync(descriptor_); }) != 0) {
    is_broken_ = true;  // what the medium holds is not known any more
    take_back("syncing failed", errno);
  }
  content_ += bytes;
}

/// Only bytes of the line that is being written are taken back: no one was told that they are in.
void Journal::take_back(std::string_view what, int error_number) {
  const auto kind = is_disk_full(error_number) ? JournalFault::disk_full : JournalFault::write_failed;
  const bool is_whole =
      uninterrupted([&] { return ::ftruncate(descriptor_, static_cast<off_t>(content_.size())); }) == 0;
  if (!is_whole) is_broken_ = true;
  throw fault(kind,
              fmt::format("{}; the line was not kept, every earlier one is{}", what,
                          is_whole ? "" : ". Its remains will be marked when the file is opened next"),
              error_number);
}

void Journal::require_unchanged() {
  if (is_broken_) throw fault(JournalFault::write_failed, "failed before; open it again to go on");
  struct stat held {};
  struct stat named {};
  const bool is_there = ::fstat(descriptor_, &held) == 0 && ::stat(file_.c_str(), &named) == 0 &&
                        held.st_dev == named.st_dev && held.st_ino == named.st_ino;
  if (is_there && held.st_size == static_cast<off_t>(content_.size())) return;
  is_broken_ = true;
  throw fault(JournalFault::changed_outside,
              is_there ? "was changed by another program; the line was not kept. Open it again to go on"
                       : "was moved, replaced or removed; the line was not kept. Open it again to go on");
}

int Journal::append(std::string_view line) {
  require_line("line", line);
  require_unchanged();
  if (content_.size() + line.size() >= greatest_size)
    throw fault(JournalFault::disk_full, "would grow beyond 64 MiB; go on in a new file");
  write_whole(std::string(line) + '\n');
  require_unchanged();  // replaced in between, the line would be in a file without a name
  return ++line_count_;
}

void Journal::sync_folder() const {
  const auto parent = file_.parent_path();
  const int folder = uninterrupted(
      [&] { return ::open(parent.empty() ? "." : parent.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); });
  if (folder < 0) throw fault(JournalFault::cannot_open, "its folder cannot be opened for syncing", errno);
  const int status = uninterrupted([&] { return ::fsync(folder); });
  const int error_number = errno;
  ::close(folder);
  if (status != 0) throw fault(JournalFault::write_failed, "its folder cannot be synced", error_number);
}

std::string csv_line(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const std::string& cell = cells[i];
    if (!cell.empty()) require_line("cells", cell);
    const bool is_quoted = cell.find_first_of(",\";|\t") != std::string::npos;
    if (i > 0) line += ',';
    if (!is_quoted) {
      line += cell;
      continue;
    }
    line += '"';
    for (const char c : cell)
      line += c == '"' ? std::string("\"\"") : std::string(1, c);
    line += '"';
  }
  return line;
}

}  // namespace ohmroot::text

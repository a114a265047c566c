// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <functional>

namespace ohmroot {

/// For the life of this object, in the whole process, work is shared by exactly that many threads in place of one per
/// core: to leave cores to others, and to show that results do not depend on it. 1 to 256, else DomainError. Objects must
/// not outlive those made after them.
class ThreadCount {
public:
  explicit ThreadCount(std::size_t thread_count);
  ThreadCount(const ThreadCount&) = delete;
  ThreadCount& operator=(const ThreadCount&) = delete;
  ~ThreadCount();

private:
  std::size_t before_;
};

/// Calls work(0) ... work(count - 1), each once, on all cores. The calls must not depend on each other; what
/// each writes must be its own, so that the result is the same for any number of threads. Of several
/// exceptions the one of the smallest index is thrown on, after all threads have ended.
void for_each_index(std::size_t count, const std::function<void(std::size_t)>& work);

}  // namespace ohmroot

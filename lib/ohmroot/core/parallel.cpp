// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace ohmroot {
namespace {

std::atomic<std::size_t> asked_count{0};  // 0: one per core

std::size_t threads_at_work() {
  const std::size_t asked = asked_count;
  return asked > 0 ? asked : std::max(1U, std::thread::hardware_concurrency());
}

}  // namespace

ThreadCount::ThreadCount(std::size_t thread_count) : before_(asked_count) {
  require_within("thread_count", static_cast<double>(thread_count), "", {1.0, 256.0});
  asked_count = thread_count;
}

ThreadCount::~ThreadCount() {
  asked_count = before_;
}

void for_each_index(std::size_t count, const std::function<void(std::size_t)>& work) {
  std::atomic<std::size_t> next{0};
  std::mutex guard;
  std::size_t failed_index = count;
  std::exception_ptr failure;
  const auto take_turns = [&] {
    for (std::size_t i = next++; i < count; i = next++) {
      try {
        work(i);
      } catch (...) {
        const std::scoped_lock lock(guard);
        if (i < failed_index) {
          failed_index = i;
          failure = std::current_exception();
        }
      }
    }
  };
  {
    std::vector<std::jthread> helpers(std::min(threads_at_work(), count > 0 ? count : 1) - 1);
    for (std::jthread& helper : helpers)
      helper = std::jthread(take_turns);
    take_turns();
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace ohmroot

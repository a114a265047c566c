// SPDX-License-Identifier: MIT
#include <ohmroot/core/parallel.hpp>

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace ohmroot {

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
    const std::size_t core_count = std::max(1U, std::thread::hardware_concurrency());
    std::vector<std::jthread> helpers(std::min(core_count, count > 0 ? count : 1) - 1);
    for (std::jthread& helper : helpers)
      helper = std::jthread(take_turns);
    take_turns();
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace ohmroot

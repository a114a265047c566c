// SPDX-License-Identifier: MIT
#pragma once

#include <cstddef>
#include <functional>

namespace ohmroot {

/// Calls work(0) ... work(count - 1), each once, on all cores. The calls must not depend on each other; what
/// each writes must be its own, so that the result is the same for any number of threads. Of several
/// exceptions the one of the smallest index is thrown on, after all threads have ended.
void for_each_index(std::size_t count, const std::function<void(std::size_t)>& work);

}  // namespace ohmroot

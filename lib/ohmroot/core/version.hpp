// SPDX-License-Identifier: MIT
#pragma once

#include <string_view>

namespace ohmroot {

/// Version of library and program; the build checks that CMakeLists.txt says the same.
inline constexpr std::string_view version = "0.1.0";

}  // namespace ohmroot

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/report/detail/html.hpp>
#include <ohmroot/study/site.hpp>

#include <functional>
#include <string>
#include <string_view>

namespace ohmroot::report::detail {

/// A page of its own about a site: head, style, paper, banner of invented data, and what write puts into it. kind: what
/// page it is, for the title of the window; empty for the report itself.
[[nodiscard]] std::string framed_page(const study::Site& site, std::string_view kind,
                                      const std::function<void(Html&)>& write);

}  // namespace ohmroot::report::detail

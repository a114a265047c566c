// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/route_facts.hpp>
#include <ohmroot/text/fields.hpp>

#include <span>
#include <string_view>

namespace ohmroot::study::detail {

/// Keys of the site file that tell of the permitted methods; those of the lists come from the lists themselves.
[[nodiscard]] std::span<const text::KeySpec> place_keys();
[[nodiscard]] std::span<const text::KeySpec> bridging_keys();
[[nodiscard]] std::span<const text::KeySpec> register_keys();
[[nodiscard]] std::span<const text::KeySpec> permission_keys();
[[nodiscard]] std::span<const text::KeySpec> probe_keys();
[[nodiscard]] std::span<const text::KeySpec> conductor_keys();
[[nodiscard]] std::span<const text::KeySpec> transformer_keys();
[[nodiscard]] std::span<const text::KeySpec> device_keys();
[[nodiscard]] std::span<const text::KeySpec> route_price_keys();
[[nodiscard]] std::span<const text::KeySpec> route_price_item_keys();
[[nodiscard]] std::span<const text::KeySpec> decision_keys();

/// Reads those sections of a site file; what is wrong is reported at its place.
[[nodiscard]] RouteFacts read_route_facts(const text::Section& root);

}  // namespace ohmroot::study::detail

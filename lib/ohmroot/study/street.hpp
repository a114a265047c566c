// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/study/site.hpp>

#include <optional>
#include <vector>

namespace ohmroot::study {

/// The site as a break up the street sees it: its own loads and the street's on three phases, its own ways to
/// earth and the street's. All of them hang on the one floating neutral, so that questions to this site
/// (requirements, states) are questions to the street. The site itself if nothing is known of the street.
[[nodiscard]] Site seen_from_street(const Site& site);

/// All ways to earth together: one resistance, and beside it the paths that are relied on. Infinite for an
/// infinite resistance without any path.
/// Throws DomainError for a resistance that is not above 0.
[[nodiscard]] double with_relied_on_paths_ohm(double own_ohm, const std::vector<OtherEarthPath>& paths);

/// Whether a break up the street has a say: not if the site states that only its own service can break, with
/// the reason.
[[nodiscard]] bool does_street_count(const Site& site);

}  // namespace ohmroot::study

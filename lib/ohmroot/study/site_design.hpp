// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/acceptance/criterion.hpp>
#include <ohmroot/design/proof.hpp>
#include <ohmroot/design/search.hpp>
#include <ohmroot/study/result.hpp>
#include <ohmroot/study/site.hpp>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::study {

struct DesignOptions {
  std::size_t draw_count = 2000;       ///< states of the ground that a design is checked on; 10 to 100 000
  std::size_t block_draw_count = 400;  ///< of them solved as a block of metal, where nothing was found
  design::SearchOptions search;
};

/// Whether the finished electrode can be proved by a test where the leads can be run.
struct Testability {
  std::optional<double> lead_run_m;  ///< how far a lead can be run in a straight line; absent: not stated
  std::optional<double> needed_m;    ///< distance of the current stake; absent: no method is shown
  bool can_be_tested = false;
  std::string sentence;
};

/// A design while the PEN stays open, in the middle state of the ground.
struct DesignOverTime {
  HeatingResult heating;
  std::optional<VehicleTouch> touch;  ///< with [parking] stated
  double step_share_ratio = 0.0;      ///< of the MET's potential, over the worst metre; 0: not looked for
  electrode::SurfacePlace step_at{};
  std::vector<std::string> sentences;  ///< all of it in words
};

/// The cheapest electrode for a site, or what is proved of there being none.
struct DesignResult {
  design::Question question;
  double lenient_ohm =
      0.0;  ///< most lenient requirement, by which the floors are judged; infinity: none is needed
  design::SearchResult search;
  design::Proof proof;
  Evidence evidence = Evidence::none;
  Verdict verdict = Verdict::undecided;
  /// Surface potentials around the design, else the lowest found, in the middle state of the ground; absent where the
  /// field solution refuses.
  std::optional<ShareGrid> surface;
  std::optional<Testability> testability;            ///< of the design; absent where none was found
  std::vector<std::string> others_testability = {};  ///< of each of search.others, in a sentence
  std::optional<acceptance::AcceptanceValue>
      acceptance;  ///< of the design, in the month of the soil measurement
  /// MET to true earth in each state of the ground that the design was checked on, in the worst season, rising; at the
  /// load that the requirement comes from by constant impedance. Empty without a design.
  std::vector<double> met_v;
  std::string load_description;
  std::optional<DesignOverTime> over_time;  ///< of the design; absent where the field solution refuses
  std::string month_of_measurement;
  std::string headline;
  std::vector<std::string> assumptions;
  std::vector<std::string>
      route_prices;  ///< of each permitted method, with the electrode that it takes, or what the price lacks
  std::vector<std::string> changes;  ///< what would have to change, each with its number; empty if feasible
};

/// The search of design/search.hpp for the strictest requirement of the site's own service, on draws of the ground:
/// what the readings allow, or stated layers with each resistivity spread evenly in its logarithm over its interval
/// (judgement); the season's factor likewise. In the most favourable season the resistance is at most that of the
/// measurement. Throws DomainError for a site without [design], [land], [season] or loads, for soil known by a word or
/// one rod only, and where no resistance can be asked for. A design that no test can prove on this land is not called
/// feasible.
[[nodiscard]] DesignResult design_electrode(const Site& site, const DesignOptions& options = {});

}  // namespace ohmroot::study

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/arrangement.hpp>
#include <ohmroot/design/check.hpp>
#include <ohmroot/design/question.hpp>

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace ohmroot::design {

/// What the test costs that can prove an arrangement, in the currency of the prices; nothing: no test can prove it.
using TestCost = std::function<std::optional<double>(const Arrangement&)>;

struct SearchOptions {
  std::size_t search_draw_count = 200;  ///< draws under which arrangements are compared
  /// Groups of rods up to which all are tried; beyond, regular groups and what improves on them.
  std::size_t most_enumerated = 20000;
  std::size_t most_tape_solved = 200;  ///< arrangements with bare tape solved, per kind
  std::size_t most_checked =
      8;  ///< designs that may fail the check at the last aim before the search gives up
  std::size_t most_tested = 40;  ///< arrangements whose test is asked for before the search gives up
  TestCost test_cost = {};       ///< none: every arrangement counts as one that can be tested
};

/// An arrangement with what it costs and does.
struct Design {
  Arrangement arrangement;
  double cost = 0.0;       // unit: currency; of the best one with its test
  double value_ohm = 0.0;  ///< worst season, conductor included, not exceeded in the share asked of the draws
};

/// How the least cost moves when one input alone moves.
struct Sensitivity {
  std::string input;           ///< "resistivity of the soil +10 %"
  std::optional<double> cost;  // unit: currency; nothing if no design that was tried would do
};

struct SearchResult {
  /// The cheapest, its test counted, that passes its check and can be tested; if none can be tested, the cheapest that
  /// passes its check.
  std::optional<Design> best;
  std::size_t untestable_count = 0;  ///< cheaper ones that no test can prove
  std::optional<Check> check;        ///< of best, or of the last design that failed
  std::vector<Design> others;  ///< the cheapest of each other kind, dearer ones last; compared, not checked
  std::vector<Design> front;   ///< no arrangement tried is both cheaper and lower than one of these
  std::vector<Design> by_rod_count;        ///< lowest found with 1, 2, ... rods, without bare tape
  std::optional<Design> lowest;            ///< lowest resistance found, whatever its cost
  std::vector<Sensitivity> sensitivities;  ///< the three that move the cost most, and their opposites
  std::size_t arrangement_count = 0;
  bool is_enumerated = false;  ///< all groups of rods on the grid were tried
  std::string how;             ///< what was tried, in words, and what was cut short
};

/// The cheapest electrode that does. Equal rods are compared by coupling tables, what holds bare tape by the field
/// solution; of arrangements with tape those whose separate conductances cannot reach the goal are left out. Same
/// question, same answer for any number of threads. Throws DomainError for a plan, parts, prices or goal that is
/// not valid, fewer than 10 draws, a grid step under three rod diameters, and if neither rod nor tape is possible.
[[nodiscard]] SearchResult find_cheapest(const Question& question, const SearchOptions& options = {});

}  // namespace ohmroot::design

// SPDX-License-Identifier: MIT
#include <ohmroot/design/detail/chosen.hpp>

#include <map>
#include <utility>

namespace ohmroot::design::detail {
namespace {

/// Designs that meet the aim, cheapest first with their tests counted. What a test costs is asked of a design only when
/// nothing that is known already is cheaper.
class TestedInOrder {
public:
  TestedInOrder(const std::vector<Design>& by_cost, const SearchOptions& options, double aim_ohm)
      : options_(options) {
    for (const Design& design : by_cost)
      if (design.value_ohm <= aim_ohm) waiting_.push_back(design);
  }

  /// Nothing: there are no more, or too many were asked.
  [[nodiscard]] std::optional<Design> next() {
    for (;;) {
      const bool is_next_known =
          !known_.empty() && (from_ == waiting_.size() || known_.begin()->first <= waiting_[from_].cost);
      if (is_next_known) {
        Design design = std::move(known_.begin()->second);
        known_.erase(known_.begin());
        return design;
      }
      if (from_ == waiting_.size() || asked_count_ == options_.most_tested) return std::nullopt;
      Design design = waiting_[from_++];
      if (options_.test_cost) {
        ++asked_count_;
        const auto test_cost = options_.test_cost(design.arrangement);
        if (!test_cost) {
          ++untestable_count_;
          continue;
        }
        design.cost += *test_cost;
      }
      known_.emplace(design.cost, std::move(design));
    }
  }
  [[nodiscard]] std::size_t untestable_count() const { return untestable_count_; }

private:
  const SearchOptions& options_;
  std::vector<Design> waiting_;
  std::size_t from_ = 0;
  std::multimap<double, Design> known_;  // by cost, the test counted
  std::size_t asked_count_ = 0;
  std::size_t untestable_count_ = 0;
};

Chosen chosen_of(const std::vector<Design>& by_cost, const Question& question, const SearchOptions& options,
                 const Comparison& comparison, const Taking& taking) {
  Chosen chosen;
  TestedInOrder designs(by_cost, options, taking.aim_ohm);
  for (std::size_t checked = 0; checked < taking.most_checked;) {
    std::optional<Design> design = designs.next();
    if (!design) break;
    // The table's last per cent is not left standing: the design is solved in full on the draws compared by.
    design->value_ohm = comparison.solved_value_ohm(design->arrangement);
    if (design->value_ohm > taking.aim_ohm) continue;
    ++checked;
    chosen.check = check_of(question, design->arrangement);
    (chosen.check->is_passed ? chosen.best : chosen.failed) = std::move(design);
    if (chosen.best) break;
  }
  chosen.untestable_count = designs.untestable_count();
  return chosen;
}

}  // namespace

Chosen tested_first(const std::vector<Design>& by_cost, const Question& question,
                    const SearchOptions& options, const Comparison& comparison, const Taking& taking) {
  Chosen tested = chosen_of(by_cost, question, options, comparison, taking);
  if (tested.best || tested.untestable_count == 0) return tested;
  SearchOptions untested = options;
  untested.test_cost = {};
  Chosen any = chosen_of(by_cost, question, untested, comparison, taking);
  any.untestable_count = tested.untestable_count;
  return any;
}

}  // namespace ohmroot::design::detail

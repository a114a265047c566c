// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/evidence/check.hpp>
#include <ohmroot/evidence/detail/compare.hpp>
#include <ohmroot/evidence/detail/names.hpp>
#include <ohmroot/evidence/detail/quantities.hpp>

#include <fmt/format.h>

#include <exception>

namespace ohmroot::evidence {

namespace {

template <class T, std::size_t N>
std::string_view name_of(T meaning, const detail::Word<T> (&words)[N]) {
  for (const detail::Word<T>& word : words) {
    if (word.meaning == meaning) {
      return word.text;
    }
  }
  throw InternalError("an enumerator without a name");
}

/// Computes the value and compares it; says why if the library gives none.
CheckOutcome computed_outcome(const Check& check, const detail::Quantity& quantity) {
  CheckOutcome outcome;
  outcome.check = &check;
  try {
    outcome.computed = quantity.compute(detail::Given(check.given));
  } catch (const InternalError&) {
    throw;
  } catch (const std::exception& problem) {  // DomainError, NotComputable: the library gives no number
    outcome.why = problem.what();
    return outcome;
  }
  const detail::Difference difference =
      detail::difference_of({check.expected, outcome.computed, check.tolerance_ratio, quantity.comparison});
  outcome.was_run = difference.why.empty();
  outcome.is_within_tolerance = difference.is_within_tolerance;
  outcome.difference_ratio = difference.greatest_ratio;
  outcome.why = difference.why;
  return outcome;
}

void judge(CheckOutcome& outcome) {
  switch (outcome.check->standing) {
  case Standing::agrees:
    outcome.is_as_stated = outcome.was_run && outcome.is_within_tolerance;
    if (outcome.was_run && !outcome.is_as_stated) {
      outcome.why = fmt::format("differs by {:.3g}, accepted is {:.3g}", outcome.difference_ratio,
                                outcome.check->tolerance_ratio);
    }
    break;
  case Standing::disagrees:
    outcome.is_as_stated = outcome.was_run && !outcome.is_within_tolerance;
    if (outcome.was_run && !outcome.is_as_stated) {
      outcome.why = "stated as disagreeing, but it agrees now";
    }
    break;
  case Standing::not_yet_run:
    outcome.is_as_stated = !outcome.was_run;
    outcome.why = outcome.was_run
                      ? "stated as not yet run, but it can be computed now: say agrees or disagrees"
                      : outcome.check->remark;
    break;
  }
}

int& count_of(EvidenceTally& tally, Provenance provenance) {
  switch (provenance) {
  case Provenance::published:
    return tally.published_count;
  case Provenance::second_hand:
    return tally.second_hand_count;
  case Provenance::from_memory:
    return tally.from_memory_count;
  case Provenance::common_practice:
    return tally.common_practice_count;
  case Provenance::independent:
    return tally.independent_count;
  case Provenance::same_formula:
    return tally.same_formula_count;
  }
  throw InternalError("a provenance without a count");
}

}  // namespace

std::string_view provenance_name(Provenance provenance) {
  return name_of(provenance, detail::provenance_words);
}

std::string_view standing_name(Standing standing) {
  return name_of(standing, detail::standing_words);
}

std::vector<CheckOutcome> run_checks(const CheckBook& book) {
  std::vector<CheckOutcome> outcomes;
  outcomes.reserve(book.checks.size());
  for (const Check& check : book.checks) {
    const detail::Quantity* quantity = detail::find_quantity(check.quantity);
    if (quantity != nullptr) {
      outcomes.push_back(computed_outcome(check, *quantity));
    } else {
      outcomes.emplace_back().check = &check;
      outcomes.back().why = fmt::format("nothing computes '{}' yet", check.quantity);
    }
    judge(outcomes.back());
  }
  return outcomes;
}

std::vector<CheckableQuantity> checkable_quantities() {
  std::vector<CheckableQuantity> result;
  for (const detail::Quantity& quantity : detail::quantities()) {
    result.push_back({quantity.name, quantity.unit, quantity.takes, quantity.comparison});
  }
  return result;
}

EvidenceTally tally(const std::vector<CheckOutcome>& outcomes) {
  EvidenceTally result;
  for (const CheckOutcome& outcome : outcomes) {
    ++result.row_count;
    result.failed_count += outcome.is_as_stated ? 0 : 1;
    if (!outcome.was_run) {
      result.not_yet_run_count += outcome.is_as_stated ? 1 : 0;
      continue;
    }
    ++result.run_count;
    result.passed_count += outcome.is_as_stated ? 1 : 0;
    ++count_of(result, outcome.check->provenance);
  }
  return result;
}

}  // namespace ohmroot::evidence

// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/text/value.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::evidence {

/// How sure the expected value is.
enum class Provenance {
  published,    ///< printed in a publication whose text, or a typed copy of whose table, was read
  second_hand,  ///< quoted from the publication by another text that was read
  from_memory,
  common_practice,
  independent,  ///< computed by another method or program than the one under test
  same_formula  ///< recomputed from the formula under test: guards arithmetic, proves nothing else
};

/// As written in the rows and printed: "published", "second_hand", ...
[[nodiscard]] std::string_view provenance_name(Provenance provenance);

/// Does the project stand by the value? A row that disagrees must go on disagreeing.
enum class Standing { agrees, disagrees, not_yet_run };

/// As written in the rows and printed: "agrees", "disagrees", "not_yet_run".
[[nodiscard]] std::string_view standing_name(Standing standing);

struct Source {
  std::string id;
  std::string title;      ///< publication, year
  std::string how_seen;   ///< page, typed copy, quotation, not seen
  bool was_read = false;  ///< text or transcribed table was read: only such a source makes a row 'published'
};

/// One check value, as data: adding one needs no code as long as its quantity is known.
struct Check {
  std::string id;
  std::string quantity;  ///< name in the table of computable quantities
  text::Value given;     ///< inputs, suffixed SI keys
  text::Value expected;  ///< number, text, or list of numbers
  /// Largest accepted |computed - expected| / |expected|. A 0 in a list is measured by the list's largest
  /// value, a lone 0 or a list of nothing but 0 by 1 unit. 0 asks for the same number to the last bit.
  double tolerance_ratio = 0.0;
  std::string tolerance_because;
  std::string source_id;
  std::string where;  ///< clause, table, page
  Provenance provenance = Provenance::from_memory;
  Standing standing = Standing::agrees;
  std::string remark;  ///< why it disagrees or cannot run yet; what else a reader should know
  std::string file;    ///< below the folder, with '/': "electrode/rod.toml"
  int line = 0;
};

struct CheckBook {
  std::vector<Source> sources;
  std::vector<Check> checks;
};

/// Reads sources.toml and every other *.toml below the folder (format: reference/FORMAT.md). Errors, all of
/// the book in one pass: a folder that is not there, unknown keys, unknown sources and quantities, missing
/// keys and reasons, duplicate ids, 'published' from a source that was not read, a file without rows.
/// Rows with errors are left out.
[[nodiscard]] CheckBook read_check_book(const std::string& folder, Diagnostics& diagnostics);

struct CheckOutcome {
  const Check* check = nullptr;
  bool was_run = false;
  bool is_within_tolerance = false;
  bool is_as_stated = false;      ///< agrees and within, disagrees and outside, or not yet run and cannot be
  text::Value computed;           ///< as expected; for a band its two ends
  double difference_ratio = 0.0;  ///< largest over the values of the row; 1 for words that differ
  std::string why;                ///< for rows not run or failed
};

/// Runs every check of the book, which must outlive the outcomes. A row 'not yet run' whose quantity is
/// known is tried, and is not as stated once it can be computed: it must then say agrees or disagrees.
[[nodiscard]] std::vector<CheckOutcome> run_checks(const CheckBook& book);

/// How a computed value is held against the expected one.
enum class Comparison {
  equal,        ///< the same within the tolerance
  inside_band,  ///< computed is [least, greatest], widened by the tolerance; everything expected must lie inside
  lower_bound,  ///< computed must not exceed expected by more than the tolerance
  upper_bound   ///< computed must not fall below expected by more than the tolerance
};

/// Names of the quantities that can be checked, with the keys each takes.
struct CheckableQuantity {
  std::string name;
  std::string unit;
  std::string takes;  ///< keys of 'given', optional ones with a question mark
  Comparison comparison = Comparison::equal;
};
[[nodiscard]] std::vector<CheckableQuantity> checkable_quantities();

/// How many rows there are of each kind. The counts by provenance are of rows that were run.
struct EvidenceTally {
  int row_count = 0;
  int run_count = 0;
  int passed_count = 0;  ///< run, and as stated
  int failed_count = 0;  ///< not as stated, whether run or not
  int not_yet_run_count = 0;
  int published_count = 0;  ///< run rows that compare with a number printed in a publication that was read
  int second_hand_count = 0;
  int from_memory_count = 0;
  int common_practice_count = 0;
  int independent_count = 0;
  int same_formula_count = 0;
};
[[nodiscard]] EvidenceTally tally(const std::vector<CheckOutcome>& outcomes);

}  // namespace ohmroot::evidence

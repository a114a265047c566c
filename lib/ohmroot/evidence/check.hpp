// SPDX-License-Identifier: MIT
#pragma once

#include <string>
#include <vector>

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/text/value.hpp>

namespace ohmroot::evidence {

/// How sure the expected value is.
enum class Provenance {
  published,     ///< printed in a publication whose text, or a transcription of whose table, was read
  second_hand,   ///< quoted from the publication by another text that was read
  from_memory,
  common_practice,
  independent,   ///< computed by another method or program than the one under test
  same_formula   ///< recomputed from the formula under test: guards arithmetic, proves nothing else
};

/// Does the project stand by the value? A row that disagrees must go on disagreeing.
enum class Standing { agrees, disagrees, not_yet_run };

struct Source {
  std::string id;
  std::string title;     ///< publication, year
  std::string how_seen;  ///< page, transcription, quotation, not seen
};

/// One check value, as data: adding one needs no code as long as its quantity is known.
struct Check {
  std::string id;
  std::string quantity;      ///< name in the table of computable quantities
  text::Value given;         ///< inputs, suffixed SI keys
  text::Value expected;      ///< number, text, or list of numbers
  double tolerance_ratio = 0.0;
  std::string tolerance_because;
  std::string source_id;
  std::string where;         ///< clause, table, page
  Provenance provenance = Provenance::from_memory;
  Standing standing = Standing::agrees;
  std::string remark;
  std::string file;
  int line = 0;
};

struct CheckBook {
  std::vector<Source> sources;
  std::vector<Check> checks;
};

/// Reads reference/sources.toml and every other *.toml below the folder. Unknown keys, unknown sources,
/// missing reasons and duplicate ids are errors.
[[nodiscard]] CheckBook read_check_book(const std::string& folder, Diagnostics& diagnostics);

struct CheckOutcome {
  const Check* check = nullptr;
  bool was_run = false;
  bool is_within_tolerance = false;
  bool is_as_stated = false;       ///< agrees and within, or disagrees and outside
  text::Value computed;
  double difference_ratio = 0.0;   ///< largest over the values of the row
  std::string why;                 ///< for rows not run or failed
};

/// Runs every check of the book.
[[nodiscard]] std::vector<CheckOutcome> run_checks(const CheckBook& book);

/// Names of the quantities that can be checked, with the keys each takes.
struct CheckableQuantity {
  std::string name;
  std::string unit;
  std::string takes;
};
[[nodiscard]] std::vector<CheckableQuantity> checkable_quantities();

struct EvidenceTally {
  int row_count = 0;
  int run_count = 0;
  int passed_count = 0;
  int failed_count = 0;
  int not_yet_run_count = 0;
  int published_count = 0;       ///< run rows that compare with a number printed in a publication that was read
  int second_hand_count = 0;
  int from_memory_count = 0;
  int common_practice_count = 0;
  int independent_count = 0;
  int same_formula_count = 0;
};
[[nodiscard]] EvidenceTally tally(const std::vector<CheckOutcome>& outcomes);

}  // namespace ohmroot::evidence

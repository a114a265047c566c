// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <cstddef>
#include <string>
#include <vector>

namespace ohmroot::sounding {

/// What a reading looks like against its neighbours and its own repeats, in a sentence the tech can act on.
struct ReadingDoubt {
  std::size_t reading_index;
  std::string sentence;
};

/// Checks that no layered earth can explain away, per line (traverse); good data stays silent:
///   growth    resistance must not grow with spacing (Wenner; old field rule, from memory, and tested on
///             random layered soils); for Schlumberger the same of resistance over ln(BM/AM), which reduces a
///             finite MN exactly; by three standard deviations of the two readings. Not for other arrays.
///   outlier   a reading more than three standard deviations outside what up to four neighbours allow on a
///             log-log curve; needs five spacings, and says nothing of the first and the last
///   copy      neighbours that show the very same number where the curve beside them is not steep enough
///   swap      where two readings that stand together, exchanged, would take away every doubt of their line
///   repeat    two readings of one place that differ by more than three standard deviations; repeats within one
///             reading that scatter by more than 5 % (practice, from memory; 1 in 1000 by chance)
///   polarity  the two directions of the current differ by more than a fifth (our judgement)
///   stakes    driven deeper than a fifth of the distance to the next stake
///   range     an apparent resistivity more than three times outside what published lists give any soil (our
///             judgement): the one check that a first reading cannot escape
/// A sentence names the reading, its line in the sheet, how far it is off, and what to do; where a slip would
/// explain it (ohm m typed among ohms, a decimal mark, leads in another order), it says so. Sorted by reading.
/// Throws DomainError if a reading is not positive, its stakes are not in order, or it is a bound only.
[[nodiscard]] std::vector<ReadingDoubt> doubtful_readings(const std::vector<FourPoleReading>& readings);

/// Readings more than three times outside what lists give a named soil: wet or dry, warm or frozen, and layers, go so
/// far (our judgement). Sorted by reading. Throws as doubtful_readings().
[[nodiscard]] std::vector<ReadingDoubt> soil_doubts(const std::vector<FourPoleReading>& readings,
                                                    const earth::SoilWord& soil);

/// By what one of the readings has been judged, and by what it cannot be: the first of a sounding has no neighbours, and
/// the two ends of a curve have them on one side only. Empty where nothing is left open. Throws std::out_of_range for
/// an index beyond the readings, and as doubtful_readings().
[[nodiscard]] std::string judged_words(const std::vector<FourPoleReading>& readings, std::size_t index,
                                       bool is_soil_named);

}  // namespace ohmroot::sounding

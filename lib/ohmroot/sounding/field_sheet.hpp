// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/sounding/field_record.hpp>
#include <ohmroot/sounding/reading.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::sounding {

/// What the sheet itself may not say. Columns in the sheet win over these.
struct SheetDefaults {
  std::optional<Array> array = std::nullopt;  ///< without it the columns must tell (a, or AB/2 and MN/2)
  double driven_depth_m = 0.0;
  StakeContact contact = StakeContact::bare;
  double relative_error_ratio = 0.05;
  double last_digit_ohm = 0.0;   ///< one count of the display, added to the error of each reading
  double spacing_error_m = 0.0;  ///< one standard deviation of each stake's place, likewise
};

/// A row that gave no reading, and why. Nothing is dropped in silence.
struct SkippedRow {
  int line = 0;
  std::string why;
  bool is_over_range = false;         ///< the tester could not show it: a bound, never 0
  double over_range_above_ohm = 0.0;  ///< the bound, if stated
};

struct FieldSheet {
  std::vector<FourPoleReading> readings;
  std::vector<FourPoleReading>
      bounds;  ///< over-range rows of known bound: is_lower_bound, never among readings
  std::vector<DrivenRodReading> rods;  ///< driven rods, over-range ones of known bound among them
  std::vector<RecordEntry> record;  ///< lines above the table: date, instrument, weather, soil, nearby metal
  std::vector<SkippedRow> skipped;
  std::vector<std::string> notes;  ///< how it was read: separator, decimal mark, encoding, columns, units
  int data_row_count = 0;          ///< rows that should have held a reading
};

/// Reads a field sheet (CSV as exported by spreadsheets and loggers; text/csv.hpp cuts it into cells).
///
/// The header is found by its column names wherever it stands; what precedes it is kept as notes, and a
/// second header further down starts a second table. Columns, in any order and in many usual spellings:
///   a | AB/2 and MN/2 | AB and MN | Ax, Ay, Bx ... Ny (coordinates of the stakes; y left out: on one line)
///                                     m, cm, mm, ft; metres are taken, with a warning, if none is stated
///   R | V and I | rho                 ohm, mohm, kohm, also with the ohm sign lost as "?"; V, mV, uV;
///                                     A, mA, uA; ohm m, ohm cm
///   R1, R2, ... | R and R reversed | V, I, V reversed and I reversed: repeats and both ways of the current; the
///                                     mean is the reading, the single values stay with it
///   depth, error (% or ohm), contact resistance, traverse, array (Wenner, Wenner beta or gamma, Schlumberger,
///   dipole-dipole with n: a is then the length of the dipoles), offset (of MN from the middle of AB)
///   rod length and rod diameter | rod (its name) | current stake and potential stake (distances from the rod): a driven
///                                     rod, in rows or in a table of its own; a row with a rod length is a rod's
/// Lines above the table: "Spacing error, 2 cm" and "Last digit, 0.01 ohm" enter the error of every reading
/// (combined_error_ratio), the others are the record.
/// A unit stands in brackets, after a mark ("V / mV", "a, m", "depth_cm"), in a row of its own below the
/// header, or in the cell, which wins. The long form only: one reading per row.
///
/// What becomes of it:
///   rho alone       turned back into R by the formula for stakes at the surface, if the array is known
///   rho beside R    compared with it; R is used
///   AB = 3 MN       throughout, and no array stated: a Wenner sounding
///   superseded      lines of a field book (field_book.hpp) that later ones correct are left out, with a note
///   repeats         lines of a field book at one place are one reading (joined_repeats()), with a note
///   over range      skipped, never 0; with its bound and place it stands among the bounds
///   sums, averages  skipped, never averaged; so are remarks and rows without a reading; each with a warning
/// Errors (file:line:column, what was found, what is allowed, how to mend it; all of them in one pass): no
/// header, no spacing column, neither R nor V and I, a unit that is unknown or missing where it matters, a
/// cell that is no number, a spacing, resistance, voltage or current that is negative, zero or beyond all
/// reason, a missing spacing, MN not inside AB, a Wenner row where AB is not 3 MN, no reading at all.
/// Warnings: skipped rows, one reading only, stakes deeper than a fifth of the distance between them. Throws
/// DomainError if a default is out of range.
[[nodiscard]] FieldSheet read_field_sheet(std::string_view bytes, const SheetDefaults& defaults,
                                          Diagnostics& diagnostics);

}  // namespace ohmroot::sounding

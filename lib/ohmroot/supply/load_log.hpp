// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/supply/load.hpp>

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmroot::supply {

/// A charge point that is not in the log yet. Each instant is judged with it on and off, and the worse counts.
struct PlannedCharge {
  double current_a = 32.0;  ///< per phase at nominal voltage
  int phase = 0;            ///< 1 to 3; 0: on all three
  /// Load management: greatest total current per phase that it leaves. Counted only if it fails safe.
  std::optional<double> managed_to_a;
  bool does_fail_safe = false;
};

/// Unit of current columns whose header states none.
enum class LogUnit { stated_in_header, ampere, milliampere, kilowatt };

struct LoadLogQuestion {
  Supply supply;  ///< phase_count: phases that the log must hold; source_earth_ohm must be 0
  double limit_v = 70.0;
  LoadModel model = LoadModel::constant_impedance;
  std::optional<double> electrode_ohm;  ///< candidate; from the MET to earth, conductor included, > 0
  std::optional<PlannedCharge> charge;
  double power_factor_ratio = 1.0;  ///< of columns that come without one
  bool is_leading = false;
  LogUnit unit = LogUnit::stated_in_header;
};

/// One row of a log, as it bears on the MET.
struct LogInstant {
  std::string time;                   ///< as written
  std::int64_t line = 0;              ///< in the file, from 1
  std::array<double, 3> current_a{};  ///< logged, signed; the planned charge is not in it
  bool is_charging = false;           ///< whether the planned charge point is on
  double met_v = 0.0;
};

/// MET voltage over the log, had the PEN broken at each instant.
struct MetRecord {
  LogInstant worst;
  double over_limit_ratio = 0.0;                    ///< share of the logged time
  double longest_spell_s = 0.0;                     ///< over the limit without a break
  std::optional<std::int64_t> spell_over_4s_count;  ///< none: the interval is too coarse to tell
  std::optional<std::int64_t> spell_over_5s_count;
  std::int64_t no_operating_point_count = 0;  ///< rows; they count as over the limit
  std::vector<double> duration_v;  ///< voltage exceeded for k/200 of the time, k = 0 (greatest) to 200
  std::array<std::array<double, 24>, 7> worst_by_weekday_hour_v{};  ///< Monday first; -1: nothing logged
};

struct NeededAtQuantile {
  double time_ratio = 0.0;               ///< share of the time that the resistance would have held
  std::optional<double> resistance_ohm;  ///< none: no electrode needed
  bool is_none_sufficient = false;
};

/// Stretch of the log for a plot over time.
struct LogStretch {
  double start_s = 0.0;  ///< since the first row
  double least_v = 0.0;
  double greatest_v = 0.0;  ///< without electrode; with the candidate below
  double greatest_with_v = 0.0;
};

struct LoadLogReport {
  std::int64_t row_count = 0;  ///< rows analysed
  std::int64_t skipped_count = 0;
  double interval_s = 0.0;  ///< usual step from row to row
  std::string first_time;
  std::string last_time;
  std::int64_t gap_count = 0;
  double gap_s = 0.0;                          ///< time not logged
  std::int64_t clock_back_count = 0;           ///< steps back by one hour
  std::int64_t clock_forward_count = 0;        ///< steps ahead by one hour in a Sunday night
  std::int64_t disorder_count = 0;             ///< other steps back, and repeated times
  std::array<double, 3> least_current_a{};     ///< evidenced minimum per phase
  std::array<double, 3> greatest_current_a{};  ///< evidenced maximum per phase
  std::int64_t unloaded_count = 0;             ///< rows without any current: nothing drives the MET
  bool is_worst_at_low_load = false;  ///< the worst instant has less load in all than the median of the log
  MetRecord without;
  std::optional<MetRecord> with;
  std::vector<NeededAtQuantile> needed;  ///< at 50, 90, 95, 99, 99.9 and 100 % of the time
  /// Load equal on all phases, on top of the log, that would have kept the limit at every instant without
  /// electrode; with constant impedance only.
  std::optional<double> balanced_base_a;
  double stretch_s = 0.0;
  std::vector<LogStretch> stretches;
  char separator = ',';
  std::string columns;  ///< how the header was understood
};

/// Reads a load log in one pass and constant memory: feed() takes the file in pieces of any size. Findings go
/// to diagnostics; of repeated ones the first ten are written out and the rest counted at the end.
/// Times: 2026-01-31 23:59[:58[.5]] (blank or T; Z or +01:00 behind), 31/01/2026 or 31.01.2026 (day first),
/// seconds or milliseconds since 1970. A step of more than one and a half intervals is a gap: it has no
/// weight, and a spell ends there. Columns: a time, and per phase a current (A, mA), or kW and kvar, or a
/// current with its power factor, by their names ("L1 (A)", "I2 [mA]", "P3 kW", "kvar 1", "pf 2"). Negative:
/// export. A power becomes a current at nominal voltage.
/// Constant impedance is judged at the highest source voltage, where it is worst; constant current and
/// constant power at both ends. The electrode needed and the shares are read from bins, 1.1 % and 0.1 V wide,
/// at the safe end of the bin; the worst instant is exact.
class LoadLog {
public:
  /// Throws DomainError for a value out of range. diagnostics must outlive it.
  LoadLog(const LoadLogQuestion& question, Diagnostics& diagnostics);
  ~LoadLog();
  LoadLog(LoadLog&&) noexcept;
  LoadLog& operator=(LoadLog&&) noexcept;
  LoadLog(const LoadLog&) = delete;
  LoadLog& operator=(const LoadLog&) = delete;

  void feed(std::string_view bytes);
  /// Nothing if diagnostics has errors: no header, a phase missing, no row.
  [[nodiscard]] std::optional<LoadLogReport> finish();

private:
  class Reader;
  std::unique_ptr<Reader> reader_;
};

}  // namespace ohmroot::supply

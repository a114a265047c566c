// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/supply/load_log.hpp>

#include <array>
#include <bit>
#include <cstdint>
#include <vector>

namespace ohmroot::supply::detail {

/// Counts of positive values in bins 1/64 of an octave wide: their edges are read off the number itself.
class OctaveTally {
public:
  void add(double value) {
    const auto bits = static_cast<std::int64_t>(std::bit_cast<std::uint64_t>(value) >> 46U);
    const std::int64_t bin = bits - least_bin + 1;
    // Negative and NaN-free by the caller; what lies below the range counts as nothing.
    ++count_[static_cast<std::size_t>(value <= 0.0 || bin < 0 ? 0 : bin < size ? bin : size - 1)];
  }
  /// Upper edge of the bin that holds the value not exceeded by the share of all; 0 for the lowest bin.
  [[nodiscard]] double quantile(double share) const;

private:
  static constexpr std::int64_t least_bin = (std::int64_t{1023} - 20) << 6;  // 2^-20
  static constexpr std::int64_t size = 45 * 64;                              // to 2^25
  std::vector<std::uint64_t> count_ = std::vector<std::uint64_t>(static_cast<std::size_t>(size));
};

/// One record of the MET voltage, as it grows row by row.
class MetTally {
public:
  explicit MetTally(double limit_v) : limit_v_(limit_v) { worst_hour_.fill(-1.0); }

  /// True if it is the worst so far.
  bool add(double met_v, std::size_t week_hour) {
    ++count_[met_v < 0.1 * top_bin ? static_cast<std::size_t>(10.0 * met_v) : top_bin];
    if (met_v > worst_hour_[week_hour]) worst_hour_[week_hour] = met_v;
    if (met_v > limit_v_)
      ++run_count_;
    else if (run_count_ > 0)
      end_spell();
    if (met_v <= worst_v_) return false;
    worst_v_ = met_v;
    return true;
  }
  void end_spell();
  void lose_operating_point() { ++lost_count_; }
  void set_interval(double interval_s) { interval_s_ = interval_s; }

  /// The worst instant is left to the caller.
  [[nodiscard]] MetRecord record(std::int64_t row_count);

private:
  static constexpr std::size_t top_bin = 20000;
  double limit_v_;
  double interval_s_ = 0.0;
  double worst_v_ = -1.0;
  std::int64_t run_count_ = 0;
  std::int64_t longest_count_ = 0;
  std::int64_t over_count_ = 0;
  std::int64_t over_4s_count_ = 0;
  std::int64_t over_5s_count_ = 0;
  std::int64_t lost_count_ = 0;
  std::vector<std::uint64_t> count_ = std::vector<std::uint64_t>(top_bin + 1);
  std::array<double, 168> worst_hour_{};
};

/// A log of unknown length in at most 1024 stretches: when they are full, they are joined two by two.
class StretchTally {
public:
  void start(double interval_s) { width_s_ = interval_s > 0.0 ? interval_s : 1.0; }
  void add(double since_start_s, double without_v, double with_v) {
    if (!(since_start_s < end_s_)) open(since_start_s);
    LogStretch& here = stretches_.back();
    if (without_v < here.least_v) here.least_v = without_v;
    if (without_v > here.greatest_v) here.greatest_v = without_v;
    if (with_v > here.greatest_with_v) here.greatest_with_v = with_v;
  }
  [[nodiscard]] double width_s() const { return width_s_; }
  [[nodiscard]] std::vector<LogStretch> take() { return std::move(stretches_); }

private:
  void open(double since_start_s);
  double width_s_ = 1.0;
  double end_s_ = -1.0;
  std::vector<LogStretch> stretches_;
};

}  // namespace ohmroot::supply::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/supply/detail/log_tally.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ohmroot::supply::detail {

double OctaveTally::quantile(double share) const {
  const auto total = std::accumulate(count_.begin(), count_.end(), std::uint64_t{0});
  const double wanted = share * static_cast<double>(total);
  std::uint64_t sum = 0;
  std::int64_t bin = 0;
  for (; bin < size; ++bin) {
    sum += count_[static_cast<std::size_t>(bin)];
    if (static_cast<double>(sum) >= wanted) break;
  }
  if (bin == 0) return 0.0;
  return std::bit_cast<double>(static_cast<std::uint64_t>(bin + least_bin) << 46U);
}

void MetTally::end_spell() {
  const double spell_s = interval_s_ * static_cast<double>(run_count_);
  over_count_ += run_count_;
  longest_count_ = std::max(longest_count_, run_count_);
  if (spell_s > 4.0) ++over_4s_count_;
  if (spell_s > 5.0) ++over_5s_count_;
  run_count_ = 0;
}

MetRecord MetTally::record(std::int64_t row_count) {
  end_spell();
  MetRecord record;
  record.over_limit_ratio =
      static_cast<double>(over_count_) / static_cast<double>(std::max<std::int64_t>(1, row_count));
  record.longest_spell_s = interval_s_ * static_cast<double>(longest_count_);
  // A coarser log cannot tell a spell of 4 s from one of its interval.
  if (interval_s_ > 0.0 && interval_s_ <= 1.0) {
    record.spell_over_4s_count = over_4s_count_;
    record.spell_over_5s_count = over_5s_count_;
  }
  record.no_operating_point_count = lost_count_;
  constexpr int part_count = 200;
  std::uint64_t above = 0;
  std::size_t bin = top_bin;
  for (int part = 0; part <= part_count; ++part) {
    const double wanted = static_cast<double>(row_count) * part / part_count;
    while (bin > 0 && static_cast<double>(above + count_[bin]) <= wanted)
      above += count_[bin--];
    record.duration_v.push_back(part == 0 ? worst_v_
                                          : std::min(worst_v_, 0.1 * static_cast<double>(bin + 1)));
  }
  for (std::size_t k = 0; k < worst_hour_.size(); ++k)
    record.worst_by_weekday_hour_v[k / 24][k % 24] = worst_hour_[k];
  return record;
}

void StretchTally::open(double since_start_s) {
  constexpr std::size_t greatest_count = 1024;
  double index = std::floor(since_start_s / width_s_);
  while (index >= static_cast<double>(greatest_count)) {
    width_s_ *= 2.0;
    index = std::floor(since_start_s / width_s_);
    std::vector<LogStretch> joined;
    for (const LogStretch& stretch : stretches_) {
      const double start_s = width_s_ * std::floor(stretch.start_s / width_s_);
      if (joined.empty() || joined.back().start_s != start_s) {
        joined.push_back(stretch);
        joined.back().start_s = start_s;
        continue;
      }
      joined.back().least_v = std::min(joined.back().least_v, stretch.least_v);
      joined.back().greatest_v = std::max(joined.back().greatest_v, stretch.greatest_v);
      joined.back().greatest_with_v = std::max(joined.back().greatest_with_v, stretch.greatest_with_v);
    }
    stretches_ = std::move(joined);
  }
  const double start_s = width_s_ * index;
  end_s_ = start_s + width_s_;
  if (stretches_.empty() || stretches_.back().start_s != start_s)
    stretches_.push_back({start_s, 1e300, 0.0, 0.0});
}

}  // namespace ohmroot::supply::detail

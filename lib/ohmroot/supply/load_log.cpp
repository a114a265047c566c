// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/detail/log_columns.hpp>
#include <ohmroot/supply/detail/log_state.hpp>
#include <ohmroot/supply/detail/log_tally.hpp>
#include <ohmroot/supply/detail/log_time.hpp>
#include <ohmroot/supply/load_log.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <utility>

namespace ohmroot::supply {

namespace {

using detail::LogColumn;
using detail::LogHeader;
using detail::LogQuantity;
using detail::LogTime;

constexpr std::size_t head_size = 256 * 1024;
constexpr int written_out_count = 10;
constexpr double greatest_plausible_a = 2000.0;

void require_valid(const LoadLogQuestion& question) {
  const Supply& supply = question.supply;
  if (supply.phase_count != 1 && supply.phase_count != 3)
    throw DomainError("supply.phase_count", supply.phase_count, "", "1 or 3");
  if (supply.source_earth_ohm != 0.0)
    throw DomainError("supply.source_earth_ohm", supply.source_earth_ohm, "ohm", "0 for a load log");
  require_positive("supply.nominal_v", supply.nominal_v, "V");
  require_positive("supply.lowest_v", supply.lowest_v, "V");
  if (!(supply.lowest_v <= supply.highest_v) || !std::isfinite(supply.highest_v))
    throw DomainError("supply.highest_v", supply.highest_v, "V", "at least lowest_v");
  require_positive("limit_v", question.limit_v, "V");
  require_positive("power_factor_ratio", question.power_factor_ratio, "");
  require_within("power_factor_ratio", question.power_factor_ratio, "", {0.0, 1.0});
  if (question.electrode_ohm) require_within("electrode_ohm", *question.electrode_ohm, "ohm", {1e-6, 1e12});
  if (!question.charge) return;
  require_within("charge.current_a", question.charge->current_a, "A", {0.0, 1e6});
  if (question.charge->phase < 0 || question.charge->phase > supply.phase_count)
    throw DomainError("charge.phase", question.charge->phase, "", "a phase of the supply, or 0 for all");
}

std::string_view trimmed(std::string_view cell) {
  while (!cell.empty() && (cell.front() == ' ' || cell.front() == '\t' || cell.front() == '"'))
    cell.remove_prefix(1);
  while (!cell.empty() && (cell.back() == ' ' || cell.back() == '\t' || cell.back() == '"'))
    cell.remove_suffix(1);
  return cell;
}

/// Date and time of day in one, kept in the buffer.
std::string_view whole_time(std::string_view date, std::string_view time, std::string& joined) {
  joined.assign(date).append(1, ' ').append(time);
  return joined;
}

}  // namespace

class LoadLog::Reader {
public:
  Reader(const LoadLogQuestion& question, Diagnostics& diagnostics)
      : question_(question), diagnostics_(diagnostics), state_(question), without_(question.limit_v),
        with_(question.limit_v) {
    report_.least_current_a.fill(std::numeric_limits<double>::infinity());
    report_.greatest_current_a.fill(-std::numeric_limits<double>::infinity());
  }

  void feed(std::string_view bytes) {
    if (is_refused_) return;
    if (!header_) {
      kept_ += bytes;
      if (kept_.size() >= head_size) begin();
      return;
    }
    read_lines(bytes);
  }

  std::optional<LoadLogReport> finish() {
    if (!header_ && !is_refused_) begin();
    if (is_refused_) return std::nullopt;
    if (!kept_.empty()) {
      ++line_;
      note("log-end", 1, "the file ends in the middle of a row or without a line end: this row is left out");
      ++report_.skipped_count;
    }
    return result();
  }

private:
  void refuse(std::string code, std::string message, std::string hint) {
    diagnostics_.error({}, std::move(code), std::move(message), std::move(hint));
    is_refused_ = true;
  }

  void begin() {
    const std::size_t end = kept_.rfind('\n');
    const std::string_view lines =
        std::string_view(kept_).substr(0, end == std::string::npos ? kept_.size() : end + 1);
    header_ = detail::read_log_header(lines, question_, diagnostics_);
    if (!header_) {
      is_refused_ = true;
      return;
    }
    has_date_column_ =
        std::any_of(header_->columns.begin(), header_->columns.end(),
                    [](const LogColumn& column) { return column.quantity == LogQuantity::date; });
    report_.separator = header_->separator;
    report_.columns = header_->words;
    std::size_t at = 0;
    for (line_ = 0; line_ < header_->line && at != std::string::npos; ++line_) {
      at = kept_.find('\n', at);
      if (at != std::string::npos) ++at;
    }
    std::string rows = at == std::string::npos ? std::string() : kept_.substr(at);
    kept_.clear();
    find_interval(rows);
    read_lines(rows);
  }

  /// The usual step between rows: the median of the first thousand or so.
  void find_interval(std::string_view rows) {
    std::vector<double> steps;
    detail::LogClock clock;
    std::optional<double> before_s;
    std::string joined;
    for (std::size_t at = 0; at < rows.size() && steps.size() < 1000;) {
      const std::size_t end = std::min(rows.find('\n', at), rows.size());
      std::string_view line = rows.substr(at, end - at);
      at = end + 1;
      if (line.ends_with('\r')) line.remove_suffix(1);
      std::string_view date;
      std::string_view of_day;
      for (const LogColumn& column : header_->columns) {
        const std::size_t stop = std::min(line.find(header_->separator), line.size());
        if (column.quantity == LogQuantity::date) date = trimmed(line.substr(0, stop));
        if (column.quantity == LogQuantity::time) of_day = trimmed(line.substr(0, stop));
        line.remove_prefix(std::min(stop + 1, line.size()));
      }
      LogTime time;
      if (!clock.read(has_date_column_ ? whole_time(date, of_day, joined) : of_day, time)) continue;
      if (before_s && time.count_s > *before_s) steps.push_back(time.count_s - *before_s);
      before_s = time.count_s;
    }
    if (steps.empty()) return;
    std::nth_element(steps.begin(), steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2),
                     steps.end());
    report_.interval_s = steps[steps.size() / 2];
    without_.set_interval(report_.interval_s);
    with_.set_interval(report_.interval_s);
    stretches_.start(report_.interval_s);
  }

  void read_lines(std::string_view bytes) {
    if (!kept_.empty()) {
      const std::size_t end = bytes.find('\n');
      kept_.append(bytes.substr(0, end == std::string_view::npos ? bytes.size() : end + 1));
      if (kept_.size() > head_size) {
        refuse("log-line", fmt::format("line {} is longer than {} bytes", line_ + 1, head_size), "");
        return;
      }
      if (end == std::string_view::npos) return;
      read_line(kept_.data(), kept_.data() + kept_.size() - 1);
      kept_.clear();
      bytes.remove_prefix(end + 1);
    }
    const char* at = bytes.data();
    const char* const end = at + bytes.size();
    while (at != end) {
      const auto* stop = static_cast<const char*>(std::memchr(at, '\n', static_cast<std::size_t>(end - at)));
      if (stop == nullptr) {
        kept_.assign(at, end);
        return;
      }
      read_line(at, stop);
      at = stop + 1;
    }
  }

  void note(const char* code, std::int64_t column, std::string message) {
    if (noted_count_++ >= written_out_count) return;
    diagnostics_.warning(
        {static_cast<int>(std::min<std::int64_t>(line_, 2147483647)), static_cast<int>(column)}, code,
        std::move(message));
  }
  void skip_row(const char* line, const char* cell, const char* cell_end, const char* wanted) {
    ++report_.skipped_count;
    const std::string_view found(cell,
                                 static_cast<std::size_t>(std::min<std::ptrdiff_t>(cell_end - cell, 40)));
    note("log-cell", cell - line + 1, fmt::format("'{}' is {}; the row is left out", found, wanted));
  }

  void read_line(const char* line, const char* end) {
    ++line_;
    if (line != end && end[-1] == '\r') --end;
    if (line == end || *line == '#') return;
    LogTime time;
    std::string_view time_text;
    std::string_view
        date_text;  // where it has a column of its own: the time is then read at the end of the row
    detail::PhaseLoads raw;
    std::array<double, 3> power_factor{};
    const char separator = header_->separator;
    const char* at = line;
    bool is_past_end = false;
    for (const LogColumn& column : header_->columns) {
      if (is_past_end) {
        skip_row(line, line, end, "a row with too few cells");
        return;
      }
      const auto k = static_cast<std::size_t>(column.phase > 0 ? column.phase - 1 : 0);
      double value = 0.0;
      // The plain forms first: a log has hardly any other.
      const char* stop = nullptr;
      if (column.quantity == LogQuantity::time && end - at > detail::LogClock::plain_size &&
          at[detail::LogClock::plain_size] == separator && clock_.read_in_same_minute(at, time)) {
        time_text = {at, static_cast<std::size_t>(detail::LogClock::plain_size)};
        at += detail::LogClock::plain_size + 1;
        continue;
      }
      if (column.quantity == LogQuantity::current) {
        stop = detail::read_plain_decimal(at, end, separator, header_->decimal_mark, value);
        if (stop != nullptr) {
          raw.active_a[k] = value * column.scale;
          is_past_end = stop == end;
          at = is_past_end ? end : stop + 1;
          continue;
        }
      }
      stop = at;
      if (stop != end && *stop == '"') {
        for (++stop; stop != end && *stop != '"';)
          ++stop;
      }
      while (stop != end && *stop != separator)
        ++stop;
      const std::string_view cell = trimmed({at, static_cast<std::size_t>(stop - at)});
      switch (column.quantity) {
      case LogQuantity::ignored:
        break;
      case LogQuantity::date:
        date_text = cell;
        break;
      case LogQuantity::time:
        time_text = cell;
        if (!has_date_column_ && !clock_.read(cell, time)) {
          skip_row(line, at, stop,
                   "no time (as 2026-01-31 23:59:59, 31/01/2026 23:59, or seconds since 1970)");
          return;
        }
        break;
      case LogQuantity::current:
      case LogQuantity::reactive:
      case LogQuantity::power_factor:
        if (!detail::read_decimal(cell, header_->decimal_mark, value)) {
          skip_row(line, at, stop, "no number");
          return;
        }
        if (column.quantity == LogQuantity::current) raw.active_a[k] = value * column.scale;
        if (column.quantity == LogQuantity::reactive) raw.reactive_a[k] = value * column.scale;
        if (column.quantity == LogQuantity::power_factor) {
          if (!(std::abs(value) <= 1.0) || value == 0.0) {
            skip_row(line, at, stop, "no power factor (above 0, at most 1)");
            return;
          }
          power_factor[k] = value;
        }
        break;
      }
      if (stop == end)
        is_past_end = true;
      else
        at = stop + 1;
    }
    if (has_date_column_) {
      const std::string_view of_day = time_text;
      time_text = whole_time(date_text, of_day, joined_);
      if (!clock_.read(time_text, time)) {
        skip_row(line, date_text.data(), date_text.data() + date_text.size(),
                 fmt::format(
                     "no date, or '{}' no time of day (as 2026-01-31 and 23:59:59, or 31/01/2026 and 23:59)",
                     of_day.substr(0, 40))
                     .c_str());
        return;
      }
    }
    take(time, time_text, raw, power_factor);
  }

  void take(const LogTime& time, std::string_view time_text, detail::PhaseLoads& loads,
            const std::array<double, 3>& power_factor) {
    const std::array<double, 3> current_a = signed_currents(loads, power_factor);
    for (std::size_t k = 0; k < 3; ++k) {
      report_.least_current_a[k] = std::min(report_.least_current_a[k], current_a[k]);
      report_.greatest_current_a[k] = std::max(report_.greatest_current_a[k], current_a[k]);
    }
    advance(time);
    const detail::LogMet met = state_.at(loads);
    if (!met.is_loaded) ++report_.unloaded_count;
    ++report_.row_count;
    load_.add(std::abs(current_a[0]) + std::abs(current_a[1]) + std::abs(current_a[2]));
    needed_.add(met.needed_s);
    greatest_needed_s_ = std::max(greatest_needed_s_, met.needed_s);
    if (std::isinf(met.without_v)) without_.lose_operating_point();
    if (std::isinf(met.with_v)) with_.lose_operating_point();
    if (without_.add(met.without_v, week_hour_))
      keep(report_.without.worst, time_text, current_a, met.without_v, met.is_worse_charging);
    if (question_.electrode_ohm && with_.add(met.with_v, week_hour_))
      keep(with_worst_, time_text, current_a, met.with_v, met.is_worse_charging);
    stretches_.add(std::max(0.0, count_s_ - first_s_), met.without_v, met.with_v);
    if (report_.row_count == 1) report_.first_time.assign(time_text);
    last_time_size_ = std::min(time_text.size(), last_time_.size());
    std::memcpy(last_time_.data(), time_text.data(), last_time_size_);
  }

  void keep(LogInstant& instant, std::string_view time_text, const std::array<double, 3>& current_a,
            double met_v, bool is_charging) const {
    instant.time.assign(time_text);
    instant.line = line_;
    instant.current_a = current_a;
    instant.met_v = met_v;
    instant.is_charging = is_charging;
  }

  /// Splits what the log holds into an active and a reactive part at nominal voltage, and gives its magnitudes.
  std::array<double, 3> signed_currents(detail::PhaseLoads& loads,
                                        const std::array<double, 3>& power_factor) const {
    std::array<double, 3> current_a = loads.active_a;
    for (std::size_t k = 0; k < 3; ++k) {
      if (header_->has_reactive[k]) {
        current_a[k] = std::copysign(std::hypot(loads.active_a[k], loads.reactive_a[k]), loads.active_a[k]);
        continue;
      }
      const double ratio = header_->has_power_factor[k] ? power_factor[k] : question_.power_factor_ratio;
      if (ratio == 1.0) continue;
      loads.active_a[k] = current_a[k] * ratio;
      loads.reactive_a[k] =
          current_a[k] * std::sqrt((1.0 - ratio) * (1.0 + ratio)) * (question_.is_leading ? -1.0 : 1.0);
    }
    return current_a;
  }

  /// Moves to the time of a row: gaps, steps of the clock, hour of the week.
  void advance(const LogTime& time) {
    const double wall_s = time.wall_s;
    if (!(wall_s >= hour_start_s_ && wall_s < hour_start_s_ + 3600.0)) {
      hour_start_s_ = 3600.0 * std::floor(wall_s / 3600.0);
      week_hour_ = static_cast<std::size_t>(24 * detail::weekday_of(wall_s) + detail::hour_of(wall_s));
    }
    const double raw_s = time.count_s + clock_shift_s_;
    if (report_.row_count == 0) {
      first_s_ = count_s_ = raw_s;
      return;
    }
    const double step_s = raw_s - count_s_;
    count_s_ = raw_s;
    const double interval_s = report_.interval_s;
    if (step_s > 0.0 && step_s <= 1.5 * interval_s) return;
    unusual_step(step_s, wall_s);
  }

  void unusual_step(double step_s, double wall_s) {
    constexpr double hour_s = 3600.0;
    const double interval_s = report_.interval_s;
    const double slack_s = 0.5 * interval_s;
    if (std::abs(step_s + hour_s - interval_s) <= slack_s) {
      ++report_.clock_back_count;
      clock_shift_s_ += hour_s;
      count_s_ += hour_s;
    } else if (std::abs(step_s - hour_s - interval_s) <= slack_s && detail::weekday_of(wall_s) == 6 &&
               detail::hour_of(wall_s) <= 3) {
      ++report_.clock_forward_count;
      clock_shift_s_ -= hour_s;
      count_s_ -= hour_s;
    } else {
      without_.end_spell();
      with_.end_spell();
      if (step_s > 0.0) {
        ++report_.gap_count;
        report_.gap_s += step_s - interval_s;
      } else {
        ++report_.disorder_count;
      }
    }
  }

  std::optional<LoadLogReport> result() {
    if (noted_count_ > written_out_count) {
      diagnostics_.warning(
          {}, "log-more",
          fmt::format("{} findings more of this kind, not written out", noted_count_ - written_out_count));
    }
    if (report_.row_count == 0) {
      refuse("log-empty", "no row of the file could be read", "");
      return std::nullopt;
    }
    for (int phase = 1; phase <= question_.supply.phase_count; ++phase) {
      const auto k = static_cast<std::size_t>(phase - 1);
      const double most_a =
          std::max(std::abs(report_.greatest_current_a[k]), std::abs(report_.least_current_a[k]));
      if (most_a <= greatest_plausible_a) continue;
      refuse("log-unit",
             fmt::format("phase {} reaches {:.6g} A, more than any service carries", phase, most_a),
             "are these mA, or W? Say so in the header, as in 'L1 (mA)'");
      return std::nullopt;
    }
    if (question_.supply.phase_count == 1) {
      report_.least_current_a[1] = report_.least_current_a[2] = 0.0;
      report_.greatest_current_a[1] = report_.greatest_current_a[2] = 0.0;
    }
    report_.last_time.assign(last_time_.data(), last_time_size_);
    const auto finished = [this](detail::MetTally& tally, LogInstant worst) {
      MetRecord record = tally.record(report_.row_count);
      record.worst = std::move(worst);
      return record;
    };
    report_.without = finished(without_, std::move(report_.without.worst));
    if (question_.electrode_ohm) report_.with = finished(with_, std::move(with_worst_));
    const auto& worst = report_.without.worst.current_a;
    report_.is_worst_at_low_load =
        std::abs(worst[0]) + std::abs(worst[1]) + std::abs(worst[2]) < load_.quantile(0.5) / 1.02;
    for (const double share : {0.5, 0.9, 0.95, 0.99, 0.999, 1.0})
      report_.needed.push_back(needed_at(share));
    if (question_.model == LoadModel::constant_impedance)
      report_.balanced_base_a = std::max(0.0, greatest_needed_s_) * question_.supply.nominal_v / 3.0;
    report_.stretch_s = stretches_.width_s();
    report_.stretches = stretches_.take();
    return std::move(report_);
  }

  NeededAtQuantile needed_at(double share) const {
    NeededAtQuantile needed;
    needed.time_ratio = share;
    const double conductance_s =
        share == 1.0 ? greatest_needed_s_ : std::min(needed_.quantile(share), greatest_needed_s_);
    if (conductance_s <= 0.0) return needed;
    needed.is_none_sufficient = conductance_s >= 1e6;
    if (!needed.is_none_sufficient) needed.resistance_ohm = 1.0 / conductance_s;
    return needed;
  }

  LoadLogQuestion question_;
  Diagnostics& diagnostics_;
  detail::LogState state_;
  std::optional<LogHeader> header_;
  std::string kept_;  // the head of the file, later a line that is not complete
  bool is_refused_ = false;
  std::int64_t line_ = 0;
  std::int64_t noted_count_ = 0;
  detail::LogClock clock_;
  bool has_date_column_ = false;
  std::string joined_;  // date and time of a row that has them in two cells
  double hour_start_s_ = -1e300;
  std::size_t week_hour_ = 0;
  double first_s_ = 0.0;
  double count_s_ = 0.0;
  double clock_shift_s_ = 0.0;
  std::array<char, 40> last_time_{};
  std::size_t last_time_size_ = 0;
  detail::MetTally without_;
  detail::MetTally with_;
  LogInstant with_worst_;
  detail::OctaveTally needed_;
  detail::OctaveTally load_;
  double greatest_needed_s_ = -1.0;
  detail::StretchTally stretches_;
  LoadLogReport report_;
};

LoadLog::LoadLog(const LoadLogQuestion& question, Diagnostics& diagnostics) {
  require_valid(question);
  reader_ = std::make_unique<Reader>(question, diagnostics);
}
LoadLog::~LoadLog() = default;
LoadLog::LoadLog(LoadLog&&) noexcept = default;
LoadLog& LoadLog::operator=(LoadLog&&) noexcept = default;

void LoadLog::feed(std::string_view bytes) {
  reader_->feed(bytes);
}

std::optional<LoadLogReport> LoadLog::finish() {
  return reader_->finish();
}

}  // namespace ohmroot::supply

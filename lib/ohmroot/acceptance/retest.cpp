// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/retest.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>

#include <boost/math/tools/toms748_solve.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>

namespace ohmroot::acceptance {
namespace {

constexpr double central_90_deviations = 1.6448536269514722;
constexpr double between_tests_ratio = 0.10;
constexpr double days_per_year = 365.25;
constexpr double epoch_years = 1970.0;
constexpr double shortest_trend_years = 0.99;  // a year, less the days by which a yearly test comes early
constexpr double sudden_ratio = 2.0;
constexpr double foreseen_years = 3.0;
constexpr double farthest_years = 1000.0;

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

double years_of(const std::string& date) {
  const auto day = day_of(date);
  if (!day) throw DomainError("date", date, "a day, as in 2026-10-14");
  const std::chrono::sys_days days{std::chrono::year{day->year} / day->month / day->day};
  return static_cast<double>(days.time_since_epoch().count()) / days_per_year;
}

struct Point {
  double years;
  double ln_ohm;
  double variance;
};

double variance_of(const Estimate& found, const char* name) {
  require_positive(fmt::format("{}.least", name), found.least, "ohm");
  require_within(fmt::format("{}.value", name), found.value, "ohm", {found.least, found.greatest});
  require_finite(fmt::format("{}.greatest", name), found.greatest, "ohm");
  const double deviation = std::log(found.greatest / found.least) / (2.0 * central_90_deviations);
  return deviation * deviation;
}

/// Whether all tests were taken to the worst season by one and the same factor: its error is then of all alike.
bool is_season_shared(const std::vector<RegisterEntry>& entries) {
  constexpr double same_ratio =
      1.05;  // the conductor, which does not grow with the factor, moves it a little
  double least_ratio = std::numeric_limits<double>::infinity();
  double greatest_ratio = 0.0;
  for (const RegisterEntry& entry : entries) {
    if (!entry.measured_ohm || day_of(entry.date)->month != day_of(entries.front().date)->month) return false;
    const double ratio = entry.worst_season_ohm.value / entry.measured_ohm->value;
    least_ratio = std::min(least_ratio, ratio);
    greatest_ratio = std::max(greatest_ratio, ratio);
  }
  return greatest_ratio <= same_ratio * least_ratio;
}

/// Tests as points of a line, and the variance that all of them have in common.
struct Points {
  std::vector<Point> points;
  double common_variance = 0.0;
};

Points points_of(const std::vector<RegisterEntry>& ordered) {
  Points found;
  for (const RegisterEntry& entry : ordered)
    found.points.push_back({years_of(entry.date), std::log(entry.worst_season_ohm.value),
                            variance_of(entry.worst_season_ohm, "worst_season_ohm")});
  if (is_season_shared(ordered)) {
    for (std::size_t i = 0; i < ordered.size(); ++i) {
      const double own_variance = variance_of(*ordered[i].measured_ohm, "measured_ohm");
      found.common_variance = std::max(found.common_variance, found.points[i].variance - own_variance);
      found.points[i].variance = std::min(found.points[i].variance, own_variance);
    }
  }
  for (Point& point : found.points)
    point.variance += between_tests_ratio * between_tests_ratio;
  return found;
}

/// ln R = level + slope (years - middle), weighted.
struct Line {
  double middle_years, level, slope, level_variance, slope_variance;
  [[nodiscard]] double at(double years) const { return level + slope * (years - middle_years); }
  [[nodiscard]] double variance_at(double years) const {
    return level_variance + slope_variance * (years - middle_years) * (years - middle_years);
  }
  /// The end of the central 90 % on one side: +1 the upper, -1 the lower.
  [[nodiscard]] double end_at(double years, double side) const {
    return at(years) + side * central_90_deviations * std::sqrt(variance_at(years));
  }
  [[nodiscard]] double slope_half_width() const { return central_90_deviations * std::sqrt(slope_variance); }
};

Line line_through(const std::vector<Point>& points) {
  double weight_sum = 0.0;
  Line line{};
  for (const Point& p : points) {
    weight_sum += 1.0 / p.variance;
    line.middle_years += p.years / p.variance;
    line.level += p.ln_ohm / p.variance;
  }
  line.middle_years /= weight_sum;
  line.level /= weight_sum;
  double spread = 0.0;
  for (const Point& p : points) {
    const double off = p.years - line.middle_years;
    spread += off * off / p.variance;
    line.slope += off * p.ln_ohm / p.variance;
  }
  line.slope /= spread;
  line.level_variance = 1.0 / weight_sum;
  line.slope_variance = 1.0 / spread;
  return line;
}

/// Root of chi-squared over its degrees of freedom, at least 1.
double scatter_about(const Line& line, const std::vector<Point>& points) {
  double chi_squared = 0.0;
  for (const Point& p : points) {
    const double off = p.ln_ohm - line.at(p.years);
    chi_squared += off * off / p.variance;
  }
  return std::sqrt(std::max(1.0, chi_squared / static_cast<double>(points.size() - 2)));
}

/// Years from then on until a curve comes up to 0; none beyond a thousand.
template <class Curve>
std::optional<double> years_until(const Curve& curve, double from_years) {
  if (curve(from_years) >= 0.0) return 0.0;
  double low = 0.0;
  double high = 1.0;
  while (curve(from_years + high) < 0.0) {
    if (high > farthest_years) return std::nullopt;
    low = high;
    high *= 2.0;
  }
  const auto ahead = [&](double years) { return curve(from_years + years); };
  boost::uintmax_t steps = 100;
  return boost::math::tools::toms748_solve(ahead, low, high, boost::math::tools::eps_tolerance<double>(40),
                                           steps)
      .second;
}

void foresee(const Line& line, double last_years, double strictest_ohm, bool is_rising, RetestTrend& trend) {
  const double ln_limit = std::log(strictest_ohm);
  const auto upper = [&](double years) { return line.end_at(years, 1.0) - ln_limit; };
  trend.sure_years_ahead = years_until(upper, last_years);
  if (!is_rising) return;
  const auto middle = [&](double years) { return line.at(years) - ln_limit; };
  const auto lower = [&](double years) { return line.end_at(years, -1.0) - ln_limit; };
  const auto met = years_until(middle, last_years);
  if (met)
    trend.crossing = LimitCrossing{*met, std::min(*met, trend.sure_years_ahead.value_or(*met)),
                                   years_until(lower, last_years)};
  const double next_upper =
      line.at(last_years + 1.0) +
      central_90_deviations * std::hypot(std::sqrt(line.variance_at(last_years + 1.0)), between_tests_ratio);
  trend.alarm = next_upper > ln_limit ? RetestAlarm::limit_near : RetestAlarm::rising;
}

std::vector<TrendPoint> drawn(const Line& line, double first_years, double last_years) {
  constexpr int step_count = 40;
  std::vector<TrendPoint> points;
  for (int i = 0; i <= step_count; ++i) {
    const double years = first_years + (last_years + foreseen_years - first_years) * i / step_count;
    points.push_back({epoch_years + years,
                      {std::exp(line.at(years)), std::exp(line.end_at(years, -1.0)),
                       std::exp(line.end_at(years, 1.0)), "weighted least squares of ln R over time, 90 %"}});
  }
  return points;
}

void judge_trend(const Points& tests, double strictest_ohm, RetestTrend& trend) {
  const std::vector<Point>& points = tests.points;
  Line line = line_through(points);
  trend.scatter_ratio = scatter_about(line, points);
  line.level_variance =
      line.level_variance * trend.scatter_ratio * trend.scatter_ratio + tests.common_variance;
  line.slope_variance *= trend.scatter_ratio * trend.scatter_ratio;
  const double half_width = line.slope_half_width();
  trend.yearly_change_ratio =
      Estimate{std::expm1(line.slope), std::expm1(line.slope - half_width),
               std::expm1(line.slope + half_width), "weighted least squares of ln R over time, 90 %"};
  const double last_years = points.back().years;
  trend.line = drawn(line, points.front().years, last_years);
  if (std::isinf(strictest_ohm) || strictest_ohm == 0.0) return;
  foresee(line, last_years, strictest_ohm, line.slope - half_width > 0.0, trend);
}

/// To a tenth of a per cent: a trend is not known better.
std::string yearly(double ratio) {
  return format_signed_percent(std::round(1e3 * ratio) / 1e3 + 0.0);
}

std::string year_in(double last_years, double years_ahead) {
  return fmt::format("{:.0f}", std::floor(epoch_years + last_years + years_ahead));
}

/// "in 2034 (2031 to 2041)"
std::string when(const LimitCrossing& crossing, double last_years) {
  const std::string middle = year_in(last_years, crossing.years_ahead);
  const std::string least = year_in(last_years, crossing.least_years_ahead);
  if (!crossing.greatest_years_ahead) return fmt::format("in {} ({} or any time later)", middle, least);
  return fmt::format("in {} ({} to {})", middle, least, year_in(last_years, *crossing.greatest_years_ahead));
}

/// What tests that show no rise leave possible.
std::string outlook(const RetestTrend& trend, double last_years, double strictest_ohm) {
  if (!trend.sure_years_ahead) return {};
  if (*trend.sure_years_ahead < 1.0)
    return fmt::format(" They leave open that the limit of {} is reached within a year.",
                       ohms(strictest_ohm));
  return fmt::format(" By them the limit of {} is not reached before {} (95 %).", ohms(strictest_ohm),
                     year_in(last_years, *trend.sure_years_ahead));
}

std::string over_limit_sentence(const std::string& found, double strictest_ohm) {
  if (strictest_ohm == 0.0)
    return fmt::format("Alarm: {} in the worst season, and by today's loads no resistance suffices. The "
                       "electrode cannot "
                       "be relied on.",
                       found);
  return fmt::format(
      "Alarm: {} in the worst season, and the upper end is over the limit of {}. The electrode cannot "
      "be relied on: mend or extend it, and test again.",
      found, ohms(strictest_ohm));
}

std::string sentence_of(const RetestTrend& trend, const RegisterEntry& last, double strictest_ohm) {
  const std::string found =
      fmt::format("{} ({} to {}) on {}", ohms(last.worst_season_ohm.value), ohms(last.worst_season_ohm.least),
                  ohms(last.worst_season_ohm.greatest), last.date);
  const double last_years = years_of(last.date);
  const std::string rise =
      trend.yearly_change_ratio
          ? fmt::format("{} a year ({} to {})", yearly(trend.yearly_change_ratio->value),
                        yearly(trend.yearly_change_ratio->least), yearly(trend.yearly_change_ratio->greatest))
          : std::string();
  const std::string reached =
      trend.crossing ? fmt::format("the limit of {} is reached {}", ohms(strictest_ohm),
                                   when(*trend.crossing, last_years))
                     : fmt::format("the limit of {} is more than 1,000 years off", ohms(strictest_ohm));
  switch (trend.alarm) {
  case RetestAlarm::over_limit:
    return over_limit_sentence(found, strictest_ohm);
  case RetestAlarm::sudden_fall:
    return fmt::format(
        "Alarm: {}, less than half of the test before. An electrode does not mend itself: it was "
        "tested with the PME terminal connected, or metal was joined to it. Prove it separated, and "
        "test again.",
        found);
  case RetestAlarm::sudden_rise:
    return fmt::format(
        "Alarm: {}, more than double the test before. Look for a clamp, coupling or conductor that has "
        "come off or corroded through, and test again.",
        found);
  case RetestAlarm::limit_near:
    return fmt::format(
        "Alarm: {}, rising by {}; it may be over the limit before a test a year from now: {}. Test "
        "within six months and prepare to extend it.",
        found, rise, reached);
  case RetestAlarm::rising:
    return fmt::format("Rising by {}: {}. At that pace {}.", rise, found, reached);
  case RetestAlarm::none:
    return fmt::format("{}; no rise towards the limit that the tests could show ({}).{}", found, rise,
                       outlook(trend, last_years, strictest_ohm));
  case RetestAlarm::cannot_tell:
    return fmt::format("{}; whether it rises cannot be told: a trend needs three tests over at least a year.",
                       found);
  }
  throw InternalError("an alarm without words");
}

std::string limit_words(double limit_ohm) {
  if (std::isinf(limit_ohm)) return "none";
  return limit_ohm == 0.0 ? std::string("one that no resistance meets") : ohms(limit_ohm);
}

/// That the limit moved since a test was judged: what passed then is not what passes today.
std::string moved_limit_sentence(const std::vector<RegisterEntry>& ordered, double strictest_ohm) {
  for (auto entry = ordered.rbegin(); entry != ordered.rend(); ++entry) {
    if (is_limit_alike(*entry, strictest_ohm)) continue;
    return fmt::format(" The limit on {} was {}, today it is {}: the verdict of a test is by the limit of "
                       "its day, the trend by "
                       "today's.",
                       entry->date,
                       limit_words(entry->strictest_ohm.value_or(std::numeric_limits<double>::infinity())),
                       limit_words(strictest_ohm));
  }
  return {};
}

/// What the last test says by itself, or beside the one before.
std::optional<RetestAlarm> alarm_of_last(const std::vector<RegisterEntry>& ordered, double strictest_ohm) {
  const Estimate& last = ordered.back().worst_season_ohm;
  if (last.greatest > strictest_ohm) return RetestAlarm::over_limit;
  if (ordered.size() < 2) return std::nullopt;
  const Estimate& before = ordered[ordered.size() - 2].worst_season_ohm;
  if (last.value < before.value / sudden_ratio) return RetestAlarm::sudden_fall;
  if (last.value > before.value * sudden_ratio) return RetestAlarm::sudden_rise;
  return std::nullopt;
}

}  // namespace

std::string alarm_name(RetestAlarm alarm) {
  switch (alarm) {
  case RetestAlarm::none:
    return "none";
  case RetestAlarm::cannot_tell:
    return "cannot tell";
  case RetestAlarm::rising:
    return "rising";
  case RetestAlarm::limit_near:
    return "limit near";
  case RetestAlarm::over_limit:
    return "over the limit";
  case RetestAlarm::sudden_rise:
    return "sudden rise";
  case RetestAlarm::sudden_fall:
    return "sudden fall";
  }
  throw InternalError("an alarm without a name");
}

bool is_limit_alike(const RegisterEntry& entry, double strictest_ohm) {
  constexpr double printed_ratio = 1e-3;
  const double then_ohm = entry.strictest_ohm.value_or(std::numeric_limits<double>::infinity());
  if (std::isinf(then_ohm) || std::isinf(strictest_ohm)) return then_ohm == strictest_ohm;
  return std::abs(then_ohm - strictest_ohm) <= printed_ratio * strictest_ohm;
}

bool is_pressing(RetestAlarm alarm) {
  return alarm != RetestAlarm::none && alarm != RetestAlarm::cannot_tell && alarm != RetestAlarm::rising;
}

RetestTrend retest_trend(const std::vector<RegisterEntry>& entries, double strictest_ohm) {
  if (entries.empty()) throw DomainError("entries", "none", "at least one");
  if (!(strictest_ohm >= 0.0)) throw DomainError("strictest_ohm", strictest_ohm, "ohm", "not negative");
  std::vector<RegisterEntry> ordered = entries;
  std::stable_sort(ordered.begin(), ordered.end(),
                   [](const RegisterEntry& a, const RegisterEntry& b) { return a.date < b.date; });
  const Points tests = points_of(ordered);
  const std::vector<Point>& points = tests.points;
  RetestTrend trend;
  trend.test_count = static_cast<int>(points.size());
  trend.span_years = points.back().years - points.front().years;
  if (points.size() >= 3 && trend.span_years >= shortest_trend_years)
    judge_trend(tests, strictest_ohm, trend);
  else
    trend.alarm = RetestAlarm::cannot_tell;
  if (const auto alarm = alarm_of_last(ordered, strictest_ohm)) trend.alarm = *alarm;
  trend.sentence =
      sentence_of(trend, ordered.back(), strictest_ohm) + moved_limit_sentence(ordered, strictest_ohm);
  return trend;
}

}  // namespace ohmroot::acceptance

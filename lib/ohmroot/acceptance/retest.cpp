// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/retest.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/text/csv.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>

namespace ohmroot::acceptance {
namespace {

constexpr double central_90_deviations = 1.6448536269514722;
constexpr double between_tests_ratio = 0.10;
constexpr double days_per_year = 365.25;
constexpr std::array<const char*, 8> columns{"date",
                                             "electrode",
                                             "method",
                                             "worst season (ohm)",
                                             "least (ohm)",
                                             "greatest (ohm)",
                                             "strictest limit (ohm)",
                                             "verdict"};

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

/// RFC 4180: quoted if needed. A line break would make two lines of one, so it becomes a blank.
std::string cell(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](char c) { return c == '\n' || c == '\r'; }, ' ');
  if (text.find_first_of(",;\t|\"#") == std::string::npos) return text;
  std::string quoted(1, '"');
  for (const char c : text)
    quoted.append(c == '"' ? 2U : 1U, c);
  quoted.push_back('"');
  return quoted;
}

double years_of(const std::string& date) {
  const auto day = day_of(date);
  if (!day) throw DomainError("date", date, "a day, as in 2026-10-14");
  const std::chrono::sys_days days{std::chrono::year{day->year} / day->month / day->day};
  return static_cast<double>(days.time_since_epoch().count()) / days_per_year;
}

std::optional<TestVerdict> verdict_of(const std::string& word) {
  for (const TestVerdict verdict : {TestVerdict::pass, TestVerdict::fail, TestVerdict::cannot_tell})
    if (word == verdict_name(verdict)) return verdict;
  return std::nullopt;
}

/// One line of the register, or nothing with the reason in diagnostics.
std::optional<RegisterEntry> entry_in(const text::Row& row, Diagnostics& diagnostics) {
  if (row.cells.size() != columns.size()) {
    diagnostics.error({row.line, 1}, "broken-line",
                      fmt::format("the line has {} of {} cells", row.cells.size(), columns.size()),
                      "a line that was cut off: delete it and enter the test again");
    return std::nullopt;
  }
  RegisterEntry entry;
  entry.sheet_line = row.line;
  entry.date = row.cells[0].text;
  entry.electrode = row.cells[1].text;
  entry.method = row.cells[2].text;
  if (!day_of(entry.date)) {
    diagnostics.error(row.cells[0].at, "wrong-date", fmt::format("'{}' is no date", entry.date));
    return std::nullopt;
  }
  std::array<double, 4> values{};
  for (std::size_t i = 0; i < values.size(); ++i) {
    const text::Cell& found = row.cells[3 + i];
    if (i == 3 && found.text == "none") continue;
    const ParsedQuantity parsed = parse_number(found.text);
    if (!parsed.si_value || !(*parsed.si_value > 0.0)) {
      diagnostics.error(found.at, "no-number",
                        fmt::format("{}: '{}' is no positive number", columns[3 + i], found.text));
      return std::nullopt;
    }
    values[i] = *parsed.si_value;
  }
  if (!(values[1] <= values[0] && values[0] <= values[2])) {
    diagnostics.error(row.cells[3].at, "order", "value, least and greatest are not in order");
    return std::nullopt;
  }
  entry.worst_season_ohm = {values[0], values[1], values[2], "register"};
  if (row.cells[6].text != "none") entry.strictest_ohm = values[3];
  const auto verdict = verdict_of(row.cells[7].text);
  if (!verdict) {
    diagnostics.error(row.cells[7].at, "wrong-verdict", fmt::format("'{}' is no verdict", row.cells[7].text));
    return std::nullopt;
  }
  entry.verdict = *verdict;
  return entry;
}

struct Point {
  double years;
  double ln_ohm;
  double variance;
};

Point point_of(const RegisterEntry& entry) {
  const Estimate& found = entry.worst_season_ohm;
  require_positive("worst_season_ohm.least", found.least, "ohm");
  require_within("worst_season_ohm.value", found.value, "ohm", {found.least, found.greatest});
  require_finite("worst_season_ohm.greatest", found.greatest, "ohm");
  const double deviation = std::log(found.greatest / found.least) / (2.0 * central_90_deviations);
  return {years_of(entry.date), std::log(found.value),
          deviation * deviation + between_tests_ratio * between_tests_ratio};
}

/// ln R = level + slope (years - middle), weighted.
struct Line {
  double middle_years, level, slope, level_variance, slope_variance;
  [[nodiscard]] double at(double years) const { return level + slope * (years - middle_years); }
  [[nodiscard]] double variance_at(double years) const {
    return level_variance + slope_variance * (years - middle_years) * (years - middle_years);
  }
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

void judge_trend(const std::vector<Point>& points, double strictest_ohm, RetestTrend& trend) {
  const Line line = line_through(points);
  const double half_width = central_90_deviations * std::sqrt(line.slope_variance);
  trend.yearly_change_ratio =
      Estimate{std::expm1(line.slope), std::expm1(line.slope - half_width),
               std::expm1(line.slope + half_width), "weighted least squares of ln R over time, 90 %"};
  if (line.slope - half_width <= 0.0 || std::isinf(strictest_ohm)) return;
  const double last_years = points.back().years;
  trend.years_to_limit = std::max(0.0, (std::log(strictest_ohm) - line.at(last_years)) / line.slope);
  const double next_upper =
      line.at(last_years + 1.0) + central_90_deviations * std::sqrt(line.variance_at(last_years + 1.0));
  trend.alarm = next_upper > std::log(strictest_ohm) ? RetestAlarm::limit_near : RetestAlarm::rising;
}

/// To a tenth of a per cent: a trend is not known better.
std::string yearly(double ratio) {
  return format_signed_percent(std::round(1e3 * ratio) / 1e3 + 0.0);
}

std::string sentence_of(const RetestTrend& trend, const RegisterEntry& last, double strictest_ohm) {
  const std::string found =
      fmt::format("{} ({} to {}) on {}", ohms(last.worst_season_ohm.value), ohms(last.worst_season_ohm.least),
                  ohms(last.worst_season_ohm.greatest), last.date);
  const std::string rise =
      trend.yearly_change_ratio
          ? fmt::format("{} a year ({} to {})", yearly(trend.yearly_change_ratio->value),
                        yearly(trend.yearly_change_ratio->least), yearly(trend.yearly_change_ratio->greatest))
          : std::string();
  switch (trend.alarm) {
  case RetestAlarm::over_limit:
    return fmt::format(
        "Alarm: {} in the worst season, and the upper end is over the limit of {}. The electrode can "
        "no longer be relied on: mend or extend it, and test again.",
        found, ohms(strictest_ohm));
  case RetestAlarm::sudden_fall:
    return fmt::format(
        "Alarm: {}, less than half of the test before. An electrode does not mend itself: it was "
        "tested with the PME terminal connected, or metal was joined to it. Prove it separated, and "
        "test again.",
        found);
  case RetestAlarm::limit_near:
    return fmt::format(
        "Alarm: {}, rising by {}; it may be over the limit of {} before a test a year from now. Test "
        "within six months and prepare to extend it.",
        found, rise, ohms(strictest_ohm));
  case RetestAlarm::rising:
    return fmt::format("Rising by {}: {}. At that pace the limit of {} is reached in {} years.", rise, found,
                       ohms(strictest_ohm), format_number(*trend.years_to_limit, 2));
  case RetestAlarm::none:
    return trend.yearly_change_ratio
               ? fmt::format("{}; no rise towards the limit that the tests could show ({}).", found, rise)
               : fmt::format("{}; a trend needs three tests over at least a year.", found);
  }
  throw InternalError("an alarm without words");
}

}  // namespace

std::string register_heading() {
  return fmt::format("{}\n", fmt::join(columns, ","));
}

std::string register_line(const RegisterEntry& entry) {
  const Estimate& found = entry.worst_season_ohm;
  return fmt::format("{},{},{},{},{},{},{},{}\n", cell(entry.date), cell(entry.electrode), cell(entry.method),
                     found.value, found.least, found.greatest,
                     entry.strictest_ohm ? fmt::format("{}", *entry.strictest_ohm) : "none",
                     verdict_name(entry.verdict));
}

std::vector<RegisterEntry> read_register(std::string_view bytes, Diagnostics& diagnostics) {
  std::vector<RegisterEntry> entries;
  if (bytes.empty()) return entries;
  const text::Sheet sheet = text::read_sheet(bytes, diagnostics);
  if (diagnostics.has_errors() || sheet.rows.empty()) return entries;
  if (sheet.rows.front().cells.front().text != columns.front())
    diagnostics.error({sheet.rows.front().line, 1}, "no-heading", "this is no register of tests",
                      "its first line is: " + register_heading().substr(0, register_heading().size() - 1));
  for (std::size_t i = 1; i < sheet.rows.size(); ++i)
    if (auto entry = entry_in(sheet.rows[i], diagnostics)) entries.push_back(*std::move(entry));
  if (bytes.back() != '\n')
    diagnostics.error({sheet.rows.back().line, 1}, "broken-line", "the last line has no end",
                      "a line that was cut off: delete it and enter the test again");
  return entries;
}

std::string alarm_name(RetestAlarm alarm) {
  switch (alarm) {
  case RetestAlarm::none:
    return "none";
  case RetestAlarm::rising:
    return "rising";
  case RetestAlarm::limit_near:
    return "limit near";
  case RetestAlarm::over_limit:
    return "over the limit";
  case RetestAlarm::sudden_fall:
    return "sudden fall";
  }
  throw InternalError("an alarm without a name");
}

RetestTrend retest_trend(const std::vector<RegisterEntry>& entries, double strictest_ohm) {
  if (entries.empty()) throw DomainError("entries", "none", "at least one");
  if (!(strictest_ohm > 0.0)) throw DomainError("strictest_ohm", strictest_ohm, "ohm", "positive");
  std::vector<RegisterEntry> ordered = entries;
  std::stable_sort(ordered.begin(), ordered.end(),
                   [](const RegisterEntry& a, const RegisterEntry& b) { return a.date < b.date; });
  std::vector<Point> points;
  for (const RegisterEntry& entry : ordered)
    points.push_back(point_of(entry));
  RetestTrend trend;
  trend.test_count = static_cast<int>(points.size());
  trend.span_years = points.back().years - points.front().years;
  if (points.size() >= 3 && trend.span_years >= 0.99) judge_trend(points, strictest_ohm, trend);
  const RegisterEntry& last = ordered.back();
  if (last.worst_season_ohm.greatest > strictest_ohm)
    trend.alarm = RetestAlarm::over_limit;
  else if (ordered.size() > 1 &&
           last.worst_season_ohm.value < 0.5 * ordered[ordered.size() - 2].worst_season_ohm.value)
    trend.alarm = RetestAlarm::sudden_fall;
  trend.sentence = sentence_of(trend, last, strictest_ohm);
  return trend;
}

}  // namespace ohmroot::acceptance

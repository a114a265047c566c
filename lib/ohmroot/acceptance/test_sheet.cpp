// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/sheet_table.hpp>
#include <ohmroot/acceptance/test_sheet.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/text/csv.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <functional>

namespace ohmroot::acceptance {
namespace {

using detail::lower_case;

/// What the lines above the table leave behind, before it is put together.
struct Draft {
  TestSheet sheet;
  bool has_date = false;
  std::optional<double> path_ohm, path_least_ohm, path_greatest_ohm;
  std::string path_basis;
  std::optional<double> season_least_ratio, season_greatest_ratio;
};

/// Takes the value of a line into the draft, or says what is wrong with it.
using Taker = std::function<std::string(const std::string& value, Draft& draft)>;
struct Key {
  std::string key;
  std::string holds;
  Taker take;
};

Taker quantity(Dimension dimension, Range allowed, std::function<void(Draft&, double)> put) {
  return [=](const std::string& value, Draft& draft) -> std::string {
    const ParsedQuantity parsed = parse_quantity(value, dimension);
    if (!parsed.si_value) return parsed.problem + (parsed.hint.empty() ? "" : "; " + parsed.hint);
    if (!(*parsed.si_value >= allowed.least && *parsed.si_value <= allowed.greatest))
      return fmt::format("'{}' is outside {} to {}", value, format_given(allowed.least, dimension),
                         format_given(allowed.greatest, dimension));
    put(draft, *parsed.si_value);
    return {};
  };
}

Taker plain_number(Range allowed, std::function<void(Draft&, double)> put) {
  return [=](const std::string& value, Draft& draft) -> std::string {
    const ParsedQuantity parsed = parse_number(value);
    if (!parsed.si_value) return parsed.problem;
    if (!(*parsed.si_value >= allowed.least && *parsed.si_value <= allowed.greatest))
      return fmt::format("'{}' is outside {} to {}", value, allowed.least, allowed.greatest);
    put(draft, *parsed.si_value);
    return {};
  };
}

Taker answer(std::function<void(Draft&, Answer)> put) {
  return [=](const std::string& value, Draft& draft) -> std::string {
    const auto read = answer_of(value);
    if (!read) return fmt::format("'{}' is no answer; yes, no or not known", value);
    put(draft, *read);
    return {};
  };
}

std::string take_method(const std::string& value, Draft& draft) {
  const std::string word = lower_case(value);
  if (word == "fall of potential") {
    draft.sheet.other_method.reset();
    return {};
  }
  for (const OtherMethod method : {OtherMethod::two_point, OtherMethod::loop, OtherMethod::clamp}) {
    if (word != method_name(method)) continue;
    draft.sheet.other_method = method;
    draft.sheet.other.method = method;
    return {};
  }
  return fmt::format("method '{}' is not known; fall of potential, two-point, loop or clamp", value);
}

std::string take_date(const std::string& value, Draft& draft) {
  draft.has_date = true;  // a date that is none is said once
  const auto day = day_of(value);
  if (!day) return fmt::format("'{}' is no date; year-month-day, as in 2026-10-14", value);
  draft.sheet.date = value;
  draft.sheet.month = day->month;
  return {};
}

std::string take_start(const std::string& value, Draft& draft) {
  const std::string word = lower_case(value);
  if (word != "middle" && word != "first rod") return fmt::format("'{}'; allowed: middle, first rod", value);
  draft.sheet.is_from_first_rod = word == "first rod";
  return {};
}

std::vector<Key> all_keys() {
  std::vector<Key> keys{
      {"method", "fall of potential (taken if missing), two-point, loop, clamp", take_method},
      {"date", "day of the test, as in 2026-10-14; needed", take_date},
      {"electrode", "name of the candidate as built, where the site file has several",
       [](const std::string& value, Draft& draft) -> std::string {
         draft.sheet.electrode = value;
         return {};
       }},
      {"tested by", "who tested; kept in the register",
       [](const std::string& value, Draft& draft) -> std::string {
         draft.sheet.tester = value;
         return {};
       }},
      {"instrument", "with what, and until when it is calibrated; kept in the register",
       [](const std::string& value, Draft& draft) -> std::string {
         draft.sheet.instrument = value;
         return {};
       }},
      {"measured from", "middle (of the electrode, taken if missing) or first rod", take_start},
      {"direction", "degrees from the line of the rods to the line of the stakes; 90 if missing",
       plain_number({-360.0, 360.0}, [](Draft& d, double v) { d.sheet.stakes.current_direction_deg = v; })},
      {"current stake resistance", "as the tester showed it",
       quantity(Dimension::resistance, {0.1, 1e7},
                [](Draft& d, double v) { d.sheet.stakes.current_stake_ohm = v; })},
      {"potential stake resistance", "as the tester showed it",
       quantity(Dimension::resistance, {0.1, 1e7},
                [](Draft& d, double v) { d.sheet.stakes.potential_stake_ohm = v; })},
      {"greatest stake resistance", "up to which the tester keeps its error, by its data sheet",
       quantity(Dimension::resistance, {1.0, 1e7},
                [](Draft& d, double v) { d.sheet.stakes.greatest_stake_ohm = v; })},
      {"stray voltage", "between the stakes, without test current",
       quantity(Dimension::voltage, {0.0, 1e3}, [](Draft& d, double v) { d.sheet.stakes.stray_v = v; })},
      {"reading error", "one standard deviation of a reading, as in 2 %",
       quantity(Dimension::ratio, {1e-3, 0.5},
                [](Draft& d, double v) {
                  d.sheet.stakes.reading_error_ratio = v;
                  d.sheet.other.relative_error_ratio = v;
                })},
      {"tester error", "one standard deviation that all readings share, as in 2 %",
       quantity(Dimension::ratio, {1e-3, 0.5},
                [](Draft& d, double v) { d.sheet.stakes.tester_error_ratio = v; })},
      {"season factor least", "from the month of the test to the worst season",
       plain_number({0.05, 20.0}, [](Draft& d, double v) { d.season_least_ratio = v; })},
      {"season factor greatest", "from the month of the test to the worst season",
       plain_number({0.05, 20.0}, [](Draft& d, double v) { d.season_greatest_ratio = v; })},
      {"lead resistance", "two-point, loop, clamp: leads in the reading",
       quantity(Dimension::resistance, {0.0, 100.0}, [](Draft& d, double v) { d.sheet.other.lead_ohm = v; })},
      {"return path", "two-point, loop, clamp: rest of the circuit, if it is known",
       quantity(Dimension::resistance, {0.0, 1e5}, [](Draft& d, double v) { d.path_ohm = v; })},
      {"return path least", "its least; the value if missing",
       quantity(Dimension::resistance, {0.0, 1e5}, [](Draft& d, double v) { d.path_least_ohm = v; })},
      {"return path greatest", "its greatest; the value if missing",
       quantity(Dimension::resistance, {0.0, 1e5}, [](Draft& d, double v) { d.path_greatest_ohm = v; })},
      {"return path basis", "how it is known",
       [](const std::string& value, Draft& draft) -> std::string {
         draft.path_basis = value;
         return {};
       }},
      {"pme connected", "two-point, loop, clamp: was the electrode joined to the PME terminal?",
       answer([](Draft& d, Answer a) { d.sheet.other.is_pme_connected = a; })},
      {"other earth apart", "two-point: is the other earth ten electrode lengths away?",
       answer([](Draft& d, Answer a) { d.sheet.other.is_other_earth_apart = a; })},
      {"metal loop", "clamp: is there a second metal way between electrode and terminal?",
       answer([](Draft& d, Answer a) { d.sheet.other.has_metal_loop = a; })},
  };
  for (const SafeQuestion& question : safe_questions()) {
    keys.push_back({std::string(question.key), std::string(question.words) + "? yes, no, not known",
                    answer([member = question.answer](Draft& d, Answer a) {
                      d.sheet.stakes.safe_working.*member = a;
                    })});
  }
  return keys;
}

void take_line(const text::Row& row, const std::vector<Key>& keys, Draft& draft, Diagnostics& diagnostics) {
  const std::string word = lower_case(row.cells.front().text);
  const std::string value = row.cells.size() > 1 ? row.cells[1].text : std::string();
  const auto key = std::find_if(keys.begin(), keys.end(), [&](const Key& k) { return k.key == word; });
  if (key == keys.end()) {
    draft.sheet.notes.push_back(row.cells.front().text + (value.empty() ? "" : ": " + value));
    std::vector<std::string_view> names;
    for (const Key& k : keys)
      names.push_back(k.key);
    const std::string near = nearest_word(word, names);
    if (!near.empty())
      diagnostics.warning(
          row.cells.front().at, "unknown-line",
          fmt::format("'{}' is not a known line and is kept as a note", row.cells.front().text),
          fmt::format("did you mean '{}'?", near));
    return;
  }
  if (value.empty()) return;
  if (key->key == "date") draft.sheet.date_at = row.cells[1].at;
  const std::string problem = key->take(value, draft);
  if (!problem.empty())
    diagnostics.error(row.cells[1].at, "wrong-value", fmt::format("{}: {}", key->key, problem));
}

/// Puts together what several lines say.
void finish(Draft& draft, Diagnostics& diagnostics) {
  if (!draft.has_date)
    diagnostics.error({}, "missing-date", "no date of the test",
                      "add a line 'date,2026-10-14' above the table: the season counts from it");
  if (draft.season_least_ratio.has_value() != draft.season_greatest_ratio.has_value())
    diagnostics.error({}, "half-season", "only one end of the season factor is stated", "state both ends");
  if (draft.season_least_ratio && draft.season_greatest_ratio) {
    if (*draft.season_least_ratio > *draft.season_greatest_ratio)
      diagnostics.error({}, "season-order", "the least season factor is above the greatest");
    else
      draft.sheet.season = Criterion::Season{*draft.season_least_ratio, *draft.season_greatest_ratio,
                                             "stated on the test sheet"};
  }
  if (!draft.path_ohm) return;
  const double least_ohm = draft.path_least_ohm.value_or(*draft.path_ohm);
  const double greatest_ohm = draft.path_greatest_ohm.value_or(*draft.path_ohm);
  if (least_ohm > *draft.path_ohm || greatest_ohm < *draft.path_ohm)
    diagnostics.error({}, "path-order", "return path: least, value and greatest are not in order");
  else
    draft.sheet.other.return_path_ohm =
        Estimate{*draft.path_ohm, least_ohm, greatest_ohm,
                 draft.path_basis.empty() ? "stated on the test sheet" : draft.path_basis};
}

}  // namespace

std::optional<TestSheet> read_test_sheet(std::string_view bytes, Diagnostics& diagnostics) {
  const text::Sheet cut = text::read_sheet(bytes, diagnostics);
  if (diagnostics.has_errors()) return std::nullopt;
  const std::vector<Key> keys = all_keys();
  Draft draft;
  std::size_t heading = 0;
  while (heading < cut.rows.size() && !detail::is_heading(cut.rows[heading]))
    take_line(cut.rows[heading++], keys, draft, diagnostics);
  finish(draft, diagnostics);
  if (heading == cut.rows.size()) {
    diagnostics.error(
        {}, "no-table", "no table of readings",
        "a heading such as 'current stake (m),potential stake (m),R (ohm),angle (deg)', and a row for "
        "each reading");
  } else {
    const auto table = detail::read_table(cut, heading, draft.sheet.other_method.has_value(), diagnostics);
    draft.sheet.stakes.readings = table;
    if (draft.sheet.other_method && !table.empty()) {
      draft.sheet.other.reading_ohm = table.front().resistance_ohm;
      if (table.size() > 1)
        diagnostics.error({table[1].sheet_line, 1}, "second-reading",
                          "a two-point, loop or clamp sheet holds one reading", "one sheet for each");
    }
  }
  if (diagnostics.has_errors()) return std::nullopt;
  return std::move(draft.sheet);
}

std::vector<SheetKey> test_sheet_keys() {
  static const std::vector<Key> keys = all_keys();
  std::vector<SheetKey> shown;
  for (const Key& key : keys)
    shown.push_back({key.key, key.holds});
  return shown;
}

std::string month_name(int month) {
  static constexpr std::array<const char*, 12> names{"January",   "February", "March",    "April",
                                                     "May",       "June",     "July",     "August",
                                                     "September", "October",  "November", "December"};
  require_within("month", month, "1", {1, 12});
  return names[static_cast<std::size_t>(month - 1)];
}

std::optional<Day> day_of(std::string_view date) {
  if (date.size() != 10 || date[4] != '-' || date[7] != '-') return std::nullopt;
  int parts[3] = {0, 0, 0};
  int part = 0;
  for (const char c : date) {
    if (c == '-') {
      ++part;
      continue;
    }
    if (c < '0' || c > '9' || part > 2) return std::nullopt;
    parts[part] = 10 * parts[part] + (c - '0');
  }
  const std::chrono::year_month_day day{std::chrono::year{parts[0]},
                                        std::chrono::month{static_cast<unsigned>(parts[1])},
                                        std::chrono::day{static_cast<unsigned>(parts[2])}};
  if (!day.ok() || parts[0] < 1900) return std::nullopt;
  return Day{parts[0], parts[1], parts[2]};
}

}  // namespace ohmroot::acceptance

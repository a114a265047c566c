// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/findings.hpp>
#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::acceptance::detail {
namespace {

// Beyond these a tester need not keep its stated error: BS EN 61557-5 (from memory): stakes up to 100 times the
// resistance, at most 50 kohm; series interference 3 V.
constexpr double stake_to_reading_ratio = 100.0;
constexpr double greatest_stake_ohm = 50e3;
constexpr double greatest_stray_v = 3.0;
// Good tests leave these one time in two hundred; half the prediction is then seen unless the soil is hardly known.
constexpr double clear_deviations = 2.8;
constexpr double low_ratio = 0.75;
constexpr double high_ratio = 1.33;
constexpr double wide_deviation_ratio = 0.30;  // half the prediction lies within 2.3 of these
constexpr double repeat_deviations = 4.5;
constexpr std::size_t least_reading_count = 3;

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

double middle_reading_ohm(const StakeTest& test) {
  std::vector<double> values;
  for (const StakeReading& reading : test.readings)
    values.push_back(reading.resistance_ohm);
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// Over what the tester can do by its own data a reading is void; over what the standard asks of every tester it is
/// in doubt.
void add_stakes(const StakeTest& test, std::vector<Finding>& findings) {
  const bool is_stated = test.greatest_stake_ohm.has_value();
  const double allowed_ohm =
      is_stated ? *test.greatest_stake_ohm
                : std::min(stake_to_reading_ratio * middle_reading_ohm(test), greatest_stake_ohm);
  const auto check = [&](const std::optional<double>& stake_ohm, const char* name) {
    if (!stake_ohm || *stake_ohm <= allowed_ohm) return;
    findings.push_back(
        {FindingKind::stakes,
         fmt::format("The {} stake has {}, more than {} ({}): wet the soil around it, drive it deeper "
                     "or add a second stake, and repeat{}.",
                     name, format_given(*stake_ohm, Dimension::resistance),
                     is_stated ? "the tester copes with" : "every tester has to cope with", ohms(allowed_ohm),
                     is_stated ? "" : "; or state what this tester copes with"),
         is_stated ? FindingWeight::bar : FindingWeight::doubt});
  };
  check(test.current_stake_ohm, "current");
  check(test.potential_stake_ohm, "potential");
}

void add_repeats(const StakeTest& test, std::vector<Finding>& findings) {
  for (std::size_t i = 0; i < test.readings.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      const StakeReading& a = test.readings[k];
      const StakeReading& b = test.readings[i];
      if (a.current_distance_m != b.current_distance_m || a.potential_distance_m != b.potential_distance_m ||
          a.between_deg != b.between_deg)
        continue;
      const double apart = std::abs(std::log(a.resistance_ohm / b.resistance_ohm));
      if (apart <= repeat_deviations * std::sqrt(2.0) * test.reading_error_ratio) continue;
      findings.push_back(
          {FindingKind::scatter,
           fmt::format("With the potential stake at {} the tester read {} and {} in the same "
                       "place: noise, or a loose clip. Change the test frequency, clean the clips "
                       "and repeat.",
                       format_given(a.potential_distance_m, Dimension::length), ohms(a.resistance_ohm),
                       ohms(b.resistance_ohm)),
           FindingWeight::bar});
    }
  }
}

/// A factor of ten, a hundred or a thousand that would bring the reading into what was predicted.
std::string slip_words(double resistance_ohm, const Estimate& predicted_ohm) {
  for (const double factor : {10.0, 100.0, 1000.0}) {
    const double mended_ohm = resistance_ohm / factor;
    if (mended_ohm < predicted_ohm.least || mended_ohm > predicted_ohm.greatest) continue;
    return fmt::format(" It would fit as {}: check the unit and the decimal mark on the sheet first.",
                       ohms(mended_ohm));
  }
  return {};
}

}  // namespace

std::vector<Finding> safe_findings(const SafeWorking& answers) {
  std::vector<Finding> findings;
  for (std::string& sentence : unsafe_answers(answers))
    findings.push_back({FindingKind::safe_working, std::move(sentence), FindingWeight::bar});
  return findings;
}

std::vector<Finding> plain_findings(const StakeTest& test, const Criterion& criterion) {
  std::vector<Finding> findings;
  add_stakes(test, findings);
  if (test.stray_v && *test.stray_v > greatest_stray_v) {
    findings.push_back(
        {FindingKind::noise,
         fmt::format("Stray voltage between the stakes is {}, above the {} to which a tester is sure "
                     "to keep its error: current flows in the ground. Find out why before anything "
                     "else (abnormal current: open nothing, call the distributor); turn the line of "
                     "the stakes or change the frequency, and repeat.",
                     format_given(*test.stray_v, Dimension::voltage),
                     format_given(greatest_stray_v, Dimension::voltage)),
         FindingWeight::bar});
  }
  add_repeats(test, findings);
  if (test.readings.size() < least_reading_count) {
    findings.push_back(
        {FindingKind::few_readings,
         fmt::format("Only {} reading{}: a curve needs at least three places of the potential "
                     "stake, better five. Read at 20, 40, 50, 60 and 70 % of the current stake's "
                     "distance.",
                     test.readings.size(), test.readings.size() == 1 ? "" : "s"),
         FindingWeight::bar});
  }
  if (!criterion.season) {
    findings.push_back(
        {FindingKind::season,
         "No season factor is known from the month of the test to the worst season: the reading of "
         "the day cannot be accepted for the year.",
         FindingWeight::remark});
  }
  return findings;
}

std::vector<Finding> level_findings(const MeasuredLevel& measured, const Prediction& prediction) {
  std::vector<Finding> findings;
  const double ln_off = std::log(measured.resistance_ohm / prediction.resistance_ohm.value);
  const double deviations = ln_off / std::hypot(prediction.deviation_ratio, measured.deviation_ratio);
  const std::string against =
      fmt::format("reads {} where {} was predicted ({} to {})", ohms(measured.resistance_ohm),
                  ohms(prediction.resistance_ohm.value), ohms(prediction.resistance_ohm.least),
                  ohms(prediction.resistance_ohm.greatest));
  if (deviations < -clear_deviations && std::exp(ln_off) < low_ratio) {
    findings.push_back(
        {FindingKind::still_connected,
         fmt::format("Still connected: the electrode {}. So low a reading is that of the network "
                     "through the PME terminal, or of metal joined to the electrode, not the "
                     "electrode's. With the installation isolated, and never by opening the "
                     "supply's earth of a live installation, prove that the electrode's conductor "
                     "is off the main earthing terminal and touches no other metal, and repeat.",
                     against),
         FindingWeight::bar});
  } else if (deviations > clear_deviations && std::exp(ln_off) > high_ratio) {
    findings.push_back(
        {FindingKind::higher,
         fmt::format("Higher than predicted: the electrode {}.{} Look for a loose clamp or coupler, "
                     "a rod not driven to its length, dry backfill; or the soil is not as believed "
                     "here.",
                     against, slip_words(measured.resistance_ohm, prediction.resistance_ohm)),
         FindingWeight::doubt});
  }
  return findings;
}

std::string separation_words(const Prediction& prediction, Answer separated) {
  if (separated != Answer::yes) return "nothing: that it is separated is not answered with yes";
  if (prediction.deviation_ratio <= wide_deviation_ratio)
    return "the answer that it is separated, and the reading beside the prediction";
  return "the answer that it is separated, alone: the soil is known too loosely for the reading to show it; "
         "soil readings would mend that";
}

std::string next_distance(double needed_m) {
  return format_given(5.0 * std::ceil(needed_m / 5.0), Dimension::length);
}

std::vector<Finding> overlap_findings(const TestResult& result) {
  if (result.curves.empty()) return {};
  const bool has_flat = std::any_of(result.curves.begin(), result.curves.end(),
                                    [](const CurveJudgement& judged) { return judged.flat.has_value(); });
  const double farthest_m = result.curves.back().curve.current_distance_m;
  if (has_flat || (result.needed_distance_m && *result.needed_distance_m <= farthest_m)) return {};
  const std::string advice =
      result.needed_distance_m
          ? fmt::format("Move the current stake to {} and repeat.", next_distance(*result.needed_distance_m))
          : std::string(
                "No distance within 500 m cures it in this soil: turn the line of the stakes and use the "
                "correct place by the field solution.");
  return {{FindingKind::overlap,
           fmt::format(
               "The resistance areas of electrode and current stake overlap: with the current stake at {} "
               "the curve has no flat part. {}",
               format_given(farthest_m, Dimension::length), advice),
           FindingWeight::bar}};
}

}  // namespace ohmroot::acceptance::detail

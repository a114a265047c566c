// SPDX-License-Identifier: MIT
#include <ohmroot/acceptance/detail/findings.hpp>
#include <ohmroot/acceptance/detail/prediction.hpp>
#include <ohmroot/acceptance/other_method.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ohmroot::acceptance {
namespace {

constexpr double central_90_deviations = 1.6448536269514722;  // 95 % point of the normal distribution

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

void require_valid(const OtherReading& reading) {
  require_positive("reading_ohm", reading.reading_ohm, "ohm");
  require_not_negative("lead_ohm", reading.lead_ohm, "ohm");
  require_within("relative_error_ratio", reading.relative_error_ratio, "1", {1e-4, 0.5});
  if (!reading.return_path_ohm) return;
  const Estimate& path = *reading.return_path_ohm;
  require_not_negative("return_path_ohm.least", path.least, "ohm");
  require_within("return_path_ohm.value", path.value, "ohm", {path.least, path.greatest});
  require_finite("return_path_ohm.greatest", path.greatest, "ohm");
}

std::string measures(OtherMethod method) {
  switch (method) {
  case OtherMethod::two_point:
    return "the electrode and the other earth in series, test leads included";
  case OtherMethod::loop:
    return "line, source and its earth, and the electrode in series";
  case OtherMethod::clamp:
    return "the electrode in series with the network that closes the loop through the PME terminal";
  }
  throw InternalError("a method without a circuit");
}

/// Why the reading is that of another circuit; empty if it is not.
std::string refusal(const OtherReading& reading) {
  switch (reading.method) {
  case OtherMethod::two_point:
    if (reading.is_pme_connected != Answer::no)
      return "Two-point reading refused: unless the electrode is proved to be off the PME terminal the "
             "reading "
             "is of metal and network in parallel with it, not of the electrode.";
    if (reading.is_other_earth_apart != Answer::yes)
      return "Two-point reading refused: unless the other earth is ten electrode lengths away or more the "
             "two "
             "resistance areas overlap and the reading can be far below the electrode's resistance.";
    return {};
  case OtherMethod::loop:
    if (reading.is_pme_connected != Answer::no)
      return "Loop reading refused: with the PME terminal connected the loop closes through the PEN, and the "
             "reading says nothing of the electrode.";
    return {};
  case OtherMethod::clamp:
    if (reading.is_pme_connected != Answer::yes)
      return "Clamp reading refused: a clamp needs a closed loop. With the electrode off the PME terminal "
             "there "
             "is none, and what is shown is stray coupling.";
    if (reading.has_metal_loop != Answer::no)
      return "Clamp reading refused: unless a second metal way between electrode and terminal is ruled out, "
             "the "
             "clamp may read that loop of metal (a few tenths of an ohm), not the soil.";
    return {};
  }
  throw InternalError("a method without a rule");
}

/// A clamp needs the electrode connected; if it reads far too little, it is not the soil that it reads.
Finding metal_loop_finding(double level_ohm, const Estimate& prediction_ohm) {
  return {FindingKind::metal_near,
          fmt::format(
              "The clamp reads {} where {} was predicted ({} to {}): so low a reading is that of a loop of "
              "metal between electrode and terminal, not of the soil. Clamp the conductor between the "
              "electrode and the first joint, or test with stakes.",
              ohms(level_ohm), ohms(prediction_ohm.value), ohms(prediction_ohm.least),
              ohms(prediction_ohm.greatest)),
          FindingWeight::bar};
}

}  // namespace

std::string method_name(OtherMethod method) {
  switch (method) {
  case OtherMethod::two_point:
    return "two-point";
  case OtherMethod::loop:
    return "loop";
  case OtherMethod::clamp:
    return "clamp";
  }
  throw InternalError("a method without a name");
}

OtherResult judge_other(const OtherReading& reading) {
  require_valid(reading);
  OtherResult result;
  result.measures = measures(reading.method);
  result.refusal = refusal(reading);
  if (!result.refusal.empty()) return result;

  const double sum_ohm = reading.reading_ohm - reading.lead_ohm;
  const double half_width_ohm = central_90_deviations * reading.relative_error_ratio * reading.reading_ohm;
  if (!reading.return_path_ohm) {
    if (sum_ohm + half_width_ohm <= 0.0) {
      result.refusal = "The stated test leads are more than the reading: one of them is wrong.";
      return result;
    }
    result.is_upper_bound = true;
    result.correction =
        fmt::format("The rest of the circuit is not known, so the reading less the leads is an "
                    "upper bound only: the electrode has at most {}.",
                    ohms(sum_ohm + half_width_ohm));
    result.resistance_ohm = Estimate{0.0, 0.0, sum_ohm + half_width_ohm, result.correction};
    return result;
  }
  const Estimate& path = *reading.return_path_ohm;
  // the ends add in quadrature: reading and path err independently
  const double below_ohm = std::hypot(half_width_ohm, path.greatest - path.value);
  const double above_ohm = std::hypot(half_width_ohm, path.value - path.least);
  const double value_ohm = sum_ohm - path.value;
  if (value_ohm - below_ohm <= 0.0) {
    result.refusal =
        fmt::format("Reading {} less leads and the rest of the circuit ({}) leaves nothing that can "
                    "be told from zero: the rest is too large, or not as stated, for this method.",
                    ohms(reading.reading_ohm), ohms(path.value));
    return result;
  }
  result.correction =
      fmt::format("{} taken off the reading for leads and the rest of the circuit ({}; {} to {})",
                  ohms(reading.lead_ohm + path.value), path.basis, ohms(path.least), ohms(path.greatest));
  result.resistance_ohm =
      Estimate{value_ohm, value_ohm - below_ohm, value_ohm + above_ohm, result.correction};
  return result;
}

OtherTestResult judge_other_test(const TestedElectrode& electrode, const OtherReading& reading,
                                 const SafeWorking& safe_working, const Criterion& criterion) {
  OtherTestResult result;
  result.reading = judge_other(reading);
  result.acceptance = acceptance_value(criterion);
  const detail::Prediction prediction =
      detail::prediction_of(detail::models_of(electrode, std::nullopt, 0.0), electrode.beyond_soil_ratio);
  result.prediction_ohm = prediction.resistance_ohm;
  SafeWorking asked = safe_working;
  if (reading.method == OtherMethod::clamp)
    asked.electrode_separated = Answer::yes;
  else
    result.separation = detail::separation_words(prediction, asked.electrode_separated);
  result.findings = detail::safe_findings(asked);
  if (!result.reading.resistance_ohm) {
    result.why = "Cannot tell. " + result.reading.refusal;
    return result;
  }
  const Estimate& found = *result.reading.resistance_ohm;
  // a bound far below the prediction is the network all the same
  const double level_ohm = result.reading.is_upper_bound ? found.greatest : found.value;
  const double deviation_ratio =
      result.reading.is_upper_bound
          ? reading.relative_error_ratio
          : (found.greatest - found.least) / (2.0 * central_90_deviations * found.value);
  for (Finding& finding : detail::level_findings({level_ohm, deviation_ratio}, prediction)) {
    const bool is_low = finding.kind == FindingKind::still_connected;
    if (result.reading.is_upper_bound && !is_low) continue;
    if (is_low && reading.method == OtherMethod::clamp)
      finding = metal_loop_finding(level_ohm, prediction.resistance_ohm);
    if (is_low) result.separation.clear();  // the finding says what it is instead
    result.findings.push_back(std::move(finding));
  }
  for (const Finding& finding : result.findings) {
    if (finding.weight != FindingWeight::bar) continue;
    result.why = "Cannot tell. " + finding.sentence;
    return result;
  }
  if (!result.reading.is_upper_bound) result.worst_season_ohm = worst_season(criterion, found);
  const Decision decision =
      decide(found, result.reading.is_upper_bound ? Known::upper_bound : Known::interval, result.acceptance);
  result.verdict = decision.verdict;
  result.why = decision.why;
  return result;
}

}  // namespace ohmroot::acceptance

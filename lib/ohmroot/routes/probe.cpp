// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/probe.hpp>

#include <fmt/format.h>

#include <string>
#include <vector>

namespace ohmroot::routes {
namespace {

constexpr double practice_m = 2.0;
constexpr double at_the_limit_ratio = 1.01;

std::string volts(double value_v) {
  return format_quantity(value_v, Dimension::voltage);
}

void require_valid(const ProbeFacts& facts) {
  require_positive("facts.limit_v", facts.limit_v, "V");
  if (facts.probe_ohm) {
    require_positive("facts.probe_ohm.least", facts.probe_ohm->least, "ohm");
    require_positive("facts.probe_ohm.greatest", facts.probe_ohm->greatest, "ohm");
  }
  if (facts.input_impedance_ohm)
    require_positive("facts.input_impedance_ohm", *facts.input_impedance_ohm, "ohm");
  if (facts.acts_at_v) require_positive("facts.acts_at_v", *facts.acts_at_v, "V");
  if (facts.metal_share_ratio) {
    require_within("facts.metal_share_ratio.least", facts.metal_share_ratio->least, "", {0.0, 1.0});
    require_within("facts.metal_share_ratio.greatest", facts.metal_share_ratio->greatest, "", {0.0, 1.0});
  }
}

std::string missing_words(const ProbeFacts& facts) {
  std::vector<std::string> missing;
  if (!facts.probe_ohm) missing.emplace_back("the soil at the probe");
  if (!facts.metal_share_ratio) missing.emplace_back("metal on the PME earth near the probe");
  if (!facts.input_impedance_ohm) missing.emplace_back("the device's input impedance");
  if (!facts.acts_at_v) missing.emplace_back("the voltage at which the device acts");
  return fmt::format("{}", fmt::join(missing, ", "));
}

}  // namespace

ProbeReading probe_reading(const ProbeFacts& facts) {
  require_valid(facts);
  ProbeReading reading;
  std::string& finding = reading.judgement.finding;
  finding =
      fmt::format("it acts whatever the load and the electrode are, if it reads the MET truly (limit {})",
                  format_given(facts.limit_v, Dimension::voltage));
  if (facts.probe_ohm)
    finding += fmt::format("; the probe has {} to {} in this soil",
                           format_quantity(facts.probe_ohm->least, Dimension::resistance),
                           format_quantity(facts.probe_ohm->greatest, Dimension::resistance));
  if (facts.nearest_metal_m)
    finding += fmt::format(
        "; it stands {} from the nearest metal on the PME earth (2 m is common practice, no source)",
        format_quantity(*facts.nearest_metal_m, Dimension::length));
  reading.judgement.next_step = "have the maker confirm input impedance and the voltage at which the device "
                                "acts, and keep the probe clear of metal "
                                "on the PME earth";
  if (facts.nearest_metal_m && *facts.nearest_metal_m < practice_m)
    reading.judgement.next_step += ": it is nearer than practice asks for";
  if (!facts.probe_ohm || !facts.input_impedance_ohm || !facts.acts_at_v || !facts.metal_share_ratio) {
    finding += "; not known: " + missing_words(facts);
    return reading;
  }
  const auto shown = [&](double share, double probe_ohm) {
    return (1.0 - share) * *facts.input_impedance_ohm / (*facts.input_impedance_ohm + probe_ohm);
  };
  const Estimate& share = *facts.metal_share_ratio;
  const Estimate& probe = *facts.probe_ohm;
  const std::string basis =
      "divider of probe and input impedance, share of the metal's potential at the probe";
  reading.shown_ratio = Estimate{shown(share.value, probe.value), shown(share.greatest, probe.greatest),
                                 shown(share.least, probe.least), basis};
  if (!(reading.shown_ratio->least > 0.0)) {
    finding += "; in the resistance area of that metal the device may show nothing at all";
    reading.judgement.support = Support::does_not_tell;
    return reading;
  }
  const double acts_at_v = *facts.acts_at_v;
  reading.met_when_acts_v =
      Estimate{acts_at_v / reading.shown_ratio->value, acts_at_v / reading.shown_ratio->greatest,
               acts_at_v / reading.shown_ratio->least, basis};
  const Estimate& met_v = *reading.met_when_acts_v;
  finding +=
      fmt::format("; standing in {} to {} % of the metal's potential it shows {} to {} % of the MET voltage: "
                  "set to act at {} it acts "
                  "with the MET at {} to {}",
                  format_number(100 * share.least, 2), format_number(100 * share.greatest, 2),
                  format_number(100 * reading.shown_ratio->least, 3),
                  format_number(100 * reading.shown_ratio->greatest, 3),
                  format_given(acts_at_v, Dimension::voltage), volts(met_v.least), volts(met_v.greatest));
  reading.judgement.support = met_v.greatest <= at_the_limit_ratio * facts.limit_v ? Support::supports
                              : met_v.least > at_the_limit_ratio * facts.limit_v   ? Support::contradicts
                                                                                   : Support::does_not_tell;
  if (reading.judgement.support == Support::contradicts)
    reading.judgement.next_step =
        "move the probe out of the resistance area of that metal, or set the device lower";
  return reading;
}

}  // namespace ohmroot::routes

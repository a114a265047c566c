// SPDX-License-Identifier: MIT
#include <ohmroot/report/detail/json_parts.hpp>
#include <ohmroot/report/detail/separation_parts.hpp>
#include <ohmroot/report/detail/words.hpp>
#include <ohmroot/report/signs.hpp>

#include <fmt/format.h>

namespace ohmroot::report::detail {
namespace {

using study::SeparationCurve;
using study::SeparationResult;
using text::Value;

std::string volts(double value_v) {
  return format_quantity(value_v, Dimension::voltage, 3);
}

std::string percents(const Estimate& share) {
  return percent(share.least) + " to " + percent(share.greatest);
}

/// What, its share, the interval of that, and volts.
void write_shares(Html& html, const SeparationResult& separation) {
  const routes::Transfer& transfer = *separation.transfer;
  Rows rows;
  const auto share_row = [&](const char* what, const Estimate& share) {
    rows.push_back({what, percent(share.value), percents(share), volts(share.value * separation.metal_v)});
  };
  const auto touch_row = [&](const char* what, const Estimate& touch_v) {
    rows.push_back({what, percent(touch_v.value / separation.metal_v),
                    percent(touch_v.least / separation.metal_v) + " to " +
                        percent(touch_v.greatest / separation.metal_v),
                    volts(touch_v.value)});
  };
  if (separation.electrode_share_ratio)
    share_row("TT electrode to remote earth", *separation.electrode_share_ratio);
  if (separation.feet_share_ratio)
    share_row("Ground at the feet, worst place, to remote earth", *separation.feet_share_ratio);
  if (transfer.touch_on_tt_v)
    touch_row("Vehicle on the TT electrode to the ground at the feet, worst place, middle soil",
              *transfer.touch_on_tt_v);
  if (transfer.touch_on_pme_v)
    touch_row("For comparison: vehicle on the PME earth to the ground at the feet, middle soil",
              *transfer.touch_on_pme_v);
  if (rows.empty()) return;
  write_table(html, "What the metal transfers; nothing is taken off for shoes and feet",
              {{"Between"},
               {"Of the metal's", CellKind::number},
               {"Interval"},
               {"With the PEN broken", CellKind::number}},
              rows);
}

void write_curve(Html& html, const SeparationResult& separation, FigureShelf& figures) {
  if (!separation.curve) return;
  const SeparationCurve& curve = *separation.curve;
  Rows rows;
  for (std::size_t i = 0; i < curve.practice_m.size(); ++i)
    rows.push_back({as_given(curve.practice_m[i], Dimension::length), percent(curve.practice_share_ratio[i]),
                    volts(curve.practice_share_ratio[i] * separation.metal_v)});
  write_table(html, "At the distances met in practice: sources disagree, common practice, no clause",
              {{"Distance", CellKind::number},
               {"Surface, of the metal's", CellKind::number},
               {"With the PEN broken", CellKind::number}},
              rows);
  html.element("p", curve.at_level
                        ? sentence(fmt::format("Limit of TT over the metal's voltage: {}; {}",
                                               percent(curve.level_ratio), curve.at_level->sentence))
                        : "The metal itself stays below the limit of TT.");
  html.element("p", sentence(std::string(routes::ask_the_distributor())));
  figures.write(html, "separation");
}

void write_reach(Html& html, const SeparationResult& separation) {
  if (separation.reach.empty()) return;
  Rows rows;
  for (const routes::ReachFinding& finding : separation.reach)
    rows.push_back({finding.name, format_number(finding.distance_m, 3) + " m",
                    finding.is_within ? "WITHIN REACH" : "out of reach", sentence(finding.sentence)});
  write_table(html,
              "Metal above ground, from wherever the vehicle can stand; what is not listed is not judged",
              {{"Metal"}, {"Distance", CellKind::number}, {"Arm's reach"}, {"Finding"}}, rows);
}

Value estimate(const Estimate& from, const char* suffix) {
  const std::string unit = std::string("_") + suffix;
  Value document;
  document.set("value" + unit, from.value);
  document.set("least" + unit, from.least);
  document.set("greatest" + unit, from.greatest);
  document.set("basis", from.basis);
  return document;
}

Value place_share(const routes::PlaceShare& from) {
  Value document = estimate(from.share_ratio, "ratio");
  document.set("place_m", numbers({from.place.x_m, from.place.y_m}));
  return document;
}

Value transfer_document(const routes::Transfer& transfer) {
  Value document;
  document.set("finding", transfer.finding);
  document.set("converged", transfer.status == electrode::FieldStatus::converged);
  if (!transfer.remark.empty()) document.set("remark", transfer.remark);
  if (transfer.nearest_m) document.set("nearest_m", *transfer.nearest_m);
  if (transfer.most_at_feet) document.set("most_at_feet", place_share(*transfer.most_at_feet));
  if (transfer.least_at_feet) document.set("least_at_feet", place_share(*transfer.least_at_feet));
  if (transfer.touch_on_tt_v) document.set("touch_on_tt", estimate(*transfer.touch_on_tt_v, "v"));
  if (transfer.touch_on_pme_v) document.set("touch_on_pme", estimate(*transfer.touch_on_pme_v, "v"));
  return document;
}

Value curve_document(const SeparationCurve& curve) {
  Value document;
  document.set("distance_m", numbers(curve.distance_m));
  document.set("share_ratio", numbers(curve.share_ratio));
  document.set("uniform_share_ratio", numbers(curve.uniform_share_ratio));
  document.set("rod_table_share_ratio", numbers(curve.rod_table_share_ratio));
  document.set("practice_m", numbers(curve.practice_m));
  document.set("practice_share_ratio", numbers(curve.practice_share_ratio));
  document.set("practice_standing", routes::practice_separations().front().standing);
  document.set("level_ratio", curve.level_ratio);
  if (!curve.at_level) return document;
  const Key distance{"level_distance", "m"};
  if (curve.at_level->status == routes::DistanceStatus::found)
    set_number(document, distance, curve.at_level->distance_m, "");
  else
    set_missing(document, distance, curve.at_level->sentence);
  return document;
}

}  // namespace

void write_separation(Html& html, const study::StudyResult& result, FigureShelf& figures) {
  if (!result.separation) return;
  const SeparationResult& separation = *result.separation;
  const Section section(html, "separation", "Separation from metal on the PME earth");
  if (separation.transfer) {
    html.element("p",
                 sentence(fmt::format("{} ({})", separation.transfer->finding, separation.metal_v_basis)));
    if (!separation.transfer->remark.empty()) html.element("p", sentence(separation.transfer->remark));
    write_shares(html, separation);
    if (separation.electrode_share_ratio)
      html.element("p", sentence("Basis: " + separation.electrode_share_ratio->basis));
    else if (separation.feet_share_ratio)
      html.element("p", sentence("Basis: " + separation.feet_share_ratio->basis));
  }
  if (!separation.refusal.empty()) html.element("p", sentence("Not computed: " + separation.refusal));
  write_curve(html, separation, figures);
  write_reach(html, separation);
}

Value separation_document(const SeparationResult& separation) {
  Value document = object();
  if (separation.metal_v > 0.0) {
    document.set("metal_v", separation.metal_v);
    document.set("metal_v_basis", separation.metal_v_basis);
  }
  if (separation.transfer) document.set("transfer", transfer_document(*separation.transfer));
  if (separation.electrode_share_ratio)
    document.set("electrode_share", estimate(*separation.electrode_share_ratio, "ratio"));
  if (separation.feet_share_ratio)
    document.set("feet_share", estimate(*separation.feet_share_ratio, "ratio"));
  if (separation.curve) document.set("curve", curve_document(*separation.curve));
  if (!separation.refusal.empty()) document.set("refusal", separation.refusal);
  document.set("arms_reach", documents(separation.reach, [](const routes::ReachFinding& finding) {
                 Value row;
                 row.set("name", finding.name);
                 row.set("distance_m", finding.distance_m);
                 row.set("within", finding.is_within);
                 row.set("finding", finding.sentence);
                 return row;
               }));
  return document;
}

}  // namespace ohmroot::report::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <plots/detail/limits.hpp>

namespace ohmroot::plots::detail {

std::vector<Limit> limits_of(const study::StudyResult& result) {
  std::vector<Limit> limits;
  const auto add = [&](const char* name, const supply::Requirement* requirement) {
    if (requirement && requirement->outcome == supply::RequirementOutcome::limited)
      limits.push_back({name, requirement->resistance_ohm});
  };
  add("strictest", result.requirement_span.strictest);
  if (result.requirement_span.most_lenient != result.requirement_span.strictest)
    add("most lenient", result.requirement_span.most_lenient);
  return limits;
}

void limit_data(Script& script, const std::vector<Limit>& limits, const Axis& upright) {
  for (std::size_t i = 0; i < limits.size(); ++i)
    script.data("limit" + std::to_string(i),
                {{limits[i].resistance_ohm, upright.least}, {limits[i].resistance_ohm, upright.greatest}});
}

void plot_limits(Script& script, const std::vector<Limit>& limits) {
  constexpr LineStyle styles[] = {{"(4,4)", 2.2, colour::limit}, {"(14,5)", 2.0, colour::limit}};
  for (std::size_t i = 0; i < limits.size(); ++i)
    script.line(
        "  $limit{} using 1:2 with lines dt {} lw {} lc rgb '{}' title {} noenhanced, \\", i, styles[i].dash,
        styles[i].width_count, styles[i].colour,
        quoted(report::with_signs(limits[i].name + " limit, " +
                                  format_quantity(limits[i].resistance_ohm, Dimension::resistance, 3))));
}

}  // namespace ohmroot::plots::detail

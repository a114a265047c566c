// SPDX-License-Identifier: MIT
#include <ohmroot/report/signs.hpp>

#include <algorithm>
#include <cmath>
#include <plots/design_figures.hpp>
#include <plots/detail/contour.hpp>
#include <plots/detail/script.hpp>

namespace ohmroot::plots {
namespace {

using Rows = std::vector<std::vector<double>>;

const design::Design* shown(const study::DesignResult& result) {
  if (result.search.best) return &*result.search.best;
  return result.search.lowest ? &*result.search.lowest : nullptr;
}

std::string ohms(double value_ohm) {
  return format_quantity(value_ohm, Dimension::resistance);
}

void add_outline(Rows& rows, const design::Polygon& corners) {
  for (const design::PlanPoint& corner : corners)
    rows.push_back({corner.x_m, corner.y_m});
  rows.push_back({corners.front().x_m, corners.front().y_m});
  rows.push_back({std::nan("")});  // a gap between outlines
}

/// An upright line, named in the key by its words and value. To be added to a plot after its data.
struct Upright {
  std::string_view block;  // name of its data
  std::string words;
  double value_ohm;
  std::string_view dashes;
  const char* colour;
};

void add_data(detail::Script& script, const Upright& upright, double greatest) {
  script.data(upright.block, {{upright.value_ohm, 0}, {upright.value_ohm, greatest}});
}

std::string plot_of(const Upright& upright) {
  return fmt::format("${} using 1:2 with lines dt {} lw 2.2 lc rgb '{}' title {} noenhanced", upright.block,
                     upright.dashes, upright.colour,
                     detail::quoted(report::with_signs(upright.words + ", " + ohms(upright.value_ohm))));
}

Upright requirement_of(const study::DesignResult& result) {
  return {"required", "required", result.question.goal.required_ohm, "(4,4)", detail::colour::limit};
}

/// Nothing where no floor was asked for.
std::optional<Upright> floor_of(const study::DesignResult& result) {
  const design::FloorShare& floor = design::decisive_floor(result.proof);
  if (floor.draw_count == 0) return std::nullopt;
  return Upright{"floor", "floor", floor.least_1_percent_ohm, "(10,3,2,3)",
                 detail::colour::other};
}

}  // namespace

std::optional<FigureScript> plan_figure(const study::DesignResult& result) {
  const design::Design* design = shown(result);
  if (design == nullptr) return std::nullopt;
  const design::SitePlan& plan = result.question.plan;
  detail::Axis across{plan.land[0].x_m, plan.land[0].x_m}, along{plan.land[0].y_m, plan.land[0].y_m};
  for (const design::PlanPoint& corner : plan.land) {
    across = {std::min(across.least, corner.x_m), std::max(across.greatest, corner.x_m)};
    along = {std::min(along.least, corner.y_m), std::max(along.greatest, corner.y_m)};
  }
  const double margin_m = 0.06 * std::max(across.greatest - across.least, along.greatest - along.least);
  across = {across.least - margin_m, across.greatest + margin_m};
  along = {along.least - margin_m, along.greatest + margin_m};
  // To scale: a metre is as long across as along.
  const double shape = (along.greatest - along.least) / (across.greatest - across.least);
  const int width_px = std::min(620, static_cast<int>(480 / shape));
  constexpr int key_px = 105;
  const detail::Box box{90, 90 + width_px, key_px, key_px + static_cast<int>(std::lround(width_px * shape))};
  FigureScript figure;
  figure.id = "plan";
  figure.height_px = box.bottom_px + 64;
  detail::Script script;
  script.begin();
  script.place({figure.width_px, figure.height_px}, box);
  script.axis('x', across, "x [m]");
  script.axis('y', along, "y [m]");
  Rows land, keep_outs{{std::nan("")}}, ways{{std::nan("")}}, rods{{std::nan("")}}, met{{std::nan("")}},
      plates{{std::nan("")}}, steel{{std::nan("")}}, lead{{std::nan("")}};
  add_outline(land, plan.land);
  for (const design::KeepOut& keep_out : plan.keep_outs)
    add_outline(keep_outs, keep_out.corners);
  for (const design::PlanLine& way : design->arrangement.ways) {
    ways.push_back({way.from.x_m, way.from.y_m});
    ways.push_back({way.to.x_m, way.to.y_m});
    ways.push_back({std::nan("")});
  }
  const bool has_rods = design::has_rods(design->arrangement);
  for (const design::PlanPoint& place : design->arrangement.places)
    (has_rods ? rods : plates).push_back({place.x_m, place.y_m});
  if (design->arrangement.joins_steel) {
    const design::ExistingSteel& existing = result.question.parts.steel.value();
    const electrode::MeshSide& x = existing.mesh.along_x;
    const electrode::MeshSide& y = existing.mesh.along_y;
    const double right_m = existing.corner.x_m + x.length_m;
    const double back_m = existing.corner.y_m + y.length_m;
    for (int i = 0; i <= x.mesh_count; ++i) {
      const double at_m = existing.corner.x_m + x.length_m * i / x.mesh_count;
      steel.insert(steel.end(), {{at_m, existing.corner.y_m}, {at_m, back_m}, {std::nan("")}});
    }
    for (int i = 0; i <= y.mesh_count; ++i) {
      const double at_m = existing.corner.y_m + y.length_m * i / y.mesh_count;
      steel.insert(steel.end(), {{existing.corner.x_m, at_m}, {right_m, at_m}, {std::nan("")}});
    }
  }
  if (plan.met) met.push_back({plan.met->x_m, plan.met->y_m});
  if (const auto& way = design->arrangement.met_lead)
    lead = {{way->from.x_m, way->from.y_m}, {way->to.x_m, way->to.y_m}};
  script.data("lead", lead);
  script.data("land", land);
  script.data("barred", keep_outs);
  script.data("ways", ways);
  script.data("rods", rods);
  script.data("met", met);
  script.data("plates", plates);
  script.data("steel", steel);
  if (result.surface) detail::contour_lines(script, *result.surface, detail::round_levels(*result.surface));
  script.line("plot $barred using 1:2 with filledcurves closed fc rgb '{}' title 'keep-out', \\",
              detail::colour::beyond);
  script.line("  $barred using 1:2 with lines lw 1.3 lc rgb '{}' notitle, \\", detail::colour::limit);
  script.line("  $land using 1:2 with lines lw 2 lc rgb '{}' title 'land', \\", detail::colour::ink);
  if (result.surface) script.line("  {}, \\", detail::contour_elements(detail::colour::other, 0.7));
  script.line("  $lead using 1:2 with lines dt (2,3) lw 2 lc rgb '{}' title 'to the MET', \\",
              detail::colour::ink);
  script.line("  $ways using 1:2 with lines dt {} lw 2.4 lc rgb '{}' title '{}', \\",
              design->arrangement.is_tape ? "solid" : "(6,4)", detail::colour::main,
              design->arrangement.is_tape ? "bare tape" : "insulated conductor");
  if (design->arrangement.joins_steel)
    script.line("  $steel using 1:2 with lines dt (9,3) lw 2 lc rgb '{}' title 'existing steel', \\",
                detail::colour::accent);
  if (has_rods || design->arrangement.places.empty())
    script.line("  $rods using 1:2 with points pt 7 ps 0.9 lc rgb '{}' title 'rod', \\",
                detail::colour::accent);
  else
    script.line("  $plates using 1:2 with points pt 5 ps 0.9 lc rgb '{}' title 'plate', \\",
                detail::colour::accent);
  script.line("  $met using 1:2 with points pt 9 ps 1.1 lc rgb '{}' title 'MET'", detail::colour::ink);
  figure.script = script.take();
  figure.caption = report::with_signs(fmt::format(
      "{}{}, {} in the worst season, on the land to scale.{}",
      result.search.best ? "The design: " : "No design; the lowest resistance found: ",
      design::describe(design->arrangement, result.question.parts), ohms(design->value_ohm),
      result.surface ? " Thin lines: potential of the surface in per cent of the electrode's, in the middle "
                       "state of the ground."
                     : ""));
  figure.alt_text =
      fmt::format("Plan of the land with {} keep-outs, {} {} and {} ways. {}", plan.keep_outs.size(),
                  design->arrangement.places.size(), has_rods ? "rods" : "plates",
                  design->arrangement.ways.size(), figure.caption);
  return figure;
}

std::optional<FigureScript> front_figure(const study::DesignResult& result) {
  const std::vector<design::Design>& front = result.search.front;
  if (front.size() < 2) return std::nullopt;
  const Upright requirement = requirement_of(result);
  const std::optional<Upright> floor = floor_of(result);
  std::vector<double> ohm{requirement.value_ohm};
  if (floor) ohm.push_back(floor->value_ohm);
  double greatest_cost = 0.0;
  Rows rows;
  for (const design::Design& design : front) {
    ohm.push_back(design.value_ohm);
    greatest_cost = std::max(greatest_cost, 1.1 * design.cost);
    rows.push_back({design.value_ohm, design.cost});
  }
  FigureScript figure;
  figure.id = "front";
  figure.height_px = 446;
  detail::Script script;
  script.begin();
  script.place({figure.width_px, figure.height_px}, {90, 700, 92, figure.height_px - 64});
  script.axis('x', detail::log_axis(ohm, {1.15, 1.15}), "resistance in the worst season [\u03a9]");
  script.axis('y', {0, greatest_cost}, fmt::format("cost [{}]", result.question.prices.currency));
  script.data("front", rows);
  if (result.search.best) script.data("chosen", {{result.search.best->value_ohm, result.search.best->cost}});
  add_data(script, requirement, greatest_cost);
  if (floor) add_data(script, *floor, greatest_cost);
  script.line(
      "plot $front using 1:2 with linespoints pt 7 ps 0.6 lw 1.8 lc rgb '{}' title 'cheapest tried', \\",
      detail::colour::main);
  if (result.search.best)
    script.line("  $chosen using 1:2 with points pt 6 ps 1.5 lw 2.4 lc rgb '{}' title 'the design', \\",
                detail::colour::accent);
  if (floor) script.line("  {}, \\", plot_of(*floor));
  script.line("  {}", plot_of(requirement));
  figure.script = script.take();
  figure.caption = report::with_signs(
      (result.search.best
           ? fmt::format("The requirement of {} costs {} {}.", ohms(requirement.value_ohm),
                         result.question.prices.currency, format_number(result.search.best->cost, 4))
           : fmt::format("No arrangement tried meets {}.", ohms(requirement.value_ohm))) +
      (floor ? fmt::format(
                   " In 99 % of the states of the ground no new electrode inside this land and depth has "
                   "less than {}, in the most favourable season.",
                   ohms(floor->value_ohm))
             : ""));
  figure.alt_text = fmt::format("Chart of cost against resistance, logarithmic, {} arrangements. {}",
                                front.size(), figure.caption);
  return figure;
}

std::optional<FigureScript> design_distribution_figure(const study::DesignResult& result) {
  if (!result.search.check) return std::nullopt;
  std::vector<double> ohm = result.search.check->worst_season_ohm;
  std::sort(ohm.begin(), ohm.end());
  std::vector<double> shown = ohm;
  shown.push_back(result.question.goal.required_ohm);
  const detail::Axis abscissa = detail::log_axis(shown, {1.15, 1.15});
  Rows rows{{abscissa.least, 0}, {ohm.front(), 0}};
  for (std::size_t i = 0; i < ohm.size(); ++i)
    rows.push_back({ohm[i], 100 * static_cast<double>(i + 1) / static_cast<double>(ohm.size())});
  rows.push_back({abscissa.greatest, 100});
  FigureScript figure;
  figure.id = "distribution";
  figure.height_px = 420;
  detail::Script script;
  script.begin();
  script.place({figure.width_px, figure.height_px}, {90, 700, 66, figure.height_px - 64});
  script.axis('x', abscissa, "resistance in the worst season [\u03a9]");
  script.axis('y', {0, 100}, "states of the ground with no more than that [%]");
  script.data("share", rows);
  const Upright requirement = requirement_of(result);
  add_data(script, requirement, 100);
  script.line("plot $share using 1:2 with lines lw 2.4 lc rgb '{}' title 'the design', \\",
              detail::colour::main);
  script.line("  {}", plot_of(requirement));
  figure.script = script.take();
  figure.caption = report::with_signs(fmt::format("In {} of {} states of the ground the design keeps {}.",
                                                  result.search.check->met_count, ohm.size(),
                                                  ohms(result.question.goal.required_ohm)));
  figure.alt_text =
      "Chart of the share of states of the ground against resistance, logarithmic. " + figure.caption;
  return figure;
}

}  // namespace ohmroot::plots

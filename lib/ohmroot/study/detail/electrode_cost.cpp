// SPDX-License-Identifier: MIT
#include <ohmroot/design/parts.hpp>
#include <ohmroot/study/detail/electrode_cost.hpp>
#include <ohmroot/study/detail/rods.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmroot::study::detail {
namespace {

/// Of the trench between rods that stand apart.
struct JoiningRun {
  double operator()(const electrode::RodLine& line) const { return (line.rod_count - 1) * line.spacing_m; }
  double operator()(const electrode::RodSquare& square) const {
    return (4 * (square.rods_per_side - 1) - 1) * square.spacing_m;
  }
  double operator()(const electrode::RodTriangle& triangle) const { return 2.0 * triangle.spacing_m; }
  double operator()(const electrode::Tape& tape) const { return tape.length_m; }
  double operator()(const electrode::RoundConductor& conductor) const { return conductor.length_m; }
  double operator()(const electrode::Ring& ring) const { return std::numbers::pi * ring.ring_diameter_m; }
  double operator()(const electrode::Mesh& mesh) const {
    return (mesh.along_y.mesh_count + 1) * mesh.along_x.length_m +
           (mesh.along_x.mesh_count + 1) * mesh.along_y.length_m;
  }
  double operator()(const electrode::Rod&) const { return 0.0; }
  double operator()(const electrode::RectangularPlate&) const { return 0.0; }
};

/// Rods by the prices of [design]: sections with their couplers.
std::optional<routes::RouteCost> design_cost(const DesignBrief& brief, const RodsOfShape& rods,
                                             const routes::ElectrodeBill& bill) {
  const int sections = static_cast<int>(std::ceil(rods.rod.length_m / brief.parts.rod_section_m - 1e-9));
  design::Quantities quantities;
  quantities.section_count = rods.rod_count * sections;
  quantities.coupler_count = rods.rod_count * (sections - 1);
  quantities.head_count = rods.rod_count;
  quantities.driven_m = bill.driven_m;
  quantities.trench_m = bill.trench_m;
  quantities.conductor_m = bill.conductor_m;
  return routes::RouteCost{{}, design::cost_of(quantities, brief.prices), {}, "by the prices of [design]"};
}

}  // namespace

routes::ElectrodeBill bill_of(const electrode::Shape& shape) {
  routes::ElectrodeBill bill;
  if (const auto rods = rods_of(shape)) {
    bill.rod_count = rods->rod_count;
    bill.driven_m = rods->rod_count * rods->rod.length_m;
  }
  bill.trench_m = bill.conductor_m = std::visit(JoiningRun{}, shape);
  if (std::holds_alternative<electrode::RectangularPlate>(shape)) bill.plate_count = 1;
  return bill;
}

std::optional<routes::RouteCost> electrode_cost_of(const StudyResult& result,
                                                   std::optional<std::size_t> candidate) {
  if (!candidate) return std::nullopt;
  const Site& site = result.site;
  const routes::PriceList& prices = *site.routes.prices;
  const std::string& name = result.candidates[*candidate].name;
  const auto proposed = std::find_if(site.candidates.begin(), site.candidates.end(),
                                     [&](const Candidate& c) { return c.name == name; });
  if (proposed == site.candidates.end()) {
    routes::ElectrodeBill measured;
    measured.is_there = true;
    return routes::cost_of(measured, prices);
  }
  const routes::ElectrodeBill bill = bill_of(proposed->shape);
  routes::RouteCost cost = routes::cost_of(bill, prices);
  const auto rods = rods_of(proposed->shape);
  const bool is_priced_by_design =
      !cost.total && rods && site.design && site.design->prices.currency == prices.currency;
  return is_priced_by_design ? design_cost(*site.design, *rods, bill) : cost;
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/fill.hpp>

#include <numbers>

namespace ohmroot::electrode::detail {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Of one conductor, from its bar and the lengths of its elements.
MatrixXd resistance_of_fill(const Piece& any, const std::vector<double>& lengths_m) {
  const auto count = static_cast<Index>(lengths_m.size());
  const VectorXd length_m = Eigen::Map<const VectorXd>(lengths_m.data(), count);
  const double through_ohm_m = fill_resistance_ohm_m(any.radius_m, any.core);
  const double section_m2 =
      std::numbers::pi * (any.radius_m * any.radius_m - any.core->radius_m * any.core->radius_m);
  const MatrixXd through = (through_ohm_m / length_m.array()).matrix().asDiagonal();
  if (count < 2 || through_ohm_m == 0.0) return through;
  // Currents along the fill between neighbours, whose losses are least at the currents into the soil that are given.
  MatrixXd enters = MatrixXd::Zero(count, count - 1);
  enters.diagonal().setOnes();
  enters.diagonal(-1).setConstant(-1.0);
  const VectorXd middles_m = 0.5 * (length_m.head(count - 1) + length_m.tail(count - 1));
  MatrixXd losses = enters.transpose() * through * enters;
  losses.diagonal() += any.core->fill_resistivity_ohm_m / section_m2 * middles_m;
  const MatrixXd driven = enters.transpose() * through;
  return through - driven.transpose() * losses.llt().solve(driven);
}

}  // namespace

std::vector<FillResistance> fill_resistances(const std::vector<Piece>& pieces) {
  std::vector<FillResistance> result;
  std::size_t element = 0;
  for (std::size_t p = 0; p < pieces.size();) {
    const Piece& first = pieces[p];
    const std::size_t first_element = element;
    std::vector<double> lengths_m;
    for (; p < pieces.size() && pieces[p].electrode == first.electrode &&
           pieces[p].conductor == first.conductor;
         ++p)
      for (std::size_t i = 0; i < pieces[p].element_count(); ++i, ++element)
        lengths_m.push_back(pieces[p].breaks_m[i + 1] - pieces[p].breaks_m[i]);
    if (first.core) result.push_back({first_element, resistance_of_fill(first, lengths_m)});
  }
  return result;
}

VectorXd fill_voltages_v(const std::vector<Piece>& pieces, const VectorXd& currents) {
  VectorXd result = VectorXd::Zero(currents.size());
  for (const FillResistance& fill : fill_resistances(pieces)) {
    const auto first = static_cast<Index>(fill.first_element);
    const Index count = fill.of_element_ohm.rows();
    result.segment(first, count) = fill.of_element_ohm * currents.segment(first, count);
  }
  return result;
}

}  // namespace ohmroot::electrode::detail

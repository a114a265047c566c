// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/point_potential.hpp>
#include <ohmroot/electrode/detail/assembly.hpp>
#include <ohmroot/electrode/detail/fill.hpp>
#include <ohmroot/electrode/detail/influence.hpp>
#include <ohmroot/electrode/detail/levels.hpp>
#include <ohmroot/electrode/detail/surface_lines.hpp>
#include <ohmroot/electrode/field_solution.hpp>

#include <Eigen/Dense>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <utility>

namespace ohmroot::electrode {

using detail::Piece;
using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

struct FieldSolution::Impl {
  earth::ImageKernel kernel;
  std::vector<Piece> pieces;
  std::vector<std::size_t> electrode_of;  // element by element
  MatrixXd resistance;                    // electrodes x electrodes
  MatrixXd unit_currents;                 // elements x electrodes: 1 A into one, the others floating
  double estimate_ratio = 0.0;
  std::optional<double> place_estimate_ratio;
  FieldStatus status = FieldStatus::converged;
  std::string remark;
};

namespace {

/// What the finer level still lacks of its difference to the coarser one: a division leaves a quarter to
/// half of the error, and up to this of the difference (reference/ACCURACY.md).
constexpr double left_of_difference = 0.75;
/// A round that leaves more than this of the estimate has stalled: one that works leaves a half or less.
constexpr double stalled_ratio = 0.9;
constexpr int greatest_stalled_count = 3;

std::vector<std::size_t> electrodes_of(const std::vector<Piece>& pieces) {
  std::vector<std::size_t> result;
  for (const Piece& piece : pieces)
    result.insert(result.end(), piece.element_count(), piece.electrode);
  return result;
}

/// What is asked of the solution and by how much it is missed.
struct Aim {
  double tolerance_ratio;
  double discretisation_ratio;
  const VectorXd& gain;
};

double greatest_depth_m(const std::vector<Electrode>& electrodes) {
  double depth_m = 0.0;
  for (const Electrode& electrode : electrodes)
    for (const Conductor& conductor : electrode.conductors)
      depth_m = std::max(
          {depth_m, conductor.from.depth_m + conductor.radius_m, conductor.to.depth_m + conductor.radius_m});
  return depth_m;
}

}  // namespace

FieldSolution solve_field(const earth::LayeredSoil& soil, const std::vector<Electrode>& electrodes,
                          const FieldOptions& options) {
  require_within("options.tolerance_ratio", options.tolerance_ratio, "1", {1e-6, 0.1});
  const bool asks_places = options.place_tolerance_ratio != 0.0;
  if (asks_places)
    require_within("options.place_tolerance_ratio", options.place_tolerance_ratio, "1", {1e-6, 0.1});
  require_not_negative("options.greatest_place_depth_m", options.greatest_place_depth_m, "m");
  require_valid(electrodes);
  auto impl = std::make_shared<FieldSolution::Impl>(FieldSolution::Impl{
      earth::ImageKernel(soil, std::max(greatest_depth_m(electrodes), options.greatest_place_depth_m)),
      {},
      {},
      {},
      {},
      0.0,
      {},
      {},
      {}});
  std::vector<Piece> coarse = detail::make_pieces(electrodes, impl->kernel);
  const double model_ratio = impl->kernel.fit_error_ratio() + detail::model_error_ratio(soil, electrodes);
  const Index limit = options.greatest_unknown_count;
  if (2 * detail::element_count(coarse) > limit)
    throw DomainError(
        "electrodes", fmt::format("{} elements at the least", 2 * detail::element_count(coarse)),
        fmt::format("at most {} (options.greatest_unknown_count): leave out or merge conductors, "
                    "or solve a part of the arrangement",
                    limit));
  const auto end_coarse = [&](std::string remark) {
    impl->status = FieldStatus::coarse;
    impl->remark = std::move(remark);
  };
  double missed_by = std::numeric_limits<double>::infinity();
  int stalled_count = 0;  // rounds in a row whose finer elements brought nothing
  for (;;) {
    const auto solved = detail::solve_levels(impl->kernel, coarse, electrodes.size(), asks_places);
    if (!solved && impl->pieces.empty())
      throw DomainError("electrodes", "joined in stretches too short against their radius",
                        "thin bars: every stretch between joints several diameters long");
    if (!solved) {
      end_coarse("the joints do not allow finer elements");
      break;
    }
    impl->pieces = solved->pieces;
    impl->electrode_of = electrodes_of(solved->pieces);
    impl->resistance = solved->resistance;
    impl->unit_currents = solved->unit_currents;
    const double discretisation_ratio = left_of_difference * solved->difference_ratio;
    impl->estimate_ratio = discretisation_ratio + model_ratio;
    std::optional<Aim> missed;
    if (solved->beside) {
      const double beside_ratio = left_of_difference * solved->beside->greatest_ratio;
      impl->place_estimate_ratio = beside_ratio + model_ratio;
      if (*impl->place_estimate_ratio > options.place_tolerance_ratio)
        missed.emplace(Aim{options.place_tolerance_ratio, beside_ratio, solved->beside->of_element_ratio});
    }
    if (impl->estimate_ratio > options.tolerance_ratio)
      missed.emplace(Aim{options.tolerance_ratio, discretisation_ratio, solved->gain});
    if (!missed) break;
    if (model_ratio > 0.5 * missed->tolerance_ratio && missed->discretisation_ratio < 0.1 * model_ratio) {
      end_coarse(
          fmt::format("bars so thick, or so near to each other or to a boundary, leave an error of about "
                      "{:.2g} % whatever the elements",
                      100.0 * model_ratio));
      break;
    }
    // A bar that ends within its radius of a boundary of layers has a place that may not be divided; dividing all others
    // over and over would only cost time.
    const double missed_before =
        std::exchange(missed_by, missed->discretisation_ratio / missed->tolerance_ratio);
    stalled_count = missed_by > stalled_ratio * missed_before ? stalled_count + 1 : 0;
    if (stalled_count == greatest_stalled_count) {
      end_coarse("finer elements bring the estimate no further down");
      break;
    }
    const double wanted_ratio = std::max(missed->tolerance_ratio - model_ratio, 0.1 * model_ratio);
    if (!detail::refine(coarse, missed->gain, 0.7 * wanted_ratio / missed->discretisation_ratio)) {
      end_coarse("the joints do not allow finer elements");
      break;
    }
    if (2 * detail::element_count(coarse) > limit) {
      end_coarse(fmt::format("the tolerance of {:.2g} % needs more than {} elements",
                             100.0 * missed->tolerance_ratio, limit));
      break;
    }
  }
  return FieldSolution(std::move(impl));
}

FieldStatus FieldSolution::status() const noexcept {
  return impl_->status;
}
const std::string& FieldSolution::remark() const noexcept {
  return impl_->remark;
}
double FieldSolution::estimate_ratio() const noexcept {
  return impl_->estimate_ratio;
}
std::optional<double> FieldSolution::place_estimate_ratio() const noexcept {
  return impl_->place_estimate_ratio;
}
int FieldSolution::unknown_count() const noexcept {
  return static_cast<int>(impl_->electrode_of.size());
}
std::size_t FieldSolution::electrode_count() const noexcept {
  return static_cast<std::size_t>(impl_->resistance.rows());
}

double FieldSolution::resistance_ohm(std::size_t of, std::size_t from) const {
  for (const std::size_t index : {of, from})
    if (index >= electrode_count())
      throw DomainError("electrode", static_cast<double>(index), "1", "less than the number of electrodes");
  return impl_->resistance(static_cast<Index>(of), static_cast<Index>(from));
}

FieldState FieldSolution::state(std::span<const Duty> duties) const {
  const Index count = impl_->resistance.rows();
  if (duties.size() != electrode_count())
    throw DomainError("duties", static_cast<double>(duties.size()), "1", "one for each electrode");
  // Unknown currents where a potential is held: rows V = R I; elsewhere I is given.
  MatrixXd equations = MatrixXd::Identity(count, count);
  VectorXd known = VectorXd::Zero(count);
  for (Index i = 0; i < count; ++i) {
    const Duty& duty = duties[static_cast<std::size_t>(i)];
    require_finite("duties.value", duty.value, duty.kind == DutyKind::potential ? "V" : "A");
    if (duty.kind != DutyKind::floating) known[i] = duty.value;
    if (duty.kind == DutyKind::potential) equations.row(i) = impl_->resistance.row(i);
  }
  const VectorXd currents = equations.partialPivLu().solve(known);
  const VectorXd potentials = impl_->resistance * currents;
  return {{potentials.begin(), potentials.end()}, {currents.begin(), currents.end()}};
}

namespace {

VectorXd element_currents(const FieldSolution::Impl& impl, const FieldState& state) {
  return impl.unit_currents * Eigen::Map<const VectorXd>(state.currents_a.data(), impl.resistance.rows());
}

}  // namespace

std::vector<Leakage> FieldSolution::leakage(const FieldState& state) const {
  const VectorXd currents = element_currents(*impl_, state);
  std::vector<Leakage> result;
  Index element = 0;
  for (const Piece& piece : impl_->pieces)
    for (std::size_t i = 0; i < piece.element_count(); ++i)
      result.push_back({piece.electrode, piece.conductor, piece.along_m + piece.breaks_m[i],
                        piece.along_m + piece.breaks_m[i + 1], currents[element++]});
  return result;
}

std::vector<ConductorShare> FieldSolution::conductor_currents(const FieldState& state) const {
  std::vector<ConductorShare> result;
  for (const Leakage& leakage : leakage(state)) {
    const bool goes_on = !result.empty() && result.back().electrode == leakage.electrode &&
                         result.back().conductor == leakage.conductor;
    if (!goes_on) result.push_back({leakage.electrode, leakage.conductor, 0.0});
    result.back().current_a += leakage.current_a;
  }
  return result;
}

namespace {

/// Potential of a point within a bar or its fill: what a coaxial layer drops from the bar's to the soil's.
std::optional<double> potential_within_v(const std::vector<Piece>& pieces, const FieldState& state,
                                         const VectorXd& fill_v, const Eigen::Vector3d& point) {
  Index first_element = 0;
  for (const Piece& piece : pieces) {
    const double along_m = std::clamp((point - piece.start).dot(piece.direction), 0.0, piece.length_m());
    const double from_axis_m = (point - piece.at(along_m)).norm();
    if (from_axis_m <= piece.radius_m) {
      const double metal_v = state.potentials_v[piece.electrode];
      if (!piece.core || from_axis_m <= piece.core->radius_m) return metal_v;
      const auto next = std::upper_bound(piece.breaks_m.begin() + 1, piece.breaks_m.end() - 1, along_m);
      const Index element = first_element + (next - piece.breaks_m.begin()) - 1;
      return metal_v - fill_v[element] * std::log(from_axis_m / piece.core->radius_m) /
                           std::log(piece.radius_m / piece.core->radius_m);
    }
    first_element += static_cast<Index>(piece.element_count());
  }
  return std::nullopt;
}

double potential_in_soil_v(const FieldSolution::Impl& impl, const VectorXd& currents,
                           const Eigen::Vector3d& point) {
  double potential_v = 0.0;
  Index element = 0;
  for (const Piece& piece : impl.pieces) {
    const auto count = static_cast<Index>(piece.element_count());
    potential_v += detail::influence_at(impl.kernel, point, piece).dot(currents.segment(element, count));
    element += count;
  }
  return potential_v;
}

}  // namespace

std::vector<double> FieldSolution::potentials_v(const FieldState& state,
                                                std::span<const Place> places) const {
  constexpr std::size_t many = 1000;  // places at the surface that repay the tables of the quick route
  const auto at_surface = [](const Place& place) { return place.depth_m == 0.0; };
  const VectorXd currents = element_currents(*impl_, state);
  const VectorXd fill_v = detail::fill_voltages_v(impl_->pieces, currents);
  std::optional<detail::SurfaceLines> lines;
  if (std::count_if(places.begin(), places.end(), at_surface) >= static_cast<std::ptrdiff_t>(many))
    lines.emplace(impl_->kernel, impl_->pieces, currents);
  std::vector<double> result;
  result.reserve(places.size());
  for (const Place& place : places) {
    require_finite("place.x_m", place.x_m, "m");
    require_finite("place.y_m", place.y_m, "m");
    require_not_negative("place.depth_m", place.depth_m, "m");
    const Eigen::Vector3d point(place.x_m, place.y_m, place.depth_m);
    if (const std::optional<double> within_v = potential_within_v(impl_->pieces, state, fill_v, point))
      result.push_back(*within_v);
    else if (lines && at_surface(place))
      result.push_back(lines->potential_v(place.x_m, place.y_m));
    else
      result.push_back(potential_in_soil_v(*impl_, currents, point));
  }
  return result;
}

FieldSolution::Spread FieldSolution::potential_spread(const FieldState& state, std::size_t electrode) const {
  const VectorXd currents = element_currents(*impl_, state);
  const auto quarters = detail::halved(detail::halved(impl_->pieces));
  const VectorXd fill_v = detail::fill_voltages_v(impl_->pieces, currents);
  Spread spread{1.0, 1.0};
  Index first_element = 0;  // of the receiver, before it was divided
  for (const Piece& receiver : quarters) {
    const Index receiver_element = first_element;
    first_element += static_cast<Index>(receiver.element_count() / 4);
    if (receiver.electrode != electrode) continue;
    VectorXd potentials = VectorXd::Zero(static_cast<Index>(receiver.element_count()));
    Index element = 0;
    for (const Piece& source : impl_->pieces) {
      const auto count = static_cast<Index>(source.element_count());
      potentials +=
          detail::influence_block(impl_->kernel, receiver, source) * currents.segment(element, count);
      element += count;
    }
    for (Index i = 0; i < potentials.size(); ++i)
      potentials[i] += fill_v[receiver_element + i / 4];  // of the element throughout
    potentials /= state.potentials_v[electrode];
    spread.least_ratio = std::min(spread.least_ratio, potentials.minCoeff());
    spread.greatest_ratio = std::max(spread.greatest_ratio, potentials.maxCoeff());
  }
  return spread;
}

}  // namespace ohmroot::electrode

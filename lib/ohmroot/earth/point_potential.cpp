// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/detail/exponential_ladder.hpp>
#include <ohmroot/earth/detail/ladder_range.hpp>
#include <ohmroot/earth/detail/layered_line.hpp>
#include <ohmroot/earth/detail/ray_path.hpp>
#include <ohmroot/earth/point_potential.hpp>

#include <Eigen/Dense>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <numeric>
#include <utility>

namespace ohmroot::earth {
namespace {

constexpr double four_pi = 4.0 * std::numbers::pi;
// The potential errs up to about twice as much as its function of wavenumber, and a field solution asks for 1e-6.
constexpr double wanted_fit_error_ratio = 4e-7;

void require_valid(const PointPair& pair) {
  require_not_negative("distance_m", pair.distance_m, "m");
  require_not_negative("source_depth_m", pair.source_depth_m, "m");
  require_not_negative("receiver_depth_m", pair.receiver_depth_m, "m");
  if (pair.distance_m == 0.0 && pair.source_depth_m == pair.receiver_depth_m)
    throw DomainError("distance_m", 0.0, "m", "greater than 0 for points at equal depth");
}

std::size_t layer_at(const LayeredSoil& soil, double depth_m) {
  std::size_t layer = 0;
  for (double bottom_m = soil.layers()[0].thickness_m; depth_m > bottom_m;
       bottom_m += soil.layers()[layer].thickness_m)
    ++layer;
  return layer;
}

double path_m(const detail::Way& way, double upper_depth_m, double lower_depth_m) {
  return way.upper_sign * upper_depth_m + way.lower_sign * lower_depth_m + way.offset_m;
}

}  // namespace

double point_potential_ohm(const LayeredSoil& soil, const PointPair& pair) {
  require_valid(pair);
  const auto [upper_m, lower_m] = std::minmax(pair.source_depth_m, pair.receiver_depth_m);
  const detail::LayerPair layers{layer_at(soil, upper_m), layer_at(soil, lower_m)};
  const double rho = soil.layers()[layers.upper].resistivity_ohm_m;
  const double apart_m = lower_m - upper_m;
  const double direct_per_m = layers.upper == layers.lower ? 1.0 / std::hypot(pair.distance_m, apart_m) : 0.0;
  const auto ways = detail::ways_of(soil, layers);
  std::array<double, 4> paths_m{};
  for (std::size_t i = 0; i < ways.size(); ++i)
    paths_m[i] = std::max(path_m(ways[i], upper_m, lower_m), 0.0);
  // Straight above each other: a distance that changes the result by less than 1e-12.
  const double distance_m = std::max(pair.distance_m, 1e-6 * apart_m);
  double rest = 0.0;
  for (const detail::RayNode& node : detail::ray_nodes(detail::HankelOrder::zero)) {
    const std::complex<double> wavenumber = node.z / distance_m;
    const auto factors = detail::way_factors(detail::line_layers(soil, wavenumber), layers);
    std::complex<double> sum = 0.0;
    for (std::size_t i = 0; i < ways.size(); ++i)
      sum += factors[i] * std::exp(-wavenumber * paths_m[i]);
    rest += (node.weight * sum).real();
  }
  return rho / four_pi * (direct_per_m + rest / distance_m);
}

ImageKernel::ImageKernel(const LayeredSoil& soil, double greatest_depth_m) : soil_(soil) {
  require_not_negative("greatest_depth_m", greatest_depth_m, "m");
  double bottom_m = 0.0;
  for (std::size_t i = 0; i <= layer_at(soil, greatest_depth_m); ++i)
    bottoms_m_.push_back(bottom_m += soil.layers()[i].thickness_m);
  ways_.resize(bottoms_m_.size() * bottoms_m_.size());
  if (soil.is_uniform()) {
    shifts_m_ = {0.0};
    ways_[0] = {{1.0, 1.0, 0.0, {soil.layers()[0].resistivity_ohm_m / four_pi}}};
    return;
  }
  fit(Weighting::even);
  measure();
  if (fit_error_ratio_ <= wanted_fit_error_ratio) return;
  // Over a base that conducts far better the potential is small against its parts: errors are then weighed by it, on
  // a finer ladder.
  const double even_error_ratio = std::exchange(fit_error_ratio_, 0.0);
  const auto even_shifts_m = shifts_m_;
  const auto even_ways = std::exchange(ways_, std::vector<std::vector<ImageWay>>(ways_.size()));
  fit(Weighting::by_potential);
  measure();
  if (fit_error_ratio_ <= even_error_ratio) return;
  ways_ = even_ways;
  shifts_m_ = even_shifts_m;
  fit_error_ratio_ = even_error_ratio;
}

namespace {

using Factors = std::array<double, 4>;

/// The factors of all pairs of the first layers, upper * count + lower.
std::vector<Factors> all_factors(const LayeredSoil& soil, std::size_t count, double wavenumber_per_m) {
  const auto line = detail::line_layers(soil, wavenumber_per_m);
  std::vector<Factors> factors(count * count);
  for (std::size_t upper = 0; upper < count; ++upper)
    for (std::size_t lower = upper; lower < count; ++lower)
      factors[upper * count + lower] = detail::way_factors(line, {upper, lower});
  return factors;
}

/// Greatest relative departure of any factor from its static limit.
double departure_of(const std::vector<Factors>& factors, const std::vector<Factors>& limit) {
  constexpr double noticed = 1e-3;  // of one: smaller factors do not matter
  double departure = 0.0;
  for (std::size_t p = 0; p < factors.size(); ++p)
    for (std::size_t i = 0; i < 4; ++i) {
      const double scale = noticed + std::max(std::abs(limit[p][i]), std::abs(factors[p][i]));
      departure = std::max(departure, std::abs(factors[p][i] - limit[p][i]) / scale);
    }
  return departure;
}

/// Depths at the ends of a pair of layers, where the potential as a function of wavenumber is not the far smaller
/// part of what the soil does.
template <class Visit>
void visit_corners(const LayeredSoil& soil, const detail::LayerPair& pair, double wavenumber_per_m,
                   const Visit& visit) {
  constexpr double seen_exponent = 2.0;  // beyond, other parts of the soil rule the potential
  const auto ends_of = [&](std::size_t layer) {
    const double top_m = detail::layer_top_m(soil, layer);
    const bool is_last = layer + 1 == soil.layers().size();
    return std::array{top_m, is_last ? top_m : detail::layer_top_m(soil, layer + 1)};
  };
  for (const double upper_m : ends_of(pair.upper))
    for (const double lower_m : ends_of(pair.lower)) {
      const double apart_m = lower_m - upper_m;
      if (apart_m >= 0.0 && wavenumber_per_m * apart_m <= seen_exponent) visit(upper_m, lower_m);
    }
}

/// Over rho / (4 pi) of the upper layer; the direct way of one layer included.
double potential_at(const detail::LayerPair& pair, const std::array<detail::Way, 4>& ways,
                    const Factors& factors, double wavenumber_per_m, double upper_m, double lower_m) {
  double potential = pair.upper == pair.lower ? std::exp(-wavenumber_per_m * (lower_m - upper_m)) : 0.0;
  for (std::size_t i = 0; i < ways.size(); ++i)
    potential += factors[i] * std::exp(-wavenumber_per_m * std::max(path_m(ways[i], upper_m, lower_m), 0.0));
  return potential;
}

}  // namespace

void ImageKernel::fit(Weighting weighting) {
  const auto& layers = soil_.layers();
  const std::size_t count = bottoms_m_.size();
  double thinnest_m = std::numeric_limits<double>::infinity();
  double total_m = 0.0;
  for (std::size_t i = 0; i + 1 < layers.size(); ++i) {
    thinnest_m = std::min(thinnest_m, layers[i].thickness_m);
    total_m += layers[i].thickness_m;
  }
  const auto static_limit = all_factors(soil_, count, 0.0);
  const double static_per_m = detail::nearly_static_per_m(1.0 / total_m, [&](double wavenumber_per_m) {
    return departure_of(all_factors(soil_, count, wavenumber_per_m), static_limit);
  });
  const detail::ExponentialLadder ladder(detail::checked_range({thinnest_m, static_per_m}),
                                         weighting == Weighting::even ? detail::LadderKind::quick
                                                                      : detail::LadderKind::fine);
  const auto& wavenumbers = ladder.wavenumbers_per_m();
  const auto limit = all_factors(soil_, count, 1e3 / thinnest_m);
  std::vector<std::vector<Factors>> samples;
  for (const double wavenumber : wavenumbers)
    samples.push_back(all_factors(soil_, count, wavenumber));

  shifts_m_ = {0.0};
  shifts_m_.insert(shifts_m_.end(), ladder.shifts_m().begin(), ladder.shifts_m().end());
  const auto sample_count = static_cast<Eigen::Index>(wavenumbers.size());
  for (std::size_t upper = 0; upper < count; ++upper) {
    for (std::size_t lower = upper; lower < count; ++lower) {
      const std::size_t p = upper * count + lower;
      const detail::LayerPair pair{upper, lower};
      const auto ways = detail::ways_of(soil_, pair);
      Eigen::MatrixXd values(sample_count, 4);
      Eigen::VectorXd weights = Eigen::VectorXd::Ones(sample_count);
      for (Eigen::Index k = 0; k < sample_count; ++k) {
        const auto sample = static_cast<std::size_t>(k);
        for (std::size_t i = 0; i < 4; ++i)
          values(k, static_cast<Eigen::Index>(i)) = samples[sample][p][i] - limit[p][i];
        if (weighting == Weighting::even) continue;
        visit_corners(soil_, pair, wavenumbers[sample], [&](double upper_m, double lower_m) {
          const double potential =
              potential_at(pair, ways, samples[sample][p], wavenumbers[sample], upper_m, lower_m);
          weights[k] = std::max(weights[k], 1.0 / potential);
        });
      }
      const Eigen::MatrixXd rungs =
          weighting == Weighting::even ? ladder.fit(values) : ladder.fit_weighted(values, weights);
      const double scale = layers[upper].resistivity_ohm_m / four_pi;
      for (std::size_t i = 0; i < 4; ++i) {
        const auto column = static_cast<Eigen::Index>(i);
        if (values.col(column).isZero(0.0) && limit[p][i] == 0.0)
          continue;  // nothing comes back from the half-space
        ways_[p].push_back({ways[i].upper_sign, ways[i].lower_sign, ways[i].offset_m, {scale * limit[p][i]}});
        for (Eigen::Index j = 0; j < rungs.rows(); ++j)
          ways_[p].back().weights_ohm_m.push_back(scale * rungs(j, column));
      }
    }
  }
}

/// Relative error of the potential as a function of wavenumber, at corners of each pair of layers.
void ImageKernel::measure() {
  const auto& layers = soil_.layers();
  const std::size_t count = bottoms_m_.size();
  double thinnest_m = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i + 1 < layers.size(); ++i)
    thinnest_m = std::min(thinnest_m, layers[i].thickness_m);
  for (double wavenumber = 3.0 / thinnest_m; wavenumber > 0.1 / shifts_m_.back(); wavenumber *= 0.6) {
    const auto factors = all_factors(soil_, count, wavenumber);
    std::vector<double> decays;
    for (const double shift_m : shifts_m_)
      decays.push_back(std::exp(-wavenumber * shift_m));
    for (std::size_t upper = 0; upper < count; ++upper) {
      for (std::size_t lower = upper; lower < count; ++lower) {
        const std::size_t p = upper * count + lower;
        const detail::LayerPair pair{upper, lower};
        const auto ways = detail::ways_of(soil_, pair);
        const double scale = layers[upper].resistivity_ohm_m / four_pi;
        Factors fitted = factors[p];
        std::size_t used = 0;
        for (std::size_t i = 0; i < 4; ++i) {
          if (factors[p][i] == 0.0) continue;
          const auto& weights = ways_[p][used++].weights_ohm_m;
          fitted[i] = std::inner_product(weights.begin(), weights.end(), decays.begin(), 0.0) / scale;
        }
        visit_corners(soil_, pair, wavenumber, [&](double upper_m, double lower_m) {
          const double exact = potential_at(pair, ways, factors[p], wavenumber, upper_m, lower_m);
          const double found = potential_at(pair, ways, fitted, wavenumber, upper_m, lower_m);
          fit_error_ratio_ = std::max(fit_error_ratio_, std::abs(found / exact - 1.0));
        });
      }
    }
  }
}

std::size_t ImageKernel::layer_of(double depth_m) const {
  for (std::size_t i = 0; i < bottoms_m_.size(); ++i)
    if (depth_m <= bottoms_m_[i]) return i;
  throw DomainError("depth_m", depth_m, "m", "not below the greatest depth given to the kernel");
}

const std::vector<ImageWay>& ImageKernel::ways(const LayerIndices& layers) const {
  return ways_.at(layers.upper * bottoms_m_.size() + layers.lower);
}

double ImageKernel::potential_ohm(const PointPair& pair) const {
  require_valid(pair);
  const auto [upper_m, lower_m] = std::minmax(pair.source_depth_m, pair.receiver_depth_m);
  const LayerIndices layers{layer_of(upper_m), layer_of(lower_m)};
  const double squared_m2 = pair.distance_m * pair.distance_m;
  double potential = 0.0;
  for (const ImageWay& way : ways(layers)) {
    const double path = way.upper_sign * upper_m + way.lower_sign * lower_m + way.offset_m;
    for (std::size_t j = 0; j < shifts_m_.size(); ++j) {
      const double vertical_m = path + shifts_m_[j];
      potential += way.weights_ohm_m[j] / std::sqrt(squared_m2 + vertical_m * vertical_m);
    }
  }
  if (layers.upper == layers.lower)
    potential += soil_.layers()[layers.upper].resistivity_ohm_m / four_pi /
                 std::hypot(pair.distance_m, lower_m - upper_m);
  return potential;
}

}  // namespace ohmroot::earth

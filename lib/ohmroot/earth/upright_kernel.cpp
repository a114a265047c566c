// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/detail/layered_line.hpp>
#include <ohmroot/earth/detail/ray_path.hpp>
#include <ohmroot/earth/upright_kernel.hpp>

#include <Eigen/Dense>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>

namespace ohmroot::earth {
namespace {

constexpr double four_pi = 4.0 * std::numbers::pi;
// Of ln wavenumber. An echo from a depth, lambda exp(-lambda d), is then summed to 2 |Gamma(1 + 2 pi i / step)|: 7e-6.
constexpr double step = 0.7;

/// 1 / distance of two rings of radius 1 on one axis, in the mean of both, integrated twice along the axis: the mean of
/// x asinh(x / r) - sqrt(x^2 + r^2) over the distances r = 2 sin(phi / 2) between points of one ring.
class RingIntegral {
public:
  RingIntegral() {
    for (int i = 0; i <= count; ++i)
      table_.push_back(by_quadrature(near / count * i));
  }

  [[nodiscard]] double at(double x) const {
    x = std::abs(x);
    if (x > near) {  // the mean of r^2 is 2, of r^4 6, of r^6 20, of r^8 70, of ln r 0
      const double square = 1.0 / (x * x);
      return x * (std::log(2.0 * x) - 1.0 -
                  square * (0.5 - square * (3.0 / 16.0 - square * (5.0 / 24.0 - square * (175.0 / 512.0)))));
    }
    const double place = x / near * count;
    const int i = std::min(static_cast<int>(place), count - 1);
    const double t = place - i;
    const Entry& from = table_[static_cast<std::size_t>(i)];
    const Entry& to = table_[static_cast<std::size_t>(i) + 1];
    const double width = near / count;
    return (1.0 + 2.0 * t) * (1.0 - t) * (1.0 - t) * from.value +
           t * (1.0 - t) * (1.0 - t) * width * from.slope + t * t * (3.0 - 2.0 * t) * to.value -
           t * t * (1.0 - t) * width * to.slope;
  }

private:
  struct Entry {
    double value;
    double slope;
  };
  static constexpr double near = 4.0;
  static constexpr int count = 400;

  /// Midpoints of a substitution that closes up on phi = 0, where the slope has a logarithm.
  static Entry by_quadrature(double x) {
    constexpr int node_count = 600;
    Entry mean{0.0, 0.0};
    for (int i = 0; i < node_count; ++i) {
      const double u = (i + 0.5) / node_count;
      const double radius = 2.0 * std::sin(0.5 * std::numbers::pi * u * u * u);
      const double weight = 3.0 * u * u / node_count;
      mean.value += weight * (x * std::asinh(x / radius) - std::hypot(x, radius));
      mean.slope += weight * std::asinh(x / radius);
    }
    return mean;
  }

  std::vector<Entry> table_;
};

double twice_integrated(double x_m, double radius_m) {
  static const RingIntegral ring;
  return radius_m * ring.at(x_m / radius_m);
}

/// Mean of exp(-lambda x) from one end of a stretch to the other.
std::complex<double> mean_decay(double from_m, double to_m, const std::complex<double>& wavenumber_per_m) {
  const std::complex<double> exponent = wavenumber_per_m * (to_m - from_m);
  return std::exp(-wavenumber_per_m * from_m) * detail::one_minus_exp(exponent) / exponent;
}

}  // namespace

UprightKernel::UprightKernel(const LayeredSoil& soil, double greatest_depth_m)
    : soil_(soil), greatest_depth_m_(greatest_depth_m) {
  require_positive("greatest_depth_m", greatest_depth_m, "m");
  const auto& layers = soil.layers();
  const auto reflected = [](double from_ohm_m, double beyond_ohm_m) {
    return (beyond_ohm_m - from_ohm_m) / (beyond_ohm_m + from_ohm_m);
  };
  double top_m = 0.0;
  double thinnest_m = std::numeric_limits<double>::infinity();
  double conductance_per_ohm = 0.0;
  for (std::size_t i = 0; i < layers.size(); ++i) {
    const bool is_last = i + 1 == layers.size();
    const double rho = layers[i].resistivity_ohm_m;
    const double bottom_m = is_last ? std::numeric_limits<double>::infinity() : top_m + layers[i].thickness_m;
    if (top_m < greatest_depth_m)
      layers_.push_back({top_m, bottom_m, rho, i == 0 ? 1.0 : reflected(rho, layers[i - 1].resistivity_ohm_m),
                         is_last ? 0.0 : reflected(rho, layers[i + 1].resistivity_ohm_m)});
    if (is_last) break;
    thinnest_m = std::min(thinnest_m, layers[i].thickness_m);
    conductance_per_ohm += layers[i].thickness_m / rho;
    top_m = bottom_m;
  }
  if (soil.is_uniform()) return;

  // From where the soil is seen as its base alone to where no echo is left.
  constexpr double nearly_static = 0.02;
  constexpr double negligible_exponent = 12.0;
  const double reach_m =
      std::max({top_m, greatest_depth_m, layers.back().resistivity_ohm_m * conductance_per_ohm});
  for (double wavenumber = nearly_static / reach_m; wavenumber < negligible_exponent / thinnest_m;
       wavenumber *= std::exp(step)) {
    // The first step stands for all before it, too.
    weights_per_m_.push_back(wavenumber * step / (wavenumbers_per_m_.empty() ? -std::expm1(-step) : 1.0));
    wavenumbers_per_m_.push_back(wavenumber);
  }
  const std::size_t count = layers_.size();
  const std::size_t node_count = wavenumbers_per_m_.size();
  echoes_.resize(count * count * node_count);
  for (std::size_t k = 0; k < node_count; ++k) {
    const auto line = detail::line_layers(soil, wavenumbers_per_m_[k]);
    for (std::size_t upper = 0; upper < count; ++upper)
      for (std::size_t lower = upper; lower < count; ++lower)
        echoes_[(upper * count + lower) * node_count + k] =
            echoes_at(upper, lower, wavenumbers_per_m_[k], detail::way_factors(line, {upper, lower}).data());
  }
}

/// The factors of the four ways, with the way between the two layers in them and without what boundary_terms_m() holds.
UprightKernel::Echoes UprightKernel::echoes_at(std::size_t upper, std::size_t lower, double wavenumber_per_m,
                                               const double* factors_ratio) const {
  const bool has_bottom = lower + 1 < soil_.layers().size();
  const auto decay = [&](double path_m) { return std::exp(-wavenumber_per_m * path_m); };
  const double below_ratio = layers_[upper].below_ratio;
  if (upper == lower) {
    const double both = has_bottom ? factors_ratio[2] * decay(soil_.layers()[upper].thickness_m) : 0.0;
    return {factors_ratio[0] - layers_[upper].above_ratio, both, both,
            has_bottom ? factors_ratio[1] - below_ratio : 0.0};
  }
  const double apart = decay(layers_[lower].top_m - layers_[upper].bottom_m);
  const double through_upper = decay(soil_.layers()[upper].thickness_m);
  const double through_lower = has_bottom ? decay(soil_.layers()[lower].thickness_m) : 0.0;
  return {factors_ratio[0] * apart * through_upper, factors_ratio[3] * apart * through_upper * through_lower,
          factors_ratio[2] * apart - (lower == upper + 1 ? 1.0 + below_ratio : 0.0),
          factors_ratio[1] * apart * through_lower};
}

std::vector<UprightKernel::Section> UprightKernel::sections_of(std::span<const double> breaks_m) const {
  if (breaks_m.size() < 2 || !(breaks_m.front() >= 0.0))
    throw DomainError("breaks_m", "one depth, or a negative one", "two or more depths from 0 up");
  if (!(breaks_m.back() <= greatest_depth_m_))
    throw DomainError("breaks_m", breaks_m.back(), "m", "not below the greatest depth of the kernel");
  std::vector<Section> sections;
  std::size_t layer = 0;
  for (std::size_t i = 0; i + 1 < breaks_m.size(); ++i) {
    if (!(breaks_m[i + 1] > breaks_m[i]))
      throw DomainError("breaks_m", breaks_m[i + 1], "m", "below the depth before it");
    while (breaks_m[i] >= layers_[layer].bottom_m)
      ++layer;
    if (breaks_m[i + 1] > layers_[layer].bottom_m)
      throw DomainError("breaks_m", breaks_m[i + 1], "m", "not beyond the boundary of the layer");
    if (sections.empty() || sections.back().layer != layer) sections.push_back({layer, i, i});
    sections.back().last = i + 1;
  }
  return sections;
}

/// For all pairs of breaks, what integrated over two pieces is its second difference: the direct way, and what the
/// boundary nearby alone sends back or lets through.
std::vector<double> UprightKernel::boundary_terms_m(const Section& upper, const Section& lower,
                                                    std::span<const double> breaks_m, double radius_m) const {
  const Reached& layer = layers_[upper.layer];
  std::vector<double> terms;
  for (std::size_t p = upper.first; p <= upper.last; ++p) {
    for (std::size_t q = lower.first; q <= lower.last; ++q) {
      const double direct = -twice_integrated(breaks_m[q] - breaks_m[p], radius_m);
      if (upper.layer != lower.layer) {
        terms.push_back((1.0 + layer.below_ratio) * direct);
        continue;
      }
      double term = direct + layer.above_ratio *
                                 twice_integrated(breaks_m[p] + breaks_m[q] - 2.0 * layer.top_m, radius_m);
      if (layer.below_ratio != 0.0)
        term +=
            layer.below_ratio * twice_integrated(2.0 * layer.bottom_m - breaks_m[p] - breaks_m[q], radius_m);
      terms.push_back(term);
    }
  }
  return terms;
}

namespace {

/// Means of exp(-lambda depth) along the pieces of a section, a piece a row, a wavenumber a column.
struct Decays {
  Eigen::MatrixXd from_top;
  Eigen::MatrixXd from_bottom;
};

Eigen::MatrixXd means_of(const Eigen::ArrayXd& paths_m, const Eigen::ArrayXd& wavenumbers_per_m,
                         double radius_m) {
  const Eigen::Index count = paths_m.size() - 1;
  const Eigen::ArrayXXd at_breaks =
      (-paths_m.matrix() * wavenumbers_per_m.matrix().transpose()).array().exp();
  const Eigen::ArrayXd lengths_m = (paths_m.tail(count) - paths_m.head(count)).abs();
  // J0(lambda a) of each of the two tubes: exp(-x^2 / 4) where the rest is not negligible.
  const Eigen::ArrayXd tube = (-0.25 * radius_m * radius_m * wavenumbers_per_m.square()).exp();
  return ((at_breaks.topRows(count) - at_breaks.bottomRows(count)).abs().colwise() / lengths_m).rowwise() *
         (tube / wavenumbers_per_m).transpose();
}

}  // namespace

std::vector<double> UprightKernel::mean_potentials_ohm(std::span<const double> breaks_m,
                                                       double radius_m) const {
  using Eigen::Index;
  require_positive("radius_m", radius_m, "m");
  const auto count = static_cast<Index>(breaks_m.size()) - 1;
  const auto node_count = static_cast<Index>(wavenumbers_per_m_.size());
  const Eigen::Map<const Eigen::ArrayXd> breaks(breaks_m.data(), count + 1);
  const Eigen::Map<const Eigen::ArrayXd> wavenumbers(wavenumbers_per_m_.data(), node_count);
  const Eigen::Map<const Eigen::ArrayXd> weights(weights_per_m_.data(), node_count);
  const Eigen::ArrayXd lengths = breaks.tail(count) - breaks.head(count);
  const std::vector<Section> sections = sections_of(breaks_m);
  std::vector<Decays> decays;
  for (const Section& section : sections) {
    const Reached& layer = layers_[section.layer];
    const Eigen::ArrayXd depths = breaks.segment(static_cast<Index>(section.first),
                                                 static_cast<Index>(section.last - section.first) + 1);
    decays.push_back({means_of(depths - layer.top_m, wavenumbers, radius_m),
                      std::isfinite(layer.bottom_m) ? means_of(layer.bottom_m - depths, wavenumbers, radius_m)
                                                    : Eigen::MatrixXd::Zero(depths.size() - 1, node_count)});
  }
  std::vector<double> means_ohm(static_cast<std::size_t>(count * count));
  Eigen::Map<Eigen::MatrixXd> means(means_ohm.data(), count, count);
  for (std::size_t u = 0; u < sections.size(); ++u) {
    for (std::size_t l = u; l < sections.size(); ++l) {
      const Section& upper = sections[u];
      const Section& lower = sections[l];
      const Index rows = decays[u].from_top.rows();
      const Index columns = decays[l].from_top.rows();
      Eigen::MatrixXd block = Eigen::MatrixXd::Zero(rows, columns);
      if (node_count > 0) {
        static_assert(sizeof(Echoes) == 4 * sizeof(double));
        const Eigen::Map<const Eigen::Array4Xd> echoes(
            &echoes_[(upper.layer * layers_.size() + lower.layer) * static_cast<std::size_t>(node_count)]
                 .top_top_ratio,
            4, node_count);
        const auto by = [&](Index way) {
          return (echoes.row(way).transpose() * weights).matrix().asDiagonal();
        };
        block +=
            (decays[u].from_top * by(0) + decays[u].from_bottom * by(2)) * decays[l].from_top.transpose() +
            (decays[u].from_top * by(1) + decays[u].from_bottom * by(3)) * decays[l].from_bottom.transpose();
      }
      if (lower.layer <= upper.layer + 1) {
        const std::vector<double> terms = boundary_terms_m(upper, lower, breaks_m, radius_m);
        const Eigen::Map<const Eigen::MatrixXd> at(terms.data(), columns + 1, rows + 1);
        block += ((at.bottomRightCorner(columns, rows) - at.bottomLeftCorner(columns, rows) -
                   at.topRightCorner(columns, rows) + at.topLeftCorner(columns, rows))
                      .transpose()
                      .array() /
                  (lengths.segment(static_cast<Index>(upper.first), rows).matrix() *
                   lengths.segment(static_cast<Index>(lower.first), columns).matrix().transpose())
                      .array())
                     .matrix();
      }
      block *= layers_[upper.layer].resistivity_ohm_m / four_pi;
      means.block(static_cast<Index>(upper.first), static_cast<Index>(lower.first), rows, columns) = block;
      means.block(static_cast<Index>(lower.first), static_cast<Index>(upper.first), columns, rows) =
          block.transpose();
    }
  }
  return means_ohm;
}

std::vector<double> UprightKernel::surface_potentials_ohm(std::span<const double> breaks_m,
                                                          double distance_m) const {
  require_positive("distance_m", distance_m, "m");
  using Complex = std::complex<double>;
  const std::vector<Section> sections = sections_of(breaks_m);
  std::vector<double> sums_ohm(breaks_m.size() - 1);
  for (const detail::RayNode& node : detail::ray_nodes(detail::HankelOrder::zero)) {
    const Complex wavenumber = node.z / distance_m;
    const auto line = detail::line_layers(soil_, wavenumber);
    for (const Section& section : sections) {
      const auto ways = detail::ways_of(soil_, {0, section.layer});
      const auto factors = detail::way_factors(line, {0, section.layer});
      for (std::size_t i = section.first; i < section.last; ++i) {
        Complex sum =
            section.layer == 0 ? mean_decay(breaks_m[i], breaks_m[i + 1], wavenumber) : Complex(0.0);
        for (std::size_t w = 0; w < ways.size(); ++w) {
          if (factors[w] == Complex(0.0)) continue;  // nothing comes back from below the half-space
          const auto path_m = [&](double depth_m) { return ways[w].lower_sign * depth_m + ways[w].offset_m; };
          const double one_m = path_m(breaks_m[i]);
          const double other_m = path_m(breaks_m[i + 1]);
          sum += factors[w] *
                 mean_decay(std::max(std::min(one_m, other_m), 0.0), std::max(one_m, other_m), wavenumber);
        }
        sums_ohm[i] += (node.weight * sum).real();
      }
    }
  }
  for (double& sum_ohm : sums_ohm)
    sum_ohm *= soil_.layers().front().resistivity_ohm_m / four_pi / distance_m;
  return sums_ohm;
}

}  // namespace ohmroot::earth

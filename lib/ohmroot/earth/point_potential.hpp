// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/earth/layers.hpp>

#include <cstddef>
#include <vector>

namespace ohmroot::earth {

/// A point current source and a point where its potential is wanted, anywhere in the soil. All three are
/// not negative and finite; the two points do not coincide.
struct PointPair {
  double distance_m;  ///< horizontal
  double source_depth_m;
  double receiver_depth_m;
};

/// Potential per ampere of a point current source in layered soil under insulating air, any number of layers,
/// both points at any depth. [V/A] The accurate route: the Hankel integral of the layers' recursion along a
/// ray of the complex plane, where nothing swings and no pole lies.
/// Accuracy: relative error below 1e-8 for contrasts to 1:1000 either way, distances of 0.001 to 1000 times
/// each thickness and 10 layers (reference/ACCURACY.md gives the worst found). Throws DomainError for a
/// negative or not finite argument, and if the points coincide.
[[nodiscard]] double point_potential_ohm(const LayeredSoil& soil, const PointPair& pair);

/// One way from source to receiver: image charges above or below, one for each shift of the kernel.
/// The distance of image j is hypot(horizontal distance, upper_sign * depth of the point in the upper layer +
/// lower_sign * depth of the other + offset_m + shift j), and its potential its weight over that distance.
struct ImageWay {
  double upper_sign;  // unit: none, +1 or -1
  double lower_sign;  // unit: none, +1 or -1
  double offset_m;
  std::vector<double> weights_ohm_m;  ///< 1/(4 pi) included; one for each shift
};

/// Two layers, counted from the top at 0; in one layer, and in uniform soil, the two points may be swapped.
struct LayerIndices {
  std::size_t upper;
  std::size_t lower;  ///< not less than upper
};

/// The same potential by a few dozen images, fitted once for a soil: the fast route, for the many potentials
/// of a field solution, a map or a sounding. The dependence on the depths of both points is exact. Where the quick
/// fit would miss 1e-6 of the potential, a finer one, weighed by the potential itself, takes its place.
class ImageKernel {
public:
  /// For source and receiver from the surface down to greatest_depth_m. Throws DomainError unless that is
  /// not negative and finite, and for contrasts or thicknesses so extreme that images cannot carry them
  /// (beyond about 1e7 in sum).
  ImageKernel(const LayeredSoil& soil, double greatest_depth_m);

  /// Throws DomainError as point_potential_ohm(), and for a depth in a layer below greatest_depth_m.
  [[nodiscard]] double potential_ohm(const PointPair& pair) const;

  /// Greatest relative error of the fitted kernel, as a function of wavenumber, found on points between those
  /// of the fit. The potential shares it but where it is far smaller than that of its parts: over a very
  /// conductive base (reference/ACCURACY.md).
  [[nodiscard]] double fit_error_ratio() const noexcept { return fit_error_ratio_; }

  [[nodiscard]] const LayeredSoil& soil() const noexcept { return soil_; }
  [[nodiscard]] std::size_t layer_of(double depth_m) const;
  /// From 0, ascending. [m]
  [[nodiscard]] const std::vector<double>& shifts_m() const noexcept { return shifts_m_; }
  /// Ways between two layers without the direct one of a layer to itself, rho / (4 pi distance).
  [[nodiscard]] const std::vector<ImageWay>& ways(const LayerIndices& layers) const;

private:
  enum class Weighting { even, by_potential };
  void fit(Weighting weighting);
  void measure();

  LayeredSoil soil_;
  std::vector<double> bottoms_m_;  // of the layers that can be reached, the half-space's infinite
  std::vector<double> shifts_m_;
  std::vector<std::vector<ImageWay>> ways_;  // upper * layers + lower
  double fit_error_ratio_ = 0.0;
};

}  // namespace ohmroot::earth

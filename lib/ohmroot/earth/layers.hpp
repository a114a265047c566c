// SPDX-License-Identifier: MIT
#pragma once

#include <vector>

namespace ohmroot::earth {

/// One horizontal layer. The last layer of a soil reaches down without end: its thickness is infinity.
struct Layer {
  double resistivity_ohm_m;
  double thickness_m;
};

/// Horizontally layered soil under an insulating air half-space; layers from the top.
class LayeredSoil {
public:
  /// Uniform soil. Throws DomainError unless the resistivity is positive and finite.
  explicit LayeredSoil(double resistivity_ohm_m);

  /// Layers from the top; the last one's thickness is taken as infinite whatever is given. Throws
  /// DomainError if there is none, or if a resistivity or an inner thickness is not positive and finite.
  explicit LayeredSoil(std::vector<Layer> layers);

  [[nodiscard]] const std::vector<Layer>& layers() const noexcept { return layers_; }
  [[nodiscard]] bool is_uniform() const noexcept { return layers_.size() == 1; }

  /// Least and greatest resistivity of any layer, the half-space included.
  [[nodiscard]] double least_resistivity_ohm_m() const;
  [[nodiscard]] double greatest_resistivity_ohm_m() const;

private:
  std::vector<Layer> layers_;
};

}  // namespace ohmroot::earth

// SPDX-License-Identifier: MIT
#pragma once

namespace ohmroot::electrode::detail {

/// A solid bar with a flat end acts as a thin tube longer by this part of its radius at each free end: the
/// same factor for slendernesses 133 to 480, to 3 digits (computed, axisymmetric boundary elements).
inline constexpr double flat_end_ratio = 0.0989;

/// The same of a bar in a fill that ends with it, as part of the fill's radius: near the end the current finds shorter
/// ways than straight through the fill, and the bar's own end leaks. Depends on the radius of the fill over the bar's, 1
/// to 50, and on its resistivity over the soil's alone (computed, axisymmetric finite elements, reference/fem/run_filled:
/// columns 1.5 to 6 m long agree to 0.001). Between the places of its table it is known to about 2 %.
[[nodiscard]] double filled_end_ratio(double radius_ratio, double resistivity_ratio);

}  // namespace ohmroot::electrode::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/study/land.hpp>

namespace ohmroot::study {

electrode::ReachableVolume enclosing_volume(const Land& land) {
  const design::Rectangle rectangle = design::enclosing_rectangle(land.corners);
  return {rectangle.length_m, rectangle.width_m, land.drivable_depth_m};
}

}  // namespace ohmroot::study

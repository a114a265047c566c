// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/parts.hpp>
#include <ohmroot/design/soils.hpp>
#include <ohmroot/electrode/floor.hpp>

#include <cstddef>
#include <string>
#include <vector>

namespace ohmroot::design {

/// Floors of any new electrode inside a volume, asked of the ground as it is in the most favourable season, against
/// the most lenient requirement.
struct ProofQuestion {
  electrode::ReachableVolume volume;
  GroundDraws draws;
  double lenient_ohm;                  ///< most lenient requirement, conductor included
  double conductor_ohm = 0.0;          ///< from the MET; it is in every electrode's resistance
  std::size_t block_draw_count = 400;  ///< draws in which the block is solved; 0: closed form alone
  /// Of existing metal that may be joined, in each draw's soil as measured; none: empty. Conductances add at most. [ohm]
  std::vector<double> beside_ohm = {};
};

/// The existing steel of the parts alone, in the soil of each draw as measured. [ohm] What beside_ohm is made of.
[[nodiscard]] std::vector<double> steel_ohm(const Parts& parts, const GroundDraws& draws);

/// Shares of the ground in which a floor lies above the requirement.
struct FloorShare {
  std::size_t draw_count = 0;
  std::size_t above_count = 0;
  double share_ratio = 0.0;
  double least_1_percent_ohm = 0.0;  ///< the floor is higher in 99 % of the draws
  double middle_ohm = 0.0;
};

struct Proof {
  FloorShare ellipsoid;  ///< half-ellipsoid of the least resistive layer's soil, closed form
  FloorShare block;      ///< solid block in the layers as they are, lower bound of the field solution
  std::size_t refused_count = 0;  ///< draws that the block solution refuses; the closed form stands in for it
  bool is_proved = false;         ///< one of the floors is above in at least 99 % of its draws
  std::string sentence;           ///< what is proved or not, with the numbers
};

/// The floor that counts: the block's where it was asked, else the closed form's.
[[nodiscard]] const FloorShare& decisive_floor(const Proof& proof);

/// Proved means: in at least 99 % of the draws no electrode inside the volume can have the requirement. It
/// concerns new metal, alone or joined to the metal beside it that is stated, and no other metal already there. The block
/// is asked only where the closed form does not prove already. Throws DomainError for no draws, a volume that is not valid and a requirement that is not positive, and
/// if there is metal beside, but not one resistance for each draw.
[[nodiscard]] Proof prove_infeasible(const ProofQuestion& question);

}  // namespace ohmroot::design

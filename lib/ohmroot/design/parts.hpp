// SPDX-License-Identifier: MIT
#pragma once

#include <ohmroot/design/polygon.hpp>
#include <ohmroot/electrode/shape.hpp>
#include <ohmroot/text/fields.hpp>

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace ohmroot::design {

/// Square plates, each upright in a pit of its own.
struct Plates {
  double side_m;
  double depth_m;  ///< of their centres
  int greatest_count = 4;
};

/// Steel of a foundation that is there already and may be joined to the MET, by its footprint as bare metal in the soil:
/// concrete in contact with damp soil is taken to conduct as the soil does.
struct ExistingSteel {
  std::string name;
  PlanPoint corner;      ///< with the least x and y
  electrode::Mesh mesh;  ///< its bars, parallel to x and y
};

/// What can be driven, dug or joined here.
struct Parts {
  double rod_section_m = 1.2;  ///< length of one section
  double rod_diameter_m = 0.016;
  double greatest_drive_m = 0.0;  ///< depth that rods reach: rock, services, machine; 0: none can be driven
  int greatest_rod_count = 10;
  double trench_depth_m = 0.6;
  double tape_width_m = 0.025;
  bool may_lay_tape = true;  ///< bare conductor in the trench
  std::optional<Plates> plates = {};
  std::optional<ExistingSteel> steel = {};
};

/// Prices in one currency, labour included. Each is stated; none is assumed.
struct Prices {
  std::string currency;
  double section = 0.0;          // unit: currency; one rod section
  double coupler = 0.0;          // unit: currency; between two sections
  double head = 0.0;             // unit: currency; clamp and inspection pit of one rod
  double driving_per_m = 0.0;    // unit: currency per metre; any driving
  double trench_per_m = 0.0;     // unit: currency per metre; dug and filled in
  double tape_per_m = 0.0;       // unit: currency per metre; bare tape
  double conductor_per_m = 0.0;  // unit: currency per metre; insulated conductor between rods
  double test_lead_per_m =
      0.0;             // unit: currency per metre; of the current lead's run in the test, beside fixed
  double fixed = 0.0;  // unit: currency; coming to the site and the test of the electrode
  double plate = 0.0;  // unit: currency; one plate, its pit and its connection
  double steel = 0.0;  // unit: currency; joining the existing steel, the proof of its continuity included
};

/// How much of everything an electrode takes; its cost is linear in these.
struct Quantities {
  int section_count = 0;
  int coupler_count = 0;
  int head_count = 0;
  double driven_m = 0.0;
  double trench_m = 0.0;
  double tape_m = 0.0;
  double conductor_m = 0.0;
  int plate_count = 0;
  bool joins_steel = false;
};

[[nodiscard]] double cost_of(const Quantities& quantities, const Prices& prices);  // unit: currency

/// Numbers of sections that a rod may have: 1 up to what the driving depth holds. Empty where no section fits.
[[nodiscard]] std::vector<int> section_counts(const Parts& parts);

/// What can stand at each place of a group: rods by their number of sections, and 0 for a plate, where plates may be laid.
[[nodiscard]] std::vector<int> pieces(const Parts& parts);
[[nodiscard]] int greatest_count(const Parts& parts, int section_count);  ///< of such pieces in one group

/// The body of one piece.
[[nodiscard]] electrode::Shape piece_of(const Parts& parts, int section_count);

/// Throws DomainError, naming the argument, for lengths that are not positive (the driving depth may be 0), a
/// trench from 5 cm to 5 m that is not, fewer than 1 or more than 100 rods, and prices below zero.
void require_valid(const Parts& parts);
void require_valid(const Prices& prices);

/// The keys of [design.parts] and [design.prices], and their readers. A price that is missing is an error, as
/// is any that is negative; nothing is assumed.
[[nodiscard]] std::span<const text::KeySpec> part_keys();
[[nodiscard]] std::span<const text::KeySpec> price_keys();
[[nodiscard]] Parts read_parts(const text::Section& section);
/// parts: for what may be laid or joined by them, a price must be there.
[[nodiscard]] Prices read_prices(const text::Section& section, const Parts& parts);

/// The keys of [design.parts.steel], which read_parts() reads.
[[nodiscard]] std::span<const text::KeySpec> steel_keys();

}  // namespace ohmroot::design

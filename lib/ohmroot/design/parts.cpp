// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/parts.hpp>

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace ohmroot::design {
namespace {

using text::KeySpec;
using text::Kind;

constexpr double greatest_price = 1e6;  // of anything, in the currency

constexpr std::array keys_of_parts{
    KeySpec{.name = "rod_section",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.3,
            .greatest = 6,
            .is_required = true,
            .help = "length of one rod section"},
    KeySpec{.name = "rod_diameter",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.008,
            .greatest = 0.1,
            .is_required = true,
            .help = "of the rod"},
    KeySpec{.name = "rod_depth",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0,
            .greatest = 100,
            .is_required = true,
            .help = "that rods reach (rock, services, machine); 0 m: no rod can be driven"},
    KeySpec{.name = "rods",
            .kind = Kind::count,
            .least = 1,
            .greatest = 100,
            .default_text = "10",
            .help = "greatest number of rods"},
    KeySpec{.name = "trench_depth",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.05,
            .greatest = 5,
            .is_required = true,
            .help = "of the tape and of the conductor between rods"},
    KeySpec{.name = "tape_width",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.005,
            .greatest = 0.2,
            .default_text = "absent: no tape is laid",
            .help = "of the bare tape"},
    KeySpec{.name = "plate_side",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.1,
            .greatest = 3,
            .default_text = "absent: no plate is laid",
            .help = "of square plates, upright, each in a pit"},
    KeySpec{.name = "plate_depth",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.05,
            .greatest = 10,
            .default_text = "stated with plate_side",
            .help = "of the centre of a plate"},
    KeySpec{.name = "plates",
            .kind = Kind::count,
            .least = 1,
            .greatest = 20,
            .default_text = "4",
            .help = "greatest number of plates"},
    KeySpec{.name = "steel",
            .kind = Kind::table,
            .default_text = "none that may be joined",
            .help = "of a foundation that is there already"},
};

constexpr std::array keys_of_steel{
    KeySpec{.name = "name", .is_required = true, .help = "what it is the steel of"},
    KeySpec{.name = "corner",
            .kind = Kind::points,
            .dimension = Dimension::length,
            .least = -1e5,
            .greatest = 1e5,
            .is_required = true,
            .help = "one pair: the corner of its footprint with the least x and y"},
    KeySpec{.name = "length",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 1,
            .greatest = 200,
            .is_required = true,
            .help = "of the footprint along x"},
    KeySpec{.name = "width",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 1,
            .greatest = 200,
            .is_required = true,
            .help = "of the footprint along y"},
    KeySpec{.name = "depth",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.1,
            .greatest = 10,
            .is_required = true,
            .help = "of the bars"},
    KeySpec{.name = "meshes_along_length",
            .kind = Kind::count,
            .least = 1,
            .greatest = 10,
            .default_text = "1: bars round the footprint only",
            .help = "meshes between joined bars; finer ones hardly change the resistance"},
    KeySpec{.name = "meshes_along_width",
            .kind = Kind::count,
            .least = 1,
            .greatest = 10,
            .default_text = "1: bars round the footprint only",
            .help = "meshes between joined bars"},
    KeySpec{.name = "bar_diameter",
            .kind = Kind::quantity,
            .dimension = Dimension::length,
            .least = 0.005,
            .greatest = 0.05,
            .is_required = true,
            .help = "of the steel bars"},
};

constexpr KeySpec price_key(std::string_view name, std::string_view help) {
  return KeySpec{.name = name,
                 .kind = Kind::quantity,
                 .dimension = Dimension::ratio,
                 .least = 0,
                 .greatest = greatest_price,
                 .is_required = true,
                 .help = help};
}

constexpr std::array keys_of_prices{
    KeySpec{.name = "currency", .is_required = true, .help = "printed beside every price"},
    price_key("section", "one rod section"),
    price_key("coupler", "between two sections"),
    price_key("head", "clamp and inspection pit of one rod"),
    price_key("driving_per_metre", "labour and machine, per metre driven"),
    price_key("trench_per_metre", "dug and filled in, per metre"),
    price_key("tape_per_metre", "bare tape, per metre"),
    price_key("conductor_per_metre", "insulated conductor between rods and to the MET, per metre"),
    KeySpec{.name = "test_lead_per_metre",
            .kind = Kind::quantity,
            .dimension = Dimension::ratio,
            .least = 0,
            .greatest = greatest_price,
            .default_text = "0: the test costs what 'fixed' holds, however far its leads run",
            .help = "of the current lead's run in the test of the finished electrode"},
    price_key("fixed", "coming to the site and the test of the finished electrode"),
    KeySpec{.name = "plate",
            .kind = Kind::quantity,
            .dimension = Dimension::ratio,
            .least = 0,
            .greatest = greatest_price,
            .default_text = "stated where plates may be laid",
            .help = "one plate, its pit and its connection"},
    KeySpec{.name = "steel",
            .kind = Kind::quantity,
            .dimension = Dimension::ratio,
            .least = 0,
            .greatest = greatest_price,
            .default_text = "stated where steel may be joined",
            .help = "joining the existing steel, the proof of its continuity included"},
};

void require_price(const text::Section& section, const char* key, const char* permission) {
  if (!section.has(key))
    section.error("", "missing-key", fmt::format("{} is missing", key),
                  fmt::format("{} asks for its price; nothing is assumed", permission));
}

std::optional<Plates> read_plates(const text::Section& section) {
  const auto side_m = section.quantity("plate_side");
  const auto depth_m = section.quantity("plate_depth");
  if (section.has("plate_side") != section.has("plate_depth"))
    section.error(section.has("plate_side") ? "plate_side" : "plate_depth", "conflict",
                  "needs plate_side and plate_depth together");
  if (!side_m || !depth_m) return std::nullopt;
  if (*depth_m < *side_m / 2)
    section.error("plate_depth", "conflict", "is less than half of plate_side: the plate would stand out",
                  "plate_depth is that of the centre of the plate");
  return Plates{*side_m, *depth_m, section.count("plates").value_or(4)};
}

std::optional<ExistingSteel> read_steel(const text::Section& section) {
  const auto name = section.text("name");
  const auto corner = section.points("corner");
  const auto length_m = section.quantity("length"), width_m = section.quantity("width"),
             depth_m = section.quantity("depth"), diameter_m = section.quantity("bar_diameter");
  if (!name || !corner || !length_m || !width_m || !depth_m || !diameter_m) return std::nullopt;
  if (corner->size() != 1) {
    section.error("corner", "out-of-range", fmt::format("must be one pair, holds {}", corner->size()));
    return std::nullopt;
  }
  const electrode::Mesh mesh{{*length_m, section.count("meshes_along_length").value_or(1)},
                             {*width_m, section.count("meshes_along_width").value_or(1)},
                             *depth_m,
                             *diameter_m / 2};
  try {
    electrode::require_valid(electrode::Shape{mesh});
  } catch (const DomainError& error) {
    section.error("", "out-of-range", error.what());
    return std::nullopt;
  }
  return ExistingSteel{*name, {corner->front().x_m, corner->front().y_m}, mesh};
}

}  // namespace

double cost_of(const Quantities& q, const Prices& p) {
  return p.fixed + q.section_count * p.section + q.coupler_count * p.coupler + q.head_count * p.head +
         q.driven_m * p.driving_per_m + q.trench_m * p.trench_per_m + q.tape_m * p.tape_per_m +
         q.conductor_m * p.conductor_per_m + q.plate_count * p.plate + (q.joins_steel ? p.steel : 0.0);
}

std::vector<int> pieces(const Parts& parts) {
  std::vector<int> all = section_counts(parts);
  if (parts.plates) all.push_back(0);
  return all;
}

int greatest_count(const Parts& parts, int section_count) {
  return section_count == 0 && parts.plates ? parts.plates->greatest_count : parts.greatest_rod_count;
}

electrode::Shape piece_of(const Parts& parts, int section_count) {
  if (section_count > 0) return electrode::Rod{section_count * parts.rod_section_m, parts.rod_diameter_m};
  const Plates& plates = parts.plates.value();
  return electrode::RectangularPlate{plates.side_m, plates.side_m, plates.depth_m,
                                     electrode::PlateAttitude::vertical};
}

std::vector<int> section_counts(const Parts& parts) {
  require_valid(parts);
  constexpr double rounding_ratio = 1e-9;  // 3 sections of 1.2 m fit into 3.6 m
  const int most = static_cast<int>(parts.greatest_drive_m / parts.rod_section_m + rounding_ratio);
  std::vector<int> counts;
  for (int count = 1; count <= most; ++count)
    counts.push_back(count);
  return counts;
}

void require_valid(const Parts& parts) {
  require_within("rod_section_m", parts.rod_section_m, "m", {0.1, 100});
  require_within("rod_diameter_m", parts.rod_diameter_m, "m", {1e-3, 0.1});
  require_within("greatest_drive_m", parts.greatest_drive_m, "m", {0, 1000});
  require_within("greatest_rod_count", parts.greatest_rod_count, "", {1, 100});
  require_within("trench_depth_m", parts.trench_depth_m, "m", {0.05, 5});
  if (parts.may_lay_tape) require_within("tape_width_m", parts.tape_width_m, "m", {1e-3, 0.5});
  if (parts.plates) {
    electrode::require_valid(piece_of(parts, 0));
    require_within("plates.greatest_count", parts.plates->greatest_count, "", {1, 20});
  }
  if (parts.steel) electrode::require_valid(electrode::Shape{parts.steel->mesh});
}

void require_valid(const Prices& prices) {
  for (const double price : {prices.section, prices.coupler, prices.head, prices.driving_per_m,
                             prices.trench_per_m, prices.tape_per_m, prices.conductor_per_m,
                             prices.test_lead_per_m, prices.fixed, prices.plate, prices.steel})
    require_within("price", price, prices.currency, {0, greatest_price});
}

std::span<const text::KeySpec> part_keys() {
  return keys_of_parts;
}
std::span<const text::KeySpec> steel_keys() {
  return keys_of_steel;
}
std::span<const text::KeySpec> price_keys() {
  return keys_of_prices;
}

Parts read_parts(const text::Section& section) {
  Parts parts;
  parts.rod_section_m = section.quantity("rod_section").value_or(parts.rod_section_m);
  parts.rod_diameter_m = section.quantity("rod_diameter").value_or(parts.rod_diameter_m);
  parts.greatest_drive_m = section.quantity("rod_depth").value_or(parts.greatest_drive_m);
  parts.greatest_rod_count = section.count("rods").value_or(parts.greatest_rod_count);
  parts.trench_depth_m = section.quantity("trench_depth").value_or(parts.trench_depth_m);
  parts.may_lay_tape = section.has("tape_width");
  parts.tape_width_m = section.quantity("tape_width").value_or(parts.tape_width_m);
  parts.plates = read_plates(section);
  if (const auto steel = section.table("steel", keys_of_steel)) parts.steel = read_steel(*steel);
  const bool has_other = parts.may_lay_tape || section.has("plate_side") || section.has("steel");
  if (!has_other && section.has("rod_depth") && parts.greatest_drive_m < parts.rod_section_m)
    section.error("rod_depth", "nothing-possible",
                  "is less than one rod section, and there is no tape, plate or steel",
                  "give tape_width, plate_side, a shorter rod_section, or a greater rod_depth");
  return parts;
}

Prices read_prices(const text::Section& section, const Parts& parts) {
  Prices prices;
  prices.currency = section.text("currency").value_or("");
  prices.section = section.quantity("section").value_or(0.0);
  prices.coupler = section.quantity("coupler").value_or(0.0);
  prices.head = section.quantity("head").value_or(0.0);
  prices.driving_per_m = section.quantity("driving_per_metre").value_or(0.0);
  prices.trench_per_m = section.quantity("trench_per_metre").value_or(0.0);
  prices.tape_per_m = section.quantity("tape_per_metre").value_or(0.0);
  prices.conductor_per_m = section.quantity("conductor_per_metre").value_or(0.0);
  prices.test_lead_per_m = section.quantity("test_lead_per_metre").value_or(0.0);
  prices.fixed = section.quantity("fixed").value_or(0.0);
  if (parts.plates) require_price(section, "plate", "plate_side in [design.parts]");
  if (parts.steel) require_price(section, "steel", "[design.parts.steel]");
  prices.plate = section.quantity("plate").value_or(0.0);
  prices.steel = section.quantity("steel").value_or(0.0);
  return prices;
}

}  // namespace ohmroot::design

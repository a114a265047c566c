// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/design/parts.hpp>

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
};

}  // namespace

double cost_of(const Quantities& q, const Prices& p) {
  return p.fixed + q.section_count * p.section + q.coupler_count * p.coupler + q.head_count * p.head +
         q.driven_m * p.driving_per_m + q.trench_m * p.trench_per_m + q.tape_m * p.tape_per_m +
         q.conductor_m * p.conductor_per_m;
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
}

void require_valid(const Prices& prices) {
  for (const double price :
       {prices.section, prices.coupler, prices.head, prices.driving_per_m, prices.trench_per_m,
        prices.tape_per_m, prices.conductor_per_m, prices.test_lead_per_m, prices.fixed})
    require_within("price", price, prices.currency, {0, greatest_price});
}

std::span<const text::KeySpec> part_keys() {
  return keys_of_parts;
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
  if (!parts.may_lay_tape && section.has("rod_depth") && parts.greatest_drive_m < parts.rod_section_m)
    section.error("rod_depth", "nothing-possible", "is less than one rod section, and there is no tape",
                  "give tape_width, a shorter rod_section, or a greater rod_depth");
  return parts;
}

Prices read_prices(const text::Section& section) {
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
  return prices;
}

}  // namespace ohmroot::design

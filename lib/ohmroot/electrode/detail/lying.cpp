// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/rule.hpp>

#include <boost/math/special_functions/ellint_rf.hpp>

#include <array>
#include <cmath>
#include <numbers>

namespace ohmroot::electrode::detail {

namespace {

using std::numbers::pi;

/// What Dwight adds for the image in the surface of a straight conductor: with half the length as L and
/// TWICE the depth as s, ln(4L/s) + s/2L - s^2/16L^2 + s^4/512L^4.
double dwight_image(double length_m, double depth_m) {
  const double x = 4.0 * depth_m / length_m;  // s / L
  return std::log(4.0 / x) + x / 2.0 - x * x / 16.0 + x * x * x * x / 512.0;
}

double dwight_round_factor_per_m(const RoundConductor& conductor) {
  const double half_m = conductor.length_m / 2.0;
  const double own = std::log(8.0 * half_m / conductor.diameter_m) - 2.0;
  return (own + dwight_image(conductor.length_m, conductor.depth_m)) / (4.0 * pi * half_m);
}

double dwight_strip_factor_per_m(const Tape& tape) {
  const double half_m = tape.length_m / 2.0;
  const double a = tape.width_m;
  const double b = tape.thickness_m;
  const double own = std::log(4.0 * half_m / a) + (a * a - pi * a * b) / (2.0 * (a + b) * (a + b)) - 1.0;
  return (own + dwight_image(tape.length_m, tape.depth_m)) / (4.0 * pi * half_m);
}

/// A thin strip has the outside field of a round conductor half its width in diameter.
RoundConductor equivalent_round(const Tape& tape) {
  return {tape.length_m, tape.width_m / 2.0, tape.depth_m};
}

double equivalent_round_factor_per_m(const Tape& tape) {
  return dwight_round_factor_per_m(equivalent_round(tape));
}

/// ln(L^2 / (kappa h d)) / (2 pi L), L the whole length.
double kappa_factor_per_m(double kappa, const RoundConductor& conductor) {
  const double l = conductor.length_m;
  return std::log(l / conductor.diameter_m * (l / (kappa * conductor.depth_m))) / (2.0 * pi * l);
}

double kappa_136_factor_per_m(const Tape& tape) {
  return kappa_factor_per_m(1.36, {tape.length_m, tape.width_m, tape.depth_m});
}

// [ln(2 L^2/(w h)) + Q] / (P pi L) with P = 2 is kappa = exp(-Q) / 2.
double q_tape_factor_per_m(const Tape& tape) {
  return kappa_factor_per_m(std::exp(1.0) / 2.0, {tape.length_m, tape.width_m, tape.depth_m});
}

double q_round_factor_per_m(const RoundConductor& conductor) {
  return kappa_factor_per_m(std::exp(1.3) / 2.0, conductor);
}

double en50522_round_factor_per_m(const RoundConductor& conductor) {
  return std::log(2.0 * conductor.length_m / conductor.diameter_m) / (pi * conductor.length_m);
}

double dwight_ring_factor_per_m(const Ring& ring) {
  const double d = ring.ring_diameter_m;
  return (std::log(8.0 * d / ring.conductor_diameter_m) + std::log(2.0 * d / ring.depth_m)) /
         (2.0 * pi * pi * d);
}

double even_ring_factor_per_m(const Ring& ring) {
  const double d = ring.ring_diameter_m;
  const double slant_m = std::hypot(d, 2.0 * ring.depth_m);
  const double k = d / slant_m;
  const double k_complement = 2.0 * ring.depth_m / slant_m;
  // K(k) by Carlson's R_F, which keeps the digits that 1 - k^2 loses for a shallow ring.
  const double complete_k = boost::math::ellint_rf(0.0, k_complement * k_complement, 1.0);
  return (std::log(8.0 * d / ring.conductor_diameter_m) + k * complete_k) / (2.0 * pi * pi * d);
}

double en50522_ring_factor_per_m(const Ring& ring) {
  const double d = ring.ring_diameter_m;
  return std::log(2.0 * pi * d / ring.conductor_diameter_m) / (pi * pi * d);
}

// Validity boxes.

std::string beyond_round_box(const RoundConductor& conductor, double least_length, double deepest) {
  return first_of(
      {beyond({"the length of the conductor", "times its diameter", least_length, 10000.0},
              conductor.length_m / conductor.diameter_m),
       beyond({"the depth", "times the conductor's diameter", 2.0}, conductor.depth_m / conductor.diameter_m),
       beyond({"the depth", "times the conductor's length", 0.0, deepest},
              conductor.depth_m / conductor.length_m)});
}

std::string beyond_tape_box(const Tape& tape, double least_length, double deepest) {
  return first_of(
      {beyond({"the length of the tape", "times its width", least_length, 5000.0},
              tape.length_m / tape.width_m),
       beyond({"the depth", "times the tape's width", 1.0}, tape.depth_m / tape.width_m),
       beyond({"the depth", "times the tape's length", 0.0, deepest}, tape.depth_m / tape.length_m),
       beyond({"the thickness of the tape", "times its width", 0.0, 0.125},
              tape.thickness_m / tape.width_m)});
}

std::string beyond_ring_box(const Ring& ring, double least_diameter, double greatest_diameter,
                            double deepest) {
  return first_of(
      {beyond({"the ring's diameter", "times the conductor's", least_diameter, greatest_diameter},
              ring.ring_diameter_m / ring.conductor_diameter_m),
       beyond({"the depth", "times the conductor's diameter", 2.0}, ring.depth_m / ring.conductor_diameter_m),
       beyond({"the depth", "times the ring's diameter", 0.0, deepest},
              ring.depth_m / ring.ring_diameter_m)});
}

// Depths as parts of the length: up to a quarter the series of Dwight is whole (s up to half the length);
// the kappa forms lack its s/2L and turn optimistic as the depth grows.
template <int least_length, int part_of_length>
std::string beyond_round(const RoundConductor& conductor) {
  return beyond_round_box(conductor, least_length, 1.0 / part_of_length);
}

template <int least_length, int part_of_length>
std::string beyond_tape(const Tape& tape) {
  return beyond_tape_box(tape, least_length, 1.0 / part_of_length);
}

template <int least_diameter, int greatest_diameter, int part_of_diameter>
std::string beyond_ring(const Ring& ring) {
  return beyond_ring_box(ring, least_diameter, greatest_diameter, 1.0 / part_of_diameter);
}

// Texts that several formulas share.

constexpr std::string_view tape_symbols =
    "R = resistance [ohm]; rho = soil resistivity [ohm m]; L = whole length [m]; w = width [m]; h = depth "
    "of the centre [m]";
constexpr std::string_view round_symbols =
    "R = resistance [ohm]; rho = soil resistivity [ohm m]; L = whole length [m]; d = diameter [m]; h = "
    "depth of the centre [m]";
constexpr std::string_view ring_symbols =
    "R = resistance [ohm]; rho = soil resistivity [ohm m]; D = diameter of the ring [m]; d = diameter of "
    "the conductor [m]; s = TWICE the depth of the ring's centre line [m]";
constexpr std::string_view rule_symbols =
    "R = resistance [ohm]; rho = soil resistivity [ohm m]; L = whole length [m]";

constexpr std::string_view dwight_source =
    "H. B. Dwight, Transactions of the AIEE 55 (1936) 1319-1328; repeated in IEEE Std 142: from memory, "
    "series derived again";
constexpr std::string_view bs7430_source = "BS 7430:2011 cl. 9.5: from memory";
constexpr std::string_view bs7430_1998_source =
    "BS 7430:1998, table of P and Q, row for one straight conductor: from memory";
constexpr std::string_view en50522_source =
    "EN 50522 Annex J: from memory; written for an electrode at the surface, it has no depth";
constexpr std::string_view rule_source = "a lightning-protection guide of 2014, table 5.5.1, read";

// Bands for tapes, from an equipotential strip of L from 50 to 5000 w, once thin (equal to a round bar of
// w/2) and once an eighth as thick as wide (equal to one of 0.615 w): 25 mm x 3 mm is nearly that, and a
// tape whose thickness is not stated may be either. Truth over Dwight with the thickness not stated 0.931
// to 0.990, stated 0.965 to 0.993. kappa = 1.36 takes the mean potential of the strip too low: truth 1.005
// to 1.078, on the unsafe side everywhere; that is why Dwight's strip is the default and BS 7430's is not.
constexpr std::array<Rule<Tape>, 6> tape_rules{{
    {{.id = "tape-dwight-strip",
      .title = "Horizontal tape, average potential of even leakage",
      .expression = "R = rho / (4 pi l) [ln(4l/a) + (a^2 - pi a b) / (2 (a + b)^2) + ln(4l/s) - 1 + "
                    "s/(2l) - s^2/(16l^2) + s^4/(512l^4)]",
      .symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; l = HALF the length [m]; a = "
                 "width [m]; b = thickness, 0 if not stated [m]; s = TWICE the depth of the centre [m]",
      .source = dwight_source,
      .valid = "L = 2 l from 50 to 5000 a, depth from a to L/4, b at most a/8",
      .least_truth_ratio = 0.925,
      .greatest_truth_ratio = 0.997,
      .is_published = true},
     dwight_strip_factor_per_m,
     beyond_tape<50, 4>},
    {{.id = "tape-equivalent-round",
      .title = "Horizontal tape as a round conductor of half its width",
      .expression = "R = rho / (4 pi l) [ln(16l/w) + ln(4l/s) - 2 + s/(2l) - s^2/(16l^2) + s^4/(512l^4)]",
      .symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; l = HALF the length [m]; w = "
                 "width [m]; s = TWICE the depth of the centre [m]",
      .source =
          "derived for this library: the wire of Dwight (1936) with d = w/2, which is exact for a "
          "thin strip (EN 50522 takes d = w/2 too, from memory); w itself or w/pi in place of d is wrong",
      .valid = "L = 2 l from 50 to 5000 w, depth from w to L/4, thickness at most w/8",
      .least_truth_ratio = 0.940,
      .greatest_truth_ratio = 0.999,
      .is_published = false},
     equivalent_round_factor_per_m,
     beyond_tape<50, 4>},
    {{.id = "tape-kappa-1.36",
      .title = "Horizontal tape, kappa = 1.36",
      .expression = "R = rho / (2 pi L) ln(L^2 / (1.36 w h))",
      .symbols = tape_symbols,
      .source = "BS 7430:2011 cl. 9.5: from memory; optimistic: 3.5 % below a thin equipotential strip of "
                "20 m x 25 mm at 0.6 m (theory gives kappa = e^2/8 = 0.924), kept as published",
      .valid = "L from 50 to 5000 w, h from w to L/10",
      .least_truth_ratio = 0.998,
      .greatest_truth_ratio = 1.085,
      .is_published = true},
     kappa_136_factor_per_m,
     beyond_tape<50, 10>},
    {{.id = "tape-q-1998",
      .title = "Horizontal tape, P = 2 and Q = -1",
      .expression = "R = rho / (2 pi L) [ln(2 L^2 / (w h)) - 1]",
      .symbols = tape_symbols,
      .source = bs7430_1998_source,
      .valid = "L from 50 to 5000 w, h from w to L/10",
      .least_truth_ratio = 0.998,
      .greatest_truth_ratio = 1.085,
      .is_published = true},
     q_tape_factor_per_m,
     beyond_tape<50, 10>},
    {{.id = "tape-surface-en50522",
      .title = "Horizontal tape at the surface",
      .expression = "R = rho / (pi L) ln(2 L / d), d = w/2",
      .symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; L = whole length [m]; w = width "
                 "[m]",
      .source = en50522_source,
      .valid = "at the surface; buried it overstates: band for L from 50 to 5000 w, depth w to L/10",
      .least_truth_ratio = 0.54,
      .greatest_truth_ratio = 0.88,
      .is_published = true},
     [](const Tape& tape) { return en50522_round_factor_per_m(equivalent_round(tape)); },
     beyond_tape<50, 10>},
    {{.id = "tape-rule-of-thumb",
      .title = "Horizontal tape, rule of thumb",
      .expression = "R = 2 rho / L",
      .symbols = rule_symbols,
      .source = rule_source,
      .valid = "rough: band for L from 200 to 5000 w, depth w to L/10 (our bounds; the guide prints none)",
      .least_truth_ratio = 0.59,
      .greatest_truth_ratio = 1.37,
      .is_published = true},
     [](const Tape& tape) { return 2.0 / tape.length_m; },
     beyond_tape<200, 10>},
}};

// Bands for round conductors, from an equipotential bar of L from 100 to 10000 d, depth from 2 d: truth over
// Dwight 0.978 to 0.997 (kept in reference/: 0.9915 and 0.9924); over kappa = 1.83 0.982 to 1.013 and 1.85
// 0.983 to 1.0145, above 1 for depths past some L/20: so Dwight's series is the default.
constexpr std::array<Rule<RoundConductor>, 6> round_rules{{
    {{.id = "round-dwight",
      .title = "Horizontal round conductor, average potential of even leakage",
      .expression = "R = rho / (4 pi l) [ln(4l/a) + ln(4l/s) - 2 + s/(2l) - s^2/(16l^2) + s^4/(512l^4)]",
      .symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; l = HALF the length [m]; a = "
                 "RADIUS [m]; s = TWICE the depth of the centre [m]",
      .source = dwight_source,
      .valid = "L = 2 l from 100 to 10000 diameters, depth from 2 diameters to L/4",
      .least_truth_ratio = 0.975,
      .greatest_truth_ratio = 0.999,
      .is_published = true},
     dwight_round_factor_per_m,
     beyond_round<100, 4>},
    {{.id = "round-kappa-1.83",
      .title = "Horizontal round conductor, kappa = 1.83",
      .expression = "R = rho / (2 pi L) ln(L^2 / (1.83 h d))",
      .symbols = round_symbols,
      .source = bs7430_source,
      .valid = "L from 100 to 10000 d, h from 2 d to L/10",
      .least_truth_ratio = 0.978,
      .greatest_truth_ratio = 1.016,
      .is_published = true},
     [](const RoundConductor& conductor) { return kappa_factor_per_m(1.83, conductor); },
     beyond_round<100, 10>},
    {{.id = "round-kappa-1.85",
      .title = "Horizontal round conductor, kappa = 1.85",
      .expression = "R = rho / (2 pi L) ln(L^2 / (1.85 h d))",
      .symbols = round_symbols,
      .source = "public course notes on earthing design, read; ENA TS 41-24 and EREC S34: from memory; "
                "theory gives kappa = e^2/4 = 1.847",
      .valid = "L from 100 to 10000 d, h from 2 d to L/10",
      .least_truth_ratio = 0.979,
      .greatest_truth_ratio = 1.018,
      .is_published = true},
     [](const RoundConductor& conductor) { return kappa_factor_per_m(1.85, conductor); },
     beyond_round<100, 10>},
    {{.id = "round-q-1998",
      .title = "Horizontal round conductor, P = 2 and Q = -1.3",
      .expression = "R = rho / (2 pi L) [ln(2 L^2 / (d h)) - 1.3]",
      .symbols = round_symbols,
      .source = bs7430_1998_source,
      .valid = "L from 100 to 10000 d, h from 2 d to L/10",
      .least_truth_ratio = 0.978,
      .greatest_truth_ratio = 1.017,
      .is_published = true},
     q_round_factor_per_m,
     beyond_round<100, 10>},
    {{.id = "round-surface-en50522",
      .title = "Horizontal round conductor at the surface",
      .expression = "R = rho / (pi L) ln(2 L / d)",
      .symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; L = whole length [m]; d = "
                 "diameter [m]",
      .source = en50522_source,
      .valid = "at the surface; buried it overstates: band for L from 100 to 10000 d, depth 2 d to L/10",
      .least_truth_ratio = 0.55,
      .greatest_truth_ratio = 0.88,
      .is_published = true},
     en50522_round_factor_per_m,
     beyond_round<100, 10>},
    {{.id = "round-rule-of-thumb",
      .title = "Horizontal round conductor, rule of thumb",
      .expression = "R = 2 rho / L",
      .symbols = rule_symbols,
      .source = rule_source,
      .valid = "rough: band for L from 500 to 10000 d, depth 2 d to L/10 (our bounds; the guide prints "
               "none)",
      .least_truth_ratio = 0.63,
      .greatest_truth_ratio = 1.37,
      .is_published = true},
     [](const RoundConductor& conductor) { return 2.0 / conductor.length_m; },
     beyond_round<500, 10>},
}};

// Bands for rings: a thin ring leaks evenly by symmetry, so the complete elliptic integral is the truth
// (an axisymmetric solution of a 4 m ring of 8 mm at 0.6 m agrees within 1e-5); Dwight's logarithm for the
// image is its limit for small depth, 0.9946 at a fifth of the diameter.
constexpr std::array<Rule<Ring>, 4> ring_rules{{
    {{.id = "ring-dwight",
      .title = "Horizontal ring",
      .expression = "R = rho / (2 pi^2 D) [ln(8D/d) + ln(4D/s)]",
      .symbols = ring_symbols,
      .source = "H. B. Dwight, Transactions of the AIEE 55 (1936) 1319-1328, row of the ring; repeated in "
                "IEEE Std 142: from memory",
      .valid = "D from 100 to 10000 d, depth from 2 d to D/5",
      .least_truth_ratio = 0.990,
      .greatest_truth_ratio = 1.001,
      .is_published = true},
     dwight_ring_factor_per_m,
     beyond_ring<100, 10000, 5>},
    {{.id = "ring-even-leakage",
      .title = "Horizontal ring, whole image",
      .expression = "R = rho / (2 pi^2 D) [ln(8D/d) + k K(k)], k = D / sqrt(D^2 + s^2)",
      .symbols =
          "R = resistance [ohm]; rho = soil resistivity [ohm m]; D = diameter of the ring [m]; d = "
          "diameter of the conductor [m]; s = TWICE the depth of the ring's centre line [m]; K = complete "
          "elliptic integral of the first kind",
      .source = "derived for this library (classical potential theory); ring-dwight is its limit for "
                "small depth",
      .valid = "D from 100 to 10000 d, depth from 2 d to D",
      .least_truth_ratio = 0.998,
      .greatest_truth_ratio = 1.001,
      .is_published = false},
     even_ring_factor_per_m,
     beyond_ring<100, 10000, 1>},
    {{.id = "ring-surface-en50522",
      .title = "Horizontal ring at the surface",
      .expression = "R = rho / (pi^2 D) ln(2 pi D / d)",
      .symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; D = diameter of the ring [m]; d = "
                 "diameter of the conductor [m]",
      .source = "EN 50522 Annex J: from memory; written for an electrode at the surface, it has no depth; "
                "the exact ring half in the surface has ln(8D/d)",
      .valid = "at the surface; buried it overstates: band for D from 100 to 10000 d, depth 2 d to D/5",
      .least_truth_ratio = 0.60,
      .greatest_truth_ratio = 0.94,
      .is_published = true},
     en50522_ring_factor_per_m,
     beyond_ring<100, 10000, 5>},
    {{.id = "ring-rule-of-thumb",
      .title = "Horizontal ring, rule of thumb",
      .expression = "R = 2 rho / (3 D)",
      .symbols = "R = resistance [ohm]; rho = soil resistivity [ohm m]; D = diameter of the ring, or 1.13 "
                 "sqrt(area) [m]",
      .source = rule_source,
      .valid = "rough: band for D from 500 to 5000 d, depth 2 d to D/5 (our bounds; the guide prints none)",
      .least_truth_ratio = 0.78,
      .greatest_truth_ratio = 1.47,
      .is_published = true},
     [](const Ring& ring) { return 2.0 / (3.0 * ring.ring_diameter_m); },
     beyond_ring<500, 5000, 5>},
}};

}  // namespace

std::span<const Rule<Tape>> rules_for(const Tape&) {
  return tape_rules;
}
std::span<const Rule<RoundConductor>> rules_for(const RoundConductor&) {
  return round_rules;
}
std::span<const Rule<Ring>> rules_for(const Ring&) {
  return ring_rules;
}

}  // namespace ohmroot::electrode::detail

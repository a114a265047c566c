// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/supply/detail/locus.hpp>

#include <Eigen/Geometry>
#include <Eigen/QR>
#include <boost/math/tools/toms748_solve.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>

namespace ohmroot::supply::detail {

namespace {

using Place = Eigen::Vector3d;  // V / E, real and imaginary part, and the angle

constexpr double right_angle_rad = 1.5707963267948966;
constexpr double greatest_step = 0.1;
constexpr double least_step = 1e-9;
constexpr int step_limit = 5000;
constexpr int newton_limit = 12;
constexpr double settled = 4e-16;
// A step between two directions farther apart than this is halved.
constexpr double straight_cosine = 0.9;
constexpr double greatest_displacement_ratio = 100.0;
// Where an export and a load of one phase cancel at the open end, the curve has no direction there: it is left
// this far before the end, and the end taken as the limit of the points at these multiples of this angle.
constexpr double near_open_rad = 1e-4;
// Below this share of its rows' sizes a determinant is that of a point that is not alone.
constexpr double alone_ratio = 1e-9;

// A corner, as a ceiling makes it, has no room for two turns below this step.
constexpr double closest_look = 1e-4;

/// Whether the angle grows otherwise than between its slopes at both ends of a step.
bool hides_turns(const Place& change, const Place& along, const Place& next_along, double length) {
  constexpr double tolerance_ratio = 0.3;
  const double as_sloped = 0.5 * length * (along[2] + next_along[2]);
  return std::abs(change[2] - as_sloped) >
         tolerance_ratio * length * std::max(std::abs(along[2]), std::abs(next_along[2]));
}

/// Part of a step at which Newton does not settle (a ceiling may make a corner there).
struct Untaken {};

}  // namespace

Locus::Locus(const OpenPenCircuit& circuit, Phasor drawn_elsewhere_a)
    : source_v_(circuit.source_v), nominal_v_(circuit.nominal_v), drawn_elsewhere_a_(drawn_elsewhere_a) {
  const auto directions = phase_directions(circuit.is_sequence_reversed);
  for (const DefiniteLoad& load : drawing_loads(circuit)) {
    laws_.push_back(
        {source_v_ * directions[static_cast<std::size_t>(load.phase - 1)], load, current_direction(load)});
    scale_a_ += std::abs(current_at_a(load, source_v_, nominal_v_));
  }
  scale_a_ += std::abs(drawn_elsewhere_a_);
  if (scale_a_ == 0.0) throw InternalError("a locus of operating points needs a current");
}

Locus::Drawn Locus::drawn_at(Phasor displacement_v) const {
  Drawn drawn;
  drawn.current_a = -drawn_elsewhere_a_;
  for (const Law& law : laws_) {
    const Phasor across_v = law.source_v - displacement_v;
    const double size_v = std::abs(across_v);
    const bool is_linear = law.load.model == LoadModel::constant_impedance;
    if (is_linear) {
      const Phasor admittance_s = law.load.current_a / nominal_v_ * law.direction;
      drawn.current_a += admittance_s * across_v;
      drawn.along_real_s -= admittance_s;
      drawn.along_imag_s -= admittance_s * Phasor{0.0, 1.0};
      continue;
    }
    if (size_v <= 1e-12 * source_v_) {
      drawn.is_defined = false;
      return drawn;
    }
    // I = c f(|u|) u / |u|: across u it turns with u, along u it follows the law.
    const Phasor unit = across_v / size_v;
    const double size_a = current_at_a(law.load, size_v, nominal_v_);
    const double per_volt_s = size_a / size_v;
    const double slope_s = current_slope_s(law.load, size_v, nominal_v_);
    const auto change = [&](Phasor across_change) {
      const double along = (std::conj(unit) * across_change).real();
      return law.direction * (slope_s * along * unit + per_volt_s * (across_change - along * unit));
    };
    drawn.current_a += law.direction * size_a * unit;
    drawn.along_real_s += change({-1.0, 0.0});
    drawn.along_imag_s += change({0.0, -1.0});
  }
  return drawn;
}

bool Locus::comes_to_ceiling(Phasor from_v, Phasor to_v) const {
  return std::any_of(laws_.begin(), laws_.end(), [&](const Law& law) {
    if (law.load.model != LoadModel::constant_power || std::isinf(law.load.current_ceiling_a)) return false;
    const double corner_v = std::abs(law.load.current_a) * nominal_v_ / law.load.current_ceiling_a;
    return (std::abs(law.source_v - from_v) < corner_v) != (std::abs(law.source_v - to_v) < corner_v);
  });
}

double Locus::angle_of(double resistance_ohm) const {
  return std::isinf(resistance_ohm) ? right_angle_rad : std::atan(resistance_ohm * scale_a_ / source_v_);
}

Locus::Point Locus::point_at(const double (&x)[3]) const {
  Point point;
  point.displacement_v = source_v_ * Phasor{x[0], x[1]};
  point.angle_rad = x[2];
  point.resistance_ohm = x[2] >= right_angle_rad ? std::numeric_limits<double>::infinity()
                                                 : std::tan(x[2]) * source_v_ / scale_a_;
  point.current_a = drawn_at(point.displacement_v).current_a;
  return point;
}

/// The curve at one place: residual of cos(a) w - sin(a) I / scale, and its two gradients.
struct Locus::Step {
  const Locus& locus;

  struct Here {
    Phasor residual;
    Place real_row;
    Place imag_row;
    bool is_defined = true;
  };
  [[nodiscard]] Here at(const Place& place) const {
    const Phasor w{place[0], place[1]};
    const Drawn drawn = locus.drawn_at(locus.source_v_ * w);
    if (!drawn.is_defined) return {{}, {}, {}, false};
    const double cosine = std::cos(place[2]);
    const double sine = std::sin(place[2]);
    const double gain_ohm = locus.source_v_ / locus.scale_a_;
    const Phasor current = drawn.current_a / locus.scale_a_;
    const Phasor by_real = cosine - sine * gain_ohm * drawn.along_real_s;
    const Phasor by_imag = Phasor{0.0, cosine} - sine * gain_ohm * drawn.along_imag_s;
    const Phasor by_angle = -sine * w - cosine * current;
    return {cosine * w - sine * current,
            {by_real.real(), by_imag.real(), by_angle.real()},
            {by_real.imag(), by_imag.imag(), by_angle.imag()}};
  }

  /// Direction of the curve, forward from the healthy state. Its sense comes from the order of the rows, and keeps
  /// along the curve: a place that is met backwards belongs to another piece of it, beyond a turn.
  [[nodiscard]] static Place tangent(const Here& here) {
    return here.real_row.cross(here.imag_row).normalized();
  }

  /// The point of the curve a step away, in the plane across its direction there.
  [[nodiscard]] std::optional<Place> corrected(const Place& from, const Place& along, double length) const {
    Place place = from + length * along;
    double before = std::numeric_limits<double>::infinity();
    for (int turn = 0; turn < newton_limit; ++turn) {
      const Here here = at(place);
      if (!here.is_defined) return std::nullopt;
      const Place normal = here.real_row.cross(here.imag_row);
      const double determinant = normal.dot(along);
      if (std::abs(determinant) < 1e-14 * normal.norm() || !(normal.norm() > 0.0)) return std::nullopt;
      const Place change = -(here.residual.real() * here.imag_row.cross(along) +
                             here.residual.imag() * along.cross(here.real_row)) /
                           determinant;
      place += change;
      const double size = change.norm();
      if (!std::isfinite(size) || size > std::max(length, 1e-9)) return std::nullopt;
      // Newton ends where rounding stops it, a few last digits above nothing.
      if (size <= settled * (1.0 + place.norm()) || (size < 1e-11 && size >= 0.5 * before)) return place;
      before = size;
    }
    return before < 1e-12 ? std::optional<Place>(place) : std::nullopt;
  }
};

std::optional<Locus::Point> Locus::limit_at_open(const Point& near) const {
  if (right_angle_rad - near.angle_rad > near_open_rad) return std::nullopt;
  std::array<Phasor, 3> before_v;
  for (std::size_t k = 0; k < before_v.size(); ++k) {
    before_v[k] = k == 0 ? near.displacement_v : before_v[k - 1];
    const double apart_rad = near_open_rad * static_cast<double>(k + 1);
    if (!settle(before_v[k], right_angle_rad - apart_rad)) return std::nullopt;
    if (std::abs(before_v[k] - near.displacement_v) > 1e-2 * source_v_) return std::nullopt;
  }
  const Phasor limit_v = 3.0 * before_v[0] - 3.0 * before_v[1] + before_v[2];
  Phasor displacement_v = limit_v;
  if (!settle_nearest(displacement_v, right_angle_rad)) return std::nullopt;
  if (std::abs(displacement_v - limit_v) > 1e-6 * source_v_) return std::nullopt;
  return point_at({displacement_v.real() / source_v_, displacement_v.imag() / source_v_, right_angle_rad});
}

Locus::Reached Locus::follow(const std::function<double(const Point&)>& excess) const {
  const Reached reached = follow_curve(excess);
  if (reached.end != End::lost) return reached;
  const std::optional<Point> open = limit_at_open(reached.point);
  if (!open) return reached;
  return {*open, excess(*open) >= 0.0 ? End::reached : End::open};
}

Locus::Reached Locus::follow_curve(const std::function<double(const Point&)>& excess) const {
  const Step step{*this};
  const auto point_of = [this](const Place& place) { return point_at({place[0], place[1], place[2]}); };
  Place here = Place::Zero();
  Place along = Step::tangent(step.at(here));
  double length = 0.5 * greatest_step;
  for (int count = 0; count < step_limit; ++count) {
    std::optional<Place> next = step.corrected(here, along, length);
    Place next_along = along;
    if (next) next_along = Step::tangent(step.at(*next));
    // A sharp bend may be a jump to another branch; an angle that does not grow as its slopes at both ends say has
    // turned and turned back between them; and on the way to a ceiling, whose corner turns the curve back at once, it
    // may have turned before: look closer.
    if (!next || (along.dot(next_along) < straight_cosine && length > 1e-6) ||
        (length > closest_look && (hides_turns(*next - here, along, next_along, length) ||
                                   comes_to_ceiling(source_v_ * Phasor{here[0], here[1]},
                                                    source_v_ * Phasor{(*next)[0], (*next)[1]})))) {
      length *= 0.5;
      if (length < least_step) return {point_of(here), End::lost};
      continue;
    }
    const auto place_at = [&](double distance) {
      const std::optional<Place> place = step.corrected(here, along, distance);
      if (!place) throw Untaken{};
      return *place;
    };
    const auto first_zero = [&](const auto& function, double to) {
      // A step across a place where the curve has no direction shows as ends of one sign.
      const double at_start = function(0.0);
      const double at_end = function(to);
      if (!(at_start <= 0.0 && at_end >= 0.0) && !(at_start >= 0.0 && at_end <= 0.0)) throw Untaken{};
      std::uintmax_t iterations = 200;
      const auto bracket = boost::math::tools::toms748_solve(
          function, 0.0, to, at_start, at_end, boost::math::tools::eps_tolerance<double>(), iterations);
      return place_at(bracket.first);
    };
    const auto angle_growth = [&](double distance) {
      return distance == 0.0 ? along[2] : Step::tangent(step.at(place_at(distance)))[2];
    };
    try {
      End end = End::reached;
      double reach = length;
      if (next_along[2] <= 0.0) {
        end = End::turned;
        *next = first_zero(angle_growth, length);
        reach = (*next - here).dot(along);
      } else if ((*next)[2] >= right_angle_rad) {
        end = End::open;
        *next = first_zero([&](double d) { return (d == 0.0 ? here[2] : place_at(d)[2]) - right_angle_rad; },
                           length);
        (*next)[2] = right_angle_rad;
        // Beyond the open end resistances are negative, and the curve may run forward there again.
        if (along.dot(Step::tangent(step.at(*next))) < straight_cosine) throw Untaken{};
        reach = (*next - here).dot(along);
      }
      if (excess(point_of(*next)) >= 0.0) {
        // The end itself may be the passage; then rounding decides on which side it comes to lie.
        if (reach <= 0.0 || excess(point_of(place_at(reach))) < 0.0) return {point_of(*next), End::reached};
        const Place found =
            first_zero([&](double d) { return excess(point_of(d == 0.0 ? here : place_at(d))); }, reach);
        return {point_of(found), End::reached};
      }
      if (end != End::reached) return {point_of(*next), end};
    } catch (const Untaken&) {
      length *= 0.5;
      if (length < least_step) return {point_of(here), End::lost};
      continue;
    }
    here = *next;
    along = next_along;
    if (std::hypot(here[0], here[1]) > greatest_displacement_ratio) return {point_of(here), End::lost};
    length = std::min(greatest_step, 1.5 * length);
  }
  throw InternalError("operating point: the curve does not end");
}

/// False where neighbouring points solve the circuit too: none of them is an operating point of its own.
bool Locus::is_alone(Phasor displacement_v, double angle_rad) const {
  const Step::Here here =
      Step{*this}.at({displacement_v.real() / source_v_, displacement_v.imag() / source_v_, angle_rad});
  const double determinant = here.real_row[0] * here.imag_row[1] - here.real_row[1] * here.imag_row[0];
  const double size =
      std::hypot(here.real_row[0], here.real_row[1], std::hypot(here.imag_row[0], here.imag_row[1]));
  return here.is_defined && std::abs(determinant) > alone_ratio * size * size;
}

/// Newton by the shortest change, for a place where the two rows tell one thing only.
bool Locus::settle_nearest(Phasor& displacement_v, double angle_rad) const {
  const Step step{*this};
  for (int turn = 0; turn < newton_limit; ++turn) {
    const Step::Here here =
        step.at({displacement_v.real() / source_v_, displacement_v.imag() / source_v_, angle_rad});
    if (!here.is_defined) return false;
    if (std::abs(here.residual) <= settled) return true;
    Eigen::Matrix2d rows;
    rows << here.real_row[0], here.real_row[1], here.imag_row[0], here.imag_row[1];
    Eigen::CompleteOrthogonalDecomposition<Eigen::Matrix2d> inverse;
    inverse.setThreshold(alone_ratio);
    inverse.compute(rows);
    const Eigen::Vector2d change = inverse.solve(Eigen::Vector2d(here.residual.real(), here.residual.imag()));
    displacement_v -= source_v_ * Phasor{change[0], change[1]};
    if (!std::isfinite(std::abs(displacement_v))) return false;
  }
  return std::abs(drawn_at(displacement_v).current_a) <= 1e-12 * scale_a_;
}

bool Locus::settle(Phasor& displacement_v, double angle_rad) const {
  const Step step{*this};
  double before = std::numeric_limits<double>::infinity();
  for (int turn = 0; turn < 40; ++turn) {
    const Step::Here here =
        step.at({displacement_v.real() / source_v_, displacement_v.imag() / source_v_, angle_rad});
    if (!here.is_defined) return false;
    const double determinant = here.real_row[0] * here.imag_row[1] - here.real_row[1] * here.imag_row[0];
    if (determinant == 0.0) return false;
    const double real =
        (here.residual.real() * here.imag_row[1] - here.residual.imag() * here.real_row[1]) / determinant;
    const double imag =
        (here.residual.imag() * here.real_row[0] - here.residual.real() * here.imag_row[0]) / determinant;
    const Phasor change{real, imag};
    displacement_v -= source_v_ * change;
    const double size = std::abs(change);
    if (!std::isfinite(size)) return false;
    if (size <= settled * std::abs(displacement_v) / source_v_ || (size < 1e-11 && size >= 0.5 * before))
      return true;
    before = size;
  }
  return before < 1e-11;
}

Locus::Reached Locus::follow_to(double resistance_ohm) const {
  const double angle_rad = angle_of(resistance_ohm);
  Reached reached = follow([angle_rad](const Point& at) { return at.angle_rad - angle_rad; });
  if (reached.end == End::open) reached.end = End::reached;
  if (reached.end != End::reached) return reached;
  // Polished at the very resistance: the angle has lost digits where it is close to a right angle.
  Phasor displacement_v = reached.point.displacement_v;
  if (settle(displacement_v, angle_rad)) {
    reached.point.displacement_v = displacement_v;
    reached.point.current_a = drawn_at(displacement_v).current_a;
  }
  reached.point.angle_rad = angle_rad;
  reached.point.resistance_ohm = resistance_ohm;
  return reached;
}

std::vector<Phasor> Locus::all_at(double resistance_ohm) const {
  const double angle_rad = angle_of(resistance_ohm);
  std::vector<Phasor> found;
  const auto take = [&](Phasor start_v) {
    Phasor v = start_v;
    if (!settle(v, angle_rad) || std::abs(v) > greatest_displacement_ratio * source_v_) return;
    if (!is_alone(v, angle_rad)) return;
    const Drawn drawn = drawn_at(v);
    const Phasor residual =
        std::cos(angle_rad) * v / source_v_ - std::sin(angle_rad) * drawn.current_a / scale_a_;
    if (!drawn.is_defined || std::abs(residual) > 1e-9) return;
    const auto is_same = [&](Phasor other_v) { return std::abs(other_v - v) < 1e-6 * source_v_; };
    if (std::none_of(found.begin(), found.end(), is_same)) found.push_back(v);
  };
  constexpr int turn_count = 24;
  for (const double ratio : {0.02, 0.2, 0.5, 0.8, 0.95, 1.1, 1.5, 2.5}) {
    for (int turn = 0; turn < turn_count; ++turn)
      take(std::polar(ratio * source_v_, 4.0 * right_angle_rad * (turn + 0.25) / turn_count));
  }
  for (const Law& law : laws_) {
    for (int turn = 0; turn < 8; ++turn)
      take(law.source_v + std::polar(0.05 * source_v_, right_angle_rad * (turn + 0.5) / 2.0));
  }
  std::sort(found.begin(), found.end(), [](Phasor a, Phasor b) { return std::abs(a) < std::abs(b); });
  return found;
}

std::string end_sentence(const OpenPenCircuit& circuit, const Locus::Point& point, Locus::End end) {
  const auto direction = phase_directions(circuit.is_sequence_reversed);
  const auto across_v = [&](std::size_t k) {
    return std::abs(circuit.source_v * direction[k] - point.displacement_v);
  };
  return fmt::format(
      "the operating point reached from the healthy state is lost where what holds the neutral exceeds "
      "{:.4g} ohm, with {:.4g} V from the star point to the neutral and {:.4g}, {:.4g}, {:.4g} V across the "
      "loads: {}",
      point.resistance_ohm, std::abs(point.displacement_v), across_v(0), across_v(1), across_v(2),
      end == Locus::End::turned
          ? "they cannot draw what they are rated for, and what drops out then sets the voltage"
          : "the voltage across a load falls to nothing or generation lifts it beyond any use, and what "
            "drops out then sets the voltage");
}

}  // namespace ohmroot::supply::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/electrode/detail/influence.hpp>

#include <boost/math/quadrature/gauss.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <span>

namespace ohmroot::electrode::detail {
namespace {

using Eigen::ArrayXd;
using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// Beyond this many element lengths two Gauss points per element replace closed forms: error 2e-5 of a term
/// that is itself a small part of the whole.
constexpr double far_ratio = 4.0;
constexpr double four_pi = 4.0 * std::numbers::pi;

/// All Gauss points on [0, 1] with weights that add to one.
template <unsigned count>
struct Gauss {
  std::array<double, count> at{};
  std::array<double, count> weight{};
  Gauss() {
    using Rule = boost::math::quadrature::gauss<double, count>;
    std::size_t k = 0;
    for (std::size_t i = 0; i < Rule::abscissa().size(); ++i) {
      const double x = Rule::abscissa()[i];
      const double w = Rule::weights()[i] / 2.0;
      at[k] = (1.0 + x) / 2.0;
      weight[k++] = w;
      if (x == 0.0) continue;
      at[k] = (1.0 - x) / 2.0;
      weight[k++] = w;
    }
  }
};

const std::array<double, 2> two_points{0.5 - 0.5 / std::numbers::sqrt3, 0.5 + 0.5 / std::numbers::sqrt3};

// ---- Two elements on parallel lines, in closed form ----

/// Second antiderivative of 1 / sqrt(u^2 + d^2).
double antiderivative(double u, double squared_distance) {
  const double r = std::sqrt(u * u + squared_distance);
  return u * std::asinh(u / std::sqrt(squared_distance)) - r;
}

/// Its mean over the angle between two points on one tube, chord 2 a sin(angle / 2). Far along the tube by
/// the series in a / u (mean of ln chord = ln a, of its powers: derived); close by quadrature, the angle
/// being pi t^2 to tame the logarithm.
double tube_antiderivative(double u, double radius) {
  u = std::abs(u);
  const double q = radius / u;
  if (q < 1.0 / 6.0) {
    const double q2 = q * q;
    return u * (std::log(2.0 / q) - 1.0 - q2 * (0.5 - q2 * (0.1875 - q2 * 0.20833333333333334)));
  }
  static const Gauss<15> rule;
  double mean = 0.0;
  for (std::size_t k = 0; k < rule.at.size(); ++k) {
    const double t = rule.at[k];
    const double chord = 2.0 * radius * std::sin(std::numbers::pi * t * t / 2.0);
    mean += rule.weight[k] * 2.0 * t * antiderivative(u, chord * chord);
  }
  return mean;
}

/// A source piece as it appears in one image.
struct Line {
  Vector3d start;
  Vector3d direction;
};

void add_parallel(MatrixXd& block, const Piece& receiver, const Piece& source, const Line& image,
                  double weight) {
  const Vector3d between = image.start - receiver.start;
  const double ahead = between.dot(receiver.direction);
  const double sign = receiver.direction.dot(image.direction) > 0.0 ? 1.0 : -1.0;
  const double radius = std::max(receiver.radius_m, source.radius_m);
  const double squared = (between - ahead * receiver.direction).squaredNorm();
  const bool is_one_tube = squared < 1e-6 * radius * radius;
  const double squared_distance = std::max(squared, radius * radius);  // tubes that overlap: mean of ln
  const Index rows = block.rows();
  const Index columns = block.cols();
  MatrixXd table(rows + 1, columns + 1);
  for (Index k = 0; k <= columns; ++k) {
    const double at = ahead + sign * source.breaks_m[static_cast<std::size_t>(k)];
    for (Index i = 0; i <= rows; ++i) {
      const double u = receiver.breaks_m[static_cast<std::size_t>(i)] - at;
      table(i, k) = is_one_tube ? tube_antiderivative(u, radius) : antiderivative(u, squared_distance);
    }
  }
  for (Index k = 0; k < columns; ++k)
    for (Index i = 0; i < rows; ++i)
      block(i, k) -= weight * sign * (table(i + 1, k + 1) - table(i, k + 1) - table(i + 1, k) + table(i, k));
}

// ---- Elements at an angle ----

/// Integral of 1 / distance along a segment, squared distances given a little more.
double segment_integral(const Vector3d& point, const Vector3d& from, const Vector3d& to, double length,
                        double more) {
  const double r1 = std::sqrt((point - from).squaredNorm() + more);
  const double r2 = std::sqrt((point - to).squaredNorm() + more);
  return std::log1p(2.0 * length / std::max(r1 + r2 - length, 1e-300));
}

/// Outer quadrature with points that crowd at both ends, where elements may meet.
template <unsigned count>
struct CrowdedGauss : Gauss<count> {
  CrowdedGauss() {
    for (std::size_t k = 0; k < count; ++k) {
      const double t = this->at[k];
      this->weight[k] *= 6.0 * t * (1.0 - t);
      this->at[k] = t * t * (3.0 - 2.0 * t);
    }
  }
};

/// What bars in contact add to the squared distance of their axes, chords between their walls: for a bar
/// that goes on at a bend of no angle those of one tube, for crossing bars their mean.
struct Chords {
  std::array<double, 8> squared;
  std::array<double, 8> weight;
  std::size_t count;
};

constexpr Chords no_chord{{0.0}, {1.0}, 1};  // apart, the mean value on the axis is exact

Chords chords_of(const Piece& receiver, const Piece& source, const Line& image) {
  static const Gauss<8> rule;
  const double squares = receiver.radius_m * receiver.radius_m + source.radius_m * source.radius_m;
  const double product =
      2.0 * receiver.radius_m * source.radius_m * std::abs(receiver.direction.dot(image.direction));
  if (product < 1e-2 * squares) return {{squares}, {1.0}, 1};
  Chords chords{{}, {}, rule.at.size()};
  for (std::size_t k = 0; k < chords.count; ++k) {
    const double t = rule.at[k];
    chords.squared[k] = squares - product * std::cos(std::numbers::pi * t * t);
    chords.weight[k] = rule.weight[k] * 2.0 * t;
  }
  return chords;
}

/// An element of a source as a segment.
struct Segment {
  Vector3d from;
  Vector3d to;
  double length;
};

template <class Rule>
double outer_integral(const Rule& rule, const Vector3d& start, const Vector3d& along, const Segment& source,
                      const Chords& chords) {
  double sum = 0.0;
  for (std::size_t k = 0; k < rule.at.size(); ++k) {
    const Vector3d point = start + rule.at[k] * along;
    for (std::size_t c = 0; c < chords.count; ++c)
      sum += rule.weight[k] * chords.weight[c] *
             segment_integral(point, source.from, source.to, source.length, chords.squared[c]);
  }
  return sum;
}

void add_oblique(MatrixXd& block, const Piece& receiver, const Piece& source, const Line& image,
                 double weight) {
  static const Gauss<2> coarse;
  static const Gauss<7> plain;
  static const CrowdedGauss<15> crowded;
  const double reach = 1.01 * (receiver.radius_m + source.radius_m);
  const Vector3d image_end = image.start + source.length_m() * image.direction;
  const Vector3d receiver_end = receiver.at(receiver.length_m());
  const bool touch =
      std::min({(image.start - receiver.start).norm(), (image.start - receiver_end).norm(),
                (image_end - receiver.start).norm(), (image_end - receiver_end).norm()}) < reach;
  const Chords chords = touch ? chords_of(receiver, source, image) : no_chord;
  for (Index k = 0; k < block.cols(); ++k) {
    const auto c = static_cast<std::size_t>(k);
    const Segment segment{image.start + source.breaks_m[c] * image.direction,
                          image.start + source.breaks_m[c + 1] * image.direction,
                          source.breaks_m[c + 1] - source.breaks_m[c]};
    for (Index i = 0; i < block.rows(); ++i) {
      const auto r = static_cast<std::size_t>(i);
      const Vector3d start = receiver.at(receiver.breaks_m[r]);
      const double length = receiver.breaks_m[r + 1] - receiver.breaks_m[r];
      const Vector3d along = length * receiver.direction;
      const double gap =
          (start + 0.5 * along - 0.5 * (segment.from + segment.to)).norm() - 0.5 * (length + segment.length);
      const double mean = gap > far_ratio * length ? outer_integral(coarse, start, along, segment, no_chord)
                          : gap > 0.5 * length     ? outer_integral(plain, start, along, segment, chords)
                                                   : outer_integral(crowded, start, along, segment, chords);
      block(i, k) += weight * length * mean;
    }
  }
}

void add_near(MatrixXd& block, const Piece& receiver, const Piece& source, const Line& image, double weight) {
  const bool is_parallel = receiver.direction.cross(image.direction).squaredNorm() < 1e-16;
  if (is_parallel)
    add_parallel(block, receiver, source, image, weight);
  else
    add_oblique(block, receiver, source, image, weight);
}

// ---- Images ----

/// A way seen from the receiver: path = receiver_sign * its depth + source_sign * the source's depth + offset
/// + shift.
struct Path {
  double receiver_sign;
  double source_sign;
  double offset;
  std::span<const double> shifts;
  std::span<const double> weights;

  [[nodiscard]] Line image_of(const Piece& source, double shift) const {
    const double mirror = -receiver_sign * source_sign;
    Line line{source.start, source.direction};
    line.start.z() = mirror * source.start.z() - receiver_sign * (offset + shift);
    line.direction.z() *= mirror;
    return line;
  }
};

template <class Visitor>
void visit_paths(const earth::ImageKernel& kernel, std::size_t receiver_layer, std::size_t source_layer,
                 const Visitor& visit) {
  static constexpr double no_shift = 0.0;
  if (receiver_layer == source_layer) {
    const double weight = kernel.soil().layers()[source_layer].resistivity_ohm_m / four_pi;
    visit(Path{1.0, -1.0, 0.0, {&no_shift, 1}, {&weight, 1}});
  }
  const bool is_receiver_upper = receiver_layer <= source_layer;
  const auto [upper, lower] = std::minmax(receiver_layer, source_layer);
  for (const earth::ImageWay& way : kernel.ways({upper, lower})) {
    const double receiver_sign = is_receiver_upper ? way.upper_sign : way.lower_sign;
    const double source_sign = is_receiver_upper ? way.lower_sign : way.upper_sign;
    visit(Path{receiver_sign, source_sign, way.offset_m, kernel.shifts_m(), way.weights_ohm_m});
  }
}

/// The two Gauss points of every element.
struct FarPoints {
  ArrayXd x;
  ArrayXd y;
  ArrayXd z;
};

FarPoints far_points(const Piece& piece) {
  const auto count = static_cast<Index>(2 * piece.element_count());
  FarPoints points{ArrayXd(count), ArrayXd(count), ArrayXd(count)};
  for (std::size_t e = 0; e < piece.element_count(); ++e) {
    for (std::size_t g = 0; g < 2; ++g) {
      const double from = piece.breaks_m[e];
      const Vector3d at = piece.at(from + two_points[g] * (piece.breaks_m[e + 1] - from));
      const auto k = static_cast<Index>(2 * e + g);
      points.x[k] = at.x();
      points.y[k] = at.y();
      points.z[k] = at.z();
    }
  }
  return points;
}

/// Sum over images of weight / distance.
double image_sum(std::span<const double> weights, std::span<const double> shifts, double squared_distance,
                 double path) {
  const auto size = static_cast<Index>(weights.size());
  const Eigen::Map<const ArrayXd> w(weights.data(), size);
  const Eigen::Map<const ArrayXd> b(shifts.data(), size);
  return (w / ((b + path).square() + squared_distance).sqrt()).sum();
}

/// How many of a path's images are too near for two points per element.
std::size_t near_count(const Path& path, double least_path, double least_horizontal, double length) {
  const double squared = far_ratio * far_ratio * length * length - least_horizontal * least_horizontal;
  if (squared <= 0.0) return 0;
  const double wanted = std::sqrt(squared);
  std::size_t count = 0;
  while (count < path.shifts.size() && least_path + path.shifts[count] < wanted)
    ++count;
  return count;
}

double least_gap(double from_a, double to_a, double from_b, double to_b) {
  return std::max({std::min(from_a, to_a) - std::max(from_b, to_b),
                   std::min(from_b, to_b) - std::max(from_a, to_a), 0.0});
}

/// Lower bound of the horizontal distance of two pieces: of the boxes around them.
double horizontal_gap(const Piece& a, const Piece& b) {
  const Vector3d a_end = a.at(a.length_m());
  const Vector3d b_end = b.at(b.length_m());
  return std::hypot(least_gap(a.start.x(), a_end.x(), b.start.x(), b_end.x()),
                    least_gap(a.start.y(), a_end.y(), b.start.y(), b_end.y()));
}

/// Least length of a path between two pieces; 0 for the direct one, which has no least from depths alone.
double least_path(const Path& path, const Piece& receiver, const Piece& source) {
  const double receiver_end = receiver.at(receiver.length_m()).z();
  const double source_end = source.at(source.length_m()).z();
  const bool is_direct = path.receiver_sign * path.source_sign < 0.0 && path.offset == 0.0;
  if (is_direct) return least_gap(receiver.start.z(), receiver_end, source.start.z(), source_end);
  return std::max(0.0, std::min(path.receiver_sign * receiver.start.z(), path.receiver_sign * receiver_end) +
                           std::min(path.source_sign * source.start.z(), path.source_sign * source_end) +
                           path.offset);
}

}  // namespace

MatrixXd influence_block(const earth::ImageKernel& kernel, const Piece& receiver, const Piece& source) {
  const auto rows = static_cast<Index>(receiver.element_count());
  const auto columns = static_cast<Index>(source.element_count());
  MatrixXd near = MatrixXd::Zero(rows, columns);  // double integrals
  MatrixXd block = MatrixXd::Zero(rows, columns);
  const FarPoints p = far_points(receiver);
  const FarPoints q = far_points(source);
  const double length = std::max(receiver.greatest_element_m(), source.greatest_element_m());
  const double apart = horizontal_gap(receiver, source);
  visit_paths(kernel, receiver.layer, source.layer, [&](const Path& path) {
    const std::size_t count = near_count(path, least_path(path, receiver, source), apart, length);
    for (std::size_t j = 0; j < count; ++j)
      add_near(near, receiver, source, path.image_of(source, path.shifts[j]), path.weights[j]);
    const auto weights = path.weights.subspan(count);
    const auto shifts = path.shifts.subspan(count);
    if (weights.empty()) return;
    for (Index k = 0; k < 2 * columns; ++k) {
      for (Index i = 0; i < 2 * rows; ++i) {
        const double dx = p.x[i] - q.x[k];
        const double dy = p.y[i] - q.y[k];
        const double way = path.receiver_sign * p.z[i] + path.source_sign * q.z[k] + path.offset;
        block(i / 2, k / 2) += 0.25 * image_sum(weights, shifts, dx * dx + dy * dy, way);
      }
    }
  });
  for (Index k = 0; k < columns; ++k) {
    const auto c = static_cast<std::size_t>(k);
    const double source_length = source.breaks_m[c + 1] - source.breaks_m[c];
    for (Index i = 0; i < rows; ++i) {
      const auto r = static_cast<std::size_t>(i);
      block(i, k) += near(i, k) / (source_length * (receiver.breaks_m[r + 1] - receiver.breaks_m[r]));
    }
  }
  return block;
}

VectorXd influence_at(const earth::ImageKernel& kernel, const Vector3d& point, const Piece& source) {
  const auto count = static_cast<Index>(source.element_count());
  VectorXd result = VectorXd::Zero(count);
  const FarPoints q = far_points(source);
  const double length = source.greatest_element_m();
  const Vector3d end = source.at(source.length_m());
  const double apart = std::hypot(least_gap(point.x(), point.x(), source.start.x(), end.x()),
                                  least_gap(point.y(), point.y(), source.start.y(), end.y()));
  visit_paths(kernel, kernel.layer_of(point.z()), source.layer, [&](const Path& path) {
    const double nearest = path.receiver_sign * point.z() + path.offset +
                           std::min(path.source_sign * source.start.z(), path.source_sign * end.z());
    const bool is_direct = path.weights.size() == 1 && path.source_sign < 0.0;
    const std::size_t near = near_count(path, is_direct ? 0.0 : std::max(nearest, 0.0), apart, length);
    for (std::size_t j = 0; j < near; ++j) {
      const Line image = path.image_of(source, path.shifts[j]);
      for (Index k = 0; k < count; ++k) {
        const auto c = static_cast<std::size_t>(k);
        const double element = source.breaks_m[c + 1] - source.breaks_m[c];
        result[k] += path.weights[j] / element *
                     segment_integral(point, image.start + source.breaks_m[c] * image.direction,
                                      image.start + source.breaks_m[c + 1] * image.direction, element, 0.0);
      }
    }
    const auto weights = path.weights.subspan(near);
    if (weights.empty()) return;
    for (Index k = 0; k < 2 * count; ++k) {
      const double dx = point.x() - q.x[k];
      const double dy = point.y() - q.y[k];
      const double way = path.receiver_sign * point.z() + path.source_sign * q.z[k] + path.offset;
      result[k / 2] += 0.5 * image_sum(weights, path.shifts.subspan(near), dx * dx + dy * dy, way);
    }
  });
  return result;
}

}  // namespace ohmroot::electrode::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/routes/detail/share_field.hpp>
#include <ohmroot/routes/share_curve.hpp>

#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>

namespace ohmroot::routes {

namespace {

using detail::Share;
using detail::ShareField;
using electrode::Conductor;
using electrode::FieldStatus;

constexpr double half_turn_deg = 180.0;
constexpr int sample_count = 49;

/// The share at any distance along a line. The surface needs one solution, an electrode one for each place.
class SharesAlong {
public:
  explicit SharesAlong(const ShareLine& along) : along_(along), metal_(joined(along.metal)) {
    require_finite("line.at.x_m", along.line.at.x_m, "m");
    require_finite("line.at.y_m", along.line.at.y_m, "m");
    require_finite("line.direction_deg", along.line.direction_deg, "deg");
    if (const auto* shape = std::get_if<electrode::Shape>(&along.receiver)) {
      bars_ = electrode::conductors_of(*shape);
      for (const Conductor& bar : bars_)
        nearest_m_ = std::min({nearest_m_, bar.from.x_m, bar.to.x_m});
    } else {
      surface_.emplace(along.soil, metal_, bars_);
      note(*surface_);
    }
  }

  double operator()(double distance_m) {
    const Share share = surface_ ? on_surface(distance_m) : on_electrode(distance_m);
    error_ratio_ = std::max(error_ratio_, share.error_ratio);
    return share.ratio;
  }

  [[nodiscard]] double error_ratio() const { return error_ratio_; }
  [[nodiscard]] FieldStatus status() const { return status_; }

private:
  void note(const ShareField& field) {
    if (field.status() == FieldStatus::coarse) status_ = FieldStatus::coarse;
  }

  [[nodiscard]] electrode::SurfacePlace place_at(double distance_m) const {
    const double angle = along_.line.direction_deg * std::numbers::pi / half_turn_deg;
    return {along_.line.at.x_m + distance_m * std::cos(angle),
            along_.line.at.y_m + distance_m * std::sin(angle)};
  }

  [[nodiscard]] Share on_surface(double distance_m) const {
    const electrode::SurfacePlace at = place_at(distance_m);
    return surface_->of_surface({&at, 1}).front();
  }

  Share on_electrode(double distance_m) {
    const PlanPose pose{place_at(distance_m - nearest_m_), along_.line.direction_deg};
    const ShareField field(along_.soil, metal_, placed(bars_, pose));
    note(field);
    return field.of_electrode();
  }

  const ShareLine& along_;
  electrode::Electrode metal_;
  std::vector<Conductor> bars_;
  double nearest_m_ = std::numeric_limits<double>::infinity();  // of the electrode along its own x
  std::optional<ShareField> surface_;
  double error_ratio_ = 0.0;
  FieldStatus status_ = FieldStatus::converged;
};

void require_question(const DistanceQuestion& question) {
  if (!(question.level_ratio > 0.0 && question.level_ratio < 1.0))
    throw DomainError("level_ratio", question.level_ratio, "1", "above 0 and below 1");
  require_positive("least_m", question.least_m, "m");
  require_within("greatest_m", question.greatest_m, "m", {question.least_m, 1e5});
  if (!(question.greatest_m > question.least_m))
    throw DomainError("greatest_m", question.greatest_m, "m", "greater than least_m");
}

std::string sentence_of(const ShareDistance& answer, const DistanceQuestion& question) {
  const std::string level = fmt::format("{:.4g}", 100.0 * question.level_ratio);
  const std::string distance = format_number(answer.distance_m, 3) + " m";
  const std::string share = format_number(100.0 * answer.share_ratio, 3);
  switch (answer.status) {
  case DistanceStatus::found:
    return fmt::format("beyond {} less than {} % of the metal's potential is transferred", distance, level);
  case DistanceStatus::below_throughout:
    return fmt::format("less than {} % is transferred from {} on, the nearest looked at ({} % there)", level,
                       distance, share);
  case DistanceStatus::not_within:
    return fmt::format("the share does not fall below {} % within {}: it is still {} % there", level,
                       distance, share);
  }
  throw InternalError("sentence_of: a status without a sentence");
}

/// Between a distance where the share is not below the level and the next, where it is; the far end of the bracket.
double crossing_m(SharesAlong& share_at, double level_ratio, std::pair<double, double> bracket_m) {
  std::uintmax_t iterations = 60;
  const auto off = [&](double distance_m) { return share_at(distance_m) - level_ratio; };
  const auto close = [](double a, double b) { return std::abs(b - a) <= 1e-3 * std::min(a, b); };
  const auto found =
      boost::math::tools::toms748_solve(off, bracket_m.first, bracket_m.second, close, iterations);
  return found.second;
}

/// From the far end inwards, so that a share that rises again on the way is not overlooked.
ShareDistance sought(SharesAlong& share_at, const DistanceQuestion& question) {
  const double step_ratio = std::pow(question.greatest_m / question.least_m, 1.0 / (sample_count - 1));
  double beyond_m = question.greatest_m;
  double beyond_ratio = share_at(beyond_m);
  if (beyond_ratio >= question.level_ratio)
    return {DistanceStatus::not_within, beyond_m, beyond_ratio, 0.0, {}};
  for (int i = sample_count - 2; i >= 0; --i) {
    const double here_m = question.least_m * std::pow(step_ratio, i);
    const double here_ratio = share_at(here_m);
    if (here_ratio >= question.level_ratio) {
      const double found_m = crossing_m(share_at, question.level_ratio, {here_m, beyond_m});
      return {DistanceStatus::found, found_m, share_at(found_m), 0.0, {}};
    }
    beyond_m = here_m;
    beyond_ratio = here_ratio;
  }
  return {DistanceStatus::below_throughout, beyond_m, beyond_ratio, 0.0, {}};
}

}  // namespace

ShareCurve share_curve(const ShareLine& along, std::span<const double> distances_m) {
  if (distances_m.empty()) throw DomainError("distances_m", "none", "at least one");
  for (const double distance_m : distances_m)
    require_not_negative("distances_m", distance_m, "m");
  SharesAlong share_at(along);
  ShareCurve curve{{distances_m.begin(), distances_m.end()}, {}, 0.0, FieldStatus::converged};
  for (const double distance_m : distances_m)
    curve.share_ratio.push_back(share_at(distance_m));
  curve.error_ratio = share_at.error_ratio();
  curve.status = share_at.status();
  return curve;
}

ShareDistance distance_for_share(const ShareLine& along, const DistanceQuestion& question) {
  require_question(question);
  SharesAlong share_at(along);
  ShareDistance answer = sought(share_at, question);
  answer.error_ratio = share_at.error_ratio();
  answer.sentence = sentence_of(answer, question);
  return answer;
}

}  // namespace ohmroot::routes

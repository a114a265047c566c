// SPDX-License-Identifier: MIT
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/sounding/detail/fits.hpp>

#include <boost/math/tools/toms748_solve.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>

namespace ohmroot::sounding::detail {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

enum class Side { least, greatest };

/// One end of a profile interval: ln of the quantity.
struct End {
  double at;
  bool is_resolved;
};

/// Two neighbouring points of a profile: the outermost one found within the allowed rise and the next, which is
/// beyond it unless the profile is still within at the bound of the search.
struct Bracket {
  Minimum within;
  double within_at;
  double beyond;
  bool is_closed;
};

/// A quantity whose profile is wanted: a parameter, or the sum or difference of two.
class Profile {
public:
  Profile(const FitProblem& problem, Search& found, const Hold& quantity, double rise)
      : problem_(problem), found_(found), quantity_(quantity), rise_(rise) {}

  [[nodiscard]] ParameterInterval interval() {
    const double first_step = 0.8 * expected_half_width();
    const double value = value_of(found_.best.at);
    const End least = end(Side::least, first_step);
    const End greatest = end(Side::greatest, first_step);
    return {std::exp(value), std::exp(least.at), std::exp(greatest.at), least.is_resolved,
            greatest.is_resolved};
  }

private:
  [[nodiscard]] double value_of(const VectorXd& p) const {
    return p[quantity_.parameter] + quantity_.sign * p[quantity_.other];
  }

  [[nodiscard]] double bound(Side side) const {
    const VectorXd& near = side == Side::least ? problem_.least() : problem_.greatest();
    const VectorXd& far = side == Side::least ? problem_.greatest() : problem_.least();
    const VectorXd& other = quantity_.sign >= 0.0 ? near : far;
    return near[quantity_.parameter] + quantity_.sign * other[quantity_.other];
  }

  /// The objective at its least with the quantity held. Looked for from the last point and, where another valley of
  /// the search promises less, from there too.
  [[nodiscard]] Minimum at(double value, const VectorXd& start) const {
    Hold hold = quantity_;
    hold.value = value;
    const auto moved = [&](VectorXd p) {
      p[hold.parameter] = value - hold.sign * p[hold.other];
      return problem_.inside(p);
    };
    Minimum best = minimum_from(problem_, moved(start), hold);
    constexpr std::size_t valleys_tried = 3;
    std::size_t tried = 0;
    for (const Minimum& valley : found_.valleys) {
      if (tried == valleys_tried) break;
      const bool is_same =
          (valley.at - best.at).head(problem_.soil_parameter_count()).cwiseAbs().maxCoeff() < 0.7;
      const bool is_hopeless = valley.chi_square > found_.best.chi_square + rise_;
      if (is_same || is_hopeless) continue;
      ++tried;
      best = std::min(best, minimum_from(problem_, moved(valley.at), hold), is_better);
    }
    return best;
  }

  /// Half-width of the interval if the objective were a parabola: a scale for the first step, no more.
  [[nodiscard]] double expected_half_width() const {
    const auto rows = problem_.rows(found_.best.at, FitProblem::Route::fast, true);
    const Eigen::MatrixXd inverse = rows.jacobian.completeOrthogonalDecomposition().pseudoInverse();
    const Eigen::RowVectorXd row =
        inverse.row(quantity_.parameter) + quantity_.sign * inverse.row(quantity_.other);
    return std::clamp(std::sqrt(rise_) * row.norm(), 0.005, 1.0);
  }

  /// Follows the profile from the best fit outwards to the bound of the search, so that a second dip is not missed.
  /// Keeps any better fit that it comes across.
  [[nodiscard]] Bracket bracket(double limit, Side side, double first_step) {
    const double centre = value_of(found_.best.at);
    const double outermost = bound(side);
    const double direction = side == Side::least ? -1.0 : 1.0;
    Bracket result{found_.best, centre, outermost, false};
    Minimum last = found_.best;
    for (double distance = first_step;; distance *= result.is_closed ? 2.0 : 1.5) {
      const bool is_at_bound = distance >= std::abs(outermost - centre);
      const double here = is_at_bound ? outermost : centre + direction * distance;
      last = at(here, last.at);
      if (last.chi_square < found_.best.chi_square) found_.best = last;
      if (last.chi_square <= limit)
        result = {last, here, outermost, false};
      else if (!result.is_closed)
        result = {result.within, result.within_at, here, true};
      if (is_at_bound) return result;
    }
  }

  /// Where the profile leaves the allowed rise for good, on one side of the best fit.
  [[nodiscard]] End end(Side side, double first_step) {
    const double limit = found_.best.chi_square + rise_;
    const auto [within, start, beyond, is_closed] = bracket(limit, side, first_step);
    if (!is_closed) return {beyond, false};
    const double length = beyond - start;
    const auto excess = [&, from = start, from_at = within.at](double way) {
      return at(from + way * length, from_at).chi_square - limit;
    };
    const double excess_within = within.chi_square - limit;
    const double excess_beyond = excess(1.0);
    if (!(excess_within < 0.0 && excess_beyond > 0.0)) return {beyond, true};
    const auto is_close = [length = length](double a, double b) { return std::abs((a - b) * length) < 1e-4; };
    std::uintmax_t call_count = 40;
    const auto [from, to] = boost::math::tools::toms748_solve(excess, 0.0, 1.0, excess_within, excess_beyond,
                                                              is_close, call_count);
    return {start + (from + to) / 2.0 * length, true};
  }

  const FitProblem& problem_;
  Search& found_;
  Hold quantity_;
  double rise_;
};

double ln_width(const ParameterInterval& interval) {
  return std::log(interval.greatest / interval.least);
}

bool is_resolved(const ParameterInterval& interval) {
  return interval.is_least_resolved && interval.is_greatest_resolved;
}

/// Equivalence: of a layer whose resistivity and thickness are both loose, but not their quotient (S) or product (T).
std::optional<Equivalence> equivalence_of(const SoilFit& fit, const FitProblem& problem, Search& found,
                                          Index layer, double rise) {
  constexpr double loose = 0.69;  // both wider than a factor of two
  constexpr double tighter_ratio = 0.5;
  const auto index = static_cast<std::size_t>(layer);
  const double width = std::min(ln_width(fit.resistivity_ohm_m[index]), ln_width(fit.thickness_m[index]));
  if (width < loose) return std::nullopt;
  const Hold quotient{problem.layer_count() + layer, layer, -1.0, 0.0};
  const Hold product{problem.layer_count() + layer, layer, 1.0, 0.0};
  const ParameterInterval s = Profile(problem, found, quotient, rise).interval();
  const ParameterInterval t = Profile(problem, found, product, rise).interval();
  const bool is_s = ln_width(s) < ln_width(t);
  const ParameterInterval& better = is_s ? s : t;
  if (!is_resolved(better) || ln_width(better) > tighter_ratio * width) return std::nullopt;
  const auto number = [](double value) { return format_number(value, 2); };
  return Equivalence{
      static_cast<int>(layer), is_s ? EquivalenceKind::conductance : EquivalenceKind::transverse_resistance,
      better,
      fmt::format(
          "layer {}: thickness and resistivity cannot be told apart, only their {} {} = {} {} ({} to {})",
          layer + 1, is_s ? "quotient" : "product", is_s ? "S" : "T", number(better.value),
          is_s ? "siemens" : "ohm m2", number(better.least), number(better.greatest))};
}

}  // namespace

void fill_intervals(SoilFit& fit, const FitProblem& problem, Search& found) {
  const double rise = allowed_rise_ratio(fit);
  fit.resistivity_ohm_m.clear();
  fit.thickness_m.clear();
  fit.equivalences.clear();
  for (Index k = 0; k < problem.soil_parameter_count(); ++k) {
    auto& intervals = problem.is_thickness(k) ? fit.thickness_m : fit.resistivity_ohm_m;
    intervals.push_back(Profile(problem, found, {k}, rise).interval());
  }
  for (Index layer = 0; layer + 1 < problem.layer_count(); ++layer)
    if (auto found_one = equivalence_of(fit, problem, found, layer, rise))
      fit.equivalences.push_back(*found_one);
}

}  // namespace ohmroot::sounding::detail

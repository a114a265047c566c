// SPDX-License-Identifier: MIT
// Does asking for the next spacing save readings? The same sites, the same readings with the same errors, the same
// stopping rule, read in three orders.
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/sounding/next_spacing.hpp>
#include <ohmroot/sounding/posterior.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/spacing_plan.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <numeric>
#include <sounding/random_soil.hpp>

using namespace ohmroot;
using namespace ohmroot::sounding;

namespace {

constexpr RodInQuestion rod{6.0, 0.016};
constexpr double error_ratio = 0.05;
/// Read until the interval is no wider than this times that of all readings, in ln(R).
constexpr double slack_ratio = 1.15;

struct Known {
  double ln_width;     // unit: none; upper over lower end, ln
  double ln_variance;  // unit: none
  bool holds_truth;
};

struct Site {
  double truth_ohm;
  std::vector<FourPoleReading> all;  ///< the whole plan, from narrow to wide
};

Site draw_site(test::Random& random) {
  const earth::LayeredSoil soil = test::random_soil(random, 1 + random.below(3));
  Site site;
  site.truth_ohm = rod_resistances_ohm({soil}, rod).front();
  for (const PlannedSpacing& planned : plan_spacings({rod.length_m, 0.0}, {60.0}).spacings) {
    FourPoleReading reading = wenner_reading(planned.spacing_m, 1.0);
    reading.relative_error_ratio = error_ratio;
    reading.resistance_ohm = modelled_apparent_resistivity_ohm_m(soil, reading) / planned.geometric_factor_m *
                             std::exp(error_ratio * random.normal());
    site.all.push_back(reading);
  }
  return site;
}

/// What is known of the rod from some of the readings of a site.
class Sounding {
public:
  explicit Sounding(const Site& site) : site_(site) {}

  Known known(const std::vector<std::size_t>& taken) {
    std::vector<FourPoleReading> readings;
    for (const std::size_t i : taken)
      readings.push_back(site_.all[i]);
    PosteriorOptions options;
    options.sample_count = 200;
    options.draw_count = 5000;
    options.greatest_layer_count = 3;
    soils_ = sample_posterior(readings, options).soils;
    rod_ohm_ = rod_resistances_ohm(soils_, rod);
    std::vector<double> ln_ohm;
    for (const double value : rod_ohm_)
      ln_ohm.push_back(std::log(value));
    std::sort(ln_ohm.begin(), ln_ohm.end());
    const double mean =
        std::accumulate(ln_ohm.begin(), ln_ohm.end(), 0.0) / static_cast<double>(ln_ohm.size());
    double variance = 0.0;
    for (const double value : ln_ohm)
      variance += (value - mean) * (value - mean) / static_cast<double>(ln_ohm.size() - 1);
    const double truth = std::log(site_.truth_ohm);
    return {quantile(ln_ohm, 0.95) - quantile(ln_ohm, 0.05), variance,
            quantile(ln_ohm, 0.05) <= truth && truth <= quantile(ln_ohm, 0.95)};
  }

  /// Of those not taken, the one to take next, and the share of the variance that it is expected to leave.
  std::pair<std::size_t, double> next(const std::vector<std::size_t>& taken) const {
    std::vector<std::size_t> open;
    std::vector<FourPoleReading> candidates;
    for (std::size_t i = 0; i < site_.all.size(); ++i) {
      if (std::find(taken.begin(), taken.end(), i) != taken.end()) continue;
      open.push_back(i);
      candidates.push_back(site_.all[i]);
    }
    const NextSpacing found = next_spacing(soils_, rod_ohm_, candidates);
    return {open[found.best_index], found.gains[found.best_index].variance_left_ratio};
  }

private:
  const Site& site_;
  std::vector<earth::LayeredSoil> soils_;
  std::vector<double> rod_ohm_;
};

struct Counts {
  std::vector<double> narrow_first;  ///< readings taken, per site
  std::vector<double> spread_first;
  std::vector<double> asked;
  int narrow_holds = 0;
  int spread_holds = 0;
  int asked_holds = 0;
  int all_holds = 0;
  double predicted_left = 0.0;
  double found_left = 0.0;
  int step_count = 0;
};

struct Stop {
  double reading_count;  // unit: none
  bool holds_truth;
};

Stop read_in_order(Sounding& sounding, const std::vector<std::size_t>& order, double target) {
  std::vector<std::size_t> taken(order.begin(), order.begin() + 3);
  Known now = sounding.known(taken);
  while (taken.size() < order.size() && now.ln_width > target) {
    taken.push_back(order[taken.size()]);
    now = sounding.known(taken);
  }
  return {static_cast<double>(taken.size()), now.holds_truth};
}

void read_site(const Site& site, Counts& counts) {
  Sounding sounding(site);
  const std::size_t count = site.all.size();
  std::vector<std::size_t> narrow(count);
  std::iota(narrow.begin(), narrow.end(), std::size_t{0});
  const std::vector<std::size_t> start{0, count / 2, count - 1};
  std::vector<std::size_t> spread = start;
  for (const std::size_t i : narrow) {
    if (std::find(start.begin(), start.end(), i) == start.end()) spread.push_back(i);
  }
  const Known whole = sounding.known(narrow);
  const double target = slack_ratio * whole.ln_width;
  counts.all_holds += whole.holds_truth ? 1 : 0;
  const Stop narrow_stop = read_in_order(sounding, narrow, target);
  counts.narrow_first.push_back(narrow_stop.reading_count);
  counts.narrow_holds += narrow_stop.holds_truth ? 1 : 0;
  const Stop spread_stop = read_in_order(sounding, spread, target);
  counts.spread_first.push_back(spread_stop.reading_count);
  counts.spread_holds += spread_stop.holds_truth ? 1 : 0;

  std::vector<std::size_t> taken = start;
  Known now = sounding.known(taken);
  while (taken.size() < count && now.ln_width > target) {
    const auto [index, left] = sounding.next(taken);
    taken.push_back(index);
    const Known after = sounding.known(taken);
    counts.predicted_left += left;
    counts.found_left += after.ln_variance / now.ln_variance;
    ++counts.step_count;
    now = after;
  }
  counts.asked.push_back(static_cast<double>(taken.size()));
  counts.asked_holds += now.holds_truth ? 1 : 0;
}

struct Saving {
  double mean;            // unit: none; readings
  double standard_error;  // unit: none
};

Saving saving(const std::vector<double>& fixed, const std::vector<double>& asked) {
  double sum = 0.0;
  double squares = 0.0;
  for (std::size_t i = 0; i < fixed.size(); ++i) {
    sum += fixed[i] - asked[i];
    squares += (fixed[i] - asked[i]) * (fixed[i] - asked[i]);
  }
  const double n = static_cast<double>(fixed.size());
  return {sum / n, std::sqrt((squares / n - sum * sum / n / n) / (n - 1.0))};
}

Counts simulate(int site_count, std::uint64_t seed) {
  test::Random random(seed);
  Counts counts;
  for (int i = 0; i < site_count; ++i)
    read_site(draw_site(random), counts);
  const auto mean = [](const std::vector<double>& v) {
    return std::accumulate(v.begin(), v.end(), 0.0) / static_cast<double>(v.size());
  };
  const Saving narrow = saving(counts.narrow_first, counts.asked);
  const Saving spread = saving(counts.spread_first, counts.asked);
  std::printf("%d sites: readings %.2f asked, %.2f narrow first, %.2f spread first; saving %.2f +- %.2f and "
              "%.2f +- %.2f; "
              "truth held %d asked, %d narrow, %d spread, %d all; variance left per step %.2f predicted, "
              "%.2f found (%d steps)\n",
              site_count, mean(counts.asked), mean(counts.narrow_first), mean(counts.spread_first),
              narrow.mean, narrow.standard_error, spread.mean, spread.standard_error, counts.asked_holds,
              counts.narrow_holds, counts.spread_holds, counts.all_holds,
              counts.predicted_left / counts.step_count, counts.found_left / counts.step_count,
              counts.step_count);
  return counts;
}

}  // namespace

TEST_CASE("asking for the next spacing saves readings against a fixed plan (240 sites)", "[slow][saving]") {
  const Counts counts = simulate(240, 20261126);
  const Saving narrow = saving(counts.narrow_first, counts.asked);
  CHECK(narrow.mean > 2.0 * narrow.standard_error);
}

TEST_CASE("asking for the next spacing saves readings against a fixed plan (sample)", "[saving]") {
  const Counts counts = simulate(4, 20261127);
  const Saving narrow = saving(counts.narrow_first, counts.asked);
  CHECK(narrow.mean > 0.0);
}

// SPDX-License-Identifier: MIT
#include "layer_chain.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/sounding/detail/soil_model.hpp>
#include <ohmroot/sounding/posterior.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/rod_reading.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace {

using namespace ohmroot;
using sounding::FourPoleReading;

/// Exact readings of a soil; stated error 3 %.
std::vector<FourPoleReading> readings_over(const earth::LayeredSoil& soil, int count) {
  std::vector<FourPoleReading> readings;
  for (int i = 0; i < count; ++i) {
    const double spacing_m = 0.5 * std::pow(1.5, i);
    FourPoleReading reading = sounding::wenner_reading(spacing_m, 1.0);
    reading.relative_error_ratio = 0.03;
    reading.resistance_ohm =
        sounding::modelled_apparent_resistivity_ohm_m(soil, reading) / (2.0 * std::numbers::pi * spacing_m);
    readings.push_back(reading);
  }
  return readings;
}

std::vector<double> top_resistivities(const sounding::SoilPosterior& posterior) {
  std::vector<double> values;
  for (const earth::LayeredSoil& soil : posterior.soils)
    values.push_back(soil.layers().front().resistivity_ohm_m);
  std::sort(values.begin(), values.end());
  return values;
}

sounding::PosteriorOptions quick(int greatest_layer_count) {
  sounding::PosteriorOptions options;
  options.greatest_layer_count = greatest_layer_count;
  options.sample_count = 200;
  return options;
}

}  // namespace

// A target whose evidence is known: prior normal(0, 1) in each of three directions, S = |x|^2 / s^2. With the
// common factor marginalised the evidence is an integral over one radius (chi distribution with 3 degrees of
// freedom), done here by the midpoint rule.
TEST_CASE("annealing finds the evidence and the spread of a known target", "[sounding][posterior]") {
  constexpr double error = 0.1;
  constexpr double count = 8.0;
  sounding::detail::Target target;
  target.reading_count = count;
  target.draw_prior = [](sounding::detail::Random& random) {
    return Eigen::VectorXd(Eigen::Vector3d(random.normal(), random.normal(), random.normal()));
  };
  target.ln_prior = [](const Eigen::VectorXd& x) { return -0.5 * x.squaredNorm(); };
  target.misfit = [](const Eigen::VectorXd& x) { return x.squaredNorm() / (error * error); };
  double evidence = 0.0;
  double square = 0.0;
  constexpr double step = 1e-4;
  for (double r = step / 2; r < 8.0; r += step) {
    const double density = std::sqrt(2.0 / std::numbers::pi) * r * r * std::exp(-0.5 * r * r);
    const double likelihood = std::exp(sounding::detail::ln_likelihood_of(r * r / (error * error), count));
    evidence += density * likelihood * step;
    square += density * likelihood * r * r * step;
  }
  double sum = 0.0;
  double square_sum = 0.0;
  constexpr int runs = 8;
  for (std::uint64_t seed = 1; seed <= runs; ++seed) {
    sounding::detail::Random random(seed);
    const auto population = sounding::detail::anneal(target, 500, random);
    sum += population.ln_evidence / runs;
    square_sum += population.points.colwise().squaredNorm().mean() / runs;
  }
  CHECK(sum == Approx(std::log(evidence)).margin(0.15));
  CHECK(square_sum == Approx(square / evidence).epsilon(0.1));
}

// Without data the walk must give the prior back, which is known: each number of layers a third as likely as the one before, steps c of density
// c^2 exp(-c^2 / (2 x 0.9^2)), whose mean square is 3 x 0.9^2, the first of m ordered boundaries at 1 / (m + 1) of the range when they may touch. Any mistake in the odds of a jump
// between numbers of layers moves the shares.
TEST_CASE("without readings the walk through numbers of layers gives the prior back",
          "[sounding][posterior]") {
  const auto readings = readings_over(earth::LayeredSoil(80.0), 9);
  std::vector<sounding::detail::SoilModel> models;
  std::vector<sounding::detail::Target> targets;
  sounding::detail::Random random(20261128);
  for (int layer_count = 1; layer_count <= 5; ++layer_count)
    models.emplace_back(readings, sounding::StakeDepthRule::effective_point, layer_count);
  for (const auto& model : models) {
    sounding::detail::Target target = model.target();
    target.misfit = [](const Eigen::VectorXd&) { return 0.0; };
    targets.push_back(target);
  }
  const double from = models.front().ln_shallowest();
  const double to = models.front().ln_deepest();
  constexpr int kept_count = 50'000;
  const auto points = layer_chain::walked(targets, {from, to, 1'000'000, kept_count}, random);
  std::array<double, 5> visits{};
  double square = 0.0;
  double place = 0.0;
  for (const auto& point : points) {
    visits.at(point.boundary_count) += 1.0;
    if (point.boundary_count == 1) place += (point.parameters[2] - from) / (to - from);
    if (point.boundary_count == 4) square += std::pow(point.parameters[4] - point.parameters[3], 2);
  }
  double share = 0.0;
  for (int k = 0; k < 5; ++k)
    share += std::pow(3.0, -k);
  share = 1.0 / share;
  for (const double count : visits) {
    CHECK(count / kept_count == Approx(share).margin(0.02));
    share /= 3.0;
  }
  CHECK(place / visits[1] == Approx(0.5).margin(0.02));
  CHECK(std::sqrt(square / visits[4]) == Approx(0.9 * std::sqrt(3.0)).epsilon(0.04));  // the prior's step
}

// Two routes that share the target and nothing else: draws weighed by mixtures, and the walk checked above.
TEST_CASE("weighed draws share out the numbers of layers as a walk through them does",
          "[sounding][posterior]") {
  struct Case {
    earth::LayeredSoil truth;
    int step_count;
  };
  for (const Case& c : {Case{earth::LayeredSoil({{100.0, 2.0}, {30.0, 0.0}}), 400'000},
                        Case{earth::LayeredSoil({{100.0, 1.5}, {300.0, 3.0}, {60.0, 0.0}}), 1'000'000}}) {
    const auto readings = readings_over(c.truth, 10);
    constexpr int greatest_layer_count = 4;
    std::vector<sounding::detail::SoilModel> models;
    std::vector<sounding::detail::Target> targets;
    for (int layer_count = 1; layer_count <= greatest_layer_count; ++layer_count)
      models.emplace_back(readings, sounding::StakeDepthRule::effective_point, layer_count);
    for (const auto& model : models)
      targets.push_back(model.target());
    sounding::detail::Random random(20261205);
    const auto points = layer_chain::walked(
        targets, {models.front().ln_shallowest(), models.front().ln_deepest(), c.step_count, 20'000}, random);
    auto options = quick(greatest_layer_count);
    options.sample_count = 4000;
    const auto posterior = sounding::sample_posterior(readings, options);
    CHECK(posterior.status == sounding::PosteriorStatus::converged);
    CHECK(posterior.effective_sample_count > 2000.0);
    for (std::size_t k = 0; k < models.size(); ++k) {
      const auto visits = std::count_if(points.begin(), points.end(),
                                        [&](const auto& point) { return point.boundary_count == k; });
      CAPTURE(k, posterior.layer_counts[k].share_ratio);
      CHECK(posterior.layer_counts[k].share_ratio ==
            Approx(static_cast<double>(visits) / static_cast<double>(points.size()))
                .margin(0.06));  // two standard deviations of the walk
    }
    // What a reading beyond the last would be, 5 and 95 %.
    std::vector<double> walked, drawn;
    const FourPoleReading beyond = sounding::wenner_reading(30.0, 1.0);
    for (std::size_t i = 0; i < points.size(); i += 10)
      walked.push_back(sounding::modelled_apparent_resistivity_ohm_m(
          models[points[i].boundary_count].soil_of(points[i].parameters), beyond));
    for (const earth::LayeredSoil& soil : posterior.soils)
      drawn.push_back(sounding::modelled_apparent_resistivity_ohm_m(soil, beyond));
    std::sort(walked.begin(), walked.end());
    std::sort(drawn.begin(), drawn.end());
    for (const double part : {0.05, 0.5, 0.95})
      CHECK(quantile(drawn, part) == Approx(quantile(walked, part)).epsilon(0.05));
  }
}

TEST_CASE("the posterior of a two-layer soil holds it and favours two layers over one",
          "[sounding][posterior]") {
  const earth::LayeredSoil truth({{100.0, 2.0}, {30.0, 0.0}});
  const auto posterior = sounding::sample_posterior(readings_over(truth, 10), quick(3));
  REQUIRE(posterior.soils.size() == 200);
  REQUIRE(posterior.layer_counts.size() == 3);
  CHECK(posterior.layer_counts[0].share_ratio < 1e-3);
  CHECK(posterior.layer_counts[1].share_ratio > 0.2);
  double sum = 0.0;
  for (const auto& belief : posterior.layer_counts)
    sum += belief.share_ratio;
  CHECK(sum == Approx(1.0));
  const std::vector<double> tops = top_resistivities(posterior);
  CHECK(quantile(tops, 0.05) < 100.0);
  CHECK(quantile(tops, 0.95) > 100.0);
  CHECK(quantile(tops, 0.05) > 85.0);
  CHECK_THAT(posterior.prior, Catch::Contains("our judgement"));
}

TEST_CASE("uniform soil is believed uniform, as narrowly as its readings say", "[sounding][posterior]") {
  const auto posterior = sounding::sample_posterior(readings_over(earth::LayeredSoil(80.0), 9), quick(3));
  CHECK(posterior.layer_counts[0].share_ratio > 0.8);
  const std::vector<double> tops = top_resistivities(posterior);
  // Nine readings of 3 %: one standard deviation of 1 %, the error factor about 1 at most.
  CHECK(quantile(tops, 0.5) == Approx(80.0).epsilon(0.01));
  CHECK(quantile(tops, 0.95) / quantile(tops, 0.05) < 1.06);
}

TEST_CASE("one reading leaves uniform soil with the stated error and more", "[sounding][posterior]") {
  const auto posterior = sounding::sample_posterior(readings_over(earth::LayeredSoil(80.0), 1), quick(5));
  CHECK(posterior.layer_counts.size() == 1);
  const std::vector<double> tops = top_resistivities(posterior);
  CHECK(quantile(tops, 0.05) < 80.0 * std::exp(-1.2 * 0.03));
  CHECK(quantile(tops, 0.95) > 80.0 * std::exp(1.2 * 0.03));
}

TEST_CASE("readings that no soil explains widen their errors", "[sounding][posterior]") {
  std::vector<FourPoleReading> readings = readings_over(earth::LayeredSoil(80.0), 8);
  const auto calm = top_resistivities(sounding::sample_posterior(readings, quick(1)));
  for (std::size_t i = 0; i < readings.size(); ++i)
    readings[i].resistance_ohm *= i % 2 == 0 ? 1.3 : 1 / 1.3;  // up and down faster than any layers
  const auto wild = top_resistivities(sounding::sample_posterior(readings, quick(1)));
  CHECK(quantile(wild, 0.95) / quantile(wild, 0.05) > 1.15);
  CHECK(quantile(calm, 0.95) / quantile(calm, 0.05) < 1.06);
}

// A tester that cannot show more than 200 ohm at short spacings over a resistive top: what it could not show is not
// thrown away, and what is below it anyway says nothing.
TEST_CASE("an over-range reading holds the soil up, and only where the soil would be below it",
          "[sounding][posterior]") {
  const earth::LayeredSoil truth({{2000.0, 1.0}, {100.0, 0.0}});
  std::vector<FourPoleReading> all = readings_over(truth, 9);
  auto options = quick(2);
  const std::vector<FourPoleReading> wide(all.begin() + 3, all.end());
  const auto without = top_resistivities(sounding::sample_posterior(wide, options));
  options.bounds = {all[0]};
  options.bounds[0].is_lower_bound = true;
  const auto held = top_resistivities(sounding::sample_posterior(wide, options));
  CHECK(quantile(held, 0.05) > quantile(without, 0.05));
  CHECK(quantile(held, 0.05) > 0.85 * 2000.0);  // the bound is rho_a at 0.5 m, within its error
  options.bounds[0].resistance_ohm = 1.0;
  const auto idle = top_resistivities(sounding::sample_posterior(wide, options));
  CHECK(quantile(idle, 0.5) == Approx(quantile(without, 0.5)).epsilon(0.2));
  CHECK_THROWS_AS(sounding::sample_posterior(options.bounds, {}), DomainError);
}

namespace {

/// What a rod would read in a soil, by the field solution in its layers; stated error 4 %.
sounding::DrivenRodReading rod_in(const earth::LayeredSoil& soil, double length_m) {
  sounding::DrivenRodReading rod;
  rod.driven_length_m = length_m;
  rod.diameter_m = 0.016;
  rod.resistance_ohm = 1.0;
  rod.relative_error_ratio = 0.04;
  rod.resistance_ohm = sounding::modelled_rod_resistance(soil, rod).resistance_ohm;
  return rod;
}

double ln_width_of_rod(const sounding::SoilPosterior& posterior, const sounding::DrivenRodReading& rod) {
  std::vector<double> ohm;
  for (const earth::LayeredSoil& soil : posterior.soils)
    ohm.push_back(sounding::modelled_rod_resistance(soil, rod, {1e-2}).resistance_ohm);
  std::sort(ohm.begin(), ohm.end());
  return std::log(quantile(ohm, 0.95) / quantile(ohm, 0.05));
}

}  // namespace

// A line of 2.5 m says little of 8 m of depth; a rod driven through it does.
TEST_CASE("a driven rod's reading tells of the depth that a short sounding leaves open",
          "[sounding][posterior]") {
  const earth::LayeredSoil truth({{120.0, 2.0}, {25.0, 0.0}});
  const std::vector<FourPoleReading> readings = readings_over(truth, 5);
  auto options = quick(3);
  const auto alone = sounding::sample_posterior(readings, options);
  options.rods = {rod_in(truth, 2.4), rod_in(truth, 6.0)};
  const auto joined = sounding::sample_posterior(readings, options);
  CHECK(joined.status == sounding::PosteriorStatus::converged);
  CHECK(joined.why.find("driven rods joined") != std::string::npos);
  const sounding::DrivenRodReading deeper = rod_in(truth, 8.0);
  CHECK(ln_width_of_rod(joined, deeper) < 0.5 * ln_width_of_rod(alone, deeper));
  std::vector<double> ohm;
  for (const earth::LayeredSoil& soil : joined.soils)
    ohm.push_back(sounding::modelled_rod_resistance(soil, deeper, {1e-2}).resistance_ohm);
  std::sort(ohm.begin(), ohm.end());
  CHECK(quantile(ohm, 0.05) < deeper.resistance_ohm);
  CHECK(quantile(ohm, 0.95) > deeper.resistance_ohm);

  // Over range at a value below what it reads anyway: it says nothing.
  options.rods = {rod_in(truth, 6.0)};
  options.rods[0].resistance_ohm *= 0.01;
  options.rods[0].is_lower_bound = true;
  const auto idle = sounding::sample_posterior(readings, options);
  CHECK(ln_width_of_rod(idle, deeper) == Approx(ln_width_of_rod(alone, deeper)).epsilon(0.3));
}

TEST_CASE("rods that contradict the sounding are said to, and bad ones refused", "[sounding][posterior]") {
  const earth::LayeredSoil truth(80.0);
  const std::vector<FourPoleReading> readings = readings_over(truth, 8);
  auto options = quick(2);
  options.rods = {rod_in(truth, 2.4)};
  options.rods[0].resistance_ohm *= 3.0;
  options.rods[0].relative_error_ratio = 0.02;
  const auto apart = sounding::sample_posterior(readings, options);
  CHECK(apart.status == sounding::PosteriorStatus::rough);
  CHECK(apart.why.find("contradict") != std::string::npos);
  options.rods[0].resistance_ohm = -1.0;
  CHECK_THROWS_AS(sounding::sample_posterior(readings, options), DomainError);
  options.rods[0] = rod_in(truth, 2.4);
  options.rods[0].diameter_m = 3.0;
  CHECK_THROWS_AS(sounding::sample_posterior(readings, options), DomainError);
}

TEST_CASE("the same seed gives the same soils", "[sounding][posterior]") {
  const auto readings = readings_over(earth::LayeredSoil({{100.0, 2.0}, {30.0, 0.0}}), 7);
  const auto first = sounding::sample_posterior(readings, quick(2));
  const auto second = sounding::sample_posterior(readings, quick(2));
  for (std::size_t i = 0; i < first.soils.size(); ++i) {
    REQUIRE(first.soils[i].layers().size() == second.soils[i].layers().size());
    CHECK(first.soils[i].layers()[0].resistivity_ohm_m == second.soils[i].layers()[0].resistivity_ohm_m);
  }
}

TEST_CASE("a posterior needs a reading, positive resistances and options in range", "[sounding][posterior]") {
  CHECK_THROWS_AS(sounding::sample_posterior({}), DomainError);
  auto readings = readings_over(earth::LayeredSoil(80.0), 3);
  auto options = quick(2);
  options.sample_count = 1;
  CHECK_THROWS_AS(sounding::sample_posterior(readings, options), DomainError);
  readings[1].resistance_ohm = -1.0;
  CHECK_THROWS_AS(sounding::sample_posterior(readings, quick(2)), DomainError);
}

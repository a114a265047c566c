// SPDX-License-Identifier: MIT
// Three to five layers: truths are our own, the readings computed by the accurate forward model (itself checked in
// tests/earth and by the rows of reference/sounding). Equivalence: Koefoed, Geosounding Principles 1 (1979), from
// memory: of a thin conductive layer between resistive ones only thickness / resistivity is resolved, of a thin
// resistive layer between conductive ones only thickness times resistivity.
#include <ohmroot/sounding/interpretation.hpp>
#include <ohmroot/sounding/reduction.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <random>
#include <string>
#include <vector>

namespace {

using namespace ohmroot;
using namespace ohmroot::sounding;

std::vector<FourPoleReading> over(const earth::LayeredSoil& soil, int count, double error_ratio = 0.02) {
  std::vector<FourPoleReading> readings;
  double spacing_m = 0.4;
  for (int i = 0; i < count; ++i, spacing_m *= 1.4) {
    FourPoleReading reading = wenner_reading(spacing_m, 1.0);
    reading.resistance_ohm = modelled_resistance_ohm(soil, reading);
    reading.relative_error_ratio = error_ratio;
    readings.push_back(reading);
  }
  return readings;
}

bool holds(const ParameterInterval& interval, double truth) {
  return interval.least <= truth && truth <= interval.greatest;
}

}  // namespace

TEST_CASE("layers that the readings resolve come back from readings without noise", "[sounding]") {
  const std::vector<std::vector<earth::Layer>> truths{
      {{100, 2}, {30, 8}, {300, 0}},              // bowl
      {{50, 1.5}, {400, 6}, {40, 0}},             // bell
      {{300, 1}, {100, 6}, {20, 0}},              // falling
      {{100, 0.8}, {400, 4}, {40, 12}, {600, 0}}  // bell and bowl
  };
  for (const auto& layers : truths) {
    const earth::LayeredSoil truth(layers);
    const auto layer_count = static_cast<int>(layers.size());
    const Interpretation result = interpret(over(truth, 17));
    CAPTURE(layer_count, layers[0].resistivity_ohm_m, result.why_chosen);
    REQUIRE(result.chosen_layer_count == layer_count);
    const SoilFit& fit = result.chosen();
    CHECK(fit.status == FitStatus::converged);
    CHECK(fit.misfit_ratio < 1e-5);
    for (std::size_t i = 0; i < layers.size(); ++i) {
      CHECK(fit.resistivity_ohm_m[i].value == Approx(layers[i].resistivity_ohm_m).epsilon(0.005));
      CHECK(holds(fit.resistivity_ohm_m[i], layers[i].resistivity_ohm_m));
      if (i + 1 == layers.size()) continue;
      CHECK(fit.thickness_m[i].value == Approx(layers[i].thickness_m).epsilon(0.005));
      CHECK(holds(fit.thickness_m[i], layers[i].thickness_m));
    }
  }
}

TEST_CASE("a thin conductor is reported by its conductance, a thin resistor by its transverse resistance",
          "[sounding]") {
  const SoilFit conductor = interpret(over(earth::LayeredSoil({{200, 3}, {10, 0.5}, {400, 0}}), 16)).chosen();
  REQUIRE(conductor.layer_count == 3);
  REQUIRE(conductor.equivalences.size() == 1);
  CHECK(conductor.equivalences[0].layer_index == 1);
  CHECK(conductor.equivalences[0].kind == EquivalenceKind::conductance);
  CHECK(holds(conductor.equivalences[0].value, 0.5 / 10.0));
  CHECK(conductor.equivalences[0].value.greatest / conductor.equivalences[0].value.least < 2.0);
  CHECK(conductor.why.find("cannot be told apart") != std::string::npos);

  const SoilFit resistor = interpret(over(earth::LayeredSoil({{100, 2}, {5000, 0.4}, {60, 0}}), 16)).chosen();
  REQUIRE(resistor.layer_count == 3);
  REQUIRE(resistor.equivalences.size() == 1);
  CHECK(resistor.equivalences[0].kind == EquivalenceKind::transverse_resistance);
  CHECK(holds(resistor.equivalences[0].value, 5000 * 0.4));

  // Well resolved layers have none.
  CHECK(interpret(over(earth::LayeredSoil({{100, 3}, {30, 0}}), 12)).chosen().equivalences.empty());
}

TEST_CASE("one wild reading moves the weighted fit, hardly the robust one", "[sounding]") {
  auto readings = over(earth::LayeredSoil({{100, 3}, {30, 0}}), 12, 0.05);
  readings[5].resistance_ohm *= 1.6;
  const auto off = [&](Objective objective) {
    const SoilFit fit = interpret(readings, {.greatest_layer_count = 2, .objective = objective}).fits.at(1);
    return std::abs(std::log(fit.resistivity_ohm_m[0].value / 100.0)) +
           std::abs(std::log(fit.resistivity_ohm_m[1].value / 30.0));
  };
  CHECK(off(Objective::robust) < 0.5 * off(Objective::weighted));
  CHECK(interpret(readings).objective != interpret(readings, {.objective = Objective::plain}).objective);
}

TEST_CASE("two lines that differ by a factor share their layers", "[sounding]") {
  const earth::LayeredSoil truth({{150, 2}, {40, 0}});
  std::vector<FourPoleReading> readings = over(truth, 10);
  for (FourPoleReading reading : over(truth, 10)) {
    reading.traverse = "across";
    reading.resistance_ohm *= 1.2;
    readings.push_back(reading);
  }
  const SoilFit fit = interpret(readings, {.greatest_layer_count = 2}).fits.at(1);
  REQUIRE(fit.traverse_factor_ratio.size() == 2);
  CHECK(fit.traverse_factor_ratio[1] / fit.traverse_factor_ratio[0] == Approx(1.2).epsilon(0.002));
  CHECK(fit.thickness_m[0].value == Approx(2.0).epsilon(0.01));
  // The middle between the lines, and an interval that knows of the 10 % from line to line.
  CHECK(fit.resistivity_ohm_m[0].value == Approx(150 * std::sqrt(1.2)).epsilon(0.01));
  CHECK(fit.resistivity_ohm_m[0].greatest / fit.resistivity_ohm_m[0].least > 1.2);
}

TEST_CASE("a runner-up is named only where something speaks for it", "[sounding]") {
  const Interpretation clear = interpret(over(earth::LayeredSoil({{100, 2}, {1000, 0}}), 6, 0.02));
  CHECK(clear.chosen_layer_count == 2);
  CHECK_FALSE(clear.runner_up_layer_count == 1);
  const Interpretation close = interpret(over(earth::LayeredSoil({{100, 2}, {90, 0}}), 12, 0.05));
  CHECK(close.chosen_layer_count == 1);
  CHECK(close.runner_up_layer_count == 2);
}

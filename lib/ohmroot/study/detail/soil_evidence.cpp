// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>
#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/electrode/formula.hpp>
#include <ohmroot/sounding/doubts.hpp>
#include <ohmroot/sounding/reduction.hpp>
#include <ohmroot/sounding/rod_reading.hpp>
#include <ohmroot/study/detail/rod_soils.hpp>
#include <ohmroot/study/detail/soil_evidence.hpp>
#include <ohmroot/study/detail/sounding_notes.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ohmroot::study::detail {
namespace {

constexpr double wenner_median_depth_ratio = 0.52;  // of a; derived, 0.51902 (also Edwards 1977, from memory)

std::string ohm_metres(double value_ohm_m) {
  return format_quantity(value_ohm_m, Dimension::resistivity);
}

/// One layer known between two ends: middle, least, greatest; one soil if the ends are one.
AllowedSoils uniform_soils(double least_ohm_m, double greatest_ohm_m, std::string basis) {
  AllowedSoils allowed;
  allowed.basis = std::move(basis);
  allowed.soils.push_back(earth::LayeredSoil(std::sqrt(least_ohm_m * greatest_ohm_m)));
  if (least_ohm_m == greatest_ohm_m) {
    allowed.soils.front() = earth::LayeredSoil(least_ohm_m);
    return allowed;
  }
  allowed.soils.push_back(earth::LayeredSoil(least_ohm_m));
  allowed.soils.push_back(earth::LayeredSoil(greatest_ohm_m));
  return allowed;
}

/// A resistance grows with the resistivity of every layer, so the ends are those of all layers together.
AllowedSoils stated_soils(const std::vector<StatedLayer>& layers) {
  std::vector<earth::Layer> middle;
  std::vector<earth::Layer> least;
  std::vector<earth::Layer> greatest;
  bool is_exact = true;
  for (const StatedLayer& layer : layers) {
    const bool is_one = layer.least_resistivity_ohm_m == layer.greatest_resistivity_ohm_m;
    is_exact = is_exact && is_one;
    middle.push_back({is_one ? layer.least_resistivity_ohm_m
                             : std::sqrt(layer.least_resistivity_ohm_m * layer.greatest_resistivity_ohm_m),
                      layer.thickness_m});
    least.push_back({layer.least_resistivity_ohm_m, layer.thickness_m});
    greatest.push_back({layer.greatest_resistivity_ohm_m, layer.thickness_m});
  }
  AllowedSoils allowed;
  allowed.basis = "layers as stated, all at their lower, and all at their upper ends";
  allowed.soils.push_back(earth::LayeredSoil(std::move(middle)));
  if (is_exact) return allowed;
  allowed.soils.push_back(earth::LayeredSoil(std::move(least)));
  allowed.soils.push_back(earth::LayeredSoil(std::move(greatest)));
  return allowed;
}

void set_interval_from_fit(SoilPicture& soil) {
  const sounding::SoilFit& fit = soil.interpretation->chosen();
  const auto& layers = fit.resistivity_ohm_m;
  const auto least = std::min_element(layers.begin(), layers.end(),
                                      [](const auto& a, const auto& b) { return a.least < b.least; });
  const auto greatest = std::max_element(
      layers.begin(), layers.end(), [](const auto& a, const auto& b) { return a.greatest < b.greatest; });
  soil.least_resistivity_ohm_m = least->least;
  soil.greatest_resistivity_ohm_m = greatest->greatest;
  soil.is_least_resolved =
      std::all_of(layers.begin(), layers.end(), [](const auto& l) { return l.is_least_resolved; });
  soil.is_greatest_resolved =
      std::all_of(layers.begin(), layers.end(), [](const auto& l) { return l.is_greatest_resolved; });
}

std::string belief_words(const sounding::SoilPosterior& posterior) {
  std::string words =
      fmt::format("{} soils drawn from those that the readings allow (", posterior.soils.size());
  for (std::size_t i = 0; i < posterior.layer_counts.size(); ++i) {
    const sounding::LayerCountBelief& belief = posterior.layer_counts[i];
    words += fmt::format("{}{} layer{} {} %", i == 0 ? "" : ", ", belief.layer_count,
                         belief.layer_count == 1 ? "" : "s", format_number(100 * belief.share_ratio, 2));
  }
  return words + ")";
}

std::string fit_sentence(const sounding::SoilFit& fit) {
  std::string text;
  for (std::size_t i = 0; i < fit.resistivity_ohm_m.size(); ++i) {
    if (i > 0) text += ", over ";
    text += ohm_metres(fit.resistivity_ohm_m[i].value);
    if (i < fit.thickness_m.size()) {
      text += fmt::format(" for {}", format_quantity(fit.thickness_m[i].value, Dimension::length));
    }
  }
  return text;
}

/// What each rod read beside what the soils that are left would have it read, and what its readings do not allow.
std::vector<std::string> rod_notes(const std::vector<sounding::DrivenRodReading>& rods,
                                   const std::vector<earth::LayeredSoil>& soils) {
  constexpr std::size_t looked_at = 40;
  std::vector<std::string> notes;
  for (const sounding::DrivenRodReading& rod : rods) {
    std::vector<double> modelled_ohm;
    for (std::size_t i = 0; i < std::min(looked_at, soils.size()); ++i) {
      try {
        modelled_ohm.push_back(sounding::modelled_rod_resistance(
                                   soils[i * soils.size() / std::min(looked_at, soils.size())], rod)
                                   .resistance_ohm);
      } catch (const DomainError&) {
        continue;  // a draw too extreme for the field solution: as everywhere, left out
      }
    }
    if (modelled_ohm.empty()) continue;
    std::sort(modelled_ohm.begin(), modelled_ohm.end());
    const auto ohms = [](double value_ohm) { return format_quantity(value_ohm, Dimension::resistance); };
    notes.push_back(fmt::format(
        "Driven rod{}{}, {}: {}{} read; {} (90 %: {} to {}) by the field solution of the rod in the soils "
        "that all "
        "readings together allow. Poor contact of a fresh rod reads high.",
        rod.rod.empty() ? "" : " ", rod.rod, format_quantity(rod.driven_length_m, Dimension::length),
        rod.is_lower_bound ? "over " : "", ohms(rod.resistance_ohm), ohms(quantile(modelled_ohm, 0.5)),
        ohms(quantile(modelled_ohm, 0.05)), ohms(quantile(modelled_ohm, 0.95))));
  }
  for (const sounding::RodDoubt& doubt : sounding::doubtful_rod_readings(rods))
    notes.push_back(doubt.sentence);
  return notes;
}

SoilPicture from_readings(const SoilFromReadings& source, const Site& site,
                          sounding::StakeDepthRule depth_rule) {
  SoilPicture soil;
  for (std::size_t i = 0; i < source.sheet.size(); ++i) {
    const sounding::FieldSheet& sheet = source.sheet[i];
    soil.readings.insert(soil.readings.end(), sheet.readings.begin(), sheet.readings.end());
    soil.bounds.insert(soil.bounds.end(), sheet.bounds.begin(), sheet.bounds.end());
    soil.skipped.insert(soil.skipped.end(), sheet.skipped.begin(), sheet.skipped.end());
    soil.data_row_count += sheet.data_row_count;
    for (const std::string& note : sheet.notes)
      soil.notes.push_back(source.file[i] + ": " + note);
  }
  if (soil.readings.empty()) throw DomainError("site.soil.readings", "empty", "at least one reading");
  for (const auto& reading : soil.readings) {
    soil.apparent_resistivity_ohm_m.push_back(sounding::apparent_resistivity_ohm_m(reading, depth_rule));
  }
  soil.notes.emplace_back(sounding::stake_depth_note(soil.readings.front(), depth_rule));
  soil.doubts = sounding::doubtful_readings(soil.readings);
  sounding::InterpretationOptions options;
  options.seed = site.seed;
  options.depth_rule = depth_rule;
  options.bounds = soil.bounds;
  options.rods = source.rods;
  soil.interpretation = sounding::interpret(soil.readings, options);
  constexpr std::size_t fewest_that_tell = 3;
  soil.evidence = soil.readings.size() < fewest_that_tell ? Evidence::few_readings : Evidence::full_sounding;
  set_interval_from_fit(soil);
  soil.posterior = sounding::sample_posterior(
      soil.readings,
      {.seed = site.seed, .depth_rule = depth_rule, .bounds = soil.bounds, .rods = source.rods});
  soil.allowed = {soil.posterior->soils, true, belief_words(*soil.posterior)};
  for (std::string& note : rod_notes(source.rods, soil.posterior->soils))
    soil.notes.push_back(std::move(note));
  const sounding::SoilFit& fit = soil.interpretation->chosen();
  const std::string of_rods =
      source.rods.empty() ? std::string() : fmt::format(" and {} of driven rods", source.rods.size());
  soil.summary = fmt::format("{} readings{} fitted by {} layer{}: {}; misfit {} %", soil.readings.size(),
                             of_rods, fit.layer_count, fit.layer_count == 1 ? "" : "s", fit_sentence(fit),
                             format_number(100 * fit.misfit_ratio, 2));
  if (soil.evidence == Evidence::full_sounding && soil.doubts.size() * 3 > soil.readings.size()) {
    soil.evidence = Evidence::short_sounding;
    soil.notes.emplace_back(
        "More than a third of the readings are doubtful: the sounding is not relied on for 'feasible'.");
  }
  const std::vector<std::string> of_the_whole = sounding_notes(source, site, soil);
  soil.notes.insert(soil.notes.end(), of_the_whole.begin(), of_the_whole.end());
  return soil;
}

SoilPicture from_layers(const SoilFromLayers& source) {
  if (source.layers.empty()) throw DomainError("site.soil.layers", "empty", "at least one layer");
  SoilPicture soil;
  soil.evidence = Evidence::stated_layers;
  const auto [least, most] =
      std::minmax_element(source.layers.begin(), source.layers.end(), [](const auto& a, const auto& b) {
        return a.least_resistivity_ohm_m < b.least_resistivity_ohm_m;
      });
  soil.least_resistivity_ohm_m = least->least_resistivity_ohm_m;
  soil.greatest_resistivity_ohm_m =
      std::max_element(source.layers.begin(), source.layers.end(), [](const auto& a, const auto& b) {
        return a.greatest_resistivity_ohm_m < b.greatest_resistivity_ohm_m;
      })->greatest_resistivity_ohm_m;
  soil.summary = fmt::format(
      "{} layer{} as stated ({}), {} to {}", source.layers.size(), source.layers.size() == 1 ? "" : "s",
      source.basis, ohm_metres(soil.least_resistivity_ohm_m), ohm_metres(soil.greatest_resistivity_ohm_m));
  soil.allowed = stated_soils(source.layers);
  return soil;
}

SoilPicture from_rod(const SoilFromRod& source) {
  const electrode::FormulaResult rod = electrode::default_formula(source.rod);
  const double value_ohm_m = source.resistance_ohm / rod.geometry_factor_per_m;
  const double spread_ratio = central_end_ratio(source.relative_error_ratio);
  SoilPicture soil;
  soil.evidence = Evidence::one_rod;
  soil.least_resistivity_ohm_m = value_ohm_m / spread_ratio / rod.formula->greatest_truth_ratio;
  soil.greatest_resistivity_ohm_m = value_ohm_m * spread_ratio / rod.formula->least_truth_ratio;
  soil.summary =
      fmt::format("one rod of {} at {}: {} if the soil were uniform, which one rod cannot tell",
                  format_quantity(source.rod.length_m, Dimension::length),
                  format_quantity(source.resistance_ohm, Dimension::resistance), ohm_metres(value_ohm_m));
  soil.allowed = soils_of(source);
  return soil;
}

SoilPicture from_word(const SoilFromWord& source) {
  const earth::SoilWord* word = earth::find_soil_word(source.word);
  if (word == nullptr) throw DomainError("site.soil.word", source.word, "a word of the list");
  SoilPicture soil;
  soil.evidence = Evidence::soil_word;
  soil.least_resistivity_ohm_m = word->least_resistivity_ohm_m;
  soil.greatest_resistivity_ohm_m = word->greatest_resistivity_ohm_m;
  soil.summary = fmt::format("'{}': {} to {} in published tables ({})", word->word,
                             ohm_metres(word->least_resistivity_ohm_m),
                             ohm_metres(word->greatest_resistivity_ohm_m), word->source);
  soil.allowed = uniform_soils(word->least_resistivity_ohm_m, word->greatest_resistivity_ohm_m,
                               "uniform soil at both ends of the word's published range");
  return soil;
}

}  // namespace

SoilPicture picture_of(const Site& site, sounding::StakeDepthRule depth_rule) {
  if (!site.soil) return {};
  struct Reader {
    const Site& site;
    sounding::StakeDepthRule depth_rule;
    SoilPicture operator()(const SoilFromReadings& source) const {
      return from_readings(source, site, depth_rule);
    }
    SoilPicture operator()(const SoilFromLayers& source) const { return from_layers(source); }
    SoilPicture operator()(const SoilFromRod& source) const { return from_rod(source); }
    SoilPicture operator()(const SoilFromWord& source) const { return from_word(source); }
  };
  return std::visit(Reader{site, depth_rule}, *site.soil);
}

Evidence evidence_for(const SoilPicture& soil, const electrode::Shape& shape) {
  if (soil.evidence == Evidence::one_rod)
    return Evidence::other_rod;  // its like are bracketed by the rod itself
  if (soil.evidence != Evidence::full_sounding) return soil.evidence;
  double widest_m = 0.0;
  for (const auto& reading : soil.readings)
    widest_m = std::max(widest_m, sounding::equivalent_wenner_spacing_m(reading));
  const bool is_wide_enough = widest_m >= electrode::greatest_extent_m(shape) &&
                              widest_m >= electrode::greatest_depth_m(shape) / wenner_median_depth_ratio;
  return is_wide_enough && soil.readings.size() >= 4 ? Evidence::full_sounding : Evidence::short_sounding;
}

bool may_rule_out(Evidence evidence) {
  return evidence == Evidence::short_sounding || may_accept(evidence);
}

bool may_accept(Evidence evidence) {
  return evidence == Evidence::full_sounding || evidence == Evidence::stated_layers ||
         evidence == Evidence::measured_electrode;
}

double central_least_resistivity_ohm_m(const SoilPicture& soil) {
  if (!soil.interpretation) return std::sqrt(soil.least_resistivity_ohm_m * soil.greatest_resistivity_ohm_m);
  return soil.interpretation->chosen().soil().least_resistivity_ohm_m();
}

double central_greatest_resistivity_ohm_m(const SoilPicture& soil) {
  if (!soil.interpretation) return std::sqrt(soil.least_resistivity_ohm_m * soil.greatest_resistivity_ohm_m);
  return soil.interpretation->chosen().soil().greatest_resistivity_ohm_m();
}

}  // namespace ohmroot::study::detail

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/detail/route_keys.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <vector>

namespace ohmroot::study::detail {
namespace {

using routes::Answer;
using text::KeySpec;
using text::Kind;
using text::Section;

constexpr std::string_view answers = "yes|no|not known";
constexpr std::string_view tick_default = "not known";
constexpr double usual_material_ratio =
    143.0;  // unit: A sqrt(s) / mm2; copper in PVC, not bunched (from memory)

KeySpec answer_key(std::string_view name, std::string_view help) {
  KeySpec key;
  key.name = name;
  key.kind = Kind::choice;
  key.allowed = answers;
  key.default_text = tick_default;
  key.help = help;
  return key;
}

Answer answer_of(const Section& section, std::string_view key) {
  const auto word = section.text(key);
  if (!word) return Answer::not_known;
  return *word == "yes" ? Answer::yes : *word == "no" ? Answer::no : Answer::not_known;
}

/// "a|b|c"
std::string joined(std::span<const std::string_view> words) {
  return fmt::format("{}", fmt::join(words, "|"));
}

std::optional<StatedProbe> read_probe(const Section& section) {
  StatedProbe probe;
  const auto places = section.points("places");
  const auto length_m = section.quantity("length");
  const auto diameter_m = section.quantity("diameter");
  probe.input_impedance_ohm = section.quantity("input_impedance");
  probe.acts_at_v = section.quantity("acts_at");
  if (!places || !length_m || !diameter_m) return std::nullopt;
  if (places->size() != 1) {
    section.error("places", "out-of-range", fmt::format("{} places are given", places->size()),
                  "a probe has one place: [[x, y]]");
    return std::nullopt;
  }
  if (!(*diameter_m < *length_m)) {
    section.error("diameter", "out-of-range", "the probe is thicker than it is long");
    return std::nullopt;
  }
  probe.at = {places->front().x_m, places->front().y_m};
  probe.rod = {*length_m, *diameter_m};
  return probe;
}

std::optional<routes::FaultDuty> read_fault(const Section& section) {
  const auto current_a = section.quantity("fault_current");
  const auto time_s = section.quantity("fault_time");
  const double material_ratio = section.quantity("k").value_or(usual_material_ratio);
  if (section.has("fault_current") != section.has("fault_time"))
    section.error(section.has("fault_current") ? "fault_current" : "fault_time", "missing-key",
                  "the thermal size takes both fault_current and fault_time",
                  section.has("fault_current") ? "add fault_time, until the device ends the fault"
                                               : "add fault_current");
  if (!current_a || !time_s) return std::nullopt;
  return routes::FaultDuty{*current_a, *time_s, material_ratio};
}

routes::PriceList read_prices(const Section& section) {
  routes::PriceList prices;
  prices.currency = section.text("currency").value_or("");
  prices.is_invented = section.flag("invented").value_or(false);
  for (const Section& line : section.tables("items", route_price_item_keys())) {
    const auto item = line.text("item");
    const auto price = line.quantity("price");
    if (!item || !price) continue;
    const bool is_second = std::any_of(prices.lines.begin(), prices.lines.end(),
                                       [&](const routes::PriceLine& known) { return known.item == *item; });
    if (is_second) {
      line.error("item", "repeated-item", fmt::format("\"{}\" is priced twice", *item),
                 "keep one line of it");
      continue;
    }
    prices.lines.push_back(
        {*item, line.text("unit").value_or("each"), *price, line.quantity("labour").value_or(0.0)});
  }
  return prices;
}

void read_decisions(const Section& root, std::vector<RouteDecision>& decisions) {
  for (const Section& section : root.tables("route_decisions", decision_keys())) {
    const auto word = section.text("method");
    const auto decision = section.text("decision");
    const std::string reason = section.text("reason").value_or("");
    if (!word || !decision) continue;
    const auto method = routes::method_named(*word);
    if (!method) throw InternalError("a method that the key table allows but no word names: " + *word);
    const bool is_second = std::any_of(decisions.begin(), decisions.end(),
                                       [&](const RouteDecision& known) { return known.method == *method; });
    if (is_second) {
      section.error("method", "repeated-item", fmt::format("\"{}\" is decided twice", *word),
                    "keep one decision of it");
      continue;
    }
    decisions.push_back({*method, *decision == "accepted", reason});
  }
}

}  // namespace

std::span<const KeySpec> place_keys() {
  static const std::vector<KeySpec> keys = [] {
    std::vector<KeySpec> all;
    for (const routes::PlaceRule& rule : routes::place_rules())
      all.push_back(answer_key(rule.key, rule.question));
    return all;
  }();
  return keys;
}

std::span<const KeySpec> bridging_keys() {
  static const std::vector<KeySpec> keys = [] {
    std::vector<KeySpec> all;
    for (const routes::BridgeRule& rule : routes::bridge_rules())
      all.push_back(answer_key(rule.key, rule.check));
    all.push_back({.name = "checked_on", .default_text = "none", .help = "date of the checks"});
    all.push_back({.name = "distributor_on_separation",
                   .default_text = "not asked",
                   .help = "separation that the distributor asks for, and the date of its answer"});
    return all;
  }();
  return keys;
}

std::span<const KeySpec> register_keys() {
  static const std::vector<KeySpec> keys = [] {
    std::vector<KeySpec> all;
    for (const routes::RegisterEntry& entry : routes::clause_register())
      all.push_back(answer_key(entry.key, entry.topic));
    all.push_back({.name = "licensed_copy",
                   .default_text = "none",
                   .help = "which copy, and which edition, they were looked up in"});
    return all;
  }();
  return keys;
}

std::span<const KeySpec> permission_keys() {
  static const std::vector<KeySpec> keys = [] {
    std::vector<KeySpec> all;
    for (const Permission& permission : permissions)
      all.push_back(answer_key(permission.key, permission.question));
    return all;
  }();
  return keys;
}

std::span<const KeySpec> probe_keys() {
  static constexpr std::array keys{
      KeySpec{.name = "places",
              .kind = Kind::points,
              .dimension = Dimension::length,
              .least = -1e5,
              .greatest = 1e5,
              .is_required = true,
              .help = "where it is driven, in the plan of pme_metal: one place"},
      KeySpec{.name = "length",
              .kind = Kind::quantity,
              .dimension = Dimension::length,
              .least = 0.01,
              .greatest = 30,
              .is_required = true,
              .help = "driven length"},
      KeySpec{.name = "diameter",
              .kind = Kind::quantity,
              .dimension = Dimension::length,
              .least = 0.001,
              .greatest = 0.5,
              .is_required = true,
              .help = "of the probe"},
      KeySpec{.name = "input_impedance",
              .kind = Kind::quantity,
              .dimension = Dimension::resistance,
              .least = 1,
              .greatest = 1e9,
              .default_text = "not known",
              .help = "of the device between MET and probe, by its maker"},
      KeySpec{.name = "acts_at",
              .kind = Kind::quantity,
              .dimension = Dimension::voltage,
              .least = 1,
              .greatest = 400,
              .default_text = "not known",
              .help = "voltage at which the device disconnects, by its maker"},
  };
  return keys;
}

std::span<const KeySpec> conductor_keys() {
  static constexpr std::array keys{
      KeySpec{.name = "section",
              .kind = Kind::quantity,
              .dimension = Dimension::area,
              .least = 1e-7,
              .greatest = 1e-2,
              .is_required = true,
              .help = "copper cross-section of the conductor from the MET to the electrode"},
      KeySpec{.name = "neutral",
              .kind = Kind::quantity,
              .dimension = Dimension::area,
              .least = 1e-6,
              .greatest = 1e-2,
              .is_required = true,
              .help = "neutral of the supply, copper equivalent"},
      KeySpec{.name = "sheathed",
              .kind = Kind::flag,
              .default_text = "false",
              .help = "protected against corrosion by a sheath"},
      KeySpec{.name = "mechanically_protected",
              .kind = Kind::flag,
              .default_text = "false",
              .help = "protected against blows where it is buried"},
      KeySpec{.name = "rated_current",
              .kind = Kind::quantity,
              .dimension = Dimension::current,
              .least = 0.1,
              .greatest = 1e4,
              .default_text = "not known",
              .help = "continuous, of that conductor as it is laid, by its maker or by tables"},
      KeySpec{.name = "fault_current",
              .kind = Kind::quantity,
              .dimension = Dimension::current,
              .least = 0.1,
              .greatest = 1e5,
              .default_text = "not known",
              .help = "greatest earth fault current through it, for its thermal size"},
      KeySpec{.name = "fault_time",
              .kind = Kind::quantity,
              .dimension = Dimension::time,
              .least = 1e-3,
              .greatest = 5,
              .default_text = "not known",
              .help = "until the protective device ends that fault"},
      KeySpec{.name = "k",
              .kind = Kind::quantity,
              .dimension = Dimension::ratio,
              .least = 10,
              .greatest = 300,
              .default_text = "143: copper in PVC, not bunched (from memory; 115 in a cable, 176 in 90 C "
                              "insulation)",
              .help = "of conductor and insulation, in A sqrt(s) / mm2, a bare number"},
  };
  return keys;
}

std::span<const KeySpec> transformer_keys() {
  static constexpr std::array keys{
      KeySpec{.name = "current",
              .kind = Kind::quantity,
              .dimension = Dimension::current,
              .least = 0.1,
              .greatest = 1e4,
              .is_required = true,
              .help = "rated output current at the nominal voltage"},
  };
  return keys;
}

std::span<const KeySpec> device_keys() {
  static constexpr std::array keys{
      KeySpec{.name = "upstream",
              .kind = Kind::quantity,
              .dimension = Dimension::current,
              .least = 0.001,
              .greatest = 30,
              .is_required = true,
              .help = "rated residual current of the RCD ahead of the charge point's"},
      KeySpec{.name = "upstream_delayed",
              .kind = Kind::flag,
              .default_text = "false",
              .help = "that RCD is time-delayed (type S)"},
      KeySpec{.name = "downstream",
              .kind = Kind::quantity,
              .dimension = Dimension::current,
              .least = 0.001,
              .greatest = 30,
              .default_text = "0.03 A",
              .help = "rated residual current of the charge point's RCD"},
  };
  return keys;
}

std::span<const KeySpec> route_price_keys() {
  static constexpr std::array keys{
      KeySpec{.name = "currency", .is_required = true, .help = "of every price here"},
      KeySpec{.name = "invented",
              .kind = Kind::flag,
              .default_text = "false",
              .help = "true for demonstration prices"},
      KeySpec{.name = "items", .kind = Kind::tables, .help = "what has a price"},
  };
  return keys;
}

std::span<const KeySpec> route_price_item_keys() {
  static const std::string items = joined(routes::price_items());  // keys hold views
  static const std::array keys{
      KeySpec{
          .name = "item", .kind = Kind::choice, .is_required = true, .allowed = items, .help = "what it is"},
      KeySpec{.name = "unit", .default_text = "each", .help = "each, m, visit"},
      KeySpec{.name = "price",
              .kind = Kind::quantity,
              .dimension = Dimension::ratio,
              .least = 0,
              .greatest = 1e9,
              .is_required = true,
              .help = "of one unit, a bare number"},
      KeySpec{.name = "labour",
              .kind = Kind::quantity,
              .dimension = Dimension::ratio,
              .least = 0,
              .greatest = 1e9,
              .default_text = "0",
              .help = "that comes with one unit, a bare number"},
  };
  return keys;
}

std::span<const KeySpec> decision_keys() {
  static const std::string methods = joined(routes::method_words());
  static const std::array keys{
      KeySpec{.name = "method",
              .kind = Kind::choice,
              .is_required = true,
              .allowed = methods,
              .help = "which permitted method"},
      KeySpec{.name = "decision",
              .kind = Kind::choice,
              .is_required = true,
              .allowed = "accepted|rejected",
              .help = "what the designer decides; the program says where the data do not carry it"},
      KeySpec{.name = "reason", .is_required = true, .help = "why, in one sentence"},
  };
  return keys;
}

RouteFacts read_route_facts(const Section& root) {
  RouteFacts facts;
  if (const auto section = root.table("places", place_keys())) {
    for (const routes::PlaceRule& rule : routes::place_rules())
      facts.places.at(static_cast<std::size_t>(rule.place)) = answer_of(*section, rule.key);
  }
  if (const auto section = root.table("bridging", bridging_keys())) {
    for (const routes::BridgeRule& rule : routes::bridge_rules())
      facts.bridging.at(static_cast<std::size_t>(rule.bridge)) = answer_of(*section, rule.key);
    facts.bridging_checked_on = section->text("checked_on").value_or("");
    facts.distributor_on_separation = section->text("distributor_on_separation").value_or("");
  }
  if (const auto section = root.table("register", register_keys())) {
    for (std::size_t i = 0; i < routes::register_count; ++i)
      facts.clauses.at(i) = answer_of(*section, routes::clause_register().at(i).key);
    facts.licensed_copy = section->text("licensed_copy").value_or("");
  }
  if (const auto section = root.table("permissions", permission_keys())) {
    for (std::size_t i = 0; i < permissions.size(); ++i)
      facts.permitted.at(i) = answer_of(*section, permissions.at(i).key);
  }
  if (const auto section = root.table("probe", probe_keys())) facts.probe = read_probe(*section);
  if (const auto section = root.table("conductor", conductor_keys())) {
    StatedConductor conductor;
    const auto section_m2 = section->quantity("section");
    const auto neutral_m2 = section->quantity("neutral");
    conductor.is_sheathed = section->flag("sheathed").value_or(false);
    conductor.is_mechanically_protected = section->flag("mechanically_protected").value_or(false);
    conductor.rated_current_a = section->quantity("rated_current");
    conductor.fault = read_fault(*section);
    if (section_m2 && neutral_m2) {
      conductor.section_m2 = *section_m2;
      conductor.neutral_m2 = *neutral_m2;
      facts.conductor = conductor;
    }
  }
  if (const auto section = root.table("isolating_transformer", transformer_keys()))
    facts.transformer_a = section->quantity("current");
  if (const auto section = root.table("rcd", device_keys())) {
    StatedDevices devices;
    devices.is_upstream_delayed = section->flag("upstream_delayed").value_or(false);
    devices.downstream_a = section->quantity("downstream").value_or(devices.downstream_a);
    if (const auto upstream_a = section->quantity("upstream")) {
      devices.upstream_a = *upstream_a;
      facts.devices = devices;
    }
  }
  if (const auto section = root.table("route_prices", route_price_keys()))
    facts.prices = read_prices(*section);
  read_decisions(root, facts.decisions);
  return facts;
}

}  // namespace ohmroot::study::detail

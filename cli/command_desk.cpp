// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/earth/soil_words.hpp>
#include <ohmroot/report/desk_page.hpp>
#include <ohmroot/study/desk.hpp>
#include <ohmroot/study/desk_facts.hpp>
#include <ohmroot/text/json.hpp>

#include <fmt/format.h>

#include <array>
#include <iostream>
#include <memory>
#include <unistd.h>

namespace ohmroot::cli {
namespace {

/// Facts as typed, by key of the facts document: options and questions both end up in one document, so that
/// one reader checks them all.
struct DeskOptions {
  std::string input;
  std::string earthing, looped, phases, demand, soil, rod_reading, rod_length, rod_diameter, land, depth;
  bool as_json = false;
  bool shows_words = false;
  bool shows_keys = false;
};

bool is_unknown(const std::string& typed) {
  return typed.empty() || typed == "unknown" || typed == "?";
}

/// "12 m x 8 m": two lengths.
void set_land(text::Value& facts, const std::string& typed) {
  if (is_unknown(typed)) return;
  const auto cross = typed.find_first_of("xX*");
  if (cross == std::string::npos) {
    throw CommandError(
        usage, fmt::format("desk: land \"{}\" is not two lengths; write it as in \"12 m x 8 m\"", typed));
  }
  facts.set("land_length", typed.substr(0, cross));
  facts.set("land_width", typed.substr(cross + 1));
}

text::Value facts_document(const DeskOptions& o) {
  text::Value facts{text::Object{}};
  const auto set = [&](std::string_view key, const std::string& typed) {
    if (!is_unknown(typed)) facts.set(key, typed);
  };
  facts.set("earthing", o.earthing.empty() ? "unknown" : o.earthing);
  set("looped", o.looped);
  if (!is_unknown(o.phases)) {
    if (o.phases != "1" && o.phases != "3") {
      throw CommandError(usage, fmt::format("desk: phases must be 1, 3 or unknown, is \"{}\"", o.phases));
    }
    facts.set("phases", o.phases == "1" ? 1 : 3);
  }
  set("demand", o.demand);
  set("soil_word", o.soil);
  set("rod_reading", o.rod_reading);
  set("rod_length", o.rod_length);
  set("rod_diameter", o.rod_diameter);
  set_land(facts, o.land);
  set("depth", o.depth);
  return facts;
}

bool is_nothing_given(const DeskOptions& o) {
  return o.input.empty() && o.earthing.empty() && o.looped.empty() && o.phases.empty() && o.demand.empty() &&
         o.soil.empty() && o.rod_reading.empty() && o.rod_length.empty() && o.rod_diameter.empty() &&
         o.land.empty() && o.depth.empty();
}

/// One question on the terminal; asks again until check is content. Enter means unknown.
std::string ask(const std::string& question,
                const std::function<std::string(const std::string&)>& problem_of) {
  for (;;) {
    std::cerr << question << "  > " << std::flush;
    std::string line;
    if (!std::getline(std::cin, line))
      throw CommandError(no_input, "desk: input ended before the facts were complete");
    while (!line.empty() && (line.back() == ' ' || line.back() == '\r'))
      line.pop_back();
    const std::string problem = is_unknown(line) ? "" : problem_of(line);
    if (problem.empty()) return line;
    std::cerr << "  " << problem << '\n';
  }
}

std::function<std::string(const std::string&)> one_of(std::vector<std::string_view> words) {
  return [words = std::move(words)](const std::string& typed) -> std::string {
    if (std::find(words.begin(), words.end(), typed) != words.end()) return {};
    const std::string near = nearest_word(typed, words);
    return near.empty() ? "that is not one of the answers" : "did you mean " + near + "?";
  };
}

std::function<std::string(const std::string&)> a_quantity(Dimension dimension) {
  return [dimension](const std::string& typed) {
    const ParsedQuantity parsed = parse_quantity(typed, dimension);
    if (!parsed.si_value) return parsed.problem + "; " + parsed.hint;
    return std::string(*parsed.si_value > 0 ? "" : "it must be greater than 0");
  };
}

void ask_for_facts(DeskOptions& o) {
  std::cerr << "Five facts; press Enter for what is not known.\n\n";
  o.earthing = ask("1. Earthing as found: tt, tn-s-own-transformer, tn-s-private-network, tn-s (from the "
                   "distributor), tn-c-s\n",
                   one_of(study::earthing_words()));
  o.looped = ask("   Is the service looped to a neighbour? yes, no\n", one_of({"yes", "no"}));
  o.phases = ask("2. Phases: 1 or 3\n", one_of({"1", "3"}));
  o.demand =
      ask("   Greatest demand of one phase, vehicle included, as in 60 A\n", a_quantity(Dimension::current));
  o.rod_reading = ask("3. Resistance of one test rod joined to nothing, as in 45 ohm\n",
                      a_quantity(Dimension::resistance));
  if (!is_unknown(o.rod_reading)) {
    o.rod_length = ask("   Its driven length, as in 1.2 m\n", a_quantity(Dimension::length));
    o.rod_diameter = ask("   Its diameter, as in 16 mm\n", a_quantity(Dimension::length));
  } else {
    std::vector<std::string_view> words;
    for (const auto& row : earth::soil_words())
      words.push_back(row.word);
    o.soil = ask("   Then a word for the soil, as in clay ('ohmroot desk --soil-words' lists them)\n",
                 [words](const std::string& typed) {
                   if (earth::find_soil_word(typed) != nullptr) return std::string();
                   const std::string near = nearest_word(typed, words);
                   return near.empty() ? std::string("not in the list") : "did you mean " + near + "?";
                 });
  }
  const auto land_problem = [](const std::string& typed) -> std::string {
    const auto cross = typed.find_first_of("xX*");
    if (cross == std::string::npos) return "write two lengths, as in 12 m x 8 m";
    const auto check = a_quantity(Dimension::length);
    const std::string first = check(typed.substr(0, cross));
    return first.empty() ? check(typed.substr(cross + 1)) : first;
  };
  o.land = ask("4. Land where rods may go, as in 12 m x 8 m\n", land_problem);
  o.depth = ask("5. Depth that can be driven, as in 3 m\n", a_quantity(Dimension::length));
  std::cerr << '\n';
}

std::string soil_word_table() {
  std::vector<std::vector<std::string>> rows{{"word", "resistivity", "source"}};
  for (const earth::SoilWord& word : earth::soil_words()) {
    rows.push_back({std::string(word.word),
                    fmt::format("{} to {} ohm m", format_number(word.least_resistivity_ohm_m),
                                format_number(word.greatest_resistivity_ohm_m)),
                    std::string(word.source)});
  }
  return table(rows) + "\nA word spans a factor of ten or more: it never decides.\n";
}

study::DeskFacts facts_of(DeskOptions& options) {
  const std::string name = options.input.empty() ? "desk" : options.input;
  Diagnostics diagnostics(name);
  std::optional<study::DeskFacts> facts;
  if (options.input.empty()) {
    if (is_nothing_given(options)) {
      if (isatty(STDIN_FILENO) == 0) {
        throw CommandError(
            usage, "desk: no fact given and no terminal to ask on; 'ohmroot desk --help' shows the options");
      }
      ask_for_facts(options);
    }
    const text::Value typed = facts_document(options);
    facts = study::read_desk_facts(typed, text::Dialect::typed_by_people, diagnostics);
  } else {
    const Document document = read_document(options.input, read_input(options.input), diagnostics);
    if (!diagnostics.has_errors())
      facts = study::read_desk_facts(document.value, document.dialect, diagnostics);
  }
  report_diagnostics(diagnostics, options.as_json);
  if (!facts) throw InternalError("desk: no facts and no error");
  return *facts;
}

void run_desk(DeskOptions& options, Outcome& outcome) {
  if (options.shows_words) return print(soil_word_table());
  if (options.shows_keys) return print(study::desk_fact_keys());
  const study::DeskFacts facts = facts_of(options);
  const study::DeskAnswer answer = study::desk_answer(facts);
  outcome.exit_code = study::exit_code(answer.verdict);
  print(options.as_json ? text::write_json(report::desk_document(facts, answer))
                        : report::desk_text(facts, answer));
}

}  // namespace

void add_desk(CLI::App& app, Outcome& outcome) {
  auto options = std::make_shared<DeskOptions>();
  CLI::App* command =
      app.add_subcommand("desk", "A first answer from five facts, before anything is measured or dug");
  command->add_option("--earthing", options->earthing,
                      "as found: tt, tn-s-own-transformer, tn-s-private-network, tn-s, tn-c-s, unknown");
  command->add_option("--looped", options->looped, "does the service feed a neighbour too? yes, no, unknown");
  command->add_option("--phases", options->phases, "1, 3 or unknown");
  command->add_option("--demand", options->demand,
                      "greatest current of one phase, vehicle included, as in \"60 A\", or unknown");
  command->add_option("--soil", options->soil, "a word for the soil, or unknown");
  command->add_option("--rod-reading", options->rod_reading,
                      "resistance of one test rod joined to nothing, as in \"45 ohm\"");
  command->add_option("--rod-length", options->rod_length, "its driven length; default 1.2 m");
  command->add_option("--rod-diameter", options->rod_diameter, "its diameter; default 16 mm");
  command->add_option("--land", options->land, "where rods may go, as in \"12 m x 8 m\", or unknown");
  command->add_option("--depth", options->depth, "that can be driven, as in \"3 m\", or unknown");
  command->add_option(
      "--input", options->input,
      "a facts document (TOML, or JSON with SI keys) in place of options; '-' for standard input");
  command->add_flag("--soil-words", options->shows_words,
                    "list the words for soil with their published ranges and exit");
  command->add_flag("--keys", options->shows_keys, "list the keys of a facts document and exit");
  command->add_flag("--json", options->as_json, "print JSON");
  command->footer(help_footer({"ohmroot desk --earthing tn-c-s --phases 1 --demand \"60 A\" --soil clay "
                               "--land \"12 m x 8 m\" --depth \"3 m\"",
                               "ohmroot desk --earthing unknown --rod-reading \"45 ohm\" --demand \"32 A\" "
                               "--land \"20 m x 15 m\" --depth \"6 m\" --json",
                               "ohmroot desk --earthing tt", "ohmroot desk --soil-words"}) +
                  "\nWith no option on a terminal it asks.");
  command->callback([options, &outcome] { run_desk(*options, outcome); });
}

}  // namespace ohmroot::cli

// SPDX-License-Identifier: MIT
#include "command.hpp"

#include <ohmroot/core/error.hpp>
#include <ohmroot/core/version.hpp>

#include <iostream>
#include <string>
#include <string_view>

static_assert(ohmroot::version == OHMROOT_VERSION_OF_BUILD, "core/version.hpp and CMakeLists.txt differ");

namespace {

using namespace ohmroot::cli;

/// A mistyped command gets the nearest one as a hint.
std::string hint_for(const CLI::App& app, int argc, char** argv) {
  if (argc < 2 || argv[1][0] == '-') return {};
  std::vector<std::string> names;
  for (const CLI::App* command : app.get_subcommands({}))
    names.push_back(command->get_name());
  const std::vector<std::string_view> candidates(names.begin(), names.end());
  for (const std::string_view name : candidates) {
    if (name == argv[1]) return {};
  }
  const std::string near = ohmroot::nearest_word(argv[1], candidates);
  return near.empty() ? "" : "\n  hint: did you mean 'ohmroot " + near + "'?";
}

int run(int argc, char** argv) {
  CLI::App app{"ohmroot: can an earth electrode hold the MET within 70 V of true earth when the PEN breaks?\n"
               "Start with 'ohmroot desk'; then take readings and run 'ohmroot study SITE.toml -o FOLDER'.",
               "ohmroot"};
  app.set_version_flag("--version", std::string(ohmroot::version));
  app.set_help_all_flag("--help-all", "Print the help of every command and exit");
  app.require_subcommand(1);
  app.footer(help_footer({"ohmroot desk --earthing tn-c-s --demand \"60 A\" --soil clay --land \"12 m x 8 "
                          "m\" --depth \"3 m\"",
                          "ohmroot validate --summary"}) +
             "\n\nDecision support, not certification: the local code and a licensed person decide.");
  Outcome outcome;
  add_desk(app, outcome);
  add_study(app, outcome);
  add_plan(app, outcome);
  add_record(app, outcome);
  add_design(app, outcome);
  add_readings(app, outcome);
  add_electrode(app, outcome);
  add_pen(app, outcome);
  add_loads(app, outcome);
  add_drive(app, outcome);
  add_acceptance(app, outcome);
  add_handover(app, outcome);
  add_routes(app, outcome);
  add_compare(app, outcome);
  add_recheck(app, outcome);
  add_validate(app, outcome);
  if (argc == 1) {
    print(app.help());
    return usage;
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {
    return app.exit(asked);  // --help, --version
  } catch (const CLI::ParseError& wrong) {
    std::cerr << "ohmroot: " << wrong.what() << hint_for(app, argc, argv)
              << "\n  'ohmroot --help' shows the commands, "
              << "'ohmroot COMMAND --help' its options\n";
    return usage;
  }
  return outcome.exit_code;
}

}  // namespace

int main(int argc, char** argv) {
  std::ios::sync_with_stdio(false);
  try {
    return run(argc, argv);
  } catch (const CommandError& error) {
    std::cerr << "ohmroot: " << error.what() << '\n';
    return error.code();
  } catch (const ohmroot::DomainError& error) {
    std::cerr << "ohmroot: " << error.what() << '\n';
    return bad_data;
  } catch (const std::exception& error) {
    std::cerr << "ohmroot: internal error, please report it: " << error.what() << '\n';
    return internal;
  }
}

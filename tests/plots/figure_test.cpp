// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>

#include <filesystem>
#include <locale>
#include <plots/detail/script.hpp>
#include <plots/figure.hpp>
#include <regex>
#include <support/process.hpp>
#include <support/study_fixture.hpp>

using namespace ohmroot;
namespace fs = std::filesystem;

namespace {

std::vector<plots::FigureScript> figures_of(const study::StudyResult& result) {
  std::vector<plots::FigureScript> figures;
  for (auto* figure_of : {plots::sounding_figure, plots::section_figure, plots::resistance_figure,
                          plots::leakage_figure, plots::voltage_figure})
    if (auto figure = figure_of(result)) figures.push_back(*std::move(figure));
  return figures;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// Sets a variable of the environment for the time of a test.
class Environment {
public:
  Environment(const char* name, const std::string& value) : name_(name) {
    if (const char* before = std::getenv(name)) before_ = before;
    setenv(name, value.c_str(), 1);
  }
  ~Environment() {
    if (before_)
      setenv(name_, before_->c_str(), 1);
    else
      unsetenv(name_);
  }
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;

private:
  const char* name_;
  std::optional<std::string> before_;
};

/// A program called gnuplot, in a folder of its own, that does what the test wants.
void write_program(const fs::path& file, const std::string& body) {
  std::ofstream(file) << "#!/bin/sh\n" << body;
  fs::permissions(file, fs::perms::owner_all);
}

std::size_t temporary_folder_count(const fs::path& folder) {
  std::size_t count = 0;
  for (const auto& entry : fs::directory_iterator(folder))
    if (holds(entry.path().filename().string(), "ohmroot-figure-")) ++count;
  return count;
}

/// Numbers as many countries write them: 1.234,5.
class DecimalComma : public std::numpunct<char> {
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

std::vector<double> numbers_between(const std::string& text, const std::string& begin,
                                    const std::string& end) {
  const std::size_t from = text.find(begin) + begin.size();
  std::istringstream in(text.substr(from, text.find(end, from) - from));
  std::vector<double> numbers;
  for (double number = 0; in >> number;)
    numbers.push_back(number);
  return numbers;
}

}  // namespace

TEST_CASE("a rich study has its five figures, each with caption, alt text and units on its axes", "[plots]") {
  const auto figures = figures_of(test_support::not_feasible_study());
  REQUIRE(figures.size() == 5);
  CHECK(figures[0].id == "sounding");
  CHECK(figures[1].id == "section");
  CHECK(figures[2].id == "resistance");
  CHECK(figures[3].id == "leakage");
  CHECK(figures[4].id == "voltage");
  const std::regex axis(R"(set ([xy])label '([^']*)')");
  for (const auto& figure : figures) {
    INFO(figure.id);
    CHECK_FALSE(figure.caption.empty());
    CHECK(figure.alt_text.size() > 80);
    int label_count = 0;
    for (std::sregex_iterator it(figure.script.begin(), figure.script.end(), axis), end; it != end; ++it) {
      const std::string title = (*it)[2];
      if (title.empty()) continue;  // the upper panel shares the axis below it
      INFO(title);
      CHECK(std::regex_search(title, std::regex(R"(\[[^\]]+\]$)")));
      ++label_count;
    }
    CHECK(label_count >= 2);
    CHECK_FALSE(holds(figure.script, "\""));  // no text that could hold a command
    CHECK_FALSE(holds(figure.script, "nan"));
  }
}

TEST_CASE("a study without data has no figures", "[plots]") {
  CHECK(figures_of(test_support::empty_study()).empty());
  CHECK_FALSE(plots::sounding_figure(test_support::feasible_study()));  // layers stated, nothing measured
}

TEST_CASE("the leakage figure names the densest place and the load of each conductor", "[plots]") {
  const auto figure = *plots::leakage_figure(test_support::not_feasible_study());
  CHECK(holds(figure.caption, "at a depth of 2.25\u00a0m"));
  CHECK(holds(figure.caption, "from 30.0\u00a0% (rod 2) to 35.0\u00a0% (rods 1 and 3) each"));
  CHECK(holds(figure.script, "layer boundary"));
  study::StudyResult many = test_support::not_feasible_study();
  for (int i = 0; i < 6; ++i)
    many.leakage_curve->paths.push_back(many.leakage_curve->paths.front());
  CHECK(holds(plots::leakage_figure(many)->caption, "5 of 8 different conductors are drawn"));
}

TEST_CASE("the distribution says in how many soils each limit is kept", "[plots]") {
  study::StudyResult result = test_support::not_feasible_study();
  CHECK_FALSE(plots::distribution_figure(result));  // no draws
  study::FieldResult field{.middle_soil = earth::LayeredSoil(100.0)};
  const double strictest_ohm = result.requirement_span.strictest->resistance_ohm;
  for (int i = 1; i <= 100; ++i)
    field.ascending_ohm.push_back(strictest_ohm * (0.5 + 0.01 * i));
  result.candidates.at(*result.governing_candidate).field = field;
  result.site.season.reset();
  result.site.earthing_conductor_ohm = 0.0;
  const auto figure = *plots::distribution_figure(result);
  CHECK(holds(figure.caption, "50.0\u00a0% of the soils that the readings allow keep the strictest limit"));
  CHECK(holds(figure.script, "resistance to earth ["));
}

TEST_CASE("floors stand beside the electrodes and the limits", "[plots]") {
  study::StudyResult result = test_support::not_feasible_study();
  study::FloorResult floor;
  floor.floor_ohm = {2.0, 1.6, 2.4, "half-ellipsoid"};
  floor.block_ohm = Estimate{3.0, 2.5, 3.5, "block"};
  result.floor = floor;
  const double lenient_ohm = result.requirement_span.most_lenient->resistance_ohm;
  const auto figure = *plots::floor_figure(result);
  CHECK(holds(figure.caption, "The highest floor begins at 2.50\u00a0\u03a9, " +
                                  std::string(lenient_ohm < 2.5 ? "above" : "below")));
  for (const study::CandidateResult& candidate : result.candidates)
    CHECK(holds(figure.script, candidate.name));
  CHECK(plots::render_svg(figure).status == plots::RenderStatus::drawn);
  result.floor.reset();
  CHECK_FALSE(plots::floor_figure(result));
}

TEST_CASE("maps around the electrode are to scale and name what they cut", "[plots]") {
  study::StudyResult result = test_support::not_feasible_study();
  CHECK_FALSE(plots::surface_figure(result));
  study::Surroundings around;
  around.map = {-2, 2, -2, 2, 3, 3, {0.1, 0.2, 0.1, 0.2, 1.0, 0.2, 0.1, 0.2, 0.1}};
  around.section = {-2, 2, 0, 2, 3, 2, {0.2, 1.0, 0.2, 0.1, 0.3, 0.1}};
  around.conductors = {{0, 0, 0, 0, 0, 1}};
  around.distance_m = {1.0};
  around.surface_share_ratio = {0.25};
  result.surroundings = around;
  CHECK(holds(plots::surface_figure(result)->caption, "25\u00a0% of it"));
  CHECK(holds(plots::depth_figure(result)->caption, "cut upright at y = 0\u00a0m"));
  CHECK(plots::render_svg(*plots::depth_figure(result)).status == plots::RenderStatus::drawn);
}

TEST_CASE("the separation figure marks the distances of practice and the level", "[plots]") {
  study::StudyResult result = test_support::not_feasible_study();
  CHECK_FALSE(plots::separation_figure(result));
  result.separation = test_support::invented_separation();
  const plots::FigureScript figure = *plots::separation_figure(result);
  CHECK(holds(figure.caption, "2\u00a0m to 3.6\u00a0m, the surface takes 33\u00a0% to 44\u00a0%"));
  CHECK(holds(figure.caption, "beyond 5.50\u00a0m it is less"));
  CHECK(holds(figure.caption, "not on the safe side"));
  CHECK(holds(figure.script, "2, 3.5 and 3.6"));
  CHECK(holds(figure.script, "sources disagree"));
  CHECK(holds(figure.script, "$level using"));
  CHECK(holds(figure.script, "$uniform using"));
  CHECK_FALSE(holds(figure.script, "nan"));
  CHECK(plots::render_svg(figure).status == plots::RenderStatus::drawn);
  result.separation->curve->is_layered = false;
  result.separation->curve->at_level.reset();
  result.separation->curve->level_ratio = 1.2;
  const plots::FigureScript plain = *plots::separation_figure(result);
  CHECK_FALSE(holds(plain.script, "$uniform using"));
  CHECK_FALSE(holds(plain.script, "limit of TT"));
  CHECK(plots::render_svg(plain).status == plots::RenderStatus::drawn);
}

TEST_CASE("captions state the finding and the limit", "[plots]") {
  const auto figures = figures_of(test_support::not_feasible_study());
  CHECK(holds(figures[0].caption, "falls from 119\u00a0\u03a9\u00b7m at 0.5\u00a0m"));
  CHECK(holds(figures[0].caption, "7.2\u00a0%"));
  CHECK(holds(figures[0].caption, "One doubtful reading is drawn hollow"));
  CHECK(holds(figures[2].caption, "14.6 to 70.5\u00a0\u03a9"));
  CHECK(holds(figures[2].caption, "most lenient 2.75\u00a0\u03a9 or less (constant impedance)"));
  CHECK(holds(figures[2].caption, "strictest 1.39\u00a0\u03a9 or less (constant power)"));
  CHECK(holds(figures[4].caption, "253\u00a0V without it"));
  CHECK(holds(figures[4].alt_text, "Limit: 70 V."));
}

TEST_CASE("a decade of the sounding curve is as long across as up", "[plots]") {
  const auto figure = *plots::sounding_figure(test_support::not_feasible_study());
  const std::regex range(R"(set ([xy])range \[([0-9.e+-]+):([0-9.e+-]+)\])");
  const auto decades = [&](const std::string& name) {
    for (std::sregex_iterator it(figure.script.begin(), figure.script.end(), range), end; it != end; ++it)
      if ((*it)[1] == name) return std::log10(std::stod((*it)[3]) / std::stod((*it)[2]));
    return 0.0;
  };
  const auto margin = [&](const std::string& name) {
    std::smatch found;
    std::regex_search(figure.script, found, std::regex("set " + name + " at screen ([0-9.]+)"));
    return std::stod(found[1]);
  };
  const double width_px = (margin("rmargin") - margin("lmargin")) * figure.width_px;
  const double height_px = (margin("tmargin") - margin("bmargin")) * figure.height_px;
  CHECK(width_px / decades("x") == Approx(height_px / decades("y")).epsilon(0.01));
}

TEST_CASE("the model is drawn in full only between the readings", "[plots]") {
  const auto figure = *plots::sounding_figure(test_support::not_feasible_study());
  const auto measured = numbers_between(figure.script, "$measured <<END_OF_DATA", "END_OF_DATA");
  const auto whole = numbers_between(figure.script, "$model <<END_OF_DATA", "END_OF_DATA");
  REQUIRE(measured.size() > 10);
  CHECK(measured.size() < whole.size());
  for (std::size_t i = 0; i < measured.size(); i += 2) {
    CHECK(measured[i] >= 0.5);
    CHECK(measured[i] <= 12);
  }
  CHECK(whole[whole.size() - 2] > 12);
}

TEST_CASE("doubtful readings stand apart and are drawn hollow", "[plots]") {
  const auto figure = *plots::sounding_figure(test_support::not_feasible_study());
  const auto doubtful = numbers_between(figure.script, "$doubt0 <<END_OF_DATA", "END_OF_DATA");
  REQUIRE(doubtful.size() == 4);  // spacing, resistivity, both ends of its bar
  CHECK(doubtful[0] == 6);
  CHECK(doubtful[2] == Approx(doubtful[1] / 1.05));
  CHECK(doubtful[3] == Approx(doubtful[1] * 1.05));
  CHECK(holds(figure.script, "$doubt0 using 1:2:3:4 with yerrorbars pt 6"));
}

TEST_CASE("a voltage above the limit at every load is never called below it", "[plots]") {
  auto result = test_support::not_feasible_study();
  auto& curve = *result.voltage_curve;
  CHECK(holds(plots::voltage_figure(result)->caption, "is passed at 1.31\u00a0A"));
  curve.greatest_v.assign(curve.current_a.size(), 150.0);
  CHECK(holds(plots::voltage_figure(result)->caption, "is passed at every load shown"));
  curve.greatest_v.assign(curve.current_a.size(), 50.0);
  CHECK(holds(plots::voltage_figure(result)->caption, "is not passed at any load shown"));
  curve.greatest_v.assign(curve.current_a.size(), std::numeric_limits<double>::quiet_NaN());
  CHECK_FALSE(holds(plots::voltage_figure(result)->caption, "not passed"));
  curve.greatest_v.clear();  // no upper end of the electrode's resistance
  const auto figure = *plots::voltage_figure(result);
  CHECK(holds(figure.caption, "or more to true earth with the electrode"));
  CHECK_FALSE(holds(figure.caption, "passed"));
}

TEST_CASE("requirements without a value are told in words", "[plots]") {
  auto result = test_support::not_feasible_study();
  result.requirements[0].outcome = supply::RequirementOutcome::none_needed;
  result.requirements[2].outcome = supply::RequirementOutcome::none_suffices;
  const auto figure = *plots::resistance_figure(result);
  CHECK(holds(figure.caption, "most lenient no electrode needed (constant impedance)"));
  CHECK(holds(figure.caption, "strictest no resistance is low enough (constant power)"));
  CHECK(holds(figure.caption, "does not settle the requirement"));
}

TEST_CASE("a resistivity without an upper end is drawn open and given no best value", "[plots]") {
  auto result = test_support::not_feasible_study();
  result.soil.interpretation->fits[1].resistivity_ohm_m[1] = {12345, 300, 12345, true, false};
  const auto figure = *plots::section_figure(result);
  CHECK(holds(figure.caption, "above 300\u00a0\u03a9\u00b7m, no upper end"));
  CHECK_FALSE(holds(figure.script, "12345"));
  CHECK_FALSE(holds(figure.alt_text, "12"));
}

TEST_CASE("log axes get ticks at 1, 2 and 5", "[plots]") {
  CHECK(plots::detail::one_two_five({0.4, 30, true}) == std::vector<double>{0.5, 1, 2, 5, 10, 20});
  CHECK(plots::detail::one_two_five({3, 4, true}).empty());
}

TEST_CASE("no text leaves its quotes", "[plots]") {
  CHECK(plots::detail::quoted("it's") == "'it\u2019s'");
  CHECK(plots::detail::quoted("'; exit") == "'\u2019; exit'");
  CHECK(plots::detail::quoted("a\nb\tc\x7f") == "'a b c '");
  CHECK(plots::detail::quoted("`x` $(y) @z \\ \"w\"") == "'`x` $(y) @z \\ \"w\"'");
}

TEST_CASE("labels beside the box never cover each other", "[plots]") {
  const plots::detail::Box box{80, 500, 40, 440};
  plots::detail::Script script;
  script.edge_labels(box, {{0.5, "#000000", {"kept"}},
                           {0.5, "#000000", {"one", "two"}},
                           {0.51, "#000000", {"three"}},
                           {0.0, "#000000", {"four"}},
                           {0.01, "#000000", {"five"}},
                           {1.0, "#000000", {"six", "seven", "eight"}}});
  const std::string text = script.take();
  std::vector<double> heights;
  const std::regex label(R"(at graph [0-9.]+, graph (-?[0-9.]+))");
  for (std::sregex_iterator it(text.begin(), text.end(), label), end; it != end; ++it)
    heights.push_back(std::stod((*it)[1]) * box.height_px());
  REQUIRE(heights.size() == 9);
  std::sort(heights.begin(), heights.end());
  for (std::size_t i = 1; i < heights.size(); ++i)
    CHECK(heights[i] - heights[i - 1] >= 15.9);
}

TEST_CASE("gnuplot draws every figure, twice alike, whatever the locale, and leaves nothing behind",
          "[plots]") {
  const ohmroot::test::ScratchFolder scratch;
  const Environment temporary("TMPDIR", scratch.path().string());
  const std::locale before =
      std::locale::global(std::locale(std::locale::classic(), new std::numpunct_byname<char>("C")));
  for (const auto& result : [] {
         std::vector<study::StudyResult> studies;
         studies.push_back(test_support::not_feasible_study());
         studies.push_back(test_support::feasible_study());
         return studies;
       }())
    for (const auto& figure : figures_of(result)) {
      INFO(figure.id);
      const auto first = plots::render_svg(figure);
      INFO(first.why);
      REQUIRE(first.status == plots::RenderStatus::drawn);
      CHECK(first.svg == plots::render_svg(figure).svg);
      CHECK(holds(first.svg, "<svg"));
      CHECK(holds(first.svg, "DejaVu Sans"));
      CHECK(first.why.empty());
    }
  std::locale::global(before);
  CHECK(temporary_folder_count(scratch.path()) == 0);
}

TEST_CASE("hostile names are drawn as they are and run nothing", "[plots]") {
  const ohmroot::test::ScratchFolder scratch;
  const std::string touched = (scratch.path() / "touched").string();
  auto result = test_support::not_feasible_study();
  const std::string hostile =
      "'; !touch " + touched + "\n`touch " + touched + "` $(touch " + touched + ") @x <script>a_b^{c}";
  for (auto& reading : result.soil.readings)
    reading.traverse = hostile;
  for (auto& requirement : result.requirements)
    requirement.name = hostile;
  result.voltage_curve->load_description = hostile;
  result.resistance_curve->abscissa = hostile;
  for (const auto& figure : figures_of(result)) {
    INFO(figure.id);
    const auto rendering = plots::render_svg(figure);
    INFO(rendering.why);
    CHECK(rendering.status == plots::RenderStatus::drawn);
    CHECK_FALSE(holds(rendering.svg, "<script"));
    CHECK_FALSE(fs::exists(touched));
  }
}

TEST_CASE("without gnuplot the answer says so and names the package", "[plots]") {
  const ohmroot::test::ScratchFolder empty;
  const Environment path("PATH", empty.path().string());
  const auto rendering = plots::render_svg(*plots::voltage_figure(test_support::not_feasible_study()));
  CHECK(rendering.status == plots::RenderStatus::gnuplot_missing);
  CHECK(rendering.svg.empty());
  CHECK(holds(rendering.why, "gnuplot-nox"));
}

TEST_CASE("a gnuplot that fails, stops early or cannot write is reported, not believed", "[plots]") {
  const ohmroot::test::ScratchFolder folder;
  const auto figure = *plots::voltage_figure(test_support::not_feasible_study());
  const auto render_with = [&](const std::string& body) {
    write_program(folder.path() / "gnuplot", body);
    const Environment path("PATH", folder.path().string());
    return plots::render_svg(figure);
  };
  const auto failing = render_with("echo 'line 7: broken'\nexit 1\n");
  CHECK(failing.status == plots::RenderStatus::failed);
  CHECK(holds(failing.why, "line 7: broken"));
  CHECK(render_with("exit 0\n").status == plots::RenderStatus::failed);
  CHECK(render_with("kill -9 $$\n").status == plots::RenderStatus::failed);
  CHECK(render_with("f=$(echo \"$2\" | { read n; echo \"${n%.gp}.svg\"; })\necho '<svg><text>' > \"$f\"\n")
            .status == plots::RenderStatus::failed);
  CHECK(render_with("f=$(echo \"$2\" | { read n; echo \"${n%.gp}.svg\"; })\necho '<svg></svg>' > \"$f\"\n")
            .status == plots::RenderStatus::drawn);
  plots::FigureScript broken = figure;
  broken.script = "plot nothing_of_the_kind(\n";
  CHECK(plots::render_svg(broken).status == plots::RenderStatus::failed);
  const Environment nowhere("TMPDIR", (folder.path() / "absent").string());
  CHECK(plots::render_svg(figure).status == plots::RenderStatus::failed);
}

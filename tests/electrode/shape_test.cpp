// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/electrode/shape.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <string>

using namespace ohmroot;
using namespace ohmroot::electrode;
using Catch::Matchers::Contains;

namespace {

constexpr double no_number = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr Rod usual_rod{2.4, 0.016};

std::string refused_argument(const Shape& shape) {
  try {
    require_valid(shape);
  } catch (const DomainError& error) {
    return error.argument();
  }
  return "nothing refused";
}

}  // namespace

TEST_CASE("every shape describes itself for people") {
  CHECK(describe(usual_rod) == "rod 2.4 m x 16 mm");
  CHECK(describe(RodLine{usual_rod, 4, 3.0}) == "4 rods 2.4 m x 16 mm in line, 3 m apart");
  CHECK(describe(RodSquare{usual_rod, 3, 2.5}) ==
        "8 rods 2.4 m x 16 mm round a hollow square, 3 on each side, 2.5 m apart");
  CHECK(describe(RodTriangle{usual_rod, 3.0}) == "3 rods 2.4 m x 16 mm in a triangle, 3 m apart");
  CHECK(describe(Tape{20.0, 0.025, 0.6}) == "tape 20 m long, 25 mm, 0.6 m deep");
  CHECK(describe(Tape{20.0, 0.025, 0.6, 0.003}) == "tape 20 m long, 25 mm x 3 mm, 0.6 m deep");
  CHECK(describe(RoundConductor{20.0, 0.008, 0.6}) ==
        "round conductor 20 m long, 8 mm in diameter, 0.6 m deep");
  CHECK(describe(Ring{5.0, 0.008, 0.5}) == "ring 5 m across of 8 mm round conductor, 0.5 m deep");
}

TEST_CASE("a shape that cannot be is refused by the name of what is wrong") {
  CHECK(refused_argument(Rod{0.0, 0.016}) == "length_m");
  CHECK(refused_argument(Rod{-2.4, 0.016}) == "length_m");
  CHECK(refused_argument(Rod{no_number, 0.016}) == "length_m");
  CHECK(refused_argument(Rod{infinity, 0.016}) == "length_m");
  CHECK(refused_argument(Rod{1e7, 0.016}) == "length_m");
  CHECK(refused_argument(Rod{2.4, 0.0}) == "diameter_m");
  CHECK(refused_argument(Rod{2.4, 2.4}) == "diameter_m");
  CHECK(refused_argument(Rod{2.4, no_number}) == "diameter_m");
  CHECK(refused_argument(RodLine{usual_rod, 1, 3.0}) == "rod_count");
  CHECK(refused_argument(RodLine{usual_rod, 4001, 3.0}) == "rod_count");
  CHECK(refused_argument(RodLine{usual_rod, 2, 0.047}) == "spacing_m");
  CHECK(refused_argument(RodLine{usual_rod, 2, no_number}) == "spacing_m");
  CHECK(refused_argument(RodSquare{usual_rod, 1, 3.0}) == "rods_per_side");
  CHECK(refused_argument(RodSquare{usual_rod, 1001, 3.0}) == "rods_per_side");
  CHECK(refused_argument(RodSquare{usual_rod, 2, -1.0}) == "spacing_m");
  CHECK(refused_argument(RodTriangle{usual_rod, 0.0}) == "spacing_m");
  CHECK(refused_argument(RodTriangle{{2.4, no_number}, 3.0}) == "diameter_m");
  CHECK(refused_argument(Tape{20.0, 3.0, 0.6}) == "width_m");
  CHECK(refused_argument(Tape{20.0, 0.025, 21.0}) == "depth_m");
  CHECK(refused_argument(Tape{20.0, 0.025, 0.0}) == "depth_m");
  CHECK(refused_argument(Tape{20.0, 0.025, 0.6, -0.001}) == "thickness_m");
  CHECK(refused_argument(Tape{20.0, 0.025, 0.6, 0.026}) == "thickness_m");
  CHECK(refused_argument(Tape{20.0, 0.025, 0.6, no_number}) == "thickness_m");
  CHECK(refused_argument(RoundConductor{20.0, 2.1, 5.0}) == "diameter_m");
  CHECK(refused_argument(RoundConductor{20.0, 0.008, 0.003}) == "depth_m");
  CHECK(refused_argument(RoundConductor{20.0, 0.008, infinity}) == "depth_m");
  CHECK(refused_argument(Ring{5.0, 0.6, 1.0}) == "conductor_diameter_m");
  CHECK(refused_argument(Ring{5.0, 0.008, 5.1}) == "depth_m");
  CHECK(refused_argument(Ring{5.0, 0.008, 0.003}) == "depth_m");
  CHECK(refused_argument(Ring{no_number, 0.008, 0.5}) == "ring_diameter_m");
  CHECK(refused_argument(RodLine{usual_rod, 2, 0.048}) == "nothing refused");
}

TEST_CASE("a refusal tells value, unit and rule") {
  CHECK_THROWS_WITH(require_valid(Rod{2.4, 3.0}),
                    Contains("diameter_m") && Contains("3 m") && Contains("less than the length of the rod"));
  CHECK_THROWS_WITH(require_valid(RodLine{usual_rod, 2, 0.04}), Contains("three rod diameters"));
}

TEST_CASE("depth and extent reach to the outside of the metal") {
  CHECK(greatest_depth_m(RodSquare{usual_rod, 3, 2.5}) == 2.4);
  CHECK(greatest_depth_m(Tape{20.0, 0.025, 0.6}) == Approx(0.6125));  // on edge
  CHECK(greatest_depth_m(RoundConductor{20.0, 0.008, 0.6}) == Approx(0.604));
  CHECK(greatest_depth_m(Ring{5.0, 0.008, 0.5}) == Approx(0.504));
  CHECK(greatest_extent_m(usual_rod) == 0.016);
  CHECK(greatest_extent_m(RodLine{usual_rod, 4, 3.0}) == Approx(9.016));
  CHECK(greatest_extent_m(RodSquare{usual_rod, 3, 2.5}) == Approx(std::sqrt(50.0) + 0.016));  // the diagonal
  CHECK(greatest_extent_m(RodTriangle{usual_rod, 3.0}) == Approx(3.016));
  CHECK(greatest_extent_m(Ring{5.0, 0.008, 0.5}) == Approx(5.008));
  CHECK_THROWS_AS(greatest_depth_m(Rod{no_number, 0.016}), DomainError);
  CHECK_THROWS_AS(greatest_extent_m(Rod{no_number, 0.016}), DomainError);
}

TEST_CASE("a hollow square has four times its side less the corners, every neighbour one spacing apart") {
  for (const int per_side : {2, 3, 7, 20}) {
    const auto positions = rod_positions(RodSquare{usual_rod, per_side, 2.5});
    REQUIRE(positions.size() == static_cast<std::size_t>(4 * (per_side - 1)));
    for (const RodPosition& here : positions) {
      int neighbours = 0;
      for (const RodPosition& there : positions) {
        const double apart_m = std::hypot(here.x_m - there.x_m, here.y_m - there.y_m);
        const bool is_neighbour = std::abs(apart_m - 2.5) < 1e-9;
        CHECK((apart_m == 0.0 || apart_m > 2.5 - 1e-9));
        neighbours += is_neighbour ? 1 : 0;
      }
      CHECK(neighbours == 2);
    }
  }
}

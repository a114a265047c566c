// SPDX-License-Identifier: MIT
#include "cases.hpp"

#include <ohmroot/electrode/detail/assembly.hpp>

#include <catch2/catch.hpp>

using namespace field_cases;
using ohmroot::earth::ImageKernel;

namespace {

const LayeredSoil two_layers({{300.0, 1.1}, {60.0, 0.0}});

std::vector<Conductor> turned(std::vector<Conductor> bars, double angle, const RodPosition& shift) {
  for (Conductor& bar : bars)
    for (Place* place : {&bar.from, &bar.to}) {
      const auto [x, y, depth] = *place;
      *place = {shift.x_m + x * std::cos(angle) - y * std::sin(angle),
                shift.y_m + x * std::sin(angle) + y * std::cos(angle), depth};
    }
  return bars;
}

struct Figure {
  std::string name;
  std::vector<Electrode> electrodes;
  int most_alike;  ///< elements that carry one current
};

std::vector<Figure> figures() {
  const auto joined = [](std::vector<Conductor> bars) {
    return std::vector<Electrode>{{"metal", std::move(bars), Crossings::joined}};
  };
  std::vector<Conductor> raking;  // three rods driven outwards from one place's surroundings
  for (int i = 0; i < 3; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / 3.0;
    raking.push_back({{0.5 * std::cos(angle), 0.5 * std::sin(angle), 0.3},
                      {1.5 * std::cos(angle), 1.5 * std::sin(angle), 2.6},
                      0.008});
  }
  auto mesh_and_rod = mesh_of({{12.0, 3}, {12.0, 3}, 0.5, 0.004});
  mesh_and_rod.push_back(rod(4.0, 8.0, 0.5, 2.0, 0.008));
  return {{"square mesh", joined(mesh_of({{12.0, 3}, {12.0, 3}, 0.5, 0.004})), 8},
          {"oblong mesh", joined(mesh_of({{12.0, 3}, {8.0, 2}, 0.5, 0.004})), 4},
          {"square mesh with a rod on a diagonal", joined(mesh_and_rod), 2},
          {"five rods in line", joined(rods({{0, 0}, {3, 0}, {6, 0}, {9, 0}, {12, 0}})), 2},
          {"three rods, uneven", joined(rods({{0, 0}, {3, 0}, {4, 1}})), 1},
          {"raking rods", joined(raking), 3},
          {"star of five", joined(star(5, 4.0, 0.005, 0.6)), 5},
          {"two electrodes, each beside the other",
           {{"first", rods({{0, 0}, {3, 0}})}, {"second", rods({{0, 5}, {3, 5}})}},
           2}};
}

}  // namespace

TEST_CASE("alike by symmetry: sums of the whole matrix, wherever the arrangement lies") {
  for (const Figure& figure : figures()) {
    for (const double angle : {0.0, 0.73}) {
      CAPTURE(figure.name, angle);
      auto electrodes = figure.electrodes;
      for (Electrode& electrode : electrodes)
        electrode.conductors = turned(electrode.conductors, angle, {31.7, -4.1});
      const ImageKernel kernel(two_layers, 5.0);
      const auto pieces = detail::make_pieces(electrodes, kernel);
      const auto symmetry = detail::symmetry_of(pieces);
      const auto orbits = detail::orbits_of(pieces, symmetry);
      const auto elements = detail::element_count(pieces);
      CHECK(orbits.member_count.sum() == Approx(static_cast<double>(elements)));
      CHECK(orbits.member_count.maxCoeff() == Approx(figure.most_alike));

      const Eigen::MatrixXd lower =
          detail::influence_matrix(kernel, pieces, detail::no_symmetry(pieces.size()));
      const Eigen::MatrixXd whole = lower.selfadjointView<Eigen::Lower>();
      const Eigen::Index count = orbits.member_count.size();
      Eigen::MatrixXd expected = Eigen::MatrixXd::Zero(count, count);
      for (Eigen::Index i = 0; i < elements; ++i)
        for (Eigen::Index k = 0; k < elements; ++k)
          expected(orbits.unknown_of[static_cast<std::size_t>(i)],
                   orbits.unknown_of[static_cast<std::size_t>(k)]) += whole(i, k);
      const Eigen::MatrixXd reduced =
          Eigen::MatrixXd(detail::influence_matrix(kernel, pieces, symmetry)).selfadjointView<Eigen::Lower>();
      // Blocks are seen from one side only, and the rule of the means leaves so much between both sides.
      CHECK((reduced - expected).cwiseAbs().maxCoeff() < 1e-5 * expected.cwiseAbs().maxCoeff());
    }
  }
}

TEST_CASE("a nearly symmetric arrangement is not taken for a symmetric one") {
  const auto most_alike = [](const std::vector<Conductor>& bars) {
    const auto pieces = detail::make_pieces({{"rods", bars}}, ImageKernel(two_layers, 5.0));
    return detail::orbits_of(pieces, detail::symmetry_of(pieces)).member_count.maxCoeff();
  };
  auto bars = rods({{0, 0}, {3, 0}, {6, 0}});
  CHECK(most_alike(bars) == 2.0);
  bars[2].to.depth_m += 1e-6;
  CHECK(most_alike(bars) == 1.0);
}

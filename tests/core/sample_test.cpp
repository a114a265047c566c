// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/parallel.hpp>
#include <ohmroot/core/quantile.hpp>
#include <ohmroot/core/quantity.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <stdexcept>
#include <vector>

using namespace ohmroot;

// Worked by hand from definition 7 of Hyndman and Fan, The American Statistician 50 (1996) 361.
TEST_CASE("quantiles are linear between the values of the sample", "[core]") {
  const std::array sample{1.0, 2.0, 4.0, 8.0, 16.0};
  CHECK(quantile(sample, 0.0) == 1.0);
  CHECK(quantile(sample, 0.5) == 4.0);
  CHECK(quantile(sample, 0.05) == Approx(1.2));
  CHECK(quantile(sample, 0.95) == Approx(14.4));
  CHECK(quantile(sample, 1.0) == 16.0);
  CHECK(quantile(std::array{3.0}, 0.3) == 3.0);
  CHECK_THROWS_AS(quantile(std::array<double, 0>{}, 0.5), DomainError);
  CHECK_THROWS_AS(quantile(sample, 1.01), DomainError);
  CHECK_THROWS_AS(quantile(sample, std::numeric_limits<double>::quiet_NaN()), DomainError);
}

TEST_CASE("every index is worked on once, and the first failure is thrown on", "[core]") {
  std::vector<int> visits(1000, 0);
  for_each_index(visits.size(), [&](std::size_t i) { ++visits[i]; });
  CHECK(std::all_of(visits.begin(), visits.end(), [](int count) { return count == 1; }));
  for_each_index(0, [](std::size_t) { FAIL("nothing to do"); });
  CHECK_THROWS_WITH(for_each_index(100,
                                   [](std::size_t i) {
                                     if (i % 10 == 7) throw std::runtime_error(std::to_string(i));
                                   }),
                    "7");
}

TEST_CASE("a ratio is printed as percent with its sign", "[core]") {
  CHECK(format_signed_percent(0.0098) == "+0.98 %");
  CHECK(format_signed_percent(-0.123) == "-12 %");
}

// SPDX-License-Identifier: MIT
#include <ohmroot/core/diagnostic.hpp>
#include <ohmroot/core/error.hpp>
#include <ohmroot/core/estimate.hpp>

#include <catch2/catch.hpp>

#include <limits>

TEST_CASE("a broken precondition names argument, value, unit and rule", "[core]") {
  CHECK_THROWS_WITH(ohmroot::require_positive("rod.length_m", -2.0, "m"),
                    "rod.length_m must be greater than 0 and finite, is -2 m");
  CHECK_THROWS_AS(ohmroot::require_positive("x", std::numeric_limits<double>::quiet_NaN(), "m"),
                  ohmroot::DomainError);
  CHECK_THROWS_AS(ohmroot::require_within("pf", 1.01, "", {0.0, 1.0}), ohmroot::DomainError);
  CHECK_NOTHROW(ohmroot::require_within("pf", 1.0, "", {0.0, 1.0}));
}

TEST_CASE("a diagnostic prints place, severity, message and hint", "[core]") {
  ohmroot::Diagnostics found("site.toml");
  found.error({4, 8}, "out-of-range", "soil.layer[2].resistivity must be greater than 0 ohm m, is -20 ohm m",
              "a resistivity is positive");
  found.warning({}, "skipped-rows", "2 rows were skipped");
  REQUIRE(found.has_errors());
  CHECK(to_text(found.all()[0]) ==
        "site.toml:4:8: error: soil.layer[2].resistivity must be greater than 0 ohm m, is -20 ohm m\n"
        "  hint: a resistivity is positive");
  CHECK(to_text(found.all()[1]) == "site.toml: warning: 2 rows were skipped");
}

TEST_CASE("scaling an estimate scales its interval", "[core]") {
  const auto twice = ohmroot::scaled({10.0, 8.0, 13.0, "measured"}, 2.0, "season");
  CHECK(twice.value == 20.0);
  CHECK(twice.least == 16.0);
  CHECK(twice.greatest == 26.0);
  CHECK_THROWS_AS(ohmroot::scaled(twice, 0.0, ""), ohmroot::DomainError);
}

// SPDX-License-Identifier: MIT
#include <ohmroot/core/error.hpp>
#include <ohmroot/text/value.hpp>

#include <catch2/catch.hpp>

#include <limits>

using namespace ohmroot;
using namespace ohmroot::text;

TEST_CASE("a value keeps its members in the order of first setting", "[value]") {
  Value soil;
  soil.set("resistivity_ohm_m", 100.0).set("basis", "stated").set("resistivity_ohm_m", 120.0);
  REQUIRE(soil.is_object());
  REQUIRE(soil.object().size() == 2);
  CHECK(soil.object()[0].first == "resistivity_ohm_m");
  CHECK(soil.object()[0].second.number() == 120.0);
  CHECK(soil.object()[1].first == "basis");
  CHECK(soil.find("basis")->text() == "stated");
  CHECK(soil.find("depth_m") == nullptr);
}

TEST_CASE("only an object has members", "[value]") {
  CHECK(Value(1).find("a") == nullptr);
  CHECK(Value(Array{}).find("a") == nullptr);
  CHECK(Value().find("a") == nullptr);
  Value number = 1;
  CHECK_THROWS_AS(number.set("a", 2), InternalError);
}

TEST_CASE("a number that is not finite cannot stand in a document", "[value]") {
  CHECK_THROWS_AS(Value(std::numeric_limits<double>::quiet_NaN()), InternalError);
  CHECK_THROWS_AS(Value(std::numeric_limits<double>::infinity()), InternalError);
  CHECK_THROWS_AS(Value(-std::numeric_limits<double>::infinity()), InternalError);
  CHECK_NOTHROW(Value(std::numeric_limits<double>::max()));
}

TEST_CASE("reading a value as what it is not is a defect of the caller", "[value]") {
  CHECK_THROWS_AS(Value("2.4 m").number(), InternalError);
  CHECK_THROWS_AS(Value(2.4).text(), InternalError);
  CHECK_THROWS_AS(Value(1).boolean(), InternalError);
  CHECK_THROWS_AS(Value(Array{}).object(), InternalError);
  CHECK_THROWS_AS(Value(Object{}).array(), InternalError);
  CHECK(Value(3).number() == 3.0);
}

TEST_CASE("each kind of value has a name for messages", "[value]") {
  CHECK(Value().kind_name() == "null");
  CHECK(Value(true).kind_name() == "true or false");
  CHECK(Value(1).kind_name() == "a number");
  CHECK(Value(1.5).kind_name() == "a number");
  CHECK(Value("x").kind_name() == "a text");
  CHECK(Value(Array{}).kind_name() == "a list");
  CHECK(Value(Object{}).kind_name() == "a table");
}

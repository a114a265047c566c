// SPDX-License-Identifier: MIT
// A load that comes later. The single-phase limit for constant impedance is U_limit (with the source at its highest) by
// the divider: R = U_lim / (U - U_lim) * U0 / I, from circuit theory.
#include <ohmroot/core/error.hpp>
#include <ohmroot/study/recheck.hpp>

#include <catch2/catch.hpp>

namespace {

using namespace ohmroot;

/// One load of constant impedance, so that a hand can work the limit.
study::Site site_of(double current_a, int phase_count) {
  study::Site site;
  site.supply.phase_count = phase_count;
  supply::Load load;
  load.name = "house";
  load.greatest_current_a = current_a;
  load.stated_model = supply::LoadModel::constant_impedance;
  load.model_basis = "heaters, invented";
  site.loads = {load};
  return site;
}

study::AddedLoad heater(double current_a) {
  study::AddedLoad added;
  added.greatest_current_a = current_a;
  added.model = supply::LoadModel::constant_impedance;
  added.model_basis = "heaters, invented";
  return added;
}

}  // namespace

TEST_CASE("the room for a load on one phase is what the divider leaves", "[study]") {
  constexpr double to_earth_ohm = 2.0;
  const study::LoadRoom room = study::room_for_load(site_of(10.0, 1), heater(1.0), to_earth_ohm);
  // The rules' expression is the stricter of the two here: 1.1 U0 for the source, which is 253 V: the same.
  const double all_a = 70.0 / (253.0 - 70.0) * 230.0 / to_earth_ohm;
  REQUIRE(room.greatest_current_a);
  CHECK_FALSE(room.is_endless);
  CHECK(*room.greatest_current_a == Approx(all_a - 10.0).margin(0.06));
}

TEST_CASE("no room where the electrode is above the limit already", "[study]") {
  const double needed_ohm = 70.0 / (253.0 - 70.0) * 230.0 / 40.0;
  CHECK_FALSE(study::room_for_load(site_of(40.0, 1), heater(1.0), 1.01 * needed_ohm).greatest_current_a);
  CHECK(study::room_for_load(site_of(40.0, 1), heater(1.0), 0.9 * needed_ohm).greatest_current_a);
}

TEST_CASE("a load without its phase goes where it asks for most", "[study]") {
  const study::ChangedSite changed = study::with_added_load(site_of(20.0, 3), heater(16.0));
  CHECK(changed.is_phase_chosen);
  CHECK(changed.phase == 1);  // on top of the other: two loads on two phases pull against each other
  REQUIRE(changed.site.loads.size() == 2);
  CHECK(changed.site.loads[1].least_current_a == 0.0);  // it may also be off
  auto stated = heater(16.0);
  stated.phase = 2;
  CHECK(study::with_added_load(site_of(20.0, 3), stated).phase == 2);
}

TEST_CASE("an added load that cannot be is refused", "[study]") {
  auto added = heater(16.0);
  added.phase = 2;
  CHECK_THROWS_AS(study::with_added_load(site_of(20.0, 1), added), DomainError);
  CHECK_THROWS_AS(study::with_added_load(site_of(20.0, 1), heater(0.0)), DomainError);
  added = heater(16.0);
  added.model_basis.clear();
  CHECK_THROWS_AS(study::with_added_load(site_of(20.0, 1), added), DomainError);
}

#include "measure/clearance_profile.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "duct/slices.hpp"
#include "measure/clearance_pairs.hpp"
#include "tests/support/rocking_bay.hpp"
#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

ClearanceProfile profile_of(const bay::Bay& bay, const Duct& duct, bool over_motion, const ClearanceNeedOf& need = {}) {
  const ClearanceReport report = measure_clearance(bay, duct, over_motion, kOptions);
  return measure_clearance_profile(bay, duct, report, over_motion, need, kOptions);
}

}  // namespace

TEST_CASE("Profile without parts: everything is beyond the range") {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  const ClearanceProfile profile = profile_of(made.bay, made.laid_out(), true);
  REQUIRE(profile.slices.size() == 20);
  for (const ProfileSlice& slice : profile.slices) {
    CHECK(slice.nearest.beyond_range());
    CHECK(slice.nearest.lo_mm == 60);
    CHECK(std::isinf(slice.nearest.hi_mm));
    CHECK_FALSE(slice.tightest);
  }
}

TEST_CASE("Profile over a slab: its depth below the tube, and farther away as a right angle says") {
  // Top of the slab 60 below the axis, from station 200 to 300: a slice that ends d before it is sqrt(60^2 + d^2) away.
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.bay.ports[1].body = 0;
  made.bay.parts = {box_part("slab", {200, -200, -110}, {300, 200, -60}, 0)};
  const ClearanceProfile profile = profile_of(made.bay, made.laid_out(), false);
  for (const ProfileSlice& slice : profile.slices) {
    const double away = std::max({0.0, 200 - slice.station_to_mm, slice.station_from_mm - 300});
    const double expected = std::hypot(60, away) - 38.1;
    if (expected > 60) {
      CHECK(slice.nearest.beyond_range());
      continue;
    }
    REQUIRE(slice.nearest.part == 0);
    CHECK(slice.nearest.lo_mm <= expected + 1e-4);
    CHECK(slice.nearest.hi_mm >= expected - 1e-4);
    CHECK(slice.nearest.hi_mm - slice.nearest.lo_mm <= kOptions.width_mm);
  }
}

TEST_CASE("The part with the least room is not always the nearest") {
  // A plain slab 20 below the surface that needs 10, a hot one 30 above it that needs 50.
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.bay.ports[1].body = 0;
  made.bay.parts = {box_part("plain", {0, -200, -108.1}, {500, 200, -58.1}, 0),
                    box_part("hot", {0, -200, 68.1}, {500, 200, 118.1}, 0)};
  const auto need = [](const PairClearance& pair) { return std::optional(pair.part == 0 ? 10.0 : 50.0); };
  for (const ProfileSlice& slice : profile_of(made.bay, made.laid_out(), false, need).slices) {
    CHECK(slice.nearest.part == 0);
    CHECK(slice.nearest.hi_mm == Approx(20).margin(1e-3));
    REQUIRE(slice.tightest);
    CHECK(slice.tightest->part == 1);
    CHECK(slice.tightest->hi_mm == Approx(30).margin(1e-3));
    CHECK(slice.tightest->need_mm == 50);
  }
}

TEST_CASE("A contact by design is left out of the profile and said") {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.bay.ports[1].body = 0;
  made.bay.parts = {box_part("housing", {-50, -60, -60}, {10, 60, 60}, 0)};
  made.bay.ports[0].part = bay::PartId("housing");
  made.bay.ports[0].contact_length_mm = 50;
  const ClearanceProfile profile = profile_of(made.bay, made.laid_out(), false);
  for (const ProfileSlice& slice : profile.slices) {
    CHECK(slice.excepted == (slice.station_to_mm <= 50));
    if (slice.excepted) CHECK(slice.nearest.beyond_range());
    // Cut square at 50: 40 from the housing's end face.
    if (slice.station_from_mm == 50) CHECK(slice.nearest.hi_mm == Approx(40).margin(1e-3));
  }
}

TEST_CASE("The least of the profile is the clearance of the pair") {
  std::mt19937 random(5);
  int apart = 0;
  for (int run = 0; run < 6; ++run) {
    const Installation made = rocking_job(random);
    const Duct duct = made.laid_out();
    for (const bool over_motion : {false, true}) {
      const ClearanceReport report = measure_clearance(made.bay, duct, over_motion, kOptions);
      const ClearanceProfile profile = measure_clearance_profile(made.bay, duct, report, over_motion, {}, kOptions);
      for (std::size_t piece = 0; piece < duct.layout.pieces.size(); ++piece) {
        double pair_lo = kInfinity, pair_hi = kInfinity, lo = kInfinity, hi = kInfinity;
        for (const PairClearance& pair : report.pairs) {
          if (pair.piece != static_cast<int>(piece)) continue;
          pair_lo = std::min(pair_lo, pair.value.lo);
          pair_hi = std::min(pair_hi, pair.value.hi);
        }
        for (const ProfileSlice& slice : profile.slices) {
          if (slice.piece != static_cast<int>(piece)) continue;
          lo = std::min(lo, slice.nearest.lo_mm);
          hi = std::min(hi, slice.nearest.hi_mm);
          CHECK(slice.nearest.lo_mm <= slice.nearest.hi_mm);
          if (!slice.nearest.beyond_range())
            CHECK(slice.nearest.hi_mm - slice.nearest.lo_mm <= kOptions.width_mm + 1e-9);
        }
        if (std::isinf(pair_hi)) {
          CHECK(std::isinf(hi));
          continue;
        }
        if (pair_hi < 0) {  // a short flat-ended slice is nowhere deep, and still met
          CHECK(hi < kOptions.width_mm);
          CHECK(hi >= pair_hi - kOptions.width_mm);
          CHECK(lo >= pair_lo - kOptions.width_mm);
          continue;
        }
        ++apart;
        CHECK(std::abs(hi - pair_hi) <= kOptions.width_mm);
        CHECK(std::abs(lo - pair_lo) <= kOptions.width_mm);
      }
    }
  }
  CHECK(apart > 10);
}

TEST_CASE("No pose of the motion brings a slice nearer than its lower end") {
  std::mt19937 random(6);
  const Installation made = rocking_job(random);
  const Duct duct = made.laid_out();
  const Kinematics kinematics = running_kinematics(made.bay);
  const ClearanceProfile profile = profile_of(made.bay, duct, true);
  std::uniform_real_distribution<double> unit(0, 1);
  std::size_t near = 0;
  for (int k = 0; k < 60; ++k) {
    PosedState state = random_state(made.bay, random);
    state.mix = unit(random);
    state.axial_share = unit(random);
    state.spin_share = unit(random);
    std::size_t i = 0;
    for (std::size_t piece = 0; piece < duct.layout.pieces.size(); ++piece) {
      const Piece& of = duct.layout.pieces[piece];
      const auto stations = slice_stations(duct.layout, of);
      for (const auto& shapes : cut_into_slices(of.shapes, stations, of.carriage)) {
        const ProfileSlice& slice = profile.slices[i++];
        REQUIRE(slice.piece == static_cast<int>(piece));
        for (const bay::Part& part : made.bay.parts) {
          const baywright::Bracket there =
              clearance_at(kinematics, shapes, of.carriage, part.tree, part.body, state, {0.1, 60});
          if (there.beyond_range) continue;
          ++near;
          CHECK(there.hi_mm >= slice.nearest.lo_mm);
        }
      }
    }
  }
  CHECK(near > 1000);
}

#include "viewer/scene/finding_pose.hpp"

#include <catch2/catch.hpp>

#include <numbers>

#include "measure/clearance_measure.hpp"
#include "tests/unit/viewer/small_bay.hpp"

using namespace baywright;

namespace {

PosedState rolled(const job::Installation& in, double share) {
  PosedState state;
  state.bodies.resize(in.bay.bodies.size());
  state.bodies[1] = {0, {share * in.bay.bodies[1].motion.members()[0].to[0]}};
  return state;
}

}  // namespace

TEST_CASE("A finding in its own pose is itself", "[viewer]") {
  const auto in = test::small_bay(4);
  const auto finding = test::clearance_finding(in, "cover", 20);
  const auto place = viewer::place_of(in, finding);
  REQUIRE(place);
  const auto posed = viewer::finding_at(in, finding, *place, place->state);
  CHECK(posed.own_pose);
  CHECK_FALSE(posed.here);
  CHECK(posed.place.focus_mm == place->focus_mm);
  // No motion at all, said in another way.
  CHECK(viewer::finding_at(in, finding, *place, rolled(in, 0)).own_pose);
  CHECK(viewer::finding_at(in, finding, *place, PosedState{}).own_pose);
}

TEST_CASE("In another pose a clearance is the distance there, with its own witness", "[viewer]") {
  const auto in = test::small_bay(4);
  const auto finding = test::clearance_finding(in, "cover", 20);
  const auto place = viewer::place_of(in, finding);
  REQUIRE(place);
  for (const double share : {0.3, 1.0}) {
    const auto state = rolled(in, share);
    const auto posed = viewer::finding_at(in, finding, *place, state);
    CHECK_FALSE(posed.own_pose);
    REQUIRE(posed.here);
    CHECK(posed.place.piece == place->piece);
    CHECK((*posed.place.on_duct_mm - *posed.place.on_other_mm).norm() == Approx(std::abs(posed.here->hi)));
    // The witness on the cover lies on the cover as it stands there: on its box, carried back to rest.
    const Vec3 rest = viewer::body_pose(in.bay, 1, state).inverse() * *posed.place.on_other_mm;
    const Vec3 lo(-480, -110, 316), hi(-30, 110, 480);
    CHECK((rest - rest.cwiseMax(lo).cwiseMin(hi)).norm() < 1e-3);
  }
}

TEST_CASE("A finding without a distance keeps its station in every pose", "[viewer]") {
  const auto in = test::small_bay(4);
  checks::Finding finding;
  finding.duct = in.ducts[0].spec.id;
  auto measured = measure::Measured::exact(115, Unit::mm);
  measured.station_mm = in.ducts[0].layout.length_mm - 50;
  finding.outcome = measured;
  const auto place = viewer::place_of(in, finding);
  REQUIRE(place);
  const auto state = rolled(in, 1);
  const auto posed = viewer::finding_at(in, finding, *place, state);
  CHECK_FALSE(posed.here);
  CHECK_FALSE(posed.place.on_other_mm);
  const Vec3 expected = viewer::body_pose(in.bay, 1, state) * in.ducts[0].layout.at(*measured.station_mm).p_mm;
  CHECK((posed.place.focus_mm - expected).norm() < 1e-9);
}

TEST_CASE("Where a tube ends under its coupler, the piece is the one whose distance it is", "[viewer]") {
  // The hose is 5 mm thicker than the tube it covers: a part beside the joint has two distances at one station.
  auto in = test::small_bay(4);
  const auto& layout = in.ducts[0].layout;
  const double station = layout.pieces[1].station_from_mm + 20;
  const Vec3 axis = layout.at(station).p_mm;
  test::add_part(in, "post", "post", 0, bay::PartClass::plain,
                 test::box_mesh(axis + Vec3(-5, -5, 60), axis + Vec3(5, 5, 90)), true);
  for (const int piece : {0, 1}) {
    const auto here = measure::clearance_at_pose(in.bay, in.ducts[0], piece, static_cast<int>(in.bay.parts.size()) - 1,
                                                 viewer::at_rest(in), {});
    REQUIRE(here);
    checks::Finding finding;
    finding.duct = in.ducts[0].spec.id;
    finding.part = bay::PartId("post");
    measure::Measured measured = *here;
    measured.station_mm = station;
    finding.outcome = measured;
    const auto place = viewer::place_of(in, finding);
    REQUIRE(place);
    CHECK(place->piece == viewer::PieceRef{0, piece});
  }
}

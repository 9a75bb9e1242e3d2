#include "viewer/scene/views.hpp"

#include <catch2/catch.hpp>

#include <Eigen/Geometry>

#include "tests/unit/viewer/small_bay.hpp"
#include "viewer/scene/sight.hpp"

using namespace baywright;
using View = report::PictureRequest::View;

TEST_CASE("Directions are named as one stands at the vehicle", "[viewer]") {
  CHECK(viewer::direction_words({0, 1, 0}) == "from the left");
  CHECK(viewer::direction_words({0, 0, 1}) == "from above");
  CHECK(viewer::direction_words(Vec3(1, -1, 0).normalized()) == "from the front right");
  CHECK(viewer::direction_words(Vec3(-1, 0, 1).normalized()) == "from above, rear");
}

TEST_CASE("An empty job has a view", "[viewer]") {
  const job::Installation empty;
  const auto shot = viewer::standard_view(empty, View::from_left, 1.5, viewer::at_rest(empty));
  CHECK(shot.half_height_mm > 0);
  CHECK(shot.outlined.empty());
}

TEST_CASE("Findings without a place have none", "[viewer]") {
  const auto in = test::small_bay(4);
  checks::Finding finding;
  finding.outcome = measure::NotAssessed{"no sensor", {}};
  CHECK_FALSE(viewer::place_of(in, finding));
  finding.outcome = measure::Measured::exact(3, Unit::count);
  CHECK_FALSE(viewer::place_of(in, finding));
}

TEST_CASE("A station is a place on the duct", "[viewer]") {
  const auto in = test::small_bay(4);
  checks::Finding finding;
  finding.duct = in.ducts[0].spec.id;
  auto measured = measure::Measured::exact(115, Unit::mm);
  measured.station_mm = 400;
  finding.outcome = measured;
  const auto place = viewer::place_of(in, finding);
  REQUIRE(place);
  CHECK((place->focus_mm - in.ducts[0].layout.at(400).p_mm).norm() < 1e-9);
  CHECK(place->piece == viewer::PieceRef{0, 0});
}

TEST_CASE("Seen from above, the bonnet is taken out of the way and nothing else that matters", "[viewer]") {
  const auto in = test::small_bay(20);
  const auto shot = viewer::standard_view(in, View::from_top, 1.5, viewer::at_rest(in));
  const auto bonnet = viewer::find_part(in, bay::PartId("bonnet"));
  CHECK(std::count(shot.outlined.begin(), shot.outlined.end(), bonnet) == 1);
  CHECK(shot.outlined.size() == 1);
  CHECK(shot.cuts.empty());
}

TEST_CASE("The oblique view shows the bay as it stands, without its bonnet", "[viewer]") {
  const auto in = test::small_bay(20);
  const auto shot = viewer::standard_view(in, View::oblique, 1.5, viewer::at_rest(in));
  CHECK(shot.toward.z() > 0.5);
  CHECK(shot.toward.x() > 0.5);
  CHECK(shot.cuts.empty());
  CHECK(shot.outlined == std::vector<int>{viewer::find_part(in, bay::PartId("bonnet"))});
  // Of the two front corners it looks from the one that sees more of the duct.
  const viewer::Sight sight(in, viewer::at_rest(in));
  const auto seen = [&](const Vec3& toward) {
    int count = 0;
    const auto& layout = in.ducts[0].layout;
    for (double s = 0; s <= layout.length_mm; s += 5)
      count += sight.parts_hit(layout.at(s).p_mm + 41.1 * toward, toward).size() <= 1;  // the bonnet at most
    return count;
  };
  const Vec3 other(shot.toward.x(), -shot.toward.y(), shot.toward.z());
  CHECK(seen(shot.toward) >= seen(other) - 8);  // sampled at other stations
}

TEST_CASE("All of a duct lies inside a standard picture", "[viewer]") {
  const auto in = test::small_bay(4);
  constexpr double kAspect = 1.5;
  for (const auto view : {View::from_left, View::from_top, View::from_front, View::oblique}) {
    const auto shot = viewer::standard_view(in, view, kAspect, viewer::at_rest(in));
    const Vec3 right = shot.up.cross(shot.toward);
    const auto& layout = in.ducts[0].layout;
    for (double s = 0; s <= layout.length_mm; s += 10) {
      const Vec3 off = layout.at(s).p_mm - shot.focal_mm;
      CHECK(std::abs(off.dot(shot.up)) + 38.1 < shot.half_height_mm);
      CHECK(std::abs(off.dot(right)) + 38.1 < shot.half_height_mm * kAspect);
    }
  }
}

TEST_CASE("A close-up sees the whole witness line, nearly across the line of sight", "[viewer]") {
  const auto in = test::small_bay(30);
  for (const char* id : {"alternator", "bonnet", "battery", "cover", "radiator"}) {
    INFO(id);
    const auto place = viewer::place_of(in, test::clearance_finding(in, id, 20));
    REQUIRE(place);
    const auto shot = viewer::close_up(in, *place, 1.5);
    const Vec3 line = (*place->on_other_mm - *place->on_duct_mm).normalized();
    CHECK(std::abs(line.dot(shot.toward)) < 0.5);  // foreshortened by 13 % at most
    const viewer::Sight sight(in, place->state);
    for (const double t : {0.12, 0.5, 0.88}) {
      const Vec3 p = *place->on_duct_mm + t * (*place->on_other_mm - *place->on_duct_mm) + 0.05 * shot.toward;
      CHECK_FALSE(sight.duct_hit(p, shot.toward));
      for (const int part : sight.parts_hit(p, shot.toward)) {
        const bool outlined = std::count(shot.outlined.begin(), shot.outlined.end(), part) > 0;
        const bool cut =
            std::any_of(shot.cuts.begin(), shot.cuts.end(), [&](const viewer::Cut& c) { return c.part == part; });
        CHECK((outlined || cut));
      }
    }
  }
}

TEST_CASE("Carried pieces and parts move together", "[viewer]") {
  const auto in = test::small_bay(4);
  PosedState rolled;
  rolled.bodies = {BodyState{}, BodyState{0, in.bay.bodies[1].motion.members()[0].to}};
  const auto& layout = in.ducts[0].layout;
  const double end = layout.length_mm;
  const Pose X = viewer::body_pose(in.bay, 1, rolled);
  CHECK((viewer::posed_station(in, in.ducts[0], end, rolled) - X * layout.at(end).p_mm).norm() < 1e-9);
  CHECK((viewer::posed_station(in, in.ducts[0], 0, rolled) - layout.at(0).p_mm).norm() < 1e-9);
}

TEST_CASE("The station under a pointer is found in any pose", "[viewer]") {
  const auto in = test::small_bay(4);
  PosedState rolled;
  rolled.bodies = {BodyState{}, BodyState{0, in.bay.bodies[1].motion.members()[0].to}};
  const Vec3 p = viewer::posed_station(in, in.ducts[0], 900, rolled) + Vec3(0, 0, 38);
  CHECK(std::abs(viewer::nearest_station(in, {0, 2}, p, rolled) - 900) <= 25);
}

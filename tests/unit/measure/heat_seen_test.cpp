#include "measure/heat_seen.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "tests/support/box_mesh.hpp"

using namespace baywright;
using measure::share_seen;

namespace {

void add_box(bay::Bay& bay, const std::string& name, const Vec3& lo, const Vec3& hi) {
  bay::Part part;
  part.id = bay::PartId(name);
  part.mesh = std::make_shared<TriMesh>(test::box_mesh(lo, hi));
  part.tree = TriTree::over(*part.mesh);
  bay.parts.push_back(part);
}

const duct::StationFrame kAlongX{Vec3::Zero(), Vec3::UnitX()};

}  // namespace

TEST_CASE("a wall without end is half of what a duct sees, an enclosure all of it", "[heat]") {
  bay::Bay bay;
  add_box(bay, "wall", {-1e5, -1e5, -1100}, {1e5, 1e5, -1000});
  CHECK(share_seen(bay, kAlongX, bay.parts[0]) == Approx(0.5).margin(0.02));
  bay.parts.clear();
  add_box(bay, "room", {-900, -700, -800}, {1000, 600, 500});
  CHECK(share_seen(bay, kAlongX, bay.parts[0]) == Approx(1));
}

TEST_CASE("a small thing far away beside the duct: its solid angle, twice over pi squared", "[heat]") {
  // Square of 400 seen face on from 600: solid angle 4 atan(ab / (d sqrt(a^2 + b^2 + d^2))), a = b = 200; weighted with
  // the sine of the angle to the axis, 1 at its middle and never below 0.94.
  bay::Bay bay;
  add_box(bay, "plate", {-200, -200, 600}, {200, 200, 610});
  const double solid_angle = 4 * std::atan(200.0 * 200 / (600 * std::sqrt(200.0 * 200 * 2 + 600.0 * 600)));
  const double most = solid_angle / (std::numbers::pi * std::numbers::pi);
  const double seen = share_seen(bay, kAlongX, bay.parts[0]);
  CHECK(seen <= most + 0.01);
  CHECK(seen >= 0.94 * most - 0.01);
  // On the duct's own axis it shows less.
  add_box(bay, "ahead", {600, -200, -200}, {610, 200, 200});
  CHECK(share_seen(bay, kAlongX, bay.parts[1]) < 0.4 * seen);
}

TEST_CASE("what stands between hides, what stands behind or beside does not", "[heat]") {
  bay::Bay bay;
  add_box(bay, "hot", {-200, -200, 600}, {200, 200, 610});
  const double bare = share_seen(bay, kAlongX, bay.parts[0]);
  REQUIRE(bare > 0);
  add_box(bay, "behind", {-1000, -1000, 700}, {1000, 1000, 710});
  add_box(bay, "beside", {-1000, 500, -500}, {1000, 510, 500});
  CHECK(share_seen(bay, kAlongX, bay.parts[0]) == bare);
  add_box(bay, "shield", {-300, -300, 400}, {300, 300, 402});
  CHECK(share_seen(bay, kAlongX, bay.parts[0]) == 0);
  bay.parts[3].doubt = "no unit";  // of a shape nobody believes
  CHECK(share_seen(bay, kAlongX, bay.parts[0]) == bare);
  bay.parts[0].doubt = "no unit";
  CHECK(share_seen(bay, kAlongX, bay.parts[0]) == 0);
}

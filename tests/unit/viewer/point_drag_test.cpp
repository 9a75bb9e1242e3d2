#include "viewer/window/point_drag.hpp"

#include <catch2/catch.hpp>

using namespace baywright;
using viewer::PointDrag;
using viewer::Shot;
using Kind = session::PointFreedom::Kind;

namespace {

constexpr double kHeight_px = 500;

/// From the left, 1 mm a pixel: right is -x... seen along -y, up is z.
Shot from_left() {
  Shot shot;
  shot.toward = Vec3::UnitY();
  shot.up = Vec3::UnitZ();
  shot.half_height_mm = kHeight_px / 2;
  return shot;
}

const Vec3 kStart(100, 50, 20);

PointDrag free_drag(const Shot& shot = from_left(), const DisplayUnits& units = {}) {
  return {kStart, {}, shot, kHeight_px, units};
}

}  // namespace

TEST_CASE("A pointer that has not moved leaves the point where it was", "[viewer]") {
  CHECK(free_drag().at(0, 0) == kStart);
  CHECK_FALSE(free_drag().axis(10, 0));
}

TEST_CASE("A free point follows the pointer in the plane of the picture, rounded to 0.1 mm", "[viewer]") {
  // The right of the picture is up x toward = z x y = -x.
  CHECK((free_drag().at(10, 7) - Vec3(90, 50, 27)).norm() < 1e-9);
  CHECK((free_drag().at(10.26, 7.04) - Vec3(89.7, 50, 27)).norm() < 1e-9);
  DisplayUnits inch;
  inch.length = LengthUnit::inch;
  const double step = 0.005 * kMillimetresPerInch;
  const Vec3 to = free_drag(from_left(), inch).at(0, 7.04);
  CHECK(to.x() == kStart.x());
  CHECK(std::abs(to.z() / step - std::round(to.z() / step)) < 1e-4);
}

TEST_CASE("A key holds the point to its axis until it is pressed again", "[viewer]") {
  PointDrag drag = free_drag();
  drag.toggle_axis(2);
  CHECK((drag.at(10, 7) - Vec3(100, 50, 27)).norm() < 1e-9);
  CHECK(drag.axis_text(10, 7) == "along z");
  drag.toggle_axis(0);
  CHECK((drag.at(10, 7) - Vec3(90, 50, 20)).norm() < 1e-9);
  drag.toggle_axis(0);
  CHECK((drag.at(10, 7) - Vec3(90, 50, 27)).norm() < 1e-9);
}

TEST_CASE("An axis that points at the viewer holds the point still, and says why", "[viewer]") {
  PointDrag drag = free_drag();
  drag.toggle_axis(1);
  CHECK(drag.at(10, 7) == kStart);
  CHECK(drag.axis_text(10, 7).find("turn the view") != std::string::npos);
}

TEST_CASE("Shift takes the axis nearest to the pointer's way", "[viewer]") {
  PointDrag drag = free_drag();
  drag.hold_nearest(true);
  CHECK((drag.at(10, 2) - Vec3(90, 50, 20)).norm() < 1e-9);
  CHECK((drag.at(-2, 10) - Vec3(100, 50, 30)).norm() < 1e-9);
  drag.hold_nearest(false);
  CHECK((drag.at(10, 2) - Vec3(90, 50, 22)).norm() < 1e-9);
}

TEST_CASE("An axis seen at an angle: the point stays under the pointer along it", "[viewer]") {
  Shot shot = from_left();
  shot.toward = Vec3(1, 1, 0).normalized();
  PointDrag drag = free_drag(shot);
  drag.toggle_axis(0);
  // x is seen shortened by sqrt(1/2), to the left.
  CHECK(drag.at(-10, 33).x() == Approx(100 + 10 * std::sqrt(2.0)).margin(0.051));
}

TEST_CASE("A point of a line goes along it whatever is held", "[viewer]") {
  const Vec3 axis = Vec3(3, 0, 4).normalized();
  PointDrag drag(kStart, {Kind::line, axis, "goes along the axis of port in"}, from_left(), kHeight_px, {});
  drag.toggle_axis(2);
  drag.hold_nearest(true);
  const Vec3 to = drag.at(-30, 40);  // 50 px along the axis as it is seen
  CHECK((to - (kStart + 50 * axis)).norm() < 2e-3);
  CHECK(to.y() == kStart.y());
  CHECK(drag.axis_text(-30, 40) == "goes along the axis of port in");
  PointDrag fixed(kStart, {Kind::fixed, {}, "stays"}, from_left(), kHeight_px, {});
  CHECK(fixed.at(30, 40) == kStart);
}

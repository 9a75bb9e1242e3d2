#include <catch2/catch.hpp>

#include <cmath>

#include "routing/course.hpp"
#include "routing/course_fit.hpp"
#include "routing/room.hpp"
#include "routing/settle.hpp"
#include "searched.hpp"
#include "tests/support/ducts.hpp"
#include "tests/support/rocking_bay.hpp"

using namespace baywright;
using namespace baywright::routing;
using test::winding;

namespace {

/// A right angle: 300 mm, a bend of 100 mm, 400 mm.
Course right_angle() { return {{{0, 0, 0}, {300, 0, 0}, {300, 400, 0}}, 100}; }

CourseEnd end_of(const Course& course, bool last) {
  const auto& p = course.points;
  const std::size_t n = p.size();
  return last ? CourseEnd{p[n - 1], (p[n - 2] - p[n - 1]).normalized()} : CourseEnd{p[0], (p[1] - p[0]).normalized()};
}

std::vector<Vec3> sampled(const Course& course, double step_mm) {
  const CourseShape shape = shape_of(course);
  std::vector<Vec3> out;
  for (double s = 0; s < shape.length_mm(); s += step_mm) out.push_back(shape.at(s).p);
  out.push_back(course.points.back());
  return out;
}

/// A bay of one box below a straight duct along x from (0, 0, 0) to (1000, 0, 0), tube 60.
struct OverABox {
  test::Installation made = test::between(test::route({{0, 0, 0}, {1000, 0, 0}}, 90), 60, 60);
  Requirements need;
  explicit OverABox(double top_z_mm) {
    made.bay.parts = {test::box_part("box", {300, -100, -400}, {700, 100, top_z_mm}, 0)};
    need.of_part = {PartNeed{12, 12, 12}};
    need.outer_diameter_mm = 60;
    need.bend_radius_mm = 90;
  }
};

}  // namespace

TEST_CASE("legs, arcs and length of a right angle", "[course]") {
  const CourseShape shape = shape_of(right_angle());
  REQUIRE(shape.elements() == 3);
  CHECK(shape.legs[0].spare_mm == Approx(300 - 100));
  CHECK(shape.legs[1].spare_mm == Approx(400 - 100));
  CHECK(shape.arcs[0].angle_rad == Approx(M_PI / 2));
  CHECK(shape.length_mm() == Approx(200 + 100 * M_PI / 2 + 300));
  CHECK(shape.turning_rad() == Approx(M_PI / 2));
  // The arc's middle: its centre is (200, 100).
  const Vec3 middle(200 + 100 * std::sqrt(0.5), 100 - 100 * std::sqrt(0.5), 0);
  CHECK((shape.point(1, 0.5) - middle).norm() < 1e-9);
  const CourseShape::Place place = shape.nearest(middle + Vec3(0, 0, 7));
  CHECK(place.element == 1);
  CHECK(place.share == Approx(0.5));
  CHECK(place.distance_mm == Approx(7));
  CHECK((shape.at(200 + 50 * M_PI / 2).p - middle).norm() < 1e-9);
}

TEST_CASE("a course lies as duct::lay_out_route lays it, and may be impossible", "[course]") {
  const Course course = winding();
  const auto layout = duct::lay_out_route(test::route(course.points, course.radius_mm));
  REQUIRE(layout.has_value());
  const CourseShape shape = shape_of(course);
  CHECK(shape.length_mm() == Approx(layout->length_mm));
  for (double s = 0; s <= layout->length_mm; s += 7) CHECK((shape.at(s).p - layout->at(s).p_mm).norm() < 1e-6);
  Course tight = right_angle();
  tight.points[2] = {300, 60, 0};
  CHECK(shape_of(tight).legs[1].spare_mm == Approx(-40));
}

TEST_CASE("the points beside the ends slide on the ports' axes", "[course]") {
  const Course course = winding();
  const Freedom freedom(end_of(course, false), end_of(course, true), course.bends());
  REQUIRE(freedom.count() == 2 + 3);
  Eigen::VectorXd dx(5);
  dx << 10, -20, 1, 2, 3;
  const Course moved = freedom.moved(course, dx);
  CHECK((moved.points[1] - Vec3(270, 0, 0)).norm() < 1e-9);
  CHECK((moved.points[2] - Vec3(331, 302, 83)).norm() < 1e-9);
  CHECK((moved.points[3] - (course.points[3] - 20 * end_of(course, true).axis)).norm() < 1e-9);
  CHECK(moved.points[0] == course.points[0]);
  CHECK(moved.points[4] == course.points[4]);
}

TEST_CASE("a fit to the centreline of a course finds that course", "[fit]") {
  const Course course = winding();
  const auto fit =
      fit_course(sampled(course, 10), end_of(course, false), end_of(course, true), {course.bends(), 90, 50});
  REQUIRE(fit.has_value());
  for (std::size_t i = 0; i < course.points.size(); ++i) {
    CAPTURE(i);
    CHECK((fit->points[i] - course.points[i]).norm() < 1.0);
  }
}

TEST_CASE("one bend there is only where the axes meet", "[fit]") {
  const CourseEnd from{{0, 0, 0}, Vec3::UnitX()};
  const auto one = only_course(from, {{300, 400, 0}, -Vec3::UnitY()}, 1, 100);
  REQUIRE(one.has_value());
  CHECK((one->points[1] - Vec3(300, 0, 0)).norm() < 1e-9);
  CHECK_FALSE(only_course(from, {{300, 400, 30}, -Vec3::UnitY()}, 1, 100).has_value());
  CHECK_FALSE(only_course(from, {{300, 400, 0}, Vec3::UnitY()}, 1, 100).has_value());
  CHECK(only_course(from, {{500, 0, 0}, -Vec3::UnitX()}, 0, 100).has_value());
  CHECK_FALSE(only_course(from, {{500, 60, 0}, -Vec3::UnitX()}, 0, 100).has_value());
}

TEST_CASE("room is the distance less the tube's radius and what the part needs", "[room]") {
  const OverABox bay(-50);
  const Room room(bay.made.bay, bay.made.spec, bay.need);
  CHECK(room.at({500, 0, 0}).spare_mm == Approx(50 - 30 - 12).margin(1e-3));
  CHECK(room.at({500, 0, 20}).spare_mm == Approx(70 - 30 - 12).margin(1e-3));
  CHECK(room.at({500, 0, 500}).spare_mm == 60);  // all that is asked for
  CHECK(room.at({500, 0, 500}).part == -1);
  const auto contacts = room.contacts(shape_of({{{0, 0, 0}, {1000, 0, 0}}, 90}), 20);
  REQUIRE_FALSE(contacts.empty());
  CHECK(least_margin(contacts, 20) == Approx(8).margin(0.25));
  for (const routing::Contact& c : contacts) CHECK(c.outward.z() < -0.5);
}

TEST_CASE("a course that is too near is settled beside what it was near to", "[settle]") {
  const OverABox bay(-30);
  Room room(bay.made.bay, bay.made.spec, bay.need);
  // Two free points; the middle leg runs 30 mm above the box and needs 42.
  const Course start{{{0, 0, 300}, {0, 0, 0}, {1000, 0, 0}, {1000, 0, 300}}, 90};
  const CourseEnd from{{0, 0, 300}, -Vec3::UnitZ()}, to{{1000, 0, 300}, -Vec3::UnitZ()};
  const Freedom freedom(from, to, 2);
  const ContactsOf contacts = [&room](const Course& c) { return room.contacts(shape_of(c), 8); };
  CHECK(least_margin(contacts(start), 8) == Approx(-12).margin(0.25));
  const Settled settled = settle(start, freedom, contacts, {1, 6, 20, {1, 50, 1}});
  CHECK(settled.margin_mm >= 1);
  CHECK(least_margin(contacts(settled.course), 8) >= 1);
  // No farther than it has to: the leg rose by 13 mm and little more.
  CHECK(settled.course.points[1].z() < 20);
}

TEST_CASE("a route keeps the ids of its ends, and its points are rounded", "[course]") {
  duct::Route old = test::route({{0, 0, 0}, {1, 0, 0}}, 0);
  old.points[0].id = duct::PointId("P1");
  old.points[1].id = duct::PointId("end");
  Course course = right_angle();
  course.points[1] = {300.004, 0.006, 0};
  const duct::Route route = route_of(course, old);
  REQUIRE(route.points.size() == 3);
  CHECK(route.points[0].id.value == "P1");
  CHECK(route.points[1].id.value == "P2");
  CHECK(route.points[2].id.value == "end");
  CHECK(route.points[1].p_mm == Vec3(300, 0.01, 0));
  CHECK(route.points[1].bend_radius_mm == 100);
  CHECK(route.points[0].bend_radius_mm == 0);
}

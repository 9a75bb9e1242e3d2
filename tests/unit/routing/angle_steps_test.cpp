#include <catch2/catch.hpp>

#include <cmath>

#include "routing/angle_steps.hpp"
#include "routing/settle.hpp"
#include "searched.hpp"

using namespace baywright;
using namespace baywright::routing;
using test::winding;

namespace {

constexpr double kDegree = M_PI / 180;

Freedom freedom_of(const Course& course) {
  const auto& p = course.points;
  const std::size_t n = p.size();
  return {{p[0], (p[1] - p[0]).normalized()}, {p[n - 1], (p[n - 2] - p[n - 1]).normalized()}, course.bends()};
}

bool all_on(const std::vector<double>& angles, double step) {
  for (const double a : angles) {
    if (std::abs(a / step - std::round(a / step)) * step > 1e-6) return false;
  }
  return true;
}

}  // namespace

TEST_CASE("each bend may have a radius of its own", "[course]") {
  // 500 mm, a bend of 100 mm, 600 mm, a bend of 60 mm, 400 mm; both of a right angle.
  Course course{{{0, 0, 0}, {500, 0, 0}, {500, 600, 0}, {500, 600, 400}}, 100};
  const CourseShape alike = shape_of(course);
  course = course.with_radius(1, 60);
  const CourseShape shape = shape_of(course);
  CHECK(course.radius_of(0) == 100);
  CHECK(course.radius_of(1) == 60);
  CHECK(shape.legs[1].spare_mm == Approx(600 - 100 - 60));
  CHECK(shape.legs[2].spare_mm == Approx(400 - 60));
  CHECK(shape.length_mm() == Approx(400 + 50 * M_PI + 440 + 30 * M_PI + 340));
  CHECK(shape.length_mm() - alike.length_mm() == Approx((2 - M_PI / 2) * 40));
  const duct::Route route = route_of(course, {{{duct::PointId("a"), {}, 0}, {duct::PointId("b"), {}, 0}}});
  CHECK(route.points[1].bend_radius_mm == 100);
  CHECK(route.points[2].bend_radius_mm == 60);
}

TEST_CASE("the nearest multiples of a step come first, then those beside them", "[angles]") {
  const auto all = angles_on_steps({31 * kDegree, 43 * kDegree}, 15 * kDegree);
  REQUIRE(all.size() == 3);
  CHECK(all[0][0] == Approx(30 * kDegree));
  CHECK(all[0][1] == Approx(45 * kDegree));
  CHECK(all[1][0] == Approx(30 * kDegree));  // 43 is 13 from 30, 31 is 14 from 45
  CHECK(all[1][1] == Approx(30 * kDegree));
  CHECK(all[2][0] == Approx(45 * kDegree));
  // No bend of 0, and no reversal.
  const auto small = angles_on_steps({2 * kDegree}, 15 * kDegree);
  REQUIRE(small.size() == 1);
  CHECK(small[0][0] == Approx(15 * kDegree));
  CHECK(angles_on_steps({170 * kDegree}, 90 * kDegree).front()[0] == Approx(90 * kDegree));
}

TEST_CASE("a course is brought to angles on its step by a small move, its ends where they were", "[angles]") {
  const Course course = winding();
  const Freedom freedom = freedom_of(course);
  const double step = 5 * kDegree;
  const auto wanted = angles_on_steps(shape_of(course).angles_rad(), step).front();
  const auto made = with_angles(course, freedom, wanted);
  REQUIRE(made.has_value());
  CHECK(all_on(shape_of(*made).angles_rad(), step));
  CHECK(made->points.front() == course.points.front());
  CHECK(made->points.back() == course.points.back());
  CHECK(made->points[1].tail<2>().norm() < 1e-9);
  for (std::size_t i = 0; i < course.points.size(); ++i) CHECK((made->points[i] - course.points[i]).norm() < 60);
  // What is written, to 0.01 mm, is on the step still.
  const auto layout =
      duct::lay_out_route(route_of(*made, {{{duct::PointId("a"), {}, 0}, {duct::PointId("b"), {}, 0}}}));
  REQUIRE(layout.has_value());
  CHECK(on_steps(*layout, degrees(5)));
  CHECK_FALSE(on_steps(*layout, degrees(4)));
  CHECK(on_steps(*layout, Angle()));
}

TEST_CASE("moves that keep the angles change none of them, to first order", "[angles]") {
  const Course course = winding();
  const Freedom freedom = freedom_of(course);
  const Eigen::MatrixXd kept = moves_that_keep_angles(course, freedom);
  const auto before = shape_of(course).angles_rad();
  for (int k = 0; k < freedom.count(); ++k) {
    const Eigen::VectorXd dx = 0.1 * kept * Eigen::VectorXd::Unit(freedom.count(), k);
    const auto after = shape_of(freedom.moved(course, dx)).angles_rad();
    for (std::size_t i = 0; i < before.size(); ++i) CHECK(after[i] == Approx(before[i]).margin(1e-6));
  }
  CHECK((kept * kept - kept).norm() < 1e-9);
}

TEST_CASE("a course without anything to move is on its steps or is none", "[angles]") {
  const Course right{{{0, 0, 0}, {300, 0, 0}, {300, 400, 0}}, 100};
  CHECK(with_angles(right, freedom_of(right), {90 * kDegree}).has_value());
  CHECK_FALSE(with_angles(right, freedom_of(right), {85 * kDegree}).has_value());
}

TEST_CASE("settling with a step of angles moves away from what is near and stays on the step", "[angles]") {
  const Course course = winding();
  const Freedom freedom = freedom_of(course);
  // A plane above: everything has to stay 40 mm below z = 90.
  const ContactsOf contacts = [](const Course& c) {
    const CourseShape shape = shape_of(c);
    std::vector<routing::Contact> out;
    for (int e = 0; e < shape.elements(); ++e) {
      for (const double share : {0.0, 0.5, 1.0}) {
        const double margin = 90 - 40 - shape.point(e, share).z();
        if (margin < 8) out.push_back({e, share, Vec3::UnitZ(), margin, 0});
      }
    }
    return out;
  };
  SettleOptions options{1, 6, 20, {1, 40, 40, 1}};
  options.angle_step_rad = 5 * kDegree;
  const Settled settled = settle(course, freedom, contacts, options);
  CHECK(least_margin(contacts(course), 8) < 0);
  CHECK(settled.margin_mm >= 1);
  CHECK(all_on(shape_of(settled.course).angles_rad(), options.angle_step_rad));
}

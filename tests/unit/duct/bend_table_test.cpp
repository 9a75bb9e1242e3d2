#include "duct/bend_table.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "routes.hpp"
#include "tests/support/case_count.hpp"

using namespace baywright;
using namespace baywright::duct;
using baywright::test::route;
using baywright::test::worked_points;

namespace {

Layout laid_out(const std::vector<Vec3>& points, double radius_mm) {
  auto layout = lay_out_route(route(points, radius_mm));
  REQUIRE(layout);
  return *layout;
}

void check_same(const BendTable& a, const BendTable& b, double rotation_sign) {
  REQUIRE(a.rows.size() == b.rows.size());
  for (std::size_t i = 0; i < a.rows.size(); ++i) {
    CHECK(a.rows[i].length_before_mm == Approx(b.rows[i].length_before_mm).margin(1e-9));
    CHECK(a.rows[i].rotation.si() == Approx(rotation_sign * b.rows[i].rotation.si()).margin(1e-12));
    CHECK(a.rows[i].angle.si() == Approx(b.rows[i].angle.si()).margin(1e-12));
    CHECK(a.rows[i].arc_mm == Approx(b.rows[i].arc_mm).margin(1e-9));
  }
  CHECK(a.last_length_mm == Approx(b.last_length_mm).margin(1e-9));
  CHECK(a.developed_mm == Approx(b.developed_mm).margin(1e-9));
}

}  // namespace

TEST_CASE("A straight tube has an empty table") {
  const BendTable table = bend_table(laid_out({{0, 0, 0}, {250, 0, 0}}, 0));
  CHECK(table.rows.empty());
  CHECK(table.last_length_mm == Approx(250));
  CHECK(table.developed_mm == Approx(250));
  CHECK(reversed(table).last_length_mm == Approx(250));
}

TEST_CASE("A tube between two joints has a table from its own cut end") {
  // The worked tube cut in the straight before its second bend, 30 before the bend, and 20 behind it.
  const Layout layout = laid_out(worked_points(), 114.3);
  const BendTable whole = bend_table(layout);
  const double from = layout.bends[1].station_from_mm - 30, to = layout.bends[1].station_to_mm + 20;
  const BendTable part = bend_table(layout, from, to);
  REQUIRE(part.rows.size() == 1);
  CHECK(part.rows[0].length_before_mm == Approx(30));
  CHECK(part.rows[0].rotation.si() == 0);  // nothing to turn from
  CHECK(part.rows[0].angle == whole.rows[1].angle);
  CHECK(part.last_length_mm == Approx(20));
  CHECK(part.developed_mm == Approx(30 + layout.bends[1].arc_mm() + 20));
  // Behind the cut the next bend keeps its turn from the one before it.
  const BendTable rest = bend_table(layout, from, layout.length_mm);
  REQUIRE(rest.rows.size() == 2);
  CHECK(rest.rows[1].rotation == whole.rows[2].rotation);
  CHECK(bend_table(layout, 10, 60).rows.empty());
  CHECK(bend_table(layout, 10, 60).developed_mm == Approx(50));
}

TEST_CASE("Worked example of a three-bend tube") {
  // Values worked out beforehand, printed to 0.001.
  const Layout layout = laid_out(worked_points(), 114.3);
  const BendTable table = bend_table(layout);
  REQUIRE(table.rows.size() == 3);
  const double lengths[] = {185.700, 130.693, 136.106};
  const double rotations[] = {0, -175.666, 75.323};
  const double angles[] = {90.000, 73.180, 90.000};
  const double set_backs[] = {114.300, 84.855, 114.300};
  const double arcs[] = {179.542, 145.987, 179.542};
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(table.rows[i].length_before_mm == Approx(lengths[i]).margin(5e-4));
    CHECK(to_degrees(table.rows[i].rotation) == Approx(rotations[i]).margin(5e-4));
    CHECK(to_degrees(table.rows[i].angle) == Approx(angles[i]).margin(5e-4));
    CHECK(table.rows[i].arc_mm == Approx(arcs[i]).margin(5e-4));
    CHECK(layout.bends[i].set_back_mm == Approx(set_backs[i]).margin(5e-4));
  }
  CHECK(table.last_length_mm == Approx(145.700).margin(5e-4));
  CHECK(table.developed_mm == Approx(1103.270).margin(5e-4));
  // In closed form, to rounding: right angles at P1 and P3 (set-back R), cos(theta 2) = u1.u2, and the rotations from
  // the plane normals (0, -80, 320), (-8000, 25600, -102400) and (-100, 320, 0).
  const double d1 = std::sqrt(320.0 * 320.0 + 80.0 * 80.0), d2 = std::sqrt(320.0 * 320.0 + 100.0 * 100.0);
  const double theta = std::acos(320.0 * 100.0 / (d1 * d2));
  const double t2 = 114.3 * std::tan(theta / 2);
  CHECK(table.rows[1].angle.si() == Approx(theta).margin(1e-12));
  CHECK(table.rows[1].length_before_mm == Approx(d1 - 114.3 - t2).margin(1e-9));
  CHECK(table.rows[2].length_before_mm == Approx(d2 - 114.3 - t2).margin(1e-9));
  CHECK(table.developed_mm == Approx(300 + d1 + d2 + 260 - 4 * 114.3 - 2 * t2 + 114.3 * (M_PI + theta)).margin(1e-9));
  const Vec3 n1 = Vec3(0, -80, 320).normalized(), n2 = Vec3(-8000, 25600, -102400).normalized();
  CHECK(std::cos(table.rows[1].rotation.si()) == Approx(n1.dot(n2)).margin(1e-12));
}

TEST_CASE("Reading the table from the other end keeps the sign of rotation") {
  std::vector<Vec3> points = worked_points();
  const BendTable table = bend_table(laid_out(points, 114.3));
  std::reverse(points.begin(), points.end());
  const BendTable back = bend_table(laid_out(points, 114.3));
  check_same(reversed(table), back, 1);
  check_same(reversed(back), table, 1);
  CHECK(to_degrees(back.rows[1].rotation) == Approx(75.323).margin(5e-4));
  CHECK(to_degrees(back.rows[2].rotation) == Approx(-175.666).margin(5e-4));
}

TEST_CASE("A mirror image has every rotation reversed and the rest unchanged") {
  std::vector<Vec3> points = worked_points();
  const BendTable table = bend_table(laid_out(points, 114.3));
  for (Vec3& p : points) p.y() = -p.y();
  check_same(bend_table(laid_out(points, 114.3)), table, -1);
}

TEST_CASE("Points at which the route goes straight on are no rows") {
  std::vector<Vec3> points = worked_points();
  const BendTable table = bend_table(laid_out(points, 114.3));
  points.insert(points.begin() + 1, Vec3(100, 0, 0));
  points.push_back(Vec3(620, 420, -200));
  BendTable longer = table;
  longer.last_length_mm += 20;
  longer.developed_mm += 20;
  check_same(bend_table(laid_out(points, 114.3)), longer, 1);
}

TEST_CASE("Points to table to points returns the points") {
  std::mt19937 random(20240517);
  std::uniform_real_distribution<double> unit(0, 1);
  const auto between = [&](double lo, double hi) { return lo + (hi - lo) * unit(random); };
  int bends = 0;
  for (int run = 0; run < test::case_count(500); ++run) {
    const double radius = between(20, 200);
    const int count = 1 + static_cast<int>(between(0, 7));
    Vec3 u = Vec3(between(-1, 1), between(-1, 1), between(-1, 1)).normalized();
    std::vector<Vec3> points = {Vec3(between(-2000, 2000), between(-2000, 2000), between(-2000, 2000))};
    double set_back = 0;
    for (int i = 0; i <= count; ++i) {
      const double angle = i < count ? degrees(between(0.2, 150)).si() : 0;
      const double next = radius * std::tan(angle / 2);
      points.push_back(points.back() + (set_back + next + between(0.1, 400)) * u);
      set_back = next;
      const Vec3 n = u.cross(Vec3(between(-1, 1), between(-1, 1), between(-1, 1))).normalized();
      u = (Eigen::AngleAxisd(angle, n) * u).normalized();
    }
    const Layout layout = laid_out(points, radius);
    const auto back =
        intersection_points(bend_table(layout), points[0], layout.legs[0].direction, layout.bends[0].normal);
    REQUIRE(back.size() == points.size());
    for (std::size_t i = 0; i < points.size(); ++i) REQUIRE((back[i] - points[i]).norm() < 1e-6);
    bends += count;
  }
  CHECK(bends > test::case_count(1000));
}

#include "geometry/clearance/joint_motion.hpp"

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include "motions.hpp"
#include "shapes.hpp"

namespace baywright {
namespace {

using test::Random;

RigidCarriage on(BodyIndex body) { return Carriage::on(body).first; }

MotionMember free_ranges(std::vector<Joint> joints, std::vector<double> to) {
  MotionMember m;
  m.name = "ranges";
  m.shape = MotionMember::Shape::box;
  m.joints = std::move(joints);
  m.to = std::move(to);
  for (const double t : m.to) m.from.push_back(-t);
  return m;
}

Kinematics two_bodies(MotionMember engine) {
  Kinematics k;
  k.bodies.resize(2);
  k.bodies[1] = MotionSet({std::move(engine)});
  return k;
}

struct All {
  Greatest gap, shortest, lateral, angle, twist, untwist;
};

All joint_motion(const Kinematics& k, const CarriedEnd& upstream, const CarriedEnd& downstream) {
  const auto greatest = [&](JointQuantity quantity) { return greatest_over_motion(k, upstream, downstream, quantity); };
  return {greatest(JointQuantity::gap),   greatest(JointQuantity::shortest), greatest(JointQuantity::lateral),
          greatest(JointQuantity::angle), greatest(JointQuantity::twist),    greatest(JointQuantity::untwist)};
}

void check_narrow(const All& m) {
  for (const Greatest* g : {&m.gap, &m.shortest, &m.lateral}) {
    CHECK(g->bound >= g->attained);
    CHECK(g->bound - g->attained <= 0.0201);
  }
  for (const Greatest* g : {&m.angle, &m.twist, &m.untwist}) {
    CHECK(g->bound >= g->attained);
    CHECK(g->bound - g->attained <= 2.01e-4);
  }
}

TEST_CASE("tube ends in line, touching and overlapping") {
  const TubeEnd upstream{{10, 0, 0}, Vec3::UnitX()};
  for (const double gap : {0.0, 20.0, -3.0}) {
    const JointOffset offset = joint_offset(upstream, {{10 + gap, 0, 0}, -Vec3::UnitX()});
    CHECK(offset.gap_mm == Approx(gap).margin(1e-12));
    CHECK(offset.lateral_mm == Approx(0).margin(1e-12));
    CHECK(offset.angle.si() == 0);
  }
}

TEST_CASE("a joint 5 mm aside and 5 degrees out of line") {
  // A hump takes 10 mm along and sideways and 6 degrees: it takes this, but not with a third of that.
  const JointOffset offset =
      joint_offset({Vec3::Zero(), Vec3::UnitX()}, {{22, 4, 3}, Vec3(-0.99619, 0.08716, 0).normalized()});
  CHECK(offset.gap_mm == Approx(22));
  CHECK(offset.lateral_mm == Approx(5));
  CHECK(to_degrees(offset.angle) == Approx(5.00).margin(0.005));
  const double shares[] = {(offset.gap_mm - 20) / 10, offset.lateral_mm / 10, to_degrees(offset.angle) / 6};
  CHECK(*std::max_element(shares, shares + 3) <= 1);
  CHECK(*std::max_element(shares, shares + 3) > 1.0 / 3);
}

TEST_CASE("a joint at rest goes through nothing", "[motion]") {
  Kinematics k;
  k.bodies.resize(1);
  const All m = joint_motion(k, {on(0), {Vec3::Zero(), Vec3::UnitX()}}, {on(0), {{20, 0, 0}, -Vec3::UnitX()}});
  CHECK(m.gap.attained == Approx(20));
  CHECK(m.shortest.attained == Approx(-20));
  CHECK(m.lateral.attained == Approx(0).margin(1e-9));
  CHECK(m.angle.attained == Approx(0).margin(1e-9));
  CHECK(m.twist.attained == Approx(0).margin(1e-9));
  check_narrow(m);
}

TEST_CASE("shifts along and across: gap and offset by hand", "[motion]") {
  // Engine free by 4 mm along x, 3 along y, 2 along z, all at once: gap 20 +- 4, offset sqrt(13).
  const Kinematics k = two_bodies(free_ranges({{Joint::Kind::translation, Vec3::UnitX(), Vec3::Zero()},
                                               {Joint::Kind::translation, Vec3::UnitY(), Vec3::Zero()},
                                               {Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}},
                                              {4, 3, 2}));
  const All m = joint_motion(k, {on(0), {Vec3::Zero(), Vec3::UnitX()}}, {on(1), {{20, 0, 0}, -Vec3::UnitX()}});
  CHECK(m.gap.attained == Approx(24));
  CHECK(m.shortest.attained == Approx(-16));
  CHECK(m.lateral.attained == Approx(std::sqrt(13)));
  CHECK(m.angle.attained == Approx(0).margin(1e-9));
  check_narrow(m);
}

TEST_CASE("a roll about an axis aside: gap, offset, angle and twist by hand", "[motion]") {
  // Turn about z through (120, 200, 0) by up to 5 degrees either way: the end at (20, 0, 0) moves on a circle.
  const double a = 5 * M_PI / 180;
  const Kinematics k = two_bodies(free_ranges({{Joint::Kind::rotation, Vec3::UnitZ(), {120, 200, 0}}}, {a}));
  const All m = joint_motion(k, {on(0), {Vec3::Zero(), Vec3::UnitX()}}, {on(1), {{20, 0, 0}, -Vec3::UnitX()}});
  const auto x = [&](double t) { return 120 - 100 * std::cos(t) + 200 * std::sin(t); };
  const auto y = [&](double t) { return 200 - 100 * std::sin(t) - 200 * std::cos(t); };
  CHECK(m.gap.attained == Approx(x(a)));
  CHECK(m.shortest.attained == Approx(-x(-a)));
  CHECK(m.lateral.attained == Approx(std::max(std::abs(y(a)), std::abs(y(-a)))));
  CHECK(m.angle.attained == Approx(a));
  CHECK(m.twist.attained == Approx(0).margin(1e-9));
  check_narrow(m);
  // About the tube's own axis it twists and nothing else.
  const Kinematics roll = two_bodies(free_ranges({{Joint::Kind::rotation, Vec3::UnitX(), Vec3::Zero()}}, {a}));
  const All t = joint_motion(roll, {on(0), {Vec3::Zero(), Vec3::UnitX()}}, {on(1), {{20, 0, 0}, -Vec3::UnitX()}});
  CHECK(t.twist.attained == Approx(a));
  CHECK(t.untwist.attained == Approx(a));
  CHECK(t.angle.attained == Approx(0).margin(1e-9));
  check_narrow(t);
}

TEST_CASE("both on one body: its motion moves nothing in the joint", "[motion]") {
  const Kinematics k = two_bodies(free_ranges(
      {{Joint::Kind::rotation, Vec3::UnitY(), {50, 60, 70}}, {Joint::Kind::translation, Vec3::UnitY(), Vec3::Zero()}},
      {0.2, 9}));
  const All m = joint_motion(k, {on(1), {Vec3::Zero(), Vec3::UnitX()}}, {on(1), {{20, 0, 0}, -Vec3::UnitX()}});
  CHECK(m.gap.bound == Approx(20));
  CHECK(m.lateral.bound == Approx(0).margin(1e-4));
}

TEST_CASE("a floating tube between two humps: the rod's angle", "[motion]") {
  // A rod of 400 mm from the vehicle to an engine that moves 8 mm across: it leans by asin(8 / 400) nearly, both of its
  // ends stay on their carriers but for the play along.
  const Kinematics k = two_bodies(free_ranges({{Joint::Kind::translation, Vec3::UnitY(), Vec3::Zero()}}, {8}));
  RigidCarriage rod;
  rod.kind = RigidCarriage::Kind::link;
  rod.a = 0;
  rod.b = 1;
  rod.end_a = {10, 0, 0};
  rod.end_b = {410, 0, 0};
  const All m = joint_motion(k, {on(0), {Vec3::Zero(), Vec3::UnitX()}}, {rod, {{20, 0, 0}, -Vec3::UnitX()}});
  const double lean = std::atan2(8, 400);
  CHECK(m.angle.attained == Approx(lean).epsilon(1e-6));
  // Its end lies 10 mm along it from its own joint, and farther by what it was pulled out of that.
  const double longer = std::hypot(8, 400) - 400;
  CHECK(m.lateral.attained == Approx((10 + longer) * std::sin(lean)).epsilon(1e-3));
  check_narrow(m);
}

TEST_CASE("random motions: no pose beyond the bounds, which are attained", "[motion]") {
  Random random(8800);
  int links = 0;
  for (int run = 0; run < 300; ++run) {
    Kinematics k;
    k.bodies.resize(3);
    k.product = random.chance(0.4);
    for (int b = 1; b < 3; ++b) {
      k.bodies[static_cast<std::size_t>(b)] =
          MotionSet({test::random_member(random, random.chance(0.2) ? 0.3 : 0.06, 12, random.chance(0.7))});
    }
    const Vec3 at = random.point(200), axis = random.unit();
    CarriedEnd first{on(random.below(3)), {at, axis}};
    CarriedEnd second{on(random.below(3)), {at + random.in(2, 40) * axis, -axis}};
    if (random.chance(0.3)) {
      ++links;
      RigidCarriage& rod = second.carriage;
      rod.kind = RigidCarriage::Kind::link;
      rod.a = 1;
      rod.b = random.chance(0.5) ? 2 : 0;
      rod.end_a = at + 5 * axis;
      rod.end_b = rod.end_a + random.unit() * random.in(100, 300);
    }
    const All m = joint_motion(k, first, second);
    check_narrow(m);
    const JointOffset worst = joint_offset_at(k, first, second, m.lateral.state);
    CHECK(worst.lateral_mm == Approx(m.lateral.attained));
    for (int i = 0; i < 60; ++i) {
      const JointOffset o = joint_offset_at(k, first, second, test::random_state(random, k));
      REQUIRE(o.gap_mm <= m.gap.bound + 1e-9);
      REQUIRE(-o.gap_mm <= m.shortest.bound + 1e-9);
      REQUIRE(o.lateral_mm <= m.lateral.bound + 1e-9);
      REQUIRE(o.angle.si() <= m.angle.bound + 1e-9);
    }
  }
  CHECK(links > 50);
}

}  // namespace
}  // namespace baywright

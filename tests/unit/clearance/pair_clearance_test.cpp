// Two things that both move: closed forms, and sampling that uses none of the search's code but carried_point().
#include <algorithm>
#include <array>
#include <cmath>

#include <catch2/catch.hpp>

#include "geometry/clearance/pair_clearance.hpp"
#include "geometry/shape_kernels.hpp"
#include "motions.hpp"
#include "shapes.hpp"

namespace baywright {
namespace {

using test::Random;

constexpr double kWidth_mm = 0.1;

Kinematics still(int bodies = 1) {
  Kinematics k;
  k.bodies.resize(static_cast<std::size_t>(bodies));
  return k;
}

MotionSet path(std::vector<Joint> joints, std::vector<double> to) {
  MotionMember m;
  m.name = "path";
  m.joints = std::move(joints);
  m.to = std::move(to);
  return MotionSet({m});
}

Joint along(const Vec3& axis) { return {Joint::Kind::translation, axis, Vec3::Zero()}; }
Joint about(const Vec3& axis, const Vec3& point) { return {Joint::Kind::rotation, axis, point}; }

struct Thing {
  std::vector<Primitive> shapes;
  Carriage carriage = Carriage::on(0);
};
Thing thing(const Shape& shape, const Carriage& carriage = Carriage::on(0)) { return {{{shape, 0, 0, 0}}, carriage}; }

PairBracket between(const Kinematics& k, const Thing& a, const Thing& b, double width_mm = kWidth_mm) {
  const auto pairs = all_shape_pairs(a.shapes.size(), b.shapes.size());
  return pair_clearance(k, {a.shapes, a.carriage}, {b.shapes, b.carriage}, pairs, {width_mm, 60});
}

void is(const PairBracket& b, double expected_mm, double width_mm = kWidth_mm) {
  CAPTURE(b.lo_mm, b.hi_mm, expected_mm, b.cells);
  CHECK_FALSE(b.beyond_range);
  CHECK(b.lo_mm <= expected_mm + 1e-9);
  CHECK(b.hi_mm >= expected_mm - 1e-5);
  CHECK(b.hi_mm - b.lo_mm <= width_mm);
  // Attained between the witnesses.
  CHECK((b.on_second - b.on_first).norm() == Approx(std::abs(b.hi_mm)).margin(1e-6));
}

TEST_CASE("pair: two skew tubes at rest", "[pair]") {
  // Axes along x and y, 70 apart.
  is(between(still(), thing(Cylinder{{-200, 0, 0}, {200, 0, 0}, 20}),
             thing(Cylinder{{30, -100, 70}, {30, 100, 70}, 10})),
     70 - 30);
  // Crossing: as deep as it goes.
  is(between(still(), thing(Cylinder{{-200, 0, 0}, {200, 0, 0}, 20}), thing(Cylinder{{0, -100, 0}, {0, 100, 0}, 10})),
     -30);
  // Not quite: 12 apart.
  const PairBracket near = between(still(), thing(Cylinder{{-200, 0, 0}, {200, 0, 0}, 20}),
                                   thing(Cylinder{{0, -100, 12}, {0, 100, 12}, 10}));
  is(near, -18);
  CHECK(near.on_first.z() == Approx(20));
  CHECK(near.on_second.z() == Approx(2));
}

TEST_CASE("pair: parallel tubes and a torus beside a cylinder at rest", "[pair]") {
  is(between(still(), thing(Cylinder{{0, 0, 0}, {400, 0, 0}, 38.1}), thing(Cylinder{{50, 0, 100}, {350, 0, 100}, 25})),
     100 - 63.1);
  // Bend in the plane z = 0 about the origin; the tube runs along z outside it at 45 degrees.
  const TorusSegment bend{Vec3::Zero(), Vec3::UnitX(), Vec3::UnitY(), 115, M_PI / 2, 38.1};
  const double out = 115 + 38.1 + 20 + 12.5;
  is(between(still(), thing(bend),
             thing(Cylinder{{out * M_SQRT1_2, out * M_SQRT1_2, -80}, {out * M_SQRT1_2, out * M_SQRT1_2, 200}, 20})),
     12.5);
  // In the hollow: through the centre of the bend.
  is(between(still(), thing(bend), thing(Cylinder{{0, 0, -80}, {0, 0, 200}, 20})), 115 - 58.1);
  // Two bends whose planes cross: circles of 100 about the origin and about (250, 0, 0), nearest along x.
  is(between(still(), thing(TorusSegment{Vec3::Zero(), -Vec3::UnitY(), Vec3::UnitX(), 100, M_PI, 20}),
             thing(TorusSegment{{250, 0, 0}, Vec3::UnitZ(), -Vec3::UnitX(), 100, M_PI, 10})),
     50 - 30);
}

TEST_CASE("pair: flat-ended solids at rest", "[pair]") {
  // End against side, end against end, a rim against a rim.
  is(between(still(), thing(Collar{{0, 0, 0}, {0, 0, 50}, 40}), thing(Cylinder{{-100, 0, 80}, {100, 0, 80}, 10})), 20);
  is(between(still(), thing(Collar{{0, 0, 0}, {0, 0, 50}, 40}), thing(Collar{{5, 5, 75}, {5, 5, 95}, 20})), 25);
  const double dx = 40 + 20 + 30, dz = 40;
  is(between(still(), thing(Collar{{0, 0, 0}, {0, 0, 50}, 40}), thing(Collar{{dx, 0, 50 + dz}, {dx, 0, 150}, 20})),
     std::hypot(30, dz));
  is(between(still(), thing(Cone{{0, 0, 0}, {0, 0, 100}, 40, 20}), thing(Cylinder{{60, -100, 50}, {60, 100, 50}, 5})),
     // From the axis point (60, 50) to the side through (40, 0) and (20, 100).
     std::abs(100 * (60 - 40) + 20 * 50) / std::hypot(100, 20) - 5);
  // Two that meet: touching, without a depth.
  is(between(still(), thing(Collar{{0, 0, 0}, {0, 0, 50}, 40}), thing(Collar{{30, 0, 20}, {90, 0, 20}, 20})), 0);
  // A tube's axis within a solid.
  is(between(still(), thing(Collar{{0, 0, 0}, {0, 0, 50}, 40}), thing(Cylinder{{0, -100, 25}, {0, 100, 25}, 10})), -10);
}

TEST_CASE("pair: over motions both sides move", "[pair]") {
  Kinematics k = still(3);
  const Thing lower = thing(Cylinder{{-200, 0, 0}, {200, 0, 0}, 20}, Carriage::on(1));
  const Thing upper = thing(Cylinder{{0, -150, 90}, {0, 150, 90}, 20}, Carriage::on(2));
  k.bodies[1] = path({along(Vec3::UnitZ())}, {12});
  k.bodies[2] = path({along(Vec3::UnitZ())}, {-9});
  is(between(k, lower, upper), 90 - 40 - 12);  // one at a time
  k.product = true;
  is(between(k, lower, upper), 90 - 40 - 12 - 9);
  // A turn of 0.1 about x at y = -400 carries the upper tube's axis point y to z = 90 - (y + 400) sin + ...: nearest to
  // the lower tube's axis (x along, at y 0), where the two axes are skew at right angles.
  k.bodies[1] = MotionSet();
  k.bodies[2] = path({about(Vec3::UnitX(), {0, -400, 90})}, {-0.1});
  // The axis then runs through (y -400, z 90) in the direction (cos 0.1, -sin 0.1): its distance from the origin.
  is(between(k, lower, upper), std::abs(90 * std::cos(0.1) - 400 * std::sin(0.1)) - 40);
  // Both ride on one body: as at rest.
  const Thing with = {upper.shapes, Carriage::on(1)};
  k.bodies[1] = path({about(Vec3::UnitX(), {0, -400, 90})}, {-0.1});
  is(between(k, lower, with), 50);
}

TEST_CASE("pair: a floating tube against another floating tube, each with a share of its own", "[pair]") {
  Kinematics k = still(2);
  k.bodies[1] = path({along(Vec3::UnitX())}, {10});
  const auto link = [](double z) {
    Carriage c;
    c.first.kind = RigidCarriage::Kind::link;
    c.first.a = 0;
    c.first.b = 1;
    c.first.end_a = {0, 0, z};
    c.first.end_b = {300, 0, z};
    return c;
  };
  // Rods along x whose far end goes 10 along: each lies anywhere within 0..10 along x, of its own choice.
  const Thing one = thing(Collar{{100, 0, 0}, {110, 0, 0}, 20}, link(0));
  const Thing other = thing(Collar{{150, 30, 0}, {160, 30, 0}, 20}, link(0.5));
  // At rest 40 apart along x (faces across it, overlapping sideways): the one at 10, the other at 0.
  is(between(k, one, other), 30);
  // On one link they keep their distance.
  const Thing same = {other.shapes, link(0)};
  is(between(k, one, same), 40);
}

TEST_CASE("pair: a hose that bends against a bend that moves", "[pair]") {
  Kinematics k = still(2);
  k.bodies[1] = path({along(Vec3::UnitZ())}, {8});
  Carriage joint = Carriage::on(0);
  joint.second = Carriage::on(1).first;
  joint.gap = Gap{{0, 0, 0}, {40, 0, 0}, true};
  const Thing hose = thing(Cylinder{{0, 0, 0}, {40, 0, 0}, 30}, joint);
  // Axis (3 s^2 - 2 s^3) 8 up: highest at the far end, over which another tube stands still.
  is(between(k, hose, thing(Cylinder{{40, -100, 60}, {40, 100, 60}, 10})), 60 - 8 - 40);
  // A tube that rides up with the far end, over the middle of the gap: nearest at rest.
  is(between(k, hose, thing(Cylinder{{-5, -100, 60}, {-5, 100, 60}, 10}, Carriage::on(1))), std::hypot(60, 5) - 40);
}

TEST_CASE("pair: beyond the range, and no pairs at all", "[pair]") {
  const Thing a = thing(Cylinder{{0, 0, 0}, {100, 0, 0}, 10});
  const PairBracket far = between(still(), a, thing(Cylinder{{0, 0, 200}, {100, 0, 200}, 10}));
  CHECK(far.beyond_range);
  CHECK(far.lo_mm == 60);
  CHECK(std::isinf(far.hi_mm));
  CHECK(pair_clearance(still(), {a.shapes, a.carriage}, {a.shapes, a.carriage}, {}, {kWidth_mm, 60}).beyond_range);
}

// ---- sampling

/// A point of a shape's core at rest: axis of a tube; of a flat-ended solid the solid itself.
Vec3 core_point(const Shape& shape, const std::array<double, 3>& u) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return s->a + u[0] * (s->b - s->a);
  if (const auto* s = std::get_if<TorusSegment>(&shape)) return s->axis_point(u[0] * s->angle_rad);
  Cone c;
  if (const auto* s = std::get_if<Cone>(&shape)) {
    c = *s;
  } else {
    const auto& collar = std::get<Collar>(shape);
    c = {collar.a, collar.b, collar.radius_mm, collar.radius_mm};
  }
  const Vec3 n = (c.b - c.a).normalized(), x = any_perpendicular(n), y = n.cross(x);
  const double r = u[1] * (c.radius_a_mm + u[0] * (c.radius_b_mm - c.radius_a_mm)), t = 2 * M_PI * u[2];
  return c.a + u[0] * (c.b - c.a) + r * (std::cos(t) * x + std::sin(t) * y);
}

double radius_of(const Shape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return s->radius_mm;
  if (const auto* s = std::get_if<TorusSegment>(&shape)) return s->radius_mm;
  return 0;
}

/// Least value found by random starts followed downhill: never below the true one. Every third coordinate is an angle.
template <std::size_t N, class F>
double least_of(Random& random, int starts, double patience, const F& value) {
  double least = std::numeric_limits<double>::infinity();
  for (int i = 0; i < starts; ++i) {
    std::array<double, N> u;
    for (double& each : u) each = random.in(0, 1);
    double best = value(u);
    for (double step = 0.3; step > 1e-7;) {
      std::array<double, N> next = u;
      for (std::size_t j = 0; j < N; ++j) {
        next[j] += step * random.in(-1, 1);
        if (j % 3 != 2) next[j] = std::clamp(next[j], 0.0, 1.0);
      }
      if (const double there = value(next); there < best) {
        best = there;
        u = next;
      } else {
        step *= patience;
      }
    }
    least = std::min(least, best);
  }
  return least;
}

/// Least distance found at one pose.
double sampled(Random& random, const Kinematics& k, const Thing& a, const PosedState& sa, const Thing& b,
               const PosedState& sb, int starts) {
  const CarriedPoints at_a(k, a.carriage, sa), at_b(k, b.carriage, sb);
  const Shape &p = a.shapes[0].shape, &q = b.shapes[0].shape;
  return least_of<6>(random, starts, 0.93, [&](const std::array<double, 6>& u) {
    return (at_a(core_point(p, {u[0], u[1], u[2]})) - at_b(core_point(q, {u[3], u[4], u[5]}))).norm() - radius_of(p) -
           radius_of(q);
  });
}

/// How far a point is from a thing's surface in a state.
double off_surface(Random& random, const Kinematics& k, const Thing& t, const PosedState& state, const Vec3& point) {
  const Shape& shape = t.shapes[0].shape;
  if (!t.carriage.second) {
    return std::abs(signed_distance(moved(shape, carriage_pose(k, t.carriage.first, state)), point));
  }
  const CarriedPoints at(k, t.carriage, state);
  const double d = least_of<3>(
      random, 6, 0.97, [&](const std::array<double, 3>& u) { return (at(core_point(shape, u)) - point).norm(); });
  return std::abs(d - radius_of(shape));
}

Carriage random_carriage(Random& random, int kind, const Shape& shape) {
  const int body = random.below(3);
  Carriage c = Carriage::on(body);
  if (kind == 1) {
    c.first.kind = RigidCarriage::Kind::link;
    c.first.b = (body + 1) % 3;
    c.first.end_a = random.point(100);
    c.first.end_b = c.first.end_a + random.unit() * random.in(80, 300);
  } else if (kind == 2) {
    c.second = Carriage::on((body + 1) % 3).first;  // a mixture
  } else if (kind == 3) {
    const auto& s = std::get<Cylinder>(shape);
    c.second = Carriage::on((body + 1) % 3).first;
    c.gap = Gap{s.a, s.b, random.chance(0.5)};
  }
  return c;
}

struct PairTally {
  int within = 0, wide = 0;
  std::size_t cells = 0;
};

void random_pairs(unsigned seed, int cases, int most_kind, PairTally& tally) {
  Random random(seed);
  for (int i = 0; i < cases; ++i) {
    INFO("seed " << seed << " case " << i);
    Kinematics k;
    k.product = random.chance(0.3);
    const bool few = k.product || most_kind > 0;
    const auto set = [&] {
      return few ? MotionSet({test::random_member(random, 0.06, 10, random.chance(0.8))})
                 : test::random_set(random, 0.1, 12);
    };
    k.bodies = {MotionSet(), set(), set()};
    const auto make = [&] {
      const int kind = random.below(most_kind + 1);
      // What bends or mixes without a known shape is tried as tube: what a flat end does there has no closed rule.
      const Shape shape = test::random_shape(random, kind == 3 ? 0 : kind == 2 ? random.below(2) : random.below(4), 60);
      Thing t = thing(shape, random_carriage(random, kind, shape));
      return t;
    };
    const Thing a = make();
    Thing b = make();
    const Vec3 away = random.unit() * random.in(60, 220);
    for (Primitive& p : b.shapes) p.shape = moved(p.shape, {Eigen::Quaterniond::Identity(), away});
    if (b.carriage.gap) {
      b.carriage.gap->from += away;
      b.carriage.gap->to += away;
    }
    const PairBracket got = between(k, a, b);
    tally.cells += got.cells;
    for (int s = 0; s < 40; ++s) {
      PosedState one = test::random_state(random, k), other = one;
      if (!(a.carriage == b.carriage)) {
        other.axial_share = random.in(0, 1);
        other.spin_share = random.in(0, 1);
        other.mix = random.in(0, 1);
      }
      REQUIRE(sampled(random, k, a, one, b, other, 1) >= got.lo_mm - 1e-6);
    }
    if (got.beyond_range) continue;
    ++tally.within;
    if (got.hi_mm - got.lo_mm > kWidth_mm) ++tally.wide;
    // Attained: the witnesses lie on the surfaces in that pose, as far apart as is said.
    REQUIRE((got.on_second - got.on_first).norm() == Approx(std::abs(got.hi_mm)).margin(1e-6));
    if (got.hi_mm > 0.01) {  // deeper in, another part of a bend's surface may be nearer
      REQUIRE(off_surface(random, k, a, got.state, got.on_first) <= 0.02);
      REQUIRE(off_surface(random, k, b, got.second_state, got.on_second) <= 0.02);
    }
    REQUIRE(sampled(random, k, a, got.state, b, got.second_state, 4) >= got.lo_mm - 1e-6);
  }
}

TEST_CASE("pair: random things on bodies, none sampled below lo, hi found again", "[pair][random]") {
  PairTally tally;
  random_pairs(7100, 300, 0, tally);
  CAPTURE(tally.within, tally.cells);
  CHECK(tally.within > 80);
  CHECK(tally.wide == 0);
}

TEST_CASE("pair: random things on links, mixtures and flexible joints", "[pair][random]") {
  PairTally tally;
  random_pairs(7200, 300, 3, tally);
  CAPTURE(tally.within, tally.cells, tally.wide);
  CHECK(tally.within > 60);
  CHECK(tally.wide == 0);
}

TEST_CASE("pair: thousands of random things", "[pair][.long]") {
  PairTally tally;
  for (unsigned seed = 0; seed < 20; ++seed) random_pairs(8000 + seed, 400, static_cast<int>(seed) % 4, tally);
  CAPTURE(tally.within, tally.cells, tally.wide);
  CHECK(tally.wide <= tally.within / 500);  // 3 of 2385 reached the limit of cells
}

TEST_CASE("pair: the same answer twice", "[pair]") {
  Random random(7300);
  Kinematics k;
  k.bodies = {MotionSet(), test::random_set(random, 0.1, 12), test::random_set(random, 0.1, 12)};
  const Thing a = thing(test::random_shape(random, 1, 60), Carriage::on(1));
  Thing b = thing(test::random_shape(random, 3, 60), Carriage::on(2));
  const PairBracket one = between(k, a, b), two = between(k, a, b);
  CHECK(one.lo_mm == two.lo_mm);
  CHECK(one.hi_mm == two.hi_mm);
  CHECK(one.cells == two.cells);
}

}  // namespace
}  // namespace baywright

#include "geometry/clearance/clearance.hpp"

#include <catch2/catch.hpp>

#include "geometry/base/expects.hpp"
#include "motions.hpp"
#include "shapes.hpp"

namespace baywright {
namespace {

using test::Random;

constexpr double kMost = 0.1 + 1e-9;  // the default width

TriTree wall_at(double x) {
  TriMesh mesh;
  test::add_triangle(mesh, {x, -2000, -2000}, {x, 2000, -2000}, {x, 0, 4000});
  return TriTree::over(mesh);
}

TriTree spike_at(const Vec3& p) {
  TriMesh mesh;
  test::add_triangle(mesh, p, p, p);
  return TriTree::over(mesh);
}

MotionMember slide(const Vec3& by) {
  MotionMember m;
  m.joints = {{Joint::Kind::translation, by.normalized(), Vec3::Zero()}};
  m.to = {by.norm()};
  return m;
}

MotionMember turn(const Vec3& axis, const Vec3& point, double by_rad) {
  MotionMember m;
  m.joints = {{Joint::Kind::rotation, axis, point}};
  m.to = {by_rad};
  return m;
}

MotionMember box(MotionMember path, double from) {
  path.shape = MotionMember::Shape::box;
  path.from.assign(path.to.size(), from);
  return path;
}

Kinematics bodies(std::vector<std::vector<MotionMember>> members) {
  Kinematics k;
  for (auto& m : members) k.bodies.emplace_back(std::move(m));
  return k;
}

std::vector<Primitive> one(const Shape& shape) { return {{shape, 0, 0, 0}}; }

const Shape kTube = Cylinder{{0, 0, -50}, {0, 0, 50}, 10};

void check_value(const Bracket& b, double value) {
  CHECK_FALSE(b.beyond_range);
  CHECK(b.lo_mm <= value + 1e-9);
  CHECK(b.hi_mm >= value - 3e-6);
  CHECK(b.hi_mm - b.lo_mm <= kMost);
  CHECK(std::abs((b.on_shape - b.on_surface).norm() - std::abs(b.hi_mm)) < 1e-5);
}

TEST_CASE("nothing to ask, nothing to meet") {
  const Kinematics still = bodies({{}, {slide({5, 0, 0})}});
  CHECK(clearance(still, {}, Carriage::on(1), wall_at(20), 0, {}).beyond_range);
  CHECK(clearance(still, one(kTube), Carriage::on(1), TriTree(), 0, {}).beyond_range);
  CHECK_THROWS_AS(clearance(still, one(kTube), Carriage::on(2), wall_at(20), 0, {}), ContractViolation);
  CHECK_THROWS_AS(clearance(still, one(kTube), Carriage::on(1), wall_at(20), -1, {}), ContractViolation);
}

TEST_CASE("at rest the bracket is the distance itself") {
  const Bracket b = clearance_at_rest(one(kTube), wall_at(25), {});
  check_value(b, 15);
  CHECK(b.hi_mm == Approx(15).margin(1e-6));
  CHECK(b.hi_mm - b.lo_mm < 1e-4);
  CHECK(b.primitive == 0);
  CHECK(b.near_ties == 1);
}

TEST_CASE("beyond the range is an answer") {
  const Kinematics k = bodies({{}, {slide({30, 0, 0})}});
  const Bracket b = clearance(k, one(kTube), Carriage::on(1), wall_at(200), 0, {});
  CHECK(b.beyond_range);
  CHECK(b.lo_mm >= 60);
  CHECK(std::isinf(b.hi_mm));
  check_value(clearance(k, one(kTube), Carriage::on(1), wall_at(95), 0, {}), 55);
}

TEST_CASE("a straight path, either side moving, and both") {
  const auto k = [](bool product) {
    Kinematics out = bodies({{}, {slide({4, 0, 0})}, {slide({-3, 0, 0})}});
    out.product = product;
    return out;
  };
  check_value(clearance(k(false), one(kTube), Carriage::on(1), wall_at(25), 0, {}), 11);
  check_value(clearance(k(false), one(kTube), Carriage::on(0), wall_at(25), 2, {}), 12);
  check_value(clearance(k(false), one(kTube), Carriage::on(1), wall_at(25), 2, {}), 11);
  check_value(clearance(k(true), one(kTube), Carriage::on(1), wall_at(25), 2, {}), 8);
  // What rides with the surface does not move against it.
  check_value(clearance(k(true), one(kTube), Carriage::on(2), wall_at(25), 2, {}), 15);
}

TEST_CASE("the worst pose inside a turning path, not at its ends", "[motion]") {
  // The axis of an upright tube runs on a circle of 200 about z from -0.2 to 0.3 rad: nearest to the wall at 0 rad.
  const Shape tube =
      Cylinder{{200 * std::cos(-0.2), 200 * std::sin(-0.2), -50}, {200 * std::cos(-0.2), 200 * std::sin(-0.2), 50}, 10};
  const Kinematics k = bodies({{}, {turn(Vec3::UnitZ(), Vec3::Zero(), 0.5)}});
  const Bracket b = clearance(k, one(tube), Carriage::on(1), wall_at(230), 0, {});
  check_value(b, 20);
  CHECK(b.state.bodies[1].member == 0);
  CHECK(b.state.bodies[1].q[0] == Approx(0.2).margin(0.05));
  // The same from the surface's side: it turns the other way.
  const Kinematics other = bodies({{}, {turn(-Vec3::UnitZ(), Vec3::Zero(), 0.5)}});
  check_value(clearance(other, one(tube), Carriage::on(0), wall_at(230), 1, {}), 20);
}

TEST_CASE("grazing, touching and going through a spike", "[motion]") {
  for (const double offset : {10.0, 10.0 + 1e-7, 10.0 - 1e-7, 9.0, 0.0, 30.0}) {
    const Kinematics k = bodies({{}, {slide({100, 0, 0})}});
    const Bracket b = clearance(k, one(kTube), Carriage::on(1), spike_at({50, offset, 3}), 0, {});
    check_value(b, offset - 10);
  }
  // A collar over a spike, in depth: the nearer of end face and side.
  const Shape collar = Collar{{0, 0, 0}, {0, 0, 12}, 20};
  const Kinematics k = bodies({{}, {slide({100, 0, 0})}});
  check_value(clearance(k, one(collar), Carriage::on(1), spike_at({50, 3, 2}), 0, {}), -2);
  check_value(clearance(k, one(collar), Carriage::on(1), spike_at({50, 17, 6}), 0, {}), -3);
  check_value(clearance(k, one(collar), Carriage::on(1), spike_at({50, 0, 6}), 0, {}), -6);
  check_value(clearance(k, one(collar), Carriage::on(1), spike_at({50, 0, 15}), 0, {}), 3);
}

TEST_CASE("an axis that is pierced saturates and ends") {
  const Kinematics k = bodies({{}, {box(turn(Vec3::UnitY(), {0, 0, 300}, 0.1), -0.1)}});
  const Bracket b = clearance(k, one(kTube), Carriage::on(1), wall_at(15), 0, {});
  check_value(b, -10);
  const Shape bend = TorusSegment{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, 90, 3.0, 38};
  const Kinematics still = bodies({{}, {slide({1, 0, 0})}});
  check_value(clearance(still, one(bend), Carriage::on(1), wall_at(10), 0, {}), -38);
}

TEST_CASE("a rim of the set: the worst corner of a box of ranges", "[motion]") {
  MotionMember m;
  m.shape = MotionMember::Shape::box;
  m.joints = {{Joint::Kind::translation, Vec3::UnitX(), Vec3::Zero()},
              {Joint::Kind::rotation, Vec3::UnitZ(), Vec3::Zero()},
              {Joint::Kind::rotation, Vec3::UnitY(), Vec3::Zero()}};
  m.from = {-1, -0.05, -0.05};
  m.to = {2, 0.05, 0.05};
  const Kinematics k = bodies({{}, {m}});
  // End (0, 100, 0) of a tube comes forward most at -0.05 rad about z: x = 100 sin 0.05.
  const Shape tube = Cylinder{{0, 0, 0}, {0, 100, 0}, 10};
  check_value(clearance(k, one(tube), Carriage::on(1), wall_at(40), 0, {}), 40 - 10 - 2 - 100 * std::sin(0.05));
}

TEST_CASE("a soft thing follows any mixture of its carriers", "[motion]") {
  const Kinematics k = bodies({{}, {slide({8, 0, 0})}});
  Carriage soft = Carriage::on(1);
  soft.second = Carriage::on(0).first;
  const Bracket b = clearance(k, one(kTube), soft, wall_at(25), 0, {});
  check_value(b, 7);
  CHECK(b.state.mix == Approx(0).margin(0.02));
  // Against a spike on the way only a mixture touches (a path takes the rest there as well).
  check_value(clearance(k, one(kTube), soft, spike_at({4, 12, 0}), 0, {}), 2);
}

TEST_CASE("a link between a moving and a resting end", "[motion]") {
  // A rod of 200 along y; its end at y = 0 moves 10 towards the wall: the worst place is that end, its axis turned by
  // atan(10 / 200) and pushed out by the share of the longer chord.
  const Kinematics k = bodies({{}, {slide({10, 0, 0})}});
  Carriage link;
  link.first.kind = RigidCarriage::Kind::link;
  link.first.a = 1;
  link.first.b = 0;
  link.first.end_a = {0, 0, 0};
  link.first.end_b = {0, 200, 0};
  const Shape rod = Cylinder{{0, 0, 0}, {0, 200, 0}, 10};
  const double angle = std::atan2(10, 200), longer = std::hypot(10, 200) - 200;
  // Following end a (share 0) the rod's end lies exactly on the moved end; x of the end is then greatest.
  check_value(clearance(k, one(rod), link, wall_at(40), 0, {}), 40 - 10 - 10);
  PosedState state;
  state.bodies.resize(2);
  state.bodies[1] = {0, {10}};
  for (const double share : {0.0, 0.5, 1.0}) {
    state.axial_share = share;
    const Vec3 end = carried_point(k, link, state, {0, 0, 0});
    CHECK(end.x() == Approx(10 - share * longer * std::sin(angle)).margin(1e-9));
    CHECK(end.y() == Approx(share * longer * std::cos(angle)).margin(1e-9));
  }
}

TEST_CASE("two runs are equal to the last bit, and cancelling says so") {
  Random random(5);
  const TriMesh mesh = test::strewn(random, 500, 150, 10);
  const TriTree tree = TriTree::over(mesh);
  const Kinematics k =
      bodies({{}, {test::random_member(random, 0.1, 10, true), test::random_member(random, 0.1, 10, false)}});
  const auto shapes = one(TorusSegment{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, 90, 1.2, 8});
  const Bracket a = clearance(k, shapes, Carriage::on(1), tree, 0, {}),
                b = clearance(k, shapes, Carriage::on(1), tree, 0, {});
  CHECK(a.lo_mm == b.lo_mm);
  CHECK(a.hi_mm == b.hi_mm);
  CHECK(a.triangle == b.triangle);
  CHECK(a.state.bodies == b.state.bodies);
  Progress progress;
  progress.cancel();
  CHECK(clearance(k, shapes, Carriage::on(1), tree, 0, {}, progress).lo_mm == -std::numeric_limits<double>::infinity());
}

TEST_CASE("a cloud's balls stand for half their spacing", "[motion]") {
  PointCloud cloud;
  for (int i = -20; i <= 20; ++i) {
    for (int j = -20; j <= 20; ++j)
      cloud.points.push_back({25.0f, static_cast<float>(3 * i), static_cast<float>(3 * j)});
  }
  const TriTree tree = TriTree::over(cloud, std::vector<float>(cloud.points.size(), 1.5f));
  const Kinematics k = bodies({{}, {slide({4, 0, 0})}});
  check_value(clearance(k, one(kTube), Carriage::on(1), tree, 0, {}), 25 - 10 - 4 - 1.5);
  check_value(clearance(k, one(Collar{{0, 0, 0}, {0, 0, 12}, 20}), Carriage::on(1), tree, 0, {}), 25 - 20 - 4 - 1.5);
}

// Laws, on random scenes.

struct Setup {
  Kinematics kinematics;
  std::vector<Primitive> shapes;
  TriMesh mesh;
};

Setup random_setup(Random& random) {
  Setup s;
  s.kinematics = bodies({{}, {test::random_member(random, 0.1, 12, random.chance(0.7))}});
  s.shapes = one(test::random_shape(random, random.below(4), 50));
  const Vec3 middle = bounds(s.shapes[0].shape).center();
  for (int i = 0; i < 30; ++i) {
    const Vec3 a = middle + random.unit() * random.in(40, 130);
    test::add_triangle(s.mesh, a, a + random.point(20), a + random.point(20));
  }
  return s;
}

void check_equal(const Bracket& a, const Bracket& b) {
  REQUIRE(a.beyond_range == b.beyond_range);
  if (a.beyond_range) return;
  REQUIRE(a.lo_mm <= b.hi_mm + 1e-4);  // two brackets of one number overlap
  REQUIRE(b.lo_mm <= a.hi_mm + 1e-4);
}

TEST_CASE("law: a common rigid move of everything changes nothing", "[motion]") {
  Random random(21);
  for (int i = 0; i < 300; ++i) {
    const Setup s = random_setup(random);
    const Pose X = random.pose(1000);
    Setup t = s;
    MotionMember m = s.kinematics.bodies[1].members()[0];
    for (Joint& j : m.joints) {
      j.axis = (X.R * j.axis).normalized();
      j.point = X * j.point;
    }
    t.kinematics = bodies({{}, {m}});
    t.shapes[0].shape = moved(s.shapes[0].shape, X);
    t.mesh.origin_mm = X.p;
    for (Vec3f& v : t.mesh.vertices) v = (X.R * v.cast<double>()).cast<float>();
    check_equal(clearance(s.kinematics, s.shapes, Carriage::on(1), TriTree::over(s.mesh), 0, {}),
                clearance(t.kinematics, t.shapes, Carriage::on(1), TriTree::over(t.mesh), 0, {}));
  }
}

TEST_CASE("law: moving the surface backwards is moving the shape") {
  Random random(22);
  for (int i = 0; i < 300; ++i) {
    const Setup s = random_setup(random);
    MotionMember m = s.kinematics.bodies[1].members()[0];
    MotionMember back = m;  // the inverse of a chain is the chain of inverses in reverse order
    std::reverse(back.joints.begin(), back.joints.end());
    std::reverse(back.to.begin(), back.to.end());
    std::reverse(back.from.begin(), back.from.end());
    for (Joint& j : back.joints) j.axis = -j.axis;
    const TriTree tree = TriTree::over(s.mesh);
    check_equal(clearance(s.kinematics, s.shapes, Carriage::on(1), tree, 0, {}),
                clearance(bodies({{}, {back}}), s.shapes, Carriage::on(0), tree, 1, {}));
  }
}

TEST_CASE("law: more motion never raises either end by more than the width", "[motion]") {
  Random random(23);
  for (int i = 0; i < 300; ++i) {
    const Setup s = random_setup(random);
    MotionMember m = s.kinematics.bodies[1].members()[0];
    MotionMember wider = m;
    for (double& q : wider.to) q *= 1.3;
    for (double& q : wider.from) q *= 1.2;
    const TriTree tree = TriTree::over(s.mesh);
    const Bracket less = clearance(s.kinematics, s.shapes, Carriage::on(1), tree, 0, {});
    const Bracket more = clearance(bodies({{}, {wider, test::random_member(random, 0.1, 10, true)}}), s.shapes,
                                   Carriage::on(1), tree, 0, {});
    REQUIRE(more.lo_mm <= less.lo_mm + kMost);
    REQUIRE(more.hi_mm <= less.hi_mm + kMost);
  }
}

TEST_CASE("one pose agrees with trying every triangle against the moved shape") {
  Random random(24);
  for (int i = 0; i < 400; ++i) {
    Setup s = random_setup(random);
    s.kinematics =
        bodies({{test::random_member(random, 0.2, 20, true)}, {test::random_member(random, 0.2, 20, false)}});
    s.kinematics.product = true;
    const PosedState state = test::random_state(random, s.kinematics);
    const Pose A = pose_at(s.kinematics.bodies[1], state.bodies[1]),
               P = pose_at(s.kinematics.bodies[0], state.bodies[0]);
    double best = std::numeric_limits<double>::infinity();
    for (const auto& t : s.mesh.triangles) {
      best = std::min(best, distance_to_triangle(moved(s.shapes[0].shape, A), P * s.mesh.vertex(t[0]),
                                                 P * s.mesh.vertex(t[1]), P * s.mesh.vertex(t[2]))
                                .distance_mm);
    }
    const Bracket at =
        clearance_at(s.kinematics, s.shapes, Carriage::on(1), TriTree::over(s.mesh), 0, state, {0.1, 1e4});
    REQUIRE(std::abs(at.hi_mm - best) < 5e-6);
  }
}

}  // namespace
}  // namespace baywright

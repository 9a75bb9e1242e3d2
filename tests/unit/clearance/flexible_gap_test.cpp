#include "geometry/clearance/flexible_gap.hpp"

#include <catch2/catch.hpp>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/carried.hpp"
#include "geometry/clearance/clearance.hpp"
#include "geometry/shape_kernels.hpp"
#include "motions.hpp"

namespace baywright {
namespace {

using test::Random;

/// Hermite's cubic from its definition: end points and end tangents of the gap's length.
Vec3 hermite(const Gap& gap, const Pose& first, const Pose& second, double s) {
  const Vec3 whole = gap.to - gap.from;
  const double s2 = s * s, s3 = s2 * s;
  return (2 * s3 - 3 * s2 + 1) * (first * gap.from) + (s3 - 2 * s2 + s) * (first.R * whole) +
         (3 * s2 - 2 * s3) * (second * gap.to) + (s3 - s2) * (second.R * whole);
}

struct JointCase {
  Kinematics kinematics;
  Carriage carriage;
  double length_mm = 0;
  Vec3 along;
};

JointCase random_joint(Random& random, double angle_rad, double shift_mm) {
  JointCase out;
  out.kinematics.product = true;
  out.kinematics.bodies = {MotionSet(), test::random_set(random, angle_rad, shift_mm),
                           test::random_set(random, angle_rad, shift_mm)};
  out.length_mm = random.in(2, 60);
  out.along = random.unit();
  const Vec3 from = random.point(60);
  out.carriage = Carriage::on(1);
  out.carriage.second = Carriage::on(random.chance(0.5) ? 2 : 0).first;
  out.carriage.gap = Gap{from, from + out.length_mm * out.along};
  return out;
}

Pose pose_of(const JointCase& joint, const RigidCarriage& carriage, const PosedState& state) {
  return carriage_pose(joint.kinematics, carriage, state);
}

std::vector<Primitive> hose(const JointCase& joint, double radius_mm) {
  return {{Cylinder{joint.carriage.gap->from, joint.carriage.gap->to, radius_mm}, 0, 0, joint.length_mm}};
}

TriMesh random_triangles(Random& random, const Vec3& around, double spread_mm) {
  TriMesh mesh;
  for (int i = 0; i < 12; ++i) {
    const Vec3 a = around + random.unit() * spread_mm * random.in(0.5, 1.5);
    test::add_triangle(mesh, a, a + random.point(15), a + random.point(15));
  }
  return mesh;
}

}  // namespace

TEST_CASE("Weights of a cubic's parts") {
  for (const double s : {0.0, 0.3, 1.0}) {
    const CubicWeights w = cubic_weights(s);
    CHECK(w[0] + w[1] + w[2] + w[3] == Approx(1));
    CHECK(w[1] == Approx(3 * s * (1 - s) * (1 - s)));
    const CubicWeights slope = cubic_slopes(s), next = cubic_weights(s + 1e-6), last = cubic_weights(s - 1e-6);
    for (std::size_t i = 0; i < 4; ++i) CHECK(slope[i] == Approx((next[i] - last[i]) / 2e-6).margin(1e-6));
  }
  const auto part = cubic_part(0.2, 0.7);
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(part[0][i] == Approx(cubic_weights(0.2)[i]));
    CHECK(part[3][i] == Approx(cubic_weights(0.7)[i]));
    // The part's own cubic at a third is the whole's at 0.2 + 0.5 / 3.
    double sum = 0;
    for (std::size_t k = 0; k < 4; ++k) sum += cubic_weights(1.0 / 3)[k] * part[k][i];
    CHECK(sum == Approx(cubic_weights(0.2 + 0.5 / 3)[i]));
  }
}

TEST_CASE("What rides on which end of a flexible joint") {
  Carriage joint = Carriage::on(1);
  joint.second = Carriage::on(2).first;
  joint.gap = Gap{{0, 0, 0}, {20, 0, 0}};
  CHECK(carriage_of(joint, Collar{{-30, 0, 0}, {0, 0, 0}, 40}) == Carriage::on(1));
  CHECK(carriage_of(joint, Collar{{20 + 1e-9, 0, 0}, {50, 0, 0}, 40}) == Carriage::on(2));
  CHECK(carriage_of(joint, Collar{{-5, 0, 0}, {25, 0, 0}, 40}) == joint);
  CHECK(carriage_of(joint, Cylinder{{0, 0, 0}, {20, 0, 0}, 40}) == joint);
  CHECK(carriage_of(joint, Collar{{5, 3, 0}, {12, 3, 0}, 4}) == Carriage::on(1));  // off the axis: the nearer end
  CHECK(carriage_of(joint, TorusSegment{{20, 80, 0}, {0, -1, 0}, {1, 0, 0}, 80, 1, 40}) == Carriage::on(2));
  CHECK_THROWS_AS(carriage_of(joint, Cylinder{{-5, 0, 0}, {20, 0, 0}, 40}), ContractViolation);
  joint.gap.reset();  // without a gap nothing is known
  CHECK(carriage_of(joint, Collar{{-30, 0, 0}, {0, 0, 0}, 40}) == joint);
}

TEST_CASE("A flexible joint is Hermite's cubic and goes on into both tubes") {
  Random random(71);
  for (int i = 0; i < 500; ++i) {
    const JointCase joint = random_joint(random, 0.3, 12);
    const PosedState state = test::random_state(random, joint.kinematics);
    const Pose first = pose_of(joint, joint.carriage.first, state),
               second = pose_of(joint, *joint.carriage.second, state);
    const CarriedPoints carried(joint.kinematics, joint.carriage, state);
    const Gap& gap = *joint.carriage.gap;
    const double s = random.in(0, 1);
    REQUIRE((carried(gap.from + s * (gap.to - gap.from)) - hermite(gap, first, second, s)).norm() < 1e-9);
    // Place, direction and section on both sides of either end. How fast the curve turns there, rad/mm: its second
    // derivative by its first, six times what the ends are out of line by the square of the gap.
    const double apart = (second * gap.to - first * gap.to).norm() + joint.length_mm;
    const double turn = 6 * apart / (joint.length_mm * joint.length_mm) + 1;
    constexpr double kStep_mm = 1e-5;
    const Vec3 aside = 20 * joint.along.unitOrthogonal();
    for (const bool start : {true, false}) {
      const Pose& tube = start ? first : second;
      const Vec3 end = start ? gap.from : gap.to, out = (start ? -1.0 : 1.0) * joint.along;
      for (const Vec3& off : {Vec3(Vec3::Zero()), aside}) {
        REQUIRE((carried(end + off + 7 * out) - tube * (end + off + 7 * out)).norm() < 1e-9);
        REQUIRE((carried(end + off - kStep_mm * out) - tube * (end + off)).norm() < kStep_mm * (2 + 20 * 2 * turn));
      }
      const Vec3 inward = carried(end - kStep_mm * out) - tube * end;
      REQUIRE((inward.normalized() + tube.R * out).norm() < kStep_mm * turn);
    }
    // A section stays square to the axis and keeps its radius.
    const Vec3 p = gap.from + s * (gap.to - gap.from), q = carried(p + aside);
    REQUIRE((q - carried(p)).norm() == Approx(20));
    const Vec3 along = carried(p + 1e-4 * joint.along) - carried(p - 1e-4 * joint.along);
    if (s > 0.01 && s < 0.99 && along.norm() > 1e-5) REQUIRE(std::abs(along.normalized().dot(q - carried(p))) < 0.05);
  }
}

TEST_CASE("Distance of a swept cubic to a triangle") {
  Random random(72);
  for (int i = 0; i < 2000; ++i) {
    SweptCubic shape;
    for (Vec3& p : shape.p) p = random.point(30);
    if (random.chance(0.3)) {
      const Vec3 step = random.point(10);
      for (std::size_t k = 0; k < 4; ++k) shape.p[k] = shape.p[0] + static_cast<double>(k) * step + random.point(0.5);
    }
    shape.radius_mm = random.in(0, 20);
    const Vec3 a = random.point(60);
    const Corners3 v = {a, a + random.point(30), a + random.point(30)};
    const Contact found = cubic_to_triangle(shape, v);
    constexpr int kSteps = 2000;
    double least = std::numeric_limits<double>::infinity(), longest = 0;
    for (int k = 0; k <= kSteps; ++k) {
      const Vec3 p = shape.axis_point(static_cast<double>(k) / kSteps);
      least = std::min(least, (p - nearest_on_triangle(p, v)).norm() - shape.radius_mm);
      longest = std::max(longest, (p - shape.axis_point(static_cast<double>(k + 1) / kSteps)).norm());
    }
    REQUIRE(found.distance_mm <= least + 3e-6);
    REQUIRE(found.distance_mm >= least - 0.5 * longest);  // the sample next to the minimum is half a step away
    if (found.distance_mm > 0) {
      REQUIRE((found.on_shape - found.on_triangle).norm() == Approx(found.distance_mm).margin(1e-9));
      REQUIRE((nearest_on_triangle(found.on_triangle, v) - found.on_triangle).norm() < 1e-9);
    }
    const double enough = random.in(-20, 60);
    const double up_to = cubic_to_triangle(shape, v, enough).distance_mm;
    REQUIRE((up_to == Approx(found.distance_mm).margin(3e-6) || up_to >= enough));
  }
}

TEST_CASE("A flexible joint at rest is the straight cylinder") {
  Random random(73);
  for (int i = 0; i < 200; ++i) {
    const JointCase joint = random_joint(random, 0.1, 12);
    const auto shapes = hose(joint, random.in(5, 40));
    const TriTree tree = TriTree::over(random_triangles(random, joint.carriage.gap->from, 50));
    PosedState rest;
    rest.bodies.resize(3);
    const Bracket flexible = clearance_at(joint.kinematics, shapes, joint.carriage, tree, 0, rest, {0.1, 1e4});
    const Bracket rigid = clearance_at(joint.kinematics, shapes, Carriage::on(0), tree, 0, rest, {0.1, 1e4});
    CHECK(flexible.hi_mm == Approx(rigid.hi_mm).margin(1e-9));
    CHECK(flexible.triangle == rigid.triangle);
    CHECK(clearance_at_rest(shapes, tree, {0.1, 1e4}).hi_mm == rigid.hi_mm);
  }
}

TEST_CASE("A flexible joint whose ends ride on one body is rigid") {
  Random random(74);
  for (int i = 0; i < 200; ++i) {
    JointCase joint = random_joint(random, 0.06, 12);
    joint.carriage.second = joint.carriage.first;
    auto shapes = hose(joint, random.in(5, 40));
    const Gap& gap = *joint.carriage.gap;
    shapes.push_back({Collar{gap.from - 3 * joint.along, gap.to, 30}, 0, 0, 0});
    const TriTree tree = TriTree::over(random_triangles(random, gap.from, 60));
    const Bracket flexible = clearance(joint.kinematics, shapes, joint.carriage, tree, 0, {});
    const Bracket rigid = clearance(joint.kinematics, shapes, Carriage::on(1), tree, 0, {});
    REQUIRE(flexible.beyond_range == rigid.beyond_range);
    if (rigid.beyond_range) continue;
    REQUIRE(flexible.lo_mm <= rigid.hi_mm + 1e-6);
    REQUIRE(rigid.lo_mm <= flexible.hi_mm + 1e-6);
    const PosedState state = test::random_state(random, joint.kinematics);
    REQUIRE(
        clearance_at(joint.kinematics, shapes, joint.carriage, tree, 0, state, {0.1, 1e4}).hi_mm ==
        Approx(clearance_at(joint.kinematics, shapes, Carriage::on(1), tree, 0, state, {0.1, 1e4}).hi_mm).margin(1e-5));
  }
}

TEST_CASE("Clearance of a flexible joint at a pose beside sampling of its axis") {
  Random random(75);
  for (int i = 0; i < 300; ++i) {
    const JointCase joint = random_joint(random, 0.3, 12);
    const double radius = random.in(5, 40);
    const TriMesh mesh = random_triangles(random, joint.carriage.gap->from, 50);
    const TriTree tree = TriTree::over(mesh);
    const PosedState state = test::random_state(random, joint.kinematics);
    const Pose first = pose_of(joint, joint.carriage.first, state),
               second = pose_of(joint, *joint.carriage.second, state);
    double least = std::numeric_limits<double>::infinity();
    for (int k = 0; k <= 4000; ++k) {
      const Vec3 p = hermite(*joint.carriage.gap, first, second, k / 4000.0);
      for (const auto& t : mesh.triangles) {
        const Corners3 v = {mesh.vertex(t[0]), mesh.vertex(t[1]), mesh.vertex(t[2])};
        least = std::min(least, (p - nearest_on_triangle(p, v)).norm() - radius);
      }
    }
    const Bracket found =
        clearance_at(joint.kinematics, hose(joint, radius), joint.carriage, tree, 0, state, {0.1, 1e4});
    REQUIRE(found.hi_mm <= least + 1e-5);
    REQUIRE(found.hi_mm >= least - 0.02);  // steps of the samples are up to 0.04 mm
  }
}

TEST_CASE("Half of a joint follows half of a shift") {
  // One end goes up by 8, the other rests, both level: at the middle the cubic is 4 up, and rises towards the end.
  MotionMember up;
  up.joints = {{Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
  up.to = {8};
  Kinematics kinematics;
  kinematics.bodies = {MotionSet(), MotionSet({up})};
  Carriage joint = Carriage::on(0);
  joint.second = Carriage::on(1).first;
  joint.gap = Gap{{0, 0, 0}, {40, 0, 0}};
  TriMesh roof;
  test::add_triangle(roof, {-2000, -2000, 30}, {3000, -2000, 30}, {0, 4000, 30});
  const TriTree tree = TriTree::over(roof);
  const auto value = [&](double to_mm) {
    const std::vector<Primitive> shapes = {{Cylinder{{0, 0, 0}, {to_mm, 0, 0}, 10}, 0, 0, to_mm}};
    const Bracket b = clearance(kinematics, shapes, joint, tree, 0, {0.01, 60});
    CHECK(b.hi_mm - b.lo_mm <= 0.01);
    return 0.5 * (b.lo_mm + b.hi_mm);
  };
  CHECK(value(20) == Approx(30 - 10 - 4).margin(0.01));
  CHECK(value(40) == Approx(30 - 10 - 8).margin(0.01));
  const double s = 0.25;
  CHECK(value(10) == Approx(30 - 10 - 8 * (3 * s * s - 2 * s * s * s)).margin(0.01));
}

TEST_CASE("Enclosures of a flexible joint's parts hold every pose") {
  Random random(76);
  for (int i = 0; i < 400; ++i) {
    const JointCase joint = random_joint(random, 0.3, 12);
    const BodyIndex surface = random.below(3);
    const auto all = scenarios(joint.kinematics, joint.carriage, surface);
    const Scenario& s = all[static_cast<std::size_t>(random.below(static_cast<int>(all.size())))];
    CHECK(s.mix == -1);
    std::vector<double> center, half;
    for (int k = 0; k < s.count(); ++k) {
      const auto j = static_cast<std::size_t>(k);
      const double size = s.to[j] - s.from[j], share = random.in(0.05, 1);
      half.push_back(0.5 * share * size);
      center.push_back(s.from[j] + half.back() + random.in(0, 1 - share) * size);
    }
    const CarriedForms forms(joint.kinematics, joint.carriage, surface, s, center, half);
    const double from = random.in(0, 0.9), to = random.in(from, 1);
    const auto hull = forms.curve(from, to);
    for (int k = 0; k < 20; ++k) {
      std::vector<double> u;
      for (std::size_t j = 0; j < center.size(); ++j) u.push_back(center[j] + half[j] * random.in(-1, 1));
      const PosedState state = state_at(joint.kinematics, s, u);
      const Pose back = carriage_pose(joint.kinematics, Carriage::on(surface).first, state).inverse();
      const double at = random.in(from, to);
      const Vec3 p = back * hermite(*joint.carriage.gap, pose_of(joint, joint.carriage.first, state),
                                    pose_of(joint, *joint.carriage.second, state), at);
      // Within the reach of the four control points in any direction.
      const Vec3 w = random.unit();
      double reach = -std::numeric_limits<double>::infinity();
      for (const VectorForm& form : hull) {
        double value = w.dot(form.c) + form.rest;
        for (int j = 0; j < form.n; ++j) value += std::abs(w.dot(form.generator(j)));
        for (int j = 0; j < pair_count(form.n); ++j) value += std::abs(w.dot(form.pair(j)));
        reach = std::max(reach, value);
      }
      REQUIRE(w.dot(p) <= reach + 1e-9);
    }
  }
}

TEST_CASE("A flexible joint stays within the hull of both motions, but for the difference of their turns") {
  // The cubic leaves the ruled surface between the two moved axes by 2 s^2 (1 - s)^2 |w2 - w1|, w what an end's turn
  // does to the gap's length: at most |turns apart| L / 8, and terms of second order in the turns.
  Random random(77);
  int near = 0;
  for (int i = 0; i < 300; ++i) {
    const double turn = random.chance(0.5) ? 0 : 0.002;
    JointCase joint = random_joint(random, turn, 12);
    const auto shapes = hose(joint, random.in(5, 40));
    const TriTree tree = TriTree::over(random_triangles(random, joint.carriage.gap->from, 60));
    const Bracket curve = clearance(joint.kinematics, shapes, joint.carriage, tree, 0, {});
    joint.carriage.gap.reset();
    const Bracket hull = clearance(joint.kinematics, shapes, joint.carriage, tree, 0, {});
    constexpr int kMostJoints = 6;
    const double apart = 2 * kMostJoints * turn * joint.length_mm * (1 / 8.0 + kMostJoints * turn);
    near += !hull.beyond_range;
    REQUIRE(curve.lo_mm >= hull.lo_mm - 0.1 - apart);
  }
  CHECK(near > 150);
}

TEST_CASE("A flexible joint has no first side and no frame of its own") {
  Random random(80);
  int near = 0;
  for (int i = 0; i < 150; ++i) {
    const JointCase joint = random_joint(random, 0.05, 6);
    const double radius = random.in(10, 40);
    const auto shapes = hose(joint, radius);
    const TriMesh mesh = random_triangles(random, joint.carriage.gap->from, 3 * radius);
    const TriTree tree = TriTree::over(mesh);
    const Bracket is = clearance(joint.kinematics, shapes, joint.carriage, tree, 0, {});
    near += !is.beyond_range;
    const auto same = [&](const Bracket& other) {
      REQUIRE(other.beyond_range == is.beyond_range);
      if (is.beyond_range) return;
      REQUIRE(other.lo_mm <= is.hi_mm + 1e-4);
      REQUIRE(is.lo_mm <= other.hi_mm + 1e-4);
      REQUIRE(other.hi_mm - other.lo_mm <= 0.1);
    };
    Carriage other_way;
    other_way.first = *joint.carriage.second;
    other_way.second = joint.carriage.first;
    other_way.gap = Gap{joint.carriage.gap->to, joint.carriage.gap->from};
    same(clearance(joint.kinematics, shapes, other_way, tree, 0, {}));
    const PosedState state = test::random_state(random, joint.kinematics);
    CHECK(clearance_at(joint.kinematics, shapes, joint.carriage, tree, 0, state, {0.1, 1e4}).hi_mm ==
          Approx(clearance_at(joint.kinematics, shapes, other_way, tree, 0, state, {0.1, 1e4}).hi_mm).margin(1e-5));
    // Everything turned and shifted as one.
    const Pose move = random.pose(100);
    Kinematics moved = joint.kinematics;
    for (MotionSet& set : moved.bodies) {
      if (!set.moves()) continue;
      std::vector<MotionMember> members = set.members();
      for (MotionMember& m : members) {
        for (Joint& j : m.joints) {
          j.axis = move.R * j.axis;
          j.point = move * j.point;
        }
      }
      set = MotionSet(members);
    }
    Carriage carriage = joint.carriage;
    carriage.gap->from = move * carriage.gap->from;
    carriage.gap->to = move * carriage.gap->to;
    auto shapes_moved = shapes;
    for (Primitive& p : shapes_moved) {
      if (auto* s = std::get_if<Cylinder>(&p.shape)) {
        s->a = move * s->a;
        s->b = move * s->b;
      } else if (auto* c = std::get_if<Collar>(&p.shape)) {
        c->a = move * c->a;
        c->b = move * c->b;
      }
    }
    TriMesh mesh_moved = mesh;
    for (auto& vertex : mesh_moved.vertices) vertex = (move * vertex.cast<double>()).cast<float>();
    same(clearance(moved, shapes_moved, carriage, TriTree::over(mesh_moved), 0, {}));
  }
  CHECK(near > 75);
}

}  // namespace baywright

#include "geometry/clearance/motion.hpp"

#include <catch2/catch.hpp>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/carried.hpp"
#include "motions.hpp"

namespace baywright {
namespace {

using test::Random;

MotionMember lean() {
  MotionMember m;
  m.name = "lean";
  m.joints = {{Joint::Kind::rotation, Vec3::UnitX(), {0, 0, 100}},
              {Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
  m.to = {0.1, 5};
  return m;
}

TEST_CASE("a set without members never moves") {
  const MotionSet none;
  CHECK_FALSE(none.moves());
  CHECK(none.reach_mm({1, 2, 3}) == 0);
  CHECK(pose_at(none, BodyState{}).p.norm() == 0);
}

TEST_CASE("members that break the contract are refused") {
  const auto refused = [](auto change) {
    MotionMember m = lean();
    change(m);
    CHECK_THROWS_AS(MotionSet({m}), ContractViolation);
  };
  CHECK_NOTHROW(MotionSet({lean()}));
  refused([](MotionMember& m) { m.to.pop_back(); });
  refused([](MotionMember& m) { m.from = {0, 0}; });
  refused([](MotionMember& m) { m.joints[0].axis *= 1.001; });
  refused([](MotionMember& m) { m.to[0] = 1.6; });
  refused([](MotionMember& m) { m.to[0] = std::nan(""); });
  refused([](MotionMember& m) {
    m.shape = MotionMember::Shape::box;
    m.from = {0.05, 0};  // rest is outside
  });
}

TEST_CASE("joints apply from the last to the first") {
  const MotionSet set({lean()});
  const Pose X = pose_at(set, {0, {0.1, 5}});
  const Vec3 lifted(0, 40, 105);  // the slide first
  const Vec3 expected(0, 40 * std::cos(0.1) - 5 * std::sin(0.1), 100 + 40 * std::sin(0.1) + 5 * std::cos(0.1));
  CHECK((X * Vec3(0, 40, 100) - expected).norm() < 1e-12);
  CHECK((Pose::rotation(Vec3::UnitX(), {0, 0, 100}, 0.1) * lifted - expected).norm() < 1e-12);
}

TEST_CASE("reach bounds every displacement") {
  Random random(31);
  for (int i = 0; i < 300; ++i) {
    const MotionSet set = test::random_set(random, 0.4, 30);
    const Vec3 p = random.point(400);
    const double reach = set.reach_mm(p);
    for (int k = 0; k < 40; ++k) {
      REQUIRE((pose_at(set, test::random_state(random, set)) * p - p).norm() <= reach + 1e-9);
    }
  }
}

RigidCarriage rod(const Vec3& a, const Vec3& b) {
  RigidCarriage c;
  c.kind = RigidCarriage::Kind::link;
  c.a = 1;
  c.b = 0;
  c.end_a = a;
  c.end_b = b;
  return c;
}

TEST_CASE("a link spins by the shares of its ends' twists") {
  Kinematics k;
  k.bodies.resize(2);
  MotionMember twist;
  twist.joints = {{Joint::Kind::rotation, Vec3::UnitY(), Vec3::Zero()}};
  twist.to = {0.4};
  k.bodies[1] = MotionSet({twist});
  Carriage link;
  link.first = rod({0, 0, 0}, {0, 200, 0});
  PosedState state;
  state.bodies.resize(2);
  state.bodies[1] = {0, {0.4}};
  for (const double share : {0.0, 0.25, 1.0}) {
    state.spin_share = share;
    const double angle = (1 - share) * 0.4;
    const Vec3 at = carried_point(k, link, state, {30, 120, 0});
    CHECK((at - Vec3(30 * std::cos(angle), 120, -30 * std::sin(angle))).norm() < 1e-9);
  }
}

TEST_CASE("a link's chord follows its ends, shared play; a mixture lies on the line between both motions") {
  Random random(32);
  for (int i = 0; i < 200; ++i) {
    Kinematics k;
    k.bodies = {test::random_set(random, 0.2, 20), test::random_set(random, 0.2, 20), {}};
    k.product = true;
    const PosedState state = test::random_state(random, k);
    Carriage link;
    link.first = rod(random.point(100), random.point(100) + Vec3(400, 0, 0));
    const Vec3 a = pose_at(k.bodies[1], state.bodies[1]) * link.first.end_a;
    const Vec3 b = pose_at(k.bodies[0], state.bodies[0]) * link.first.end_b;
    const double longer = (b - a).norm() - (link.first.end_b - link.first.end_a).norm();
    const Vec3 n = (b - a).normalized();
    REQUIRE((carried_point(k, link, state, link.first.end_a) - (a + state.axial_share * longer * n)).norm() < 1e-9);
    REQUIRE((carried_point(k, link, state, link.first.end_b) - (b - (1 - state.axial_share) * longer * n)).norm() <
            1e-9);
    Carriage soft = link;
    soft.second = Carriage::on(2).first;
    const Vec3 p = random.point(200);
    const Vec3 mixed = (1 - state.mix) * carried_point(k, link, state, p) + state.mix * p;
    REQUIRE((carried_point(k, soft, state, p) - mixed).norm() < 1e-9);
  }
}

Vec3 value_of(const VectorForm& form, const std::vector<double>& e) {
  Vec3 out = form.c;
  for (int l = 0; l < form.n; ++l) {
    const double el = e[static_cast<std::size_t>(l)];
    out += el * form.generator(l);
    for (int k = 0; k <= l; ++k) out += e[static_cast<std::size_t>(k)] * el * form.pair(k, l);
  }
  return out;
}

TEST_CASE("enclosures over cells hold every carried point") {
  Random random(33);
  int finite = 0;
  double tightest = 1e9;
  for (int i = 0; i < 1500; ++i) {
    Kinematics k;
    k.product = random.chance(0.5);
    for (int b = 0; b < 3; ++b) k.bodies.push_back(test::random_set(random, random.chance(0.3) ? 0.5 : 0.08, 20));
    Carriage carriage = Carriage::on(random.below(3));
    if (random.chance(0.6)) {
      carriage.first = rod(random.point(100), random.point(100) + Vec3(300, 0, 0));
      carriage.first.b = random.below(3);
    }
    if (random.chance(0.5)) carriage.second = Carriage::on(random.below(3)).first;
    const BodyIndex surface = random.below(3);
    const auto all = scenarios(k, carriage, surface);
    const Scenario& s = all[static_cast<std::size_t>(random.below(static_cast<int>(all.size())))];
    std::vector<double> center, half;
    const double share = std::pow(2.0, -random.below(6));
    for (std::size_t j = 0; j < s.from.size(); ++j) {
      half.push_back(0.5 * share * (s.to[j] - s.from[j]));
      center.push_back(random.in(s.from[j] + half[j], s.to[j] - half[j]));
    }
    const CarriedForms forms(k, carriage, surface, s, center, half);
    const Vec3 rest = random.point(200), axis = random.unit();
    const VectorForm y = forms.point(rest);
    const auto frame = forms.frame(axis, axis.unitOrthogonal(), axis.cross(axis.unitOrthogonal()));
    if (!std::isfinite(y.rest)) continue;
    ++finite;
    tightest = std::min(tightest, y.rest);
    for (int n = 0; n < 30; ++n) {
      std::vector<double> u = center, e(u.size());
      for (std::size_t j = 0; j < u.size(); ++j) {
        e[j] = random.chance(0.5) ? (random.chance(0.5) ? -1 : 1) : random.in(-1, 1);
        u[j] += e[j] * half[j];
      }
      const PosedState state = state_at(k, s, u);
      const Pose back =
          pose_at(k.bodies[static_cast<std::size_t>(surface)], state.bodies[static_cast<std::size_t>(surface)])
              .inverse();
      const Vec3 guess = value_of(y, e);
      const Vec3 truth = back * carried_point(k, carriage, state, rest);
      REQUIRE((truth - guess).norm() <= y.rest + 1e-9);
      // Flat ends stay across the carried axis, whatever the mixture does to lengths.
      const Vec3 along = (back * carried_point(k, carriage, state, rest + axis) - truth).normalized();
      REQUIRE((along - value_of(frame.along, e)).norm() <= frame.along.rest + 1e-9);
    }
  }
  CHECK(finite > 1000);
}

}  // namespace
}  // namespace baywright

// The bracket against sampling as dense as time allows, by none of the search's own code: every shape against every
// triangle, and the nearest poses followed downhill.
#include <algorithm>

#include <catch2/catch.hpp>

#include "geometry/clearance/clearance.hpp"
#include "motions.hpp"
#include "shapes.hpp"

namespace baywright {
namespace {

using test::Random;

struct SampledScene {
  Kinematics kinematics;
  std::vector<Primitive> shapes;
  Carriage carriage;
  TriMesh mesh;
  BodyIndex surface = 0;
};

SampledScene scene_of(Random& random, bool linked) {
  SampledScene s;
  s.kinematics.product = random.chance(0.4);
  s.kinematics.bodies = {MotionSet(), test::random_set(random, 0.15, 12),
                         MotionSet({test::random_member(random, 0.1, 8, random.chance(0.5))})};
  s.carriage = Carriage::on(1);
  if (linked) {
    s.kinematics.product = false;
    s.carriage.first.kind = RigidCarriage::Kind::link;
    s.carriage.first.b = 0;
    s.carriage.first.end_a = random.point(150);
    s.carriage.first.end_b = s.carriage.first.end_a + random.unit() * random.in(80, 300);
  }
  s.surface = random.chance(0.5) ? 0 : 2;
  s.shapes.push_back({test::random_shape(random, random.below(4), 60), 0, 0, 0});
  const Aabb box = bounds(s.shapes.front().shape);
  const int triangles = 3 + random.below(12);
  for (int i = 0; i < triangles; ++i) {
    const Vec3 a = box.center() + random.unit() * box.size().maxCoeff() * random.in(0.5, 1.3);
    test::add_triangle(s.mesh, a, a + random.point(15), a + random.point(15));
  }
  return s;
}

double every_triangle(const SampledScene& s, const PosedState& state) {
  const Pose surface = pose_at(s.kinematics.bodies[static_cast<std::size_t>(s.surface)],
                               state.bodies[static_cast<std::size_t>(s.surface)]);
  const Pose seen = surface.inverse() * carriage_pose(s.kinematics, s.carriage.first, state);
  double least = std::numeric_limits<double>::infinity();
  for (const Primitive& p : s.shapes) {
    const Shape shape = moved(p.shape, seen);
    for (const auto& t : s.mesh.triangles) {
      least = std::min(
          least,
          distance_to_triangle(shape, s.mesh.vertex(t[0]), s.mesh.vertex(t[1]), s.mesh.vertex(t[2])).distance_mm);
    }
  }
  return least;
}

/// The state with every coordinate shifted by up to `step` of its range, still within the set.
PosedState beside(Random& random, const SampledScene& s, PosedState state, double step) {
  for (std::size_t b = 0; b < state.bodies.size(); ++b) {
    BodyState& body = state.bodies[b];
    if (body.member < 0) continue;
    const MotionMember& m = s.kinematics.bodies[b].members()[static_cast<std::size_t>(body.member)];
    if (m.shape == MotionMember::Shape::path) {
      // All coordinates are t times the end's; the longest tells t best.
      std::size_t longest = 0;
      for (std::size_t k = 1; k < m.to.size(); ++k) {
        if (std::abs(m.to[k]) > std::abs(m.to[longest])) longest = k;
      }
      if (m.to[longest] == 0) continue;
      const double t = std::clamp(body.q[longest] / m.to[longest] + step * random.in(-1, 1), 0.0, 1.0);
      for (std::size_t k = 0; k < m.to.size(); ++k) body.q[k] = t * m.to[k];
    } else {
      for (std::size_t k = 0; k < m.to.size(); ++k) {
        body.q[k] = std::clamp(body.q[k] + step * random.in(-1, 1) * (m.to[k] - m.from[k]), m.from[k], m.to[k]);
      }
    }
  }
  const auto share = [&](double value) { return std::clamp(value + step * random.in(-1, 1), 0.0, 1.0); };
  state.axial_share = share(state.axial_share);
  state.spin_share = share(state.spin_share);
  return state;
}

void sample(bool linked, unsigned seed, int cases) {
  constexpr int kPoses = 2000, kFollowed = 4, kSteps = 60;
  Random random(seed);
  int within = 0;
  double worst_above = 0;
  for (int i = 0; i < cases; ++i) {
    INFO("case " << i);
    const SampledScene s = scene_of(random, linked);
    const ClearanceOptions options;
    const Bracket b = clearance(s.kinematics, s.shapes, s.carriage, TriTree::over(s.mesh), s.surface, options);
    std::vector<std::pair<double, PosedState>> tried;
    for (int k = 0; k < kPoses; ++k) {
      PosedState state = test::random_state(random, s.kinematics);
      const double d = every_triangle(s, state);
      tried.emplace_back(d, std::move(state));
    }
    std::sort(tried.begin(), tried.end(), [](const auto& p, const auto& q) { return p.first < q.first; });
    double least = tried.front().first;
    for (int f = 0; f < kFollowed; ++f) {
      auto [d, state] = tried[static_cast<std::size_t>(f)];
      double step = 0.1;
      for (int k = 0; k < kSteps; ++k) {
        PosedState next = beside(random, s, state, step);
        const double there = every_triangle(s, next);
        if (there < d) {
          d = there;
          state = std::move(next);
        } else {
          step *= 0.9;
        }
      }
      least = std::min(least, d);
    }
    REQUIRE(least >= b.lo_mm - 1e-6);
    if (b.beyond_range) continue;
    ++within;
    REQUIRE(b.hi_mm - b.lo_mm <= options.width_mm);
    REQUIRE(every_triangle(s, b.state) == Approx(b.hi_mm).margin(1e-5));
    worst_above = std::max(worst_above, least - b.hi_mm);
  }
  CAPTURE(worst_above);
  CHECK(within > cases / 3);
}

TEST_CASE("dense sampling by trying every triangle finds nothing below lo: rigid carriages") {
  sample(false, 6000, 300);
}

TEST_CASE("dense sampling by trying every triangle finds nothing below lo: links") { sample(true, 6100, 150); }

}  // namespace
}  // namespace baywright

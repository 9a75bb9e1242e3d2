#include "geometry/clearance/clearance.hpp"

#include <chrono>
#include <cstdlib>
#include <iostream>

#include <catch2/catch.hpp>

#include "motions.hpp"
#include "shapes.hpp"

namespace baywright {
namespace {

using test::Random;

struct Scene {
  Kinematics kinematics;
  std::vector<Primitive> shapes;
  Carriage carriage;
  TriMesh mesh;
  TriTree tree;
  BodyIndex surface = 0;
};

Scene random_scene(Random& random, bool linked, bool soft) {
  Scene s;
  s.kinematics.product = !linked && random.chance(0.3);
  s.kinematics.bodies.resize(3);
  const double angle = random.chance(0.2) ? 0.3 : 0.06, shift = 12;
  const bool few = s.kinematics.product || linked || soft;
  for (int b = 1; b < 3; ++b) {
    if (few) {
      s.kinematics.bodies[static_cast<std::size_t>(b)] =
          MotionSet({test::random_member(random, angle, shift, random.chance(0.8))});
    } else {
      s.kinematics.bodies[static_cast<std::size_t>(b)] = test::random_set(random, angle, shift);
    }
  }
  s.carriage = Carriage::on(1 + random.below(2));
  if (linked) {
    s.carriage.first.kind = RigidCarriage::Kind::link;
    s.carriage.first.a = random.below(3);
    s.carriage.first.b = random.below(3);
    s.carriage.first.end_a = random.point(150);
    s.carriage.first.end_b = s.carriage.first.end_a + random.unit() * random.in(60, 300);
  }
  if (soft) {
    RigidCarriage other;
    other.a = other.b = random.below(3);
    s.carriage.second = other;
  }
  s.surface = random.below(3);
  const int count = 1 + random.below(2);
  for (int i = 0; i < count; ++i) {
    Shape shape = test::random_shape(random, random.below(4), 60);
    s.shapes.push_back({shape, i, 0, 0});
  }
  const Aabb box = bounds(s.shapes.front().shape);
  const int triangles = 3 + random.below(40);
  const double spread = random.in(0.6, 1.6) * box.size().maxCoeff();
  for (int i = 0; i < triangles; ++i) {
    const Vec3 a = box.center() + random.unit() * spread * random.in(0.5, 1.5);
    test::add_triangle(s.mesh, a, a + random.point(15), a + random.point(15));
  }
  s.tree = TriTree::over(s.mesh);
  return s;
}

/// A flexible joint with engaged lengths, bands and a hump on it; sometimes on a floating tube.
Scene random_joint(Random& random) {
  Scene s = random_scene(random, false, false);
  s.kinematics.bodies[1] = MotionSet({test::random_member(random, random.chance(0.2) ? 0.1 : 0.02, 6, true)});
  s.kinematics.bodies[2] = MotionSet({test::random_member(random, 0.02, 6, random.chance(0.8))});
  s.kinematics.product = random.chance(0.5);
  const Vec3 from = random.point(60), along = random.unit();
  const double gap = random.chance(0.2) ? random.in(1, 5) : random.in(5, 60);
  const double radius = random.in(5, 45), engaged = random.in(10, 40);
  const auto at = [&](double z) -> Vec3 { return from + z * along; };
  const int first = random.below(3);
  s.carriage = Carriage::on(first);
  s.carriage.second = Carriage::on((first + 1 + random.below(2)) % 3).first;
  s.carriage.gap = Gap{at(0), at(gap)};
  if (random.chance(0.1)) {
    RigidCarriage& link = s.carriage.first;
    link.kind = RigidCarriage::Kind::link;
    link.a = 1;
    link.b = 2;
    link.end_a = at(-random.in(100, 300));
    link.end_b = at(0.5 * gap);
    s.kinematics.product = false;
  }
  s.shapes.clear();
  const auto add = [&](const Shape& shape) { s.shapes.push_back({shape, 0, 0, 0}); };
  if (random.chance(0.9)) add(Cylinder{at(0), at(gap), radius});
  if (random.chance(0.2)) add(Cylinder{at(0.9 * gap), at(0.3 * gap), radius});
  if (random.chance(0.4)) add(Collar{at(-engaged), at(0), radius});
  if (random.chance(0.4)) add(Collar{at(gap), at(gap + engaged), radius});
  if (random.chance(0.2)) add(Collar{at(gap + 1), at(gap + 8), radius + 5});
  const double reach = random.in(8, 15);  // long enough that its ends never meet
  if (random.chance(0.4) || s.shapes.empty()) add(Collar{at(-reach), at(gap + random.in(5, 15)), radius + 6});
  if (random.chance(0.3) && gap > 40) add(Cone{at(0.2 * gap), at(0.8 * gap), radius + 6, radius + 2});
  s.mesh = {};
  const int triangles = 3 + random.below(40);
  const double spread = random.in(0.8, 3.5) * (radius + 0.5 * gap);
  for (int i = 0; i < triangles; ++i) {
    const Vec3 a = at(0.5 * gap) + random.unit() * spread * random.in(0.5, 1.5);
    test::add_triangle(s.mesh, a, a + random.point(15), a + random.point(15));
  }
  s.tree = TriTree::over(s.mesh);
  return s;
}

struct Tally {
  int cases = 0, poses = 0, violations = 0, wide = 0, unattained = 0, beyond = 0, inside = 0;
  double worst_below = 0, worst_width = 0, worst_repeat = 0, slowest_ms = 0, total_ms = 0;
};

void run_scene(Random& random, const Scene& s, int poses, Tally& tally) {
  ClearanceOptions options;
  const auto start = std::chrono::steady_clock::now();
  const Bracket b = clearance(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, options);
  const double ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  tally.slowest_ms = std::max(tally.slowest_ms, ms);
  tally.total_ms += ms;
  if (b.cells > 20'000 && std::getenv("BAYWRIGHT_TALLY")) {
    std::cout << "case " << tally.cases + 1 << ": " << b.cells << " cells, " << ms << " ms\n";
  }
  ++tally.cases;
  tally.beyond += b.beyond_range;
  tally.inside += b.hi_mm < 0;
  if (!b.beyond_range) {
    tally.worst_width = std::max(tally.worst_width, b.hi_mm - b.lo_mm);
    tally.wide += !(b.hi_mm - b.lo_mm <= options.width_mm);
    const Bracket again = clearance_at(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, b.state, {0.1, 1e4});
    tally.worst_repeat = std::max(tally.worst_repeat, std::abs(again.hi_mm - b.hi_mm));
    tally.unattained += !(std::abs(again.hi_mm - b.hi_mm) < 1e-4);
  }
  for (int i = 0; i < poses; ++i) {
    const PosedState state = test::random_state(random, s.kinematics);
    const Bracket at = clearance_at(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, state, {0.1, 100});
    ++tally.poses;
    const double below = b.lo_mm - at.hi_mm;
    tally.worst_below = std::max(tally.worst_below, below);
    tally.violations += below > 1e-6;
  }
}

void report(const char* name, const Tally& t) {
  if (!std::getenv("BAYWRIGHT_TALLY")) return;
  std::cout << name << ": " << t.cases << " cases (" << t.beyond << " beyond, " << t.inside << " inside), " << t.poses
            << " poses, violations " << t.violations << " worst " << t.worst_below << ", wide " << t.wide << " worst "
            << t.worst_width << ", unattained " << t.unattained << " worst " << t.worst_repeat << ", mean ms "
            << t.total_ms / std::max(1, t.cases) << " slowest " << t.slowest_ms << std::endl;
}

/// Bodies, carriages and shapes at random, few triangles so that each case is quick. BAYWRIGHT_TALLY=1 prints what
/// was tried and the worst of it; BAYWRIGHT_CASES=10 runs ten times as many.
template <class Make>
void run_many(const char* name, const Make& make, unsigned seed, int cases, int poses) {
  Random random(seed);
  if (const char* factor = std::getenv("BAYWRIGHT_CASES")) cases *= std::max(1, std::atoi(factor));
  Tally tally;
  for (int i = 0; i < cases; ++i) {
    run_scene(random, make(random), i % 50 ? poses : 20 * poses, tally);
  }
  report(name, tally);
  CHECK(tally.violations == 0);
  CHECK(tally.wide == 0);
  CHECK(tally.unattained == 0);
  CHECK(tally.inside > cases / 20);
  CHECK(tally.beyond < cases / 2);
}

void run_many(const char* name, bool linked, bool soft, unsigned seed, int cases, int poses) {
  run_many(
      name, [=](Random& random) { return random_scene(random, linked, soft); }, seed, cases, poses);
}

TEST_CASE("random rigid carriages: nothing below lo, hi attained, narrow") {
  run_many("fixed", false, false, 1000, 100'000, 10);
}

TEST_CASE("random soft carriages: nothing below lo, hi attained, narrow") {
  run_many("soft", false, true, 2000, 1500, 20);
}

TEST_CASE("random flexible joints: nothing below lo, hi attained, narrow") {
  run_many("flexible", random_joint, 5000, 3000, 20);
}

TEST_CASE("random links: nothing below lo, hi attained, narrow") { run_many("link", true, false, 3000, 800, 20); }

TEST_CASE("random soft joints on links: nothing below lo, hi attained, narrow") {
  run_many("link and soft", true, true, 4000, 150, 40);
}

}  // namespace
}  // namespace baywright

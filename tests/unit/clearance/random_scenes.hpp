#pragma once

#include "geometry/clearance/clearance.hpp"
#include "motions.hpp"
#include "shapes.hpp"

namespace baywright::test {

struct Scene {
  Kinematics kinematics;
  std::vector<Primitive> shapes;
  Carriage carriage;
  TriMesh mesh;
  TriTree tree;
  BodyIndex surface = 0;
};

inline Scene random_scene(Random& random, bool linked, bool soft) {
  Scene s;
  s.kinematics.product = !linked && random.chance(0.3);
  s.kinematics.bodies.resize(3);
  const double angle = random.chance(0.2) ? 0.3 : 0.06, shift = 12;
  const bool few = s.kinematics.product || linked || soft;
  for (int b = 1; b < 3; ++b) {
    if (few) {
      s.kinematics.bodies[static_cast<std::size_t>(b)] =
          MotionSet({random_member(random, angle, shift, random.chance(0.8))});
    } else {
      s.kinematics.bodies[static_cast<std::size_t>(b)] = random_set(random, angle, shift);
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
    Shape shape = random_shape(random, random.below(4), 60);
    s.shapes.push_back({shape, i, 0, 0});
  }
  const Aabb box = bounds(s.shapes.front().shape);
  const int triangles = 3 + random.below(40);
  const double spread = random.in(0.6, 1.6) * box.size().maxCoeff();
  for (int i = 0; i < triangles; ++i) {
    const Vec3 a = box.center() + random.unit() * spread * random.in(0.5, 1.5);
    add_triangle(s.mesh, a, a + random.point(15), a + random.point(15));
  }
  s.tree = TriTree::over(s.mesh);
  return s;
}

/// A flexible joint with engaged lengths, bands and a hump on it; sometimes on a floating tube.
inline Scene random_joint(Random& random) {
  Scene s = random_scene(random, false, false);
  s.kinematics.bodies[1] = MotionSet({random_member(random, random.chance(0.2) ? 0.1 : 0.02, 6, true)});
  s.kinematics.bodies[2] = MotionSet({random_member(random, 0.02, 6, random.chance(0.8))});
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
    add_triangle(s.mesh, a, a + random.point(15), a + random.point(15));
  }
  s.tree = TriTree::over(s.mesh);
  return s;
}

}  // namespace baywright::test

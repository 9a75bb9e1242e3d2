#include "measure/box_clearance.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/support/box_mesh.hpp"
#include "tests/support/case_count.hpp"
#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

bay::Part block(const std::string& id, const TriMesh& mesh, BodyIndex body) {
  bay::Part made;
  made.id = bay::PartId(id);
  made.name = id;
  made.body = body;
  made.modelled = true;
  made.encloses = true;
  made.uncertainty_mm = 0;
  made.mesh = std::make_shared<TriMesh>(mesh);
  made.tree = TriTree::over(mesh);
  return made;
}

/// A straight tube along x between vehicle and engine, which sinks by 6 and rolls; parts as given.
Installation job_with(std::vector<bay::Part> parts) {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.bay.parts = std::move(parts);
  made.spec.bend_tolerance_mm = 0;
  made.spec.fitting_tolerance_mm = 1;
  MotionMember sink, roll;
  sink.name = "bump";
  sink.joints = {{Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
  sink.to = {-6};
  roll.name = "torque";
  roll.joints = {{Joint::Kind::rotation, Vec3::UnitX(), Vec3(0, 0, -100)}};
  roll.to = {0.06};
  made.bay.bodies[1].motion = MotionSet({sink, roll});
  return made;
}

/// 30 along y, 13 high, 15 along x, its lowest face at z = 42.
Box body_box() {
  Box box;
  box.axes.col(0) = Vec3::UnitY();
  box.axes.col(1) = Vec3::UnitZ();
  box.axes.col(2) = Vec3::UnitX();
  box.half_mm = Vec3(15, 6.5, 7.5);
  box.center = Vec3(250, 0, 42 + 6.5);
  return box;
}

PairClearance one(const Installation& job, const Box& box, BodyIndex rides_on, bool over_motion, double range_mm = 60) {
  const Duct duct = job.laid_out();
  const BoxTask task{{box, 0, Carriage::on(rides_on), 250}, 0, over_motion, range_mm};
  return box_clearance(job.bay, duct, {&task, 1}).at(0);
}

void holds(const PairClearance& pair, double expected_mm) {
  CAPTURE(pair.value.lo, pair.value.hi, expected_mm);
  CHECK(pair.value.lo <= expected_mm + 1e-6);
  CHECK(pair.value.hi >= expected_mm - 1e-5);
  CHECK(pair.value.hi - pair.value.lo <= 0.1 + kBoxFineness_mm + 1e-9);
}

}  // namespace

TEST_CASE("a box below a ceiling, at rest and over the motion", "[box]") {
  // Ceiling at z = 80: 80 - 55 above the box.
  const TriMesh ceiling = box_mesh(Vec3(0, -200, 80), Vec3(500, 200, 90));
  for (const BodyIndex rides_on : {0, 1}) {
    for (const BodyIndex body : {0, 1}) {
      const Installation job = job_with({block("ceiling", ceiling, body)});
      const PairClearance rest = one(job, body_box(), rides_on, false);
      holds(rest, 25);
      CHECK(rest.same_carrier == (rides_on == body));
      // Two rounds of what making leaves open: where the tube lies (0) and where the clamp is put on (1): U = 2.
      CHECK(rest.value.band.low() == Approx(2));
      const PairClearance moved = one(job, body_box(), rides_on, true);
      if (rides_on == body) {
        holds(moved, 25);
      } else {
        // Rolled by 0.06 about (0, -100) the one's corner (15, 55) and the other's plane, 180 away, come nearer; only
        // the ceiling that sinks by 6 does so, too.
        const double rolled = 180 - 155 * std::cos(0.06) - 15 * std::sin(0.06);
        holds(moved, body == 1 ? std::min(19.0, rolled) : rolled);
      }
    }
  }
}

TEST_CASE("a box that is far, one that reaches in, one wholly inside", "[box]") {
  Installation job = job_with({block("ceiling", box_mesh(Vec3(0, -200, 80), Vec3(500, 200, 90)), 0)});
  const PairClearance far = one(job, body_box(), 0, true, 20);
  CHECK(far.beyond_range);
  CHECK(far.value.lo >= 20);
  CHECK(std::isinf(far.value.hi));
  job.bay.parts = {block("ceiling", box_mesh(Vec3(0, -200, 50), Vec3(500, 200, 90)), 0)};
  const PairClearance in = one(job, body_box(), 0, false);
  CHECK(in.value.hi < 0);
  CHECK(in.value.lo <= -5);
  CHECK_FALSE(in.inside);
  job.bay.parts = {block("tank", box_mesh(Vec3(200, -50, 20), Vec3(300, 50, 90)), 0)};
  const PairClearance inside = one(job, body_box(), 0, false);
  CHECK(inside.inside);
  // A pipe about the hose: the box lies in its wall's hollow, the axis of the duct does not count.
  job.bay.parts = {block("core", box_mesh(Vec3(0, -10, -10), Vec3(500, 10, 10)), 0)};
  const PairClearance beside = one(job, body_box(), 0, false);
  CHECK_FALSE(beside.inside);
  holds(beside, 42 - 10);
}

TEST_CASE("boxes at any angle against sampled poses", "[box]") {
  std::mt19937 random(5);
  const auto any = [&](double lo, double hi) { return std::uniform_real_distribution<double>(lo, hi)(random); };
  int compared = 0;
  for (int i = 0; i < case_count(25); ++i) {
    const auto turn = [&] {
      return Pose::rotation(Vec3(any(-1, 1), any(-1, 1), any(-1, 1)).normalized(), Vec3::Zero(), any(-3, 3));
    };
    Box box;
    box.half_mm = Vec3(any(5, 35), any(4, 10), any(4, 10));
    box = moved(box, Pose::translation(Vec3(250, any(-40, 40), any(-40, 40))) * turn());
    const Vec3 half(any(5, 60), any(5, 60), any(5, 60));
    TriMesh mesh = box_mesh(-half, half);
    const Pose X = Pose::translation(Vec3(250 + any(-60, 60), any(-90, 90), any(-90, 90))) * turn();
    for (Vec3f& v : mesh.vertices) v = (X * v.cast<double>()).cast<float>();
    const Installation job = job_with({block("block", mesh, 0)});
    const PairClearance pair = one(job, box, 1, true);
    if (pair.beyond_range || pair.inside || pair.value.hi < 0) continue;
    double least = 1e9;
    for (const MotionMember& member : job.bay.bodies[1].motion.members()) {
      for (int step = 0; step <= 60; ++step) {
        const Box there = moved(box, pose_at(member, {member.to[0] * step / 60.0}));
        for (const TriMesh::Triangle& t : mesh.triangles) {
          const Corners3 corners{mesh.vertex(t[0]), mesh.vertex(t[1]), mesh.vertex(t[2])};
          least = std::min(least, box_to_triangle(there, corners).distance_mm);
        }
      }
    }
    CAPTURE(i, least, pair.value.lo, pair.value.hi);
    CHECK(pair.value.lo <= least + 1e-4);
    CHECK(pair.value.hi >= least - 0.2);  // steps of the motion
    CHECK(pair.value.hi - pair.value.lo <= 0.1 + kBoxFineness_mm + 1e-6);
    ++compared;
  }
  // Of a handful of cases all may lie out of range.
  if (case_count(25) >= 12) CHECK(compared > case_count(25) / 3);
}

#include "measure/edge_clearance.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "measure/clearance_pairs.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/case_count.hpp"
#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

bay::Part model(const std::string& id, const TriMesh& mesh, BodyIndex body) {
  bay::Part made;
  made.id = bay::PartId(id);
  made.name = id;
  made.body = body;
  made.modelled = true;
  made.uncertainty_mm = 0;
  made.mesh = std::make_shared<TriMesh>(mesh);
  made.tree = TriTree::over(mesh);
  return made;
}

TriMesh turned(TriMesh mesh, const Pose& X) {
  for (Vec3f& v : mesh.vertices) v = (X * v.cast<double>()).cast<float>();
  return mesh;
}

/// A straight tube of 500 along x that the vehicle holds; the engine rolls and sinks.
Installation held_job(std::vector<bay::Part> parts) {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.bay.ports[1].body = 0;
  made.bay.parts = std::move(parts);
  made.spec.bend_tolerance_mm = 0;
  MotionMember sink, roll;
  sink.name = "bump";
  sink.joints = {{Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
  sink.to = {-6};
  roll.name = "torque";
  roll.joints = {{Joint::Kind::rotation, Vec3::UnitX(), Vec3(0, 30, -150)}};
  roll.to = {0.05};
  made.bay.bodies[1].motion = MotionSet({sink, roll});
  return made;
}

EdgeClearance measured(const Installation& job, double need_mm) {
  const Duct duct = job.laid_out();
  const ClearanceReport surface = measure_clearance(job.bay, duct, true, kOptions);
  return measure_edge_clearance(job.bay, duct, surface, true, need_mm, kOptions, [](const bay::Part&) { return true; });
}

}  // namespace

TEST_CASE("edges of a block beside a tube, at rest and as it sinks", "[edges]") {
  // Its upper edge runs along the tube 60 aside and 60 below; its top comes no nearer.
  const TriMesh mesh = box_mesh(Vec3(100, 60, -120), Vec3(400, 160, -60));
  for (const BodyIndex body : {0, 1}) {
    const EdgeClearance edges = measured(held_job({model("block", mesh, body)}), 60);
    REQUIRE(edges.pairs.size() == 1);
    const PairClearance& pair = edges.pairs[0];
    CHECK(pair.same_carrier == (body == 0));
    // Sinking leads away; rolling by 0.05 about (30, -150) lifts what lies on the left of it, and takes it nearer.
    double expected = std::hypot(60, 60) - kRadius;
    if (body == 1) {
      const double c = std::cos(0.05), s = std::sin(0.05);
      const double y = 30 + 30 * c - 90 * s, z = -150 + 30 * s + 90 * c;
      expected = std::hypot(y, z) - kRadius;
    }
    CHECK(pair.value.lo <= expected + 1e-6);
    CHECK(pair.value.hi >= expected - 1e-5);
    CHECK(pair.value.hi - pair.value.lo <= 0.1 + 1e-9);
    CHECK(pair.value.station_mm);
  }
}

TEST_CASE("the middle of a plate is no edge; a surface far enough answers for its edges", "[edges]") {
  // A plate 60 below the tube, its edges 300 aside: 21.9 to the surface.
  const Installation job = held_job({model("plate", box_mesh(Vec3(-400, -300, -70), Vec3(900, 300, -60)), 0)});
  const EdgeClearance far = measured(job, 21);
  CHECK(far.pairs.empty());
  CHECK(far.edgeless.empty());
  const EdgeClearance near = measured(job, 22);
  REQUIRE(near.pairs.size() == 1);
  CHECK(near.pairs[0].beyond_range);
  CHECK(near.pairs[0].value.lo >= kOptions.range_mm);
}

TEST_CASE("an edge that reaches into the tube; a part without edges; a scan", "[edges]") {
  Installation job = held_job({model("blade", box_mesh(Vec3(200, -100, -60), Vec3(202, 100, -20)), 0)});
  CHECK(measured(job, 15).pairs.at(0).value.hi < 0);
  // A drum whose rims are far away: 32 facets turn by 11 degrees each.
  TriMesh drum;
  for (std::uint32_t i = 0; i < 32; ++i) {
    const double t = 2 * M_PI * i / 32, u = 2 * M_PI * (i + 1) / 32;
    const auto n = static_cast<std::uint32_t>(drum.vertices.size());
    for (const double x : {-900.0, 1400.0}) {
      drum.vertices.push_back(Vec3f(static_cast<float>(x), static_cast<float>(50 * std::cos(t)),
                                    static_cast<float>(-100 + 50 * std::sin(t))));
      drum.vertices.push_back(Vec3f(static_cast<float>(x), static_cast<float>(50 * std::cos(u)),
                                    static_cast<float>(-100 + 50 * std::sin(u))));
    }
    drum.triangles.push_back({n, n + 2, n + 3});
    drum.triangles.push_back({n, n + 3, n + 1});
  }
  job.bay.parts = {model("drum", drum, 0)};
  REQUIRE(measured(job, 15).pairs.size() == 1);  // where the sheet ends, 900 away
  CHECK(measured(job, 15).pairs[0].beyond_range);
  // A ball of facets has none at all.
  TriMesh ball;
  const int n = 24;
  const auto at = [&](int i, int k) {
    const double a = M_PI * i / n, b = 2 * M_PI * k / n;
    return Vec3(250 + 30 * std::sin(a) * std::cos(b), 30 * std::sin(a) * std::sin(b), -75 + 30 * std::cos(a));
  };
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < n; ++k) {
      const auto first = static_cast<std::uint32_t>(ball.vertices.size());
      for (const Vec3& p : {at(i, k), at(i + 1, k), at(i + 1, k + 1), at(i, k + 1)}) {
        ball.vertices.push_back(p.cast<float>());
      }
      ball.triangles.push_back({first, first + 1, first + 2});
      ball.triangles.push_back({first, first + 2, first + 3});
    }
  }
  job.bay.parts = {model("ball", ball, 0)};
  const EdgeClearance of_ball = measured(job, 15);
  CHECK(of_ball.pairs.empty());
  CHECK(of_ball.edgeless == std::vector<int>{0});
  job.bay.parts[0].modelled = false;
  const EdgeClearance of_scan = measured(job, 15);
  CHECK(of_scan.edgeless.empty());
  CHECK(of_scan.scanned == std::vector<int>{0});
}

TEST_CASE("what touches a port by design is left out", "[edges]") {
  Installation job = held_job({model("housing", box_mesh(Vec3(-100, -60, -60), Vec3(20, 60, 60)), 0)});
  job.bay.ports[0].part = bay::PartId("housing");
  job.bay.ports[0].contact_length_mm = 30;
  const EdgeClearance edges = measured(job, 40);
  REQUIRE(edges.pairs.size() == 1);
  // The tube counts from 30 on: 10 from the face at x = 20, whose edges lie 60 up and aside.
  const double expected = std::hypot(10, 60 - kRadius);
  CHECK(edges.pairs[0].value.lo <= expected + 1e-6);
  CHECK(edges.pairs[0].value.hi >= expected - 1e-5);
  job.bay.ports[0].contact_length_mm = 500;
  CHECK(measured(job, 40).pairs.empty());
}

TEST_CASE("sampled edges at sampled poses lie within the bracket", "[edges]") {
  std::mt19937 random(11);
  const auto any = [&](double lo, double hi) { return std::uniform_real_distribution<double>(lo, hi)(random); };
  int compared = 0;
  for (int i = 0; i < case_count(30); ++i) {
    const Vec3 half(any(5, 80), any(5, 80), any(5, 80));
    const Vec3 axis = Vec3(any(-1, 1), any(-1, 1), any(-1, 1)).normalized();
    const Pose X = Pose::translation(Vec3(any(0, 500), any(-120, 120), any(-120, 120))) *
                   Pose::rotation(axis, Vec3::Zero(), any(-3, 3));
    const TriMesh mesh = turned(box_mesh(-half, half), X);
    const Installation job = held_job({model("block", mesh, 1)});
    const EdgeClearance edges = measured(job, 60);
    if (edges.pairs.empty() || edges.pairs[0].beyond_range) continue;
    const Duct duct = job.laid_out();
    const auto& shapes = duct.layout.pieces[0].shapes;
    // The twelve edges of a box from its corners, without asking how edges are found.
    double least = 1e9;
    for (const MotionMember& member : job.bay.bodies[1].motion.members()) {
      for (int step = 0; step <= 40; ++step) {
        const Pose at = pose_at(member, {member.to[0] * step / 40.0});
        for (int a = 0; a < 8; ++a) {
          for (int bit = 0; bit < 3; ++bit) {
            if (a & (1 << bit)) continue;
            const Vec3 from = mesh.vertices[static_cast<std::size_t>(a)].cast<double>();
            const Vec3 to = mesh.vertices[static_cast<std::size_t>(a | (1 << bit))].cast<double>();
            for (int k = 0; k <= 160; ++k) {
              const Vec3 p = at * Vec3(from + k / 160.0 * (to - from));
              for (const Primitive& shape : shapes) least = std::min(least, signed_distance(shape.shape, p));
            }
          }
        }
      }
    }
    CAPTURE(i, least, edges.pairs[0].value.lo, edges.pairs[0].value.hi);
    CHECK(edges.pairs[0].value.lo <= least + 1e-4);
    CHECK(edges.pairs[0].value.hi <= least + 0.1 + 1e-4);
    CHECK(least - edges.pairs[0].value.hi < 0.6);  // steps of 1 mm along an edge and of 0.5 mm in the motion
    ++compared;
  }
  CHECK(compared > case_count(30) / 3);
}

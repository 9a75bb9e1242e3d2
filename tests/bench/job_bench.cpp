// Speed of trees and of the certified clearance on a scene of the main job's size: a noisy scanned sheet of 300 000
// triangles and 44 parts around a duct of 12 pieces, an engine with six load cases of six joints each.
#include <benchmark/benchmark.h>

#include "geometry/clearance/clearance.hpp"
#include "scenes.hpp"

namespace baywright {
namespace {

using test::Random;

TriMesh scanned_sheet(int side) {
  Random random(1);
  TriMesh mesh;
  const double pitch = 1400.0 / side;
  const auto at = [&](int i, int j) {
    const double x = -200 + pitch * i, y = -200 + pitch * j;
    return Vec3(x, y, -70 + 25 * std::sin(0.013 * x) * std::cos(0.017 * y) + random.in(-0.15, 0.15));
  };
  for (int j = 0; j <= side; ++j) {
    for (int i = 0; i <= side; ++i) mesh.vertices.push_back(at(i, j).cast<float>());
  }
  const auto row = static_cast<std::uint32_t>(side + 1);
  for (std::uint32_t j = 0; j + 1 < row; ++j) {
    for (std::uint32_t i = 0; i + 1 < row; ++i) {
      const std::uint32_t a = j * row + i;
      mesh.triangles.push_back({a, a + 1, a + row});
      mesh.triangles.push_back({a + 1, a + row + 1, a + row});
    }
  }
  return mesh;
}

struct Piece {
  std::vector<Primitive> shapes;
  Carriage carriage;
};

struct Job {
  Kinematics kinematics;
  std::vector<Piece> pieces;
  std::vector<TriTree> trees;
  std::vector<BodyIndex> body;
};

MotionMember load_case(Random& random) {
  MotionMember m;
  const Vec3 pivot(400, 0, -150);
  for (const Vec3& axis : {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1)}) {
    m.joints.push_back({Joint::Kind::translation, axis, Vec3::Zero()});
    m.to.push_back(random.in(-8, 8));
  }
  for (const Vec3& axis : {Vec3(0, 0, 1), Vec3(0, 1, 0), Vec3(1, 0, 0)}) {
    m.joints.push_back({Joint::Kind::rotation, axis, pivot});
    m.to.push_back(axis.x() > 0 ? random.in(-0.09, 0.09) : random.in(-0.02, 0.02));
  }
  return m;
}

Job make_job() {
  Random random(2);
  Job job;
  std::vector<MotionMember> cases;
  for (int i = 0; i < 6; ++i) cases.push_back(load_case(random));
  job.kinematics.bodies = {MotionSet(), MotionSet(cases)};
  // Twelve pieces: a straight, a bead and a bend of 45 degrees each; ridden by vehicle, links, soft joints and engine.
  for (int i = 0; i < 12; ++i) {
    Piece piece;
    const double heading = random.in(-0.6, 0.6);
    const Vec3 e(std::cos(heading), std::sin(heading), 0), side(-std::sin(heading), std::cos(heading), 0);
    const Vec3 at(70.0 * i, 300 + 100 * std::sin(0.7 * i), 20), to = at + 50 * e;
    piece.shapes.push_back({Cylinder{at, to, 38}, i, 0, 0});
    piece.shapes.push_back({Collar{at, at + 12 * e, 43}, i, 0, 0});
    piece.shapes.push_back({TorusSegment{to + 90 * side, -side, e, 90, M_PI / 4, 38}, i, 0, 0});
    const int kind = i % 4;
    piece.carriage = Carriage::on(kind == 0 ? 0 : 1);
    if (kind == 1 || kind == 2) {
      piece.carriage.first = {RigidCarriage::Kind::link, 0, 1, to - 60 * e, to + 200 * e};
    }
    if (kind == 2) piece.carriage.second = Carriage::on(1).first;
    job.pieces.push_back(piece);
  }
  job.trees.push_back(TriTree::over(scanned_sheet(387)));
  job.body.push_back(0);
  for (int i = 0; i < 44; ++i) {
    const double radius = random.in(30, 80), x = random.in(0, 850);
    const Vec3 away(0, random.in(-1, 1), random.in(0, 1));
    const Vec3 middle = Vec3(x, 300 + 100 * std::sin(0.01 * x), 20) + (radius + random.in(70, 150)) * away.normalized();
    job.trees.push_back(TriTree::over(test::ball(middle, radius, 28)));
    job.body.push_back(i % 2);
  }
  return job;
}

const Job& job() {
  static const Job kJob = make_job();
  return kJob;
}

void build_tree(benchmark::State& state) {
  const TriMesh mesh = scanned_sheet(static_cast<int>(state.range(0)));
  for (auto _ : state) {
    const TriTree tree = TriTree::over(mesh);
    state.counters["bytes/triangle"] = static_cast<double>(tree.bytes()) / static_cast<double>(tree.triangle_count());
  }
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(mesh.triangles.size()));
}
BENCHMARK(build_tree)->Arg(387)->Arg(707)->Unit(benchmark::kMillisecond);

void nearest_point(benchmark::State& state) {
  job();  // made before the clock starts
  Random random(3);
  for (auto _ : state) {
    benchmark::DoNotOptimize(job().trees[0].nearest({random.in(0, 900), random.in(0, 900), random.in(-100, 100)}));
  }
}
BENCHMARK(nearest_point)->Unit(benchmark::kMicrosecond);

void first_hit(benchmark::State& state) {
  Random random(4);
  for (auto _ : state) {
    const Vec3 direction = (Vec3(random.in(-0.5, 0.5), random.in(-0.5, 0.5), -1)).normalized();
    benchmark::DoNotOptimize(job().trees[0].first_hit({random.in(0, 900), random.in(0, 900), 300}, direction));
  }
}
BENCHMARK(first_hit)->Unit(benchmark::kMicrosecond);

void all_pairs_at_rest(benchmark::State& state) {
  for (auto _ : state) {
    for (const Piece& p : job().pieces) {
      for (const TriTree& tree : job().trees) benchmark::DoNotOptimize(clearance_at_rest(p.shapes, tree, {}));
    }
  }
}
BENCHMARK(all_pairs_at_rest)->Unit(benchmark::kMillisecond);

/// range(0): how the piece rides: 0 vehicle, 1 link, 2 link and soft, 3 engine; 4 all.
void all_pairs_over_motion(benchmark::State& state) {
  int beyond = 0, inside = 0;
  for (auto _ : state) {
    beyond = inside = 0;
    for (std::size_t i = 0; i < job().pieces.size(); ++i) {
      if (state.range(0) < 4 && static_cast<std::int64_t>(i % 4) != state.range(0)) continue;
      const Piece& p = job().pieces[i];
      for (std::size_t t = 0; t < job().trees.size(); ++t) {
        const Bracket b = clearance(job().kinematics, p.shapes, p.carriage, job().trees[t], job().body[t], {});
        beyond += b.beyond_range;
        inside += b.hi_mm < 0;
      }
    }
  }
  state.counters["beyond"] = beyond;
  state.counters["inside"] = inside;
}
BENCHMARK(all_pairs_over_motion)->DenseRange(0, 4)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace baywright

BENCHMARK_MAIN();

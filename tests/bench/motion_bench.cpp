// Speed of the certified minimum over motion sets. A scanned bay (uneven floor and two walls) against a duct of
// straights, bends, beads and one flexible joint; 100 seeded motion sets of six free joints each, then the same times
// a hinge of 90 degrees, then against subdivision by "no point moves farther than". Argument: millions of triangles.
#include <algorithm>
#include <ctime>
#include <map>
#include <queue>

#include <benchmark/benchmark.h>

#include "geometry/clearance/clearance.hpp"
#include "scenes.hpp"

namespace baywright {
namespace {

using test::Random;

constexpr double kDegree = M_PI / 180;

/// A scanned surface of about `count` triangles: floor below the duct and walls beside it, noise of 0.1 mm.
TriMesh scanned_bay(std::size_t count) {
  Random random(1);
  TriMesh mesh;
  const auto sheet = [&](std::size_t share, const Vec3& corner, const Vec3& u, const Vec3& v) {
    const Vec3 n = u.cross(v).normalized();
    const int side = std::max(1, static_cast<int>(std::sqrt(0.5 * static_cast<double>(share))));
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (int j = 0; j <= side; ++j) {
      for (int i = 0; i <= side; ++i) {
        const Vec3 flat = corner + double(i) / side * u + double(j) / side * v;
        const double bump = 18 * std::sin(0.013 * flat.x() + 0.02 * flat.z()) * std::cos(0.017 * flat.y());
        mesh.vertices.push_back((flat + (bump + random.in(-0.1, 0.1)) * n).cast<float>());
      }
    }
    const auto row = static_cast<std::uint32_t>(side + 1);
    for (std::uint32_t j = 0; j + 1 < row; ++j) {
      for (std::uint32_t i = 0; i + 1 < row; ++i) {
        const std::uint32_t a = first + j * row + i;
        mesh.triangles.push_back({a, a + 1, a + row});
        mesh.triangles.push_back({a + 1, a + row + 1, a + row});
      }
    }
  };
  sheet(count / 2, {-100, -200, -90}, {1100, 0, 0}, {0, 800, 0});
  sheet(count / 4, {-100, -160, -120}, {1100, 0, 0}, {0, 0, 500});
  sheet(count / 4, {-100, 420, -120}, {0, 0, 500}, {1100, 0, 0});
  return mesh;
}

const TriTree& bay_of(std::int64_t millions) {
  static std::map<std::int64_t, TriTree> kTrees;
  auto& tree = kTrees[millions];
  if (tree.empty()) tree = TriTree::over(scanned_bay(static_cast<std::size_t>(millions) * 1'000'000));
  return tree;
}

/// Three straights and two bends in an S across the bay, beads at both ends, and a flexible joint at the last one.
struct BenchDuct {
  std::vector<Primitive> rigid, joint;
  std::vector<Primitive> mixed;  ///< the joint as one hose of unknown shape
};

const Gap kGap{Vec3(765, 270, 10), Vec3(785, 270, 10)};

BenchDuct bench_duct(double radius_mm) {
  BenchDuct duct;
  const auto add = [](std::vector<Primitive>& to, const Shape& shape) {
    to.push_back({shape, static_cast<int>(to.size()), 0, 0});
  };
  const Vec3 x(1, 0, 0), y(0, 1, 0);
  add(duct.rigid, Collar{Vec3(100, 40, 10), Vec3(112, 40, 10), radius_mm + 4});
  add(duct.rigid, Cylinder{Vec3(100, 40, 10), Vec3(300, 40, 10), radius_mm});
  add(duct.rigid, TorusSegment{Vec3(300, 130, 10), Vec3(-y), x, 90, M_PI / 2, radius_mm});
  add(duct.rigid, Cylinder{Vec3(390, 130, 10), Vec3(390, 180, 10), radius_mm});
  add(duct.rigid, TorusSegment{Vec3(480, 180, 10), Vec3(-x), y, 90, M_PI / 2, radius_mm});
  add(duct.rigid, Cylinder{Vec3(480, 270, 10), Vec3(700, 270, 10), radius_mm});
  add(duct.rigid, Cone{Vec3(700, 270, 10), Vec3(740, 270, 10), radius_mm, radius_mm + 6});
  add(duct.joint, Collar{Vec3(740, 270, 10), kGap.from, radius_mm + 4});
  add(duct.joint, Cylinder{kGap.from, kGap.to, radius_mm + 4});
  add(duct.joint, Collar{kGap.to, Vec3(810, 270, 10), radius_mm + 4});
  add(duct.mixed, Cylinder{Vec3(740, 270, 10), Vec3(810, 270, 10), radius_mm + 4});
  for (auto* to : {&duct.joint, &duct.mixed}) {
    add(*to, Collar{Vec3(745, 270, 10), Vec3(758, 270, 10), radius_mm + 8});
    add(*to, Collar{Vec3(792, 270, 10), Vec3(805, 270, 10), radius_mm + 8});
  }
  return duct;
}

/// Six free joints: roll to 6 degrees, pitch and yaw to 2, translations to 12 mm.
MotionMember engine_ranges(Random& random) {
  MotionMember m;
  m.shape = MotionMember::Shape::box;
  const Vec3 pivot(random.in(200, 800), random.in(-100, 400), random.in(-300, 0));
  const auto add = [&](const Joint& joint, double most) {
    m.joints.push_back(joint);
    const double half = random.in(0.2, 1) * most, middle = random.in(-0.3, 0.3) * half;
    m.from.push_back(middle - half);
    m.to.push_back(middle + half);
  };
  for (const Vec3& axis : {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1)}) {
    add({Joint::Kind::translation, axis, Vec3::Zero()}, 12);
  }
  add({Joint::Kind::rotation, Vec3::UnitZ(), pivot}, 2 * kDegree);
  add({Joint::Kind::rotation, Vec3::UnitY(), pivot}, 2 * kDegree);
  add({Joint::Kind::rotation, Vec3::UnitX(), pivot}, 6 * kDegree);
  return m;
}

struct Case {
  Kinematics kinematics;
  BenchDuct duct;
  BodyIndex surface = 0;
};

/// Bodies: 0 what the scan is of, 1 what carries the duct. `hinged`: the scan turns about a hinge as well.
std::vector<Case> cases(int count, bool hinged) {
  Random random(7);
  std::vector<Case> out;
  for (int i = 0; i < count; ++i) {
    Case c;
    c.kinematics.product = true;
    c.kinematics.bodies = {MotionSet(), MotionSet({engine_ranges(random)})};
    c.duct = bench_duct(random.in(15, 40));
    if (hinged) {
      MotionMember hinge;
      hinge.joints.push_back({Joint::Kind::rotation, Vec3::UnitY(), Vec3(-150, 0, random.in(-60, 60))});
      hinge.to.push_back(0.5 * M_PI);  // the floor swings away below and behind
      c.kinematics.bodies[0] = MotionSet({hinge});
    }
    out.push_back(std::move(c));
  }
  return out;
}

struct Outcome {
  double hi_mm = 0, lo_mm = 0;
  std::size_t cells = 0;
};

Outcome whole_duct(const Case& c, const TriTree& tree, bool flexible) {
  Carriage soft = Carriage::on(1);
  soft.second = Carriage::on(0).first;
  const Bracket rigid = clearance(c.kinematics, c.duct.rigid, Carriage::on(1), tree, c.surface, {});
  if (flexible) soft.gap = kGap;
  const auto& shapes = flexible ? c.duct.joint : c.duct.mixed;
  const Bracket joint = clearance(c.kinematics, shapes, soft, tree, c.surface, {});
  return {std::min(rigid.hi_mm, joint.hi_mm), std::min(rigid.lo_mm, joint.lo_mm), rigid.cells + joint.cells};
}

/// Processor time of this thread: the search uses one, and others on the machine do not count.
double now_ms() {
  timespec t{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return 1e3 * static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_nsec);
}

void report(benchmark::State& state, std::vector<double> ms, std::vector<std::size_t> cells) {
  std::sort(ms.begin(), ms.end());
  std::sort(cells.begin(), cells.end());
  state.counters["median_ms"] = ms[ms.size() / 2];
  state.counters["p95_ms"] = ms[ms.size() * 95 / 100];
  state.counters["max_ms"] = ms.back();
  state.counters["cells_median"] = static_cast<double>(cells[cells.size() / 2]);
  state.counters["cells_max"] = static_cast<double>(cells.back());
}

void over_sets(benchmark::State& state, bool hinged, int count, bool flexible = true) {
  const TriTree& tree = bay_of(state.range(0));
  const auto sets = cases(count, hinged);
  std::vector<double> ms;
  std::vector<std::size_t> cells;
  // The clearance at rest is always asked first; it also brings what is near into the caches.
  for (const Case& c : sets) benchmark::DoNotOptimize(clearance_at_rest(c.duct.rigid, tree, {}));
  for (auto _ : state) {
    for (const Case& c : sets) {
      const double start = now_ms();
      const Outcome found = whole_duct(c, tree, flexible);
      ms.push_back(now_ms() - start);
      cells.push_back(found.cells);
    }
  }
  report(state, ms, cells);
}

void six_joints(benchmark::State& state) { over_sets(state, false, 100); }
/// The hose as a soft thing of unknown shape: any mixture of the two motions.
void six_joints_mixed(benchmark::State& state) { over_sets(state, false, 100, false); }
BENCHMARK(six_joints_mixed)->Arg(1)->Iterations(1)->Unit(benchmark::kMillisecond);
BENCHMARK(six_joints)->Arg(1)->Arg(10)->Iterations(1)->Unit(benchmark::kMillisecond);

/// Greatest distance by which any point of the duct moves when the joints leave `middle` by up to `half` each.
double most_moved_mm(const MotionMember& m, const std::vector<Primitive>& shapes, const std::vector<double>& half) {
  Aabb box;
  for (const Primitive& p : shapes) box.grow(bounds(p.shape));
  double shift = 0;
  for (std::size_t k = 0; k < m.joints.size(); ++k) {
    if (m.joints[k].kind == Joint::Kind::translation) {
      shift = std::hypot(shift, half[k]);  // the three are square to each other
    } else {
      // All turns go through one point and are applied before the translations, so a lever never changes.
      double lever = 0;
      for (int corner = 0; corner < 8; ++corner) {
        const Vec3 p((corner & 1) ? box.hi.x() : box.lo.x(), (corner & 2) ? box.hi.y() : box.lo.y(),
                     (corner & 4) ? box.hi.z() : box.lo.z());
        lever = std::max(lever, (p - m.joints[k].point).norm());
      }
      shift += half[k] * lever;
    }
  }
  return shift;
}

/// Subdivision that knows only how far a point can move: best first, the joint that moves most halved.
struct PlainOutcome {
  double lo_mm = 0, hi_mm = 0, seconds = 0;
  std::size_t cells = 0;
};
PlainOutcome plain_subdivision_of(const Case& c, const TriTree& tree, double limit_s) {
  const MotionMember& m = c.kinematics.bodies[1].members().front();
  struct Cell {
    double lo;
    std::vector<double> middle, half;
    bool operator<(const Cell& o) const { return lo > o.lo; }
  };
  PlainOutcome out;
  out.hi_mm = std::numeric_limits<double>::infinity();
  std::priority_queue<Cell> queue;
  const double start = now_ms();
  const auto look = [&](std::vector<double> middle, std::vector<double> half) {
    PosedState state;
    state.bodies = {BodyState{}, BodyState{0, middle}};
    const double d = clearance_at(c.kinematics, c.duct.rigid, Carriage::on(1), tree, 0, state, {0.1, 1000}).hi_mm;
    out.hi_mm = std::min(out.hi_mm, d);
    ++out.cells;
    const double lo = d - most_moved_mm(m, c.duct.rigid, half);
    queue.push({lo, std::move(middle), std::move(half)});
  };
  std::vector<double> middle, half;
  for (std::size_t k = 0; k < m.joints.size(); ++k) {
    middle.push_back(0.5 * (m.from[k] + m.to[k]));
    half.push_back(0.5 * (m.to[k] - m.from[k]));
  }
  look(middle, half);
  for (;;) {
    const Cell cell = queue.top();
    out.lo_mm = cell.lo;
    out.seconds = 1e-3 * (now_ms() - start);
    if (out.hi_mm - cell.lo <= 0.1 || out.seconds > limit_s) return out;
    queue.pop();
    std::size_t widest = 0;
    double most = -1;
    for (std::size_t k = 0; k < cell.half.size(); ++k) {
      std::vector<double> only(cell.half.size(), 0.0);
      only[k] = cell.half[k];
      const double moved = most_moved_mm(m, c.duct.rigid, only);
      if (moved > most) most = moved, widest = k;
    }
    for (const double side : {-0.5, 0.5}) {
      std::vector<double> mid = cell.middle, h = cell.half;
      mid[widest] += side * cell.half[widest];
      h[widest] *= 0.5;
      look(std::move(mid), std::move(h));
    }
  }
}

/// The first motion sets of `six_joints`, rigid pieces only, beside plain subdivision of the same. `ratio_at_least`:
/// the median of times; a plain search that is stopped at its limit counts with the time it has had.
void six_joints_against_plain(benchmark::State& state) {
  constexpr int kSets = 5;
  constexpr double kLimit_s = 30;
  const TriTree& tree = bay_of(state.range(0));
  const auto sets = cases(kSets, false);
  std::vector<double> ratio;
  double unfinished = 0, disagreeing = 0;
  for (auto _ : state) {
    for (const Case& c : sets) {
      const double start = now_ms();
      const Bracket ours = clearance(c.kinematics, c.duct.rigid, Carriage::on(1), tree, 0, {0.1, 1000});
      const double ours_s = 1e-3 * (now_ms() - start);
      const PlainOutcome plain = plain_subdivision_of(c, tree, kLimit_s);
      ratio.push_back(plain.seconds / ours_s);
      if (plain.seconds > kLimit_s) ++unfinished;
      if (plain.hi_mm < ours.lo_mm || plain.lo_mm > ours.hi_mm) ++disagreeing;
    }
  }
  std::sort(ratio.begin(), ratio.end());
  state.counters["ratio_at_least"] = ratio[ratio.size() / 2];
  state.counters["plain_unfinished"] = unfinished;
  state.counters["disagreeing"] = disagreeing;
}
BENCHMARK(six_joints_against_plain)->Arg(1)->Iterations(1)->Unit(benchmark::kMillisecond);

void hinge_times_six_joints(benchmark::State& state) { over_sets(state, true, 20); }
BENCHMARK(hinge_times_six_joints)->Arg(1)->Arg(10)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace baywright

BENCHMARK_MAIN();

// A point of a duct on the pointer, on a bay of millions of triangles: what one move costs, what letting go costs. The
// duct of the speed benchmark's scene with two humps, so that its long tube floats between vehicle and engine; the
// engine has six load cases of six joints each, or six free ranges. 200 seeded moves of one intersection point, at most
// 3 mm each. Argument: millions of triangles. Wall time, nothing is drawn.
#include <algorithm>
#include <chrono>
#include <ctime>
#include <map>
#include <random>

#include <benchmark/benchmark.h>

#include "bay_scene.hpp"
#include "session/drag.hpp"
#include "session/evaluate.hpp"

namespace baywright {
namespace {

constexpr double kDegree = M_PI / 180;
constexpr int kMoves = 200;

/// Triangles [from, to) of a mesh, with the corners they use.
TriMesh part_of(const TriMesh& mesh, std::size_t from, std::size_t to) {
  constexpr std::uint32_t kUnused = 0xFFFFFFFFU;
  std::vector<std::uint32_t> number(mesh.vertices.size(), kUnused);
  TriMesh out;
  for (std::size_t i = from; i < to; ++i) {
    TriMesh::Triangle t = mesh.triangles[i];
    for (std::uint32_t& v : t) {
      if (number[v] == kUnused) {
        number[v] = static_cast<std::uint32_t>(out.vertices.size());
        out.vertices.push_back(mesh.vertices[v]);
      }
      v = number[v];
    }
    out.triangles.push_back(t);
  }
  return out;
}

bay::Part scanned(const std::string& id, const TriMesh& mesh, BodyIndex body) {
  bay::Part part;
  part.id = bay::PartId(id);
  part.name = id;
  part.body = body;
  part.uncertainty_mm = 0.2;
  part.tree = TriTree::over(mesh);
  return part;
}

std::vector<bay::Part> parts_of(std::size_t triangles) {
  const bench::BayScene scene = bench::bay_scene(triangles);
  const std::size_t a = scene.engine_from, b = scene.engine_to, n = scene.surroundings.triangles.size();
  return {scanned("body", part_of(scene.surroundings, 0, a), 0),
          scanned("engine", part_of(scene.surroundings, a, b), 1),
          scanned("bars", part_of(scene.surroundings, b, n), 0)};
}

MotionSet engine_motion(bool ranges) {
  std::mt19937 random(2);
  std::uniform_real_distribution<double> unit(-1, 1);
  std::vector<MotionMember> members;
  for (int i = 0; i < (ranges ? 1 : 6); ++i) {
    MotionMember m;
    m.name = ranges ? "ranges" : "load case " + std::to_string(i + 1);
    m.shape = ranges ? MotionMember::Shape::box : MotionMember::Shape::path;
    for (int k = 0; k < 3; ++k) {
      m.joints.push_back({Joint::Kind::translation, Vec3::Unit(k), Vec3::Zero()});
      m.to.push_back(ranges ? 4 : 6 * unit(random));
    }
    for (int k = 2; k >= 0; --k) {
      m.joints.push_back({Joint::Kind::rotation, Vec3::Unit(k), Vec3(400, 200, -150)});
      m.to.push_back((k == 0 ? 4 : 1) * kDegree * (ranges ? 0.5 : unit(random)));
    }
    if (ranges) {
      for (const double to : m.to) m.from.push_back(-to);
    }
    members.push_back(m);
  }
  return MotionSet(members);
}

bay::Port port(const std::string& id, const Vec3& center, const Vec3& axis, double outer_mm, BodyIndex body) {
  bay::Port out;
  out.id = bay::PortId(id);
  out.center_mm = center;
  out.axis = axis;
  out.outer_diameter_mm = outer_mm;
  out.bore_mm = outer_mm - 3;
  out.body = body;
  return out;
}

duct::DuctSpec spec() {
  using namespace duct;
  DuctSpec out;
  out.id = DuctId("intake");
  out.from.port = bay::PortId("filter-out");
  out.to.port = bay::PortId("compressor-in");
  out.tube = {76, 1.5};
  out.bend_tolerance_mm = 1;
  const std::vector<Vec3> points = {{0, 0, 0},       {260, 0, 0},     {400, 180, 60},
                                    {400, 420, 160}, {640, 560, 160}, {860, 560, 160}};
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool inner = i > 0 && i + 1 < points.size();
    out.route.points.push_back({PointId("P" + std::to_string(i)), points[i], inner ? 90.0 : 0.0});
  }
  Coupler hump;
  hump.shape = CouplerShape::hump;
  hump.gap_mm = 20;
  hump.length_mm = 80;
  hump.hump_height_mm = 5;
  hump.wall_mm = 3;
  hump.axial_mm = hump.lateral_mm = 12;
  hump.angle = degrees(8);
  out.fittings = {{FittingId("hump-1"), {PointId("P0"), 70, false}, hump},
                  {FittingId("cone"), {PointId("P4"), 50, false}, Reducer{60, {60, 1.5}}},
                  {FittingId("hump-2"), {PointId("P4"), 150, false}, hump}};
  return out;
}

std::shared_ptr<const job::Installation> installation(std::int64_t millions, bool ranges) {
  static std::map<std::int64_t, std::vector<bay::Part>> kParts;
  auto& parts = kParts[millions];
  if (parts.empty()) parts = parts_of(static_cast<std::size_t>(millions) * 1'000'000);
  auto out = std::make_shared<job::Installation>();
  out->bay.bodies.resize(2);
  out->bay.bodies[0].id = bay::kVehicle;
  out->bay.bodies[1].id = bay::BodyId("engine");
  out->bay.bodies[1].motion = engine_motion(ranges);
  out->bay.attitudes = {{"level", {}, {}}};
  out->bay.parts = parts;
  out->bay.ports = {port("filter-out", {0, 0, 0}, Vec3::UnitX(), 76, 0),
                    port("compressor-in", {860, 560, 160}, -Vec3::UnitX(), 60, 1)};
  auto layout = duct::lay_out(spec(), out->bay);
  if (!layout) throw std::runtime_error(to_line(layout.error().front()));
  out->ducts = {{spec(), std::move(*layout)}};
  return out;
}

double milliseconds(std::chrono::steady_clock::time_point since) {
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - since).count();
}

/// Processor time of all threads together: what the moves cost on a machine that does other things as well.
double processor_ms() {
  timespec t{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return 1e3 * static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_nsec);
}

void note(benchmark::State& state, const std::string& name, std::vector<double> ms) {
  std::sort(ms.begin(), ms.end());
  state.counters[name + "_p50_ms"] = ms[ms.size() / 2];
  state.counters[name + "_p99_ms"] = ms[std::min(ms.size() - 1, ms.size() * 99 / 100)];
  state.counters[name + "_max_ms"] = ms.back();
}

/// A walk of a point around its place: never farther than 20 mm, at most 3 mm a move.
std::vector<Vec3> walk(const Vec3& start, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> gauss;
  std::vector<Vec3> out;
  Vec3 at = Vec3::Zero(), way = Vec3::UnitZ();
  for (int i = 0; i < kMoves; ++i) {
    way = (way + 0.5 * Vec3(gauss(random), gauss(random), gauss(random)) - 0.03 * at).normalized();
    at += (0.5 + 2.5 * (static_cast<double>(random() % 1000) / 1000)) * way;
    if (at.norm() > 20) at *= 20 / at.norm();
    out.push_back(start + at);
  }
  return out;
}

void drag(benchmark::State& state, const char* point, bool ranges, bool with_map) {
  const auto job = installation(state.range(0), ranges);
  const checks::Evaluation evaluation = *session::evaluate(*job);
  session::DragOptions options;
  if (!with_map) options.step_spacing_mm = options.release_spacing_mm = 0;
  const auto& points = job->ducts[0].spec.route.points;
  const auto at = std::find_if(points.begin(), points.end(), [&](const auto& p) { return p.id.value == point; });
  std::vector<double> moves, moves_cpu, releases, releases_cpu;
  std::size_t searches = 0, map_points = 0, fine_points = 0, refused = 0;
  for (auto _ : state) {
    auto begun = std::move(*session::DragSession::begin(job, evaluation, job->ducts[0].spec.id, options));
    for (const Vec3& p : walk(at->p_mm, 3)) {
      const double cpu = processor_ms();
      const auto start = std::chrono::steady_clock::now();
      const auto step = begun->move_point(at->id, p);
      moves.push_back(milliseconds(start));
      moves_cpu.push_back(processor_ms() - cpu);
      if (!step) {
        ++refused;
        continue;
      }
      searches += step->clearance.work.searches;
      map_points += step->map.points.size();
    }
    for (int i = 0; i < 5; ++i) {
      const double cpu = processor_ms();
      const auto start = std::chrono::steady_clock::now();
      const auto released = begun->release();
      releases.push_back(milliseconds(start));
      releases_cpu.push_back(processor_ms() - cpu);
      fine_points = released->map.points.size();
    }
  }
  const auto n = static_cast<double>(moves.size());
  note(state, "move", moves);
  note(state, "move_cpu", moves_cpu);
  note(state, "release", releases);
  note(state, "release_cpu", releases_cpu);
  state.counters["searches"] = static_cast<double>(searches) / n;
  state.counters["map_points"] = static_cast<double>(map_points) / n;
  state.counters["fine_points"] = static_cast<double>(fine_points);
  state.counters["refused"] = static_cast<double>(refused);
}

void move_P2(benchmark::State& state) { drag(state, "P2", false, false); }
void move_P2_with_map(benchmark::State& state) { drag(state, "P2", false, true); }
void move_P3_with_map(benchmark::State& state) { drag(state, "P3", false, true); }
void move_P2_ranges(benchmark::State& state) { drag(state, "P2", true, false); }
void move_P2_ranges_with_map(benchmark::State& state) { drag(state, "P2", true, true); }
BENCHMARK(move_P2)->Arg(1)->Arg(10)->Iterations(3)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(move_P2_with_map)->Arg(1)->Arg(10)->Iterations(3)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(move_P3_with_map)->Arg(1)->Arg(10)->Iterations(3)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(move_P2_ranges)->Arg(1)->Arg(10)->Iterations(3)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(move_P2_ranges_with_map)->Arg(1)->Arg(10)->Iterations(3)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace baywright

BENCHMARK_MAIN();

#include <embree3/rtcore.h>
#include <tbb/global_control.h>

#include "speed_bench.hpp"

namespace baywright::bench {
namespace {

std::int64_t& in_use() {
  static std::int64_t bytes = 0;
  return bytes;
}
bool count_bytes(void*, ssize_t bytes, bool) {
  in_use() += bytes;
  return true;
}

class Scene {
 public:
  Scene(const TriMesh& mesh, std::int64_t threads) : mesh_(mesh) {
    const std::string settings = "threads=" + std::to_string(threads);
    device_ = rtcNewDevice(settings.c_str());
    rtcSetDeviceMemoryMonitorFunction(device_, count_bytes, nullptr);
    scene_ = rtcNewScene(device_);
    rtcSetSceneBuildQuality(scene_, RTC_BUILD_QUALITY_MEDIUM);
    const RTCGeometry geometry = rtcNewGeometry(device_, RTC_GEOMETRY_TYPE_TRIANGLE);
    padded_ = mesh.vertices;
    padded_.push_back(Vec3f::Zero());  // the library reads four floats per vertex
    rtcSetSharedGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, padded_.data(), 0, sizeof(Vec3f),
                               mesh.vertices.size());
    rtcSetSharedGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, mesh.triangles.data(), 0,
                               sizeof(TriMesh::Triangle), mesh.triangles.size());
    rtcCommitGeometry(geometry);
    rtcAttachGeometry(scene_, geometry);
    rtcReleaseGeometry(geometry);
  }
  Scene(const Scene&) = delete;
  Scene& operator=(const Scene&) = delete;
  ~Scene() {
    rtcReleaseScene(scene_);
    rtcReleaseDevice(device_);
  }
  void build() { rtcCommitScene(scene_); }
  RTCScene get() const { return scene_; }
  Corners3 corners(std::uint32_t i) const {
    const auto& t = mesh_.triangles[i];
    return {mesh_.vertices[t[0]].cast<double>(), mesh_.vertices[t[1]].cast<double>(),
            mesh_.vertices[t[2]].cast<double>()};
  }

 private:
  const TriMesh& mesh_;
  std::vector<Vec3f> padded_;
  RTCDevice device_ = nullptr;
  RTCScene scene_ = nullptr;
};

Scene& scene(std::int64_t thousands) {
  static std::int64_t size = 0;
  static std::unique_ptr<Scene> kept;
  if (size != thousands) {
    kept.reset();
    kept = std::make_unique<Scene>(scene_of(thousands).surroundings, 1);
    kept->build();
    size = thousands;
  }
  return *kept;
}

void embree_build(benchmark::State& state) {
  const TriMesh& mesh = scene_of(state.range(0)).surroundings;
  const tbb::global_control threads(tbb::global_control::max_allowed_parallelism,
                                    static_cast<std::size_t>(state.range(1)));
  for (auto _ : state) {
    state.PauseTiming();
    in_use() = 0;
    auto made = std::make_unique<Scene>(mesh, state.range(1));
    state.ResumeTiming();
    made->build();
    state.PauseTiming();
    // The arrays of the mesh, which the library goes on using, belong to it as they do to our tree.
    state.counters["bytes_per_triangle"] =
        static_cast<double>(in_use() + static_cast<std::int64_t>(mesh.vertices.size() * sizeof(Vec3f) +
                                                                 mesh.triangles.size() * sizeof(TriMesh::Triangle))) /
        static_cast<double>(mesh.triangles.size());
    made.reset();
    state.ResumeTiming();
  }
}
BENCHMARK(embree_build)->Apply(sizes_and_threads)->Unit(benchmark::kMillisecond)->UseRealTime();

/// Sphere around a piece; every triangle in it goes to the exact kernel, and the sphere shrinks with the best.
struct PieceQuery {
  const Scene* scene;
  const PlacedShape* piece;
  double around_mm;  ///< half the piece's greatest extent
  double best_mm;
  std::size_t tests = 0;
};
bool try_triangle(RTCPointQueryFunctionArguments* args) {
  auto& q = *static_cast<PieceQuery*>(args->userPtr);
  ++q.tests;
  const double d = contact_with(*q.piece, q.scene->corners(args->primID)).distance_mm;
  if (!(d < q.best_mm)) return false;
  q.best_mm = d;
  args->query->radius = static_cast<float>(d + q.around_mm);
  return true;
}

void embree_piece_minima(benchmark::State& state) {
  const Scene& made = scene(state.range(0));
  struct Piece {
    PlacedShape shape;
    Vec3 center;
    double around_mm;
  };
  std::vector<Piece> pieces;
  for (const Primitive& p : scene_of(state.range(0)).duct) {
    const Aabb box = bounds(p.shape);
    double around = 0;  // farthest corner of the piece's surface from the centre
    const TriMesh skin = surface_mesh(p.shape, 0.02);
    for (std::uint32_t i = 0; i < skin.vertices.size(); ++i)
      around = std::max(around, (skin.vertex(i) - box.center()).norm());
    pieces.push_back({placed(p.shape), box.center(), around + 0.05});
  }
  double sum = 0;
  std::size_t tests = 0;
  for (auto _ : state) {
    sum = 0;
    tests = 0;
    for (const Piece& p : pieces) {
      PieceQuery query{&made, &p.shape, p.around_mm, 200.0};
      RTCPointQuery at{static_cast<float>(p.center.x()), static_cast<float>(p.center.y()),
                       static_cast<float>(p.center.z()), 0, static_cast<float>(200 + p.around_mm)};
      RTCPointQueryContext context;
      rtcInitPointQueryContext(&context);
      rtcPointQuery(made.get(), &at, &context, try_triangle, &query);
      sum += query.best_mm;
      tests += query.tests;
    }
  }
  state.counters["sum_mm"] = sum;
  state.counters["exact_tests"] = static_cast<double>(tests);
}
BENCHMARK(embree_piece_minima)->Apply(sizes)->Unit(benchmark::kMillisecond);

struct PointQuery {
  const Scene* scene;
  Vec3 p;
  double best_mm;
};
bool try_point(RTCPointQueryFunctionArguments* args) {
  auto& q = *static_cast<PointQuery*>(args->userPtr);
  const double d = (nearest_on_triangle(q.p, q.scene->corners(args->primID)) - q.p).norm();
  if (!(d < q.best_mm)) return false;
  q.best_mm = d;
  args->query->radius = static_cast<float>(d);
  return true;
}

void embree_surface_distances(benchmark::State& state) {
  const Scene& made = scene(state.range(0));
  const std::vector<Vec3> points = surface_points(scene_of(state.range(0)).duct);
  double sum = 0;
  for (auto _ : state) {
    sum = 0;
    for (const Vec3& p : points) {
      PointQuery query{&made, p, 1e9};
      RTCPointQuery at{static_cast<float>(p.x()), static_cast<float>(p.y()), static_cast<float>(p.z()), 0,
                       std::numeric_limits<float>::infinity()};
      RTCPointQueryContext context;
      rtcInitPointQueryContext(&context);
      rtcPointQuery(made.get(), &at, &context, try_point, &query);
      sum += query.best_mm;
    }
  }
  state.counters["sum_mm"] = sum;
}
BENCHMARK(embree_surface_distances)->Apply(sizes)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace baywright::bench

#include "geometry/clearance/hidden.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <numbers>
#include <optional>

#include "geometry/clearance/tri_tree.hpp"

namespace baywright {
namespace {

constexpr int kRaysAtOnce = 1024;
/// Own surfaces a ray may leave behind before it counts as out: in doubt a body stays.
constexpr int kMostOwnHits = 100;
constexpr double kOff_mm = 0.01;   ///< rays start at least this far off their surface
constexpr double kStep_mm = 1e-4;  ///< behind a surface of its own a ray goes on this much later

/// Points of the unit cube of five dimensions, spread evenly however many are taken: multiples of powers of one number,
/// the root of x^6 = x + 1 (M. Roberts 2018, generalising the golden ratio).
std::array<double, 5> spread(int i) {
  constexpr double kRoot = 1.1347241384015194;
  std::array<double, 5> out;
  double step = 1;
  for (double& value : out) {
    step /= kRoot;
    value = 0.5 + step * (i + 1);
    value -= std::floor(value);
  }
  return out;
}

/// All bodies in one tree, each triangle knowing its body.
struct Scene {
  explicit Scene(const std::vector<TriMesh>& bodies) {
    const TriMesh all = merged(bodies);
    tree = TriTree::over(all);
    for (std::size_t b = 0; b < bodies.size(); ++b) owner.insert(owner.end(), bodies[b].triangles.size(), b);
    chord_error_mm = all.chord_error_mm;
  }
  TriTree tree;
  std::vector<std::size_t> owner;
  double chord_error_mm = 0;
};

/// Where rays of one body start: its triangles by area.
class Surface {
 public:
  explicit Surface(const TriMesh& mesh) : mesh_(mesh) {
    double sum = 0;
    for (const TriMesh::Triangle& t : mesh.triangles) up_to_.push_back(sum += twice_area(t).norm());
  }
  double area() const { return up_to_.empty() ? 0 : up_to_.back(); }

  struct Place {
    Vec3 point, normal;
  };
  Place at(double u, double v, double w) const {
    const auto it = std::upper_bound(up_to_.begin(), up_to_.end() - 1, u * area());
    const TriMesh::Triangle& t = mesh_.triangles[static_cast<std::size_t>(it - up_to_.begin())];
    const double root = std::sqrt(v), b = root * (1 - w), c = root * w;
    const Vec3 p = (1 - root) * mesh_.vertex(t[0]) + b * mesh_.vertex(t[1]) + c * mesh_.vertex(t[2]);
    return {p, twice_area(t).normalized()};
  }

 private:
  Vec3 twice_area(const TriMesh::Triangle& t) const {
    const Vec3 a = mesh_.vertex(t[0]);
    return (mesh_.vertex(t[1]) - a).cross(mesh_.vertex(t[2]) - a);
  }
  const TriMesh& mesh_;
  std::vector<double> up_to_;
};

bool gets_out(const Scene& scene, std::size_t body, Vec3 from, const Vec3& direction) {
  for (int i = 0; i < kMostOwnHits; ++i) {
    const auto hit = scene.tree.first_hit(from, direction);
    if (!hit) return true;
    if (scene.owner[hit->triangle] != body) return false;
    from += (hit->distance_mm + kStep_mm) * direction;
  }
  return true;
}

bool is_seen(const Scene& scene, const TriMesh& mesh, std::size_t body, const Progress& progress) {
  const Surface surface(mesh);
  if (!(surface.area() > 0)) return true;
  const double off_mm = mesh.chord_error_mm + scene.chord_error_mm + kOff_mm;
  std::atomic<bool> seen = false;
  tbb::parallel_for(0, kHiddenRays / kRaysAtOnce, [&](int block) {
    if (seen.load(std::memory_order_relaxed) || progress.cancelled()) return;
    for (int i = block * kRaysAtOnce; i < (block + 1) * kRaysAtOnce; ++i) {
      const auto [u, v, w, up, round] = spread(i);
      const double z = 1 - 2 * up, across = std::sqrt(std::max(0.0, 1 - z * z)), turn = 2 * std::numbers::pi * round;
      const Vec3 direction(across * std::cos(turn), across * std::sin(turn), z);
      const auto [point, normal] = surface.at(u, v, w);
      if (!gets_out(scene, body, point + off_mm * normal, direction.normalized())) continue;
      seen = true;
      return;
    }
  });
  return seen;
}

}  // namespace

std::vector<bool> hidden_bodies(const std::vector<TriMesh>& bodies, const Progress& progress) {
  const Scene scene(bodies);
  std::vector<bool> hidden(bodies.size(), false);
  for (std::size_t b = 0; b < bodies.size() && !progress.cancelled(); ++b) {
    hidden[b] = bodies.size() > 1 && !is_seen(scene, bodies[b], b, progress);
  }
  if (std::find(hidden.begin(), hidden.end(), false) == hidden.end()) hidden.assign(bodies.size(), false);
  return hidden;
}

}  // namespace baywright

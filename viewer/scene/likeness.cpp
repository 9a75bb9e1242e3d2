#include "viewer/scene/likeness.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_map>
#include <unordered_set>

namespace baywright::viewer {

namespace {

constexpr int kBits = 21;  // per axis of a cell's key
constexpr std::uint64_t kMost = (std::uint64_t{1} << kBits) - 1;

struct TriangleHash {
  std::size_t operator()(const TriMesh::Triangle& t) const {
    return (t[0] * std::size_t{73856093}) ^ (t[1] * std::size_t{19349663}) ^ (t[2] * std::size_t{83492791});
  }
};

TriMesh clustered(const TriMesh& mesh, double cell_mm) {
  Vec3f lo = mesh.vertices.front();
  for (const auto& v : mesh.vertices) lo = lo.cwiseMin(v);
  const auto scale = static_cast<float>(1 / cell_mm);
  std::unordered_map<std::uint64_t, std::uint32_t> numbers;
  std::vector<Vec3f> sums;
  std::vector<float> counts;
  std::vector<std::uint32_t> cell(mesh.vertices.size());
  for (std::size_t i = 0; i < mesh.vertices.size(); ++i) {
    const Vec3f at = scale * (mesh.vertices[i] - lo);
    std::uint64_t key = 0;
    for (int k = 0; k < 3; ++k) key = key << kBits | std::min(static_cast<std::uint64_t>(at[k]), kMost);
    const auto [found, fresh] = numbers.try_emplace(key, static_cast<std::uint32_t>(sums.size()));
    if (fresh) {
      sums.emplace_back(Vec3f::Zero());
      counts.push_back(0);
    }
    cell[i] = found->second;
    sums[cell[i]] += mesh.vertices[i];
    counts[cell[i]] += 1;
  }
  TriMesh coarse;
  coarse.origin_mm = mesh.origin_mm;
  coarse.vertices.resize(sums.size());
  for (std::size_t i = 0; i < sums.size(); ++i) coarse.vertices[i] = sums[i] / counts[i];
  std::unordered_set<TriMesh::Triangle, TriangleHash> seen;
  for (const auto& triangle : mesh.triangles) {
    TriMesh::Triangle t = {cell[triangle[0]], cell[triangle[1]], cell[triangle[2]]};
    if (t[0] == t[1] || t[1] == t[2] || t[2] == t[0]) continue;
    std::rotate(t.begin(), std::min_element(t.begin(), t.end()), t.end());
    if (seen.insert(t).second) coarse.triangles.push_back(t);
  }
  return coarse;
}

}  // namespace

TriMesh likeness(const TriMesh& mesh, std::size_t budget) {
  if (mesh.triangles.size() <= budget || mesh.vertices.empty()) return mesh;
  // A grid on a surface leaves some two triangles per cell it passes through.
  double cell_mm = std::sqrt(2 * area_mm2(mesh) / static_cast<double>(std::max<std::size_t>(1, budget)));
  const double size_mm = bounds(mesh).size().norm();
  cell_mm = std::max({cell_mm, size_mm / static_cast<double>(kMost), 1e-6});
  TriMesh coarse = clustered(mesh, cell_mm);
  while (coarse.triangles.size() > budget && cell_mm < size_mm) {
    cell_mm *= std::max(1.1, std::sqrt(static_cast<double>(coarse.triangles.size()) / static_cast<double>(budget)));
    coarse = clustered(mesh, cell_mm);
  }
  return coarse;
}

PointCloud likeness(const PointCloud& cloud, std::size_t budget) {
  if (cloud.points.size() <= budget) return cloud;
  const std::size_t stride = (cloud.points.size() + budget - 1) / std::max<std::size_t>(1, budget);
  const bool has_normals = cloud.normals.size() == cloud.points.size();
  PointCloud coarse;
  coarse.origin_mm = cloud.origin_mm;
  for (std::size_t i = 0; i < cloud.points.size(); i += stride) {
    coarse.points.push_back(cloud.points[i]);
    if (has_normals) coarse.normals.push_back(cloud.normals[i]);
  }
  return coarse;
}

}  // namespace baywright::viewer

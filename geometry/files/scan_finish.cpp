#include <cmath>

#include "geometry/files/scan_formats.hpp"

namespace baywright {
namespace {

bool is_bad(const Vec3f& p) { return std::isnan(p.x()); }

void add_warning(ScanFile& file, std::string text) {
  if (!text.empty()) file.warnings.push_back(std::move(text));
}

/// Takes bad corners out; `triangles` must not use them.
void compact(std::vector<Vec3f>& points, std::vector<TriMesh::Triangle>& triangles) {
  std::vector<std::uint32_t> moved(points.size());
  std::uint32_t n = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    moved[i] = n;
    if (!is_bad(points[i])) points[n++] = points[i];
  }
  points.resize(n);
  for (TriMesh::Triangle& t : triangles) {
    for (std::uint32_t& i : t) i = moved[i];
  }
}

bool is_degenerate(const TriMesh::Triangle& t, const std::vector<Vec3f>& points) {
  const Vec3f &a = points[t[0]], &b = points[t[1]], &c = points[t[2]];
  return a == b || b == c || c == a;
}

}  // namespace

Result<ScanFile> finish_mesh(PointSink::Points points, std::vector<TriMesh::Triangle> triangles, ScanFile file,
                             const ScanSource& source) {
  if (points.bad > 0) {
    const std::size_t before = triangles.size();
    std::erase_if(triangles, [&](const TriMesh::Triangle& t) {
      return is_bad(points.points[t[0]]) || is_bad(points.points[t[1]]) || is_bad(points.points[t[2]]);
    });
    compact(points.points, triangles);
    file.dropped_points += points.bad;
    file.dropped_triangles += before - triangles.size();
  }
  if (triangles.empty()) return source.no_shape("holds no triangle with finite corners");
  for (const TriMesh::Triangle& t : triangles) {
    if (is_degenerate(t, points.points)) ++file.degenerate_triangles;
  }
  if (file.dropped_triangles > 0) {
    add_warning(file, std::to_string(file.dropped_triangles) +
                          " triangle(s) with a corner that is no finite number were left out");
  } else if (file.dropped_points > 0) {
    add_warning(file,
                std::to_string(file.dropped_points) + " vertex/vertices without finite coordinates were left out");
  }
  add_warning(file, rounding_doubt(points.rounding_mm));
  TriMesh mesh;
  mesh.origin_mm = points.origin_mm;
  mesh.vertices = std::move(points.points);
  mesh.triangles = std::move(triangles);
  file.shape = std::move(mesh);
  return file;
}

Result<ScanFile> finish_cloud(PointSink::Points points, std::vector<Vec3f> normals, ScanFile file,
                              const ScanSource& source) {
  if (points.bad > 0) {
    std::size_t n = 0;
    for (std::size_t i = 0; i < points.points.size(); ++i) {
      if (is_bad(points.points[i])) continue;
      points.points[n] = points.points[i];
      if (!normals.empty()) normals[n] = normals[i];
      ++n;
    }
    points.points.resize(n);
    if (!normals.empty()) normals.resize(n);
    file.dropped_points += points.bad;
    add_warning(file, std::to_string(points.bad) + " point(s) without finite coordinates were left out");
  }
  if (points.points.empty()) return source.no_shape("holds no point with finite coordinates");
  add_warning(file, rounding_doubt(points.rounding_mm));
  PointCloud cloud;
  cloud.origin_mm = points.origin_mm;
  cloud.points = std::move(points.points);
  cloud.normals = std::move(normals);
  file.shape = std::move(cloud);
  return file;
}

}  // namespace baywright

#include "viewer/scene/part_shapes.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <numeric>
#include <vector>

#include <Eigen/Geometry>

#include <vtkCellArray.h>
#include <vtkFloatArray.h>
#include <vtkIdTypeArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>

namespace baywright::viewer {

namespace {

/// Corners nearer than this are one corner, mm: far below what a picture shows, above float32 noise of a mesher.
constexpr float kWeld_mm = 1e-3F;

/// Vertex -> number of its place; equal places get equal numbers.
std::vector<std::uint32_t> welded(const TriMesh& mesh) {
  const std::size_t n = mesh.vertices.size();
  std::vector<std::array<std::int64_t, 3>> key(n);
  for (std::size_t i = 0; i < n; ++i)
    for (int k = 0; k < 3; ++k) key[i][k] = std::llround(mesh.vertices[i][k] / kWeld_mm);
  std::vector<std::uint32_t> order(n);
  std::iota(order.begin(), order.end(), 0U);
  std::sort(order.begin(), order.end(),
            [&](std::uint32_t a, std::uint32_t b) { return key[a] != key[b] ? key[a] < key[b] : a < b; });
  std::vector<std::uint32_t> place(n);
  std::uint32_t next = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (i > 0 && key[order[i]] != key[order[i - 1]]) ++next;
    place[order[i]] = next;
  }
  return place;
}

std::vector<Vec3f> area_normals(const TriMesh& mesh) {
  std::vector<Vec3f> normals(mesh.triangles.size());
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const auto& [a, b, c] = mesh.triangles[t];
    normals[t] = (mesh.vertices[b] - mesh.vertices[a]).cross(mesh.vertices[c] - mesh.vertices[a]);
  }
  return normals;
}

Vec3f unit(const Vec3f& v) {
  const float length = v.norm();
  return length > 0 ? Vec3f(v / length) : Vec3f::UnitZ();
}

/// Triangles around each place, as one packed list.
struct Around {
  std::vector<std::uint32_t> first;
  std::vector<std::uint32_t> triangle;
};

Around around_places(const TriMesh& mesh, const std::vector<std::uint32_t>& place) {
  const std::uint32_t places = place.empty() ? 0 : *std::max_element(place.begin(), place.end()) + 1;
  Around around;
  around.first.assign(places + 1, 0);
  for (const auto& triangle : mesh.triangles)
    for (const auto v : triangle) ++around.first[place[v] + 1];
  std::partial_sum(around.first.begin(), around.first.end(), around.first.begin());
  around.triangle.resize(around.first.back());
  auto fill = around.first;
  for (std::uint32_t t = 0; t < mesh.triangles.size(); ++t)
    for (const auto v : mesh.triangles[t]) around.triangle[fill[place[v]]++] = t;
  return around;
}

vtkSmartPointer<vtkCellArray> cells_of(const std::vector<vtkIdType>& ids, int corners) {
  vtkNew<vtkIdTypeArray> connectivity;
  connectivity->SetNumberOfValues(static_cast<vtkIdType>(ids.size()));
  std::copy(ids.begin(), ids.end(), connectivity->GetPointer(0));
  auto cells = vtkSmartPointer<vtkCellArray>::New();
  cells->SetData(corners, connectivity);
  return cells;
}

/// Points and normals while a surface is put together.
struct Corners {
  vtkNew<vtkPoints> points;
  vtkNew<vtkFloatArray> normals;
  Corners() {
    points->SetDataTypeToFloat();
    normals->SetNumberOfComponents(3);
    normals->SetName("Normals");
  }
  vtkIdType add(const Vec3& p, const Vec3f& n) {
    normals->InsertNextTuple3(n.x(), n.y(), n.z());
    return points->InsertNextPoint(p.x(), p.y(), p.z());
  }
};

}  // namespace

vtkSmartPointer<vtkPolyData> shaded_surface(const TriMesh& mesh, double crease_deg) {
  const auto place = welded(mesh);
  const auto area = area_normals(mesh);
  std::vector<Vec3f> facing(area.size());
  std::transform(area.begin(), area.end(), facing.begin(), unit);
  const Around around = around_places(mesh, place);
  const auto turn = static_cast<float>(std::cos(crease_deg * std::numbers::pi / 180));

  struct Made {
    Vec3f normal;
    vtkIdType id;
  };
  std::vector<std::vector<Made>> made(around.first.empty() ? 0 : around.first.size() - 1);
  Corners corners;
  std::vector<vtkIdType> ids;
  ids.reserve(3 * mesh.triangles.size());
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    for (const auto v : mesh.triangles[t]) {
      Vec3f sum = Vec3f::Zero();
      for (auto i = around.first[place[v]]; i < around.first[place[v] + 1]; ++i) {
        const auto other = around.triangle[i];
        if (other == t || facing[t].dot(facing[other]) > turn) sum += area[other];
      }
      const Vec3f normal = unit(sum);
      auto& here = made[place[v]];
      const auto same =
          std::find_if(here.begin(), here.end(), [&](const Made& m) { return m.normal.dot(normal) > 0.9999F; });
      if (same == here.end()) {
        here.push_back({normal, corners.add(mesh.vertex(v), normal)});
        ids.push_back(here.back().id);
      } else {
        ids.push_back(same->id);
      }
    }
  }
  auto surface = vtkSmartPointer<vtkPolyData>::New();
  surface->SetPoints(corners.points);
  surface->GetPointData()->SetNormals(corners.normals);
  surface->SetPolys(cells_of(ids, 3));
  return surface;
}

vtkSmartPointer<vtkPolyData> sharp_edges(const TriMesh& mesh, double angle_deg) {
  struct Side {
    std::uint32_t a, b;  // places, a < b
    std::uint32_t va, vb;
    std::uint32_t triangle;
  };
  const auto place = welded(mesh);
  const auto area = area_normals(mesh);
  std::vector<Side> sides;
  sides.reserve(3 * mesh.triangles.size());
  for (std::uint32_t t = 0; t < mesh.triangles.size(); ++t) {
    if (area[t].squaredNorm() == 0) continue;
    for (int k = 0; k < 3; ++k) {
      const auto va = mesh.triangles[t][k], vb = mesh.triangles[t][(k + 1) % 3];
      if (place[va] == place[vb]) continue;
      const bool swap = place[va] > place[vb];
      sides.push_back(swap ? Side{place[vb], place[va], vb, va, t} : Side{place[va], place[vb], va, vb, t});
    }
  }
  std::sort(sides.begin(), sides.end(), [](const Side& l, const Side& r) {
    return std::array{l.a, l.b, l.triangle} < std::array{r.a, r.b, r.triangle};
  });
  const auto turn = static_cast<float>(std::cos(angle_deg * std::numbers::pi / 180));
  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  std::vector<vtkIdType> ids;
  for (std::size_t i = 0; i < sides.size();) {
    std::size_t end = i + 1;
    while (end < sides.size() && sides[end].a == sides[i].a && sides[end].b == sides[i].b) ++end;
    const bool smooth = end - i == 2 && unit(area[sides[i].triangle]).dot(unit(area[sides[i + 1].triangle])) > turn;
    if (!smooth) {
      for (const auto v : {sides[i].va, sides[i].vb}) {
        const Vec3 p = mesh.vertex(v);
        ids.push_back(points->InsertNextPoint(p.x(), p.y(), p.z()));
      }
    }
    i = end;
  }
  auto lines = vtkSmartPointer<vtkPolyData>::New();
  lines->SetPoints(points);
  lines->SetLines(cells_of(ids, 2));
  return lines;
}

vtkSmartPointer<vtkPolyData> polylines(const std::vector<std::vector<Vec3>>& lines) {
  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  std::vector<vtkIdType> ids;
  for (const auto& line : lines) {
    for (std::size_t i = 0; i < line.size(); ++i) {
      const vtkIdType id = points->InsertNextPoint(line[i].x(), line[i].y(), line[i].z());
      if (i > 0) ids.insert(ids.end(), {id - 1, id});
    }
  }
  auto made = vtkSmartPointer<vtkPolyData>::New();
  made->SetPoints(points);
  made->SetLines(cells_of(ids, 2));
  return made;
}

vtkSmartPointer<vtkPolyData> dots(const PointCloud& cloud) {
  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  std::vector<vtkIdType> ids;
  ids.reserve(cloud.points.size());
  for (std::size_t i = 0; i < cloud.points.size(); ++i) {
    const Vec3 p = cloud.point(i);
    ids.push_back(points->InsertNextPoint(p.x(), p.y(), p.z()));
  }
  auto all = vtkSmartPointer<vtkPolyData>::New();
  all->SetPoints(points);
  all->SetVerts(cells_of(ids, 1));
  if (cloud.normals.size() == cloud.points.size()) {
    vtkNew<vtkFloatArray> normals;
    normals->SetNumberOfComponents(3);
    normals->SetName("Normals");
    for (const auto& n : cloud.normals) normals->InsertNextTuple3(n.x(), n.y(), n.z());
    all->GetPointData()->SetNormals(normals);
  }
  return all;
}

}  // namespace baywright::viewer

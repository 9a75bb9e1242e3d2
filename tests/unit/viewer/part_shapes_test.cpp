#include "viewer/scene/part_shapes.hpp"

#include <catch2/catch.hpp>

#include <vtkCellArray.h>
#include <vtkDataArray.h>
#include <vtkPointData.h>
#include <vtkPolyData.h>

#include "tests/unit/viewer/small_bay.hpp"

using namespace baywright;

TEST_CASE("Nothing gives nothing", "[viewer]") {
  CHECK(viewer::shaded_surface({}, 30)->GetNumberOfPolys() == 0);
  CHECK(viewer::sharp_edges({}, 30)->GetNumberOfLines() == 0);
  CHECK(viewer::dots({})->GetNumberOfVerts() == 0);
}

TEST_CASE("A triangle without area is drawn and makes no edges", "[viewer]") {
  TriMesh mesh;
  mesh.vertices = {{0, 0, 0}, {1, 0, 0}, {2, 0, 0}};
  mesh.triangles = {{0, 1, 2}};
  CHECK(viewer::shaded_surface(mesh, 30)->GetNumberOfPolys() == 1);
  CHECK(viewer::sharp_edges(mesh, 30)->GetNumberOfLines() == 0);
}

TEST_CASE("A box has 12 edges, and each corner once for each of its three faces", "[viewer]") {
  const auto box = test::box_mesh({-1, -2, -3}, {4, 5, 6});
  CHECK(viewer::sharp_edges(box, 30)->GetNumberOfLines() == 12);
  const auto surface = viewer::shaded_surface(box, 30);
  CHECK(surface->GetNumberOfPolys() == 12);
  CHECK(surface->GetNumberOfPoints() == 8 * 3);
}

TEST_CASE("Corners that coincide without being shared are one", "[viewer]") {
  const auto box = test::box_mesh({0, 0, 0}, {10, 10, 10});
  TriMesh soup;
  for (const auto& triangle : box.triangles) {
    const auto first = static_cast<std::uint32_t>(soup.vertices.size());
    for (const auto v : triangle) soup.vertices.push_back(box.vertices[v]);
    soup.triangles.push_back({first, first + 1, first + 2});
  }
  CHECK(viewer::sharp_edges(soup, 30)->GetNumberOfLines() == 12);
  CHECK(viewer::shaded_surface(soup, 30)->GetNumberOfPoints() == 24);
}

TEST_CASE("A cylinder has its two rims as edges and is smooth round its side", "[viewer]") {
  constexpr int kSides = 48;
  const auto can = test::can_mesh({0, 0, 0}, 100, 20, kSides);
  CHECK(viewer::sharp_edges(can, 30)->GetNumberOfLines() == 2 * kSides);
  const auto surface = viewer::shaded_surface(can, 30);
  auto* normals = surface->GetPointData()->GetNormals();
  int radial = 0;
  for (vtkIdType i = 0; i < surface->GetNumberOfPoints(); ++i) {
    double n[3], p[3];
    normals->GetTuple(i, n);
    surface->GetPoint(i, p);
    if (std::abs(n[0]) > 0.5) continue;  // on a cap
    // Facets of a regular prism average to the radial direction but for the triangles' uneven share of a corner.
    CHECK((n[1] * p[1] + n[2] * p[2]) / 20 > std::cos(2 * std::numbers::pi / kSides));
    ++radial;
  }
  CHECK(radial >= 2 * kSides);
}

TEST_CASE("The rim of an open sheet is an edge", "[viewer]") {
  constexpr int kCells = 6;
  const auto sheet = test::sheet_mesh(0, 60, 0, 60, kCells, [](double, double) { return 0.0; });
  CHECK(viewer::sharp_edges(sheet, 180)->GetNumberOfLines() == 4 * kCells);
}

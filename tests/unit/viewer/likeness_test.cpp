#include "viewer/scene/likeness.hpp"

#include <catch2/catch.hpp>

#include <vtkPolyData.h>

#include "tests/unit/viewer/small_bay.hpp"
#include "viewer/scene/part_drawings.hpp"

using namespace baywright;

TEST_CASE("Nothing and little are their own likeness", "[viewer]") {
  CHECK(viewer::likeness(TriMesh{}, 10).triangles.empty());
  CHECK(viewer::likeness(PointCloud{}, 10).points.empty());
  const auto box = test::box_mesh({0, 0, 0}, {1, 2, 3});
  CHECK(viewer::likeness(box, 12).triangles == box.triangles);
}

TEST_CASE("A likeness keeps to its budget and to the surface", "[viewer]") {
  const int n = 300;  // 180 000 triangles
  const auto height = [](double x, double y) { return 25 * std::sin(x / 60) * std::sin(y / 70); };
  const auto sheet = test::sheet_mesh(0, 600, 0, 400, n, height);
  const std::size_t budget = 5000;
  const auto coarse = viewer::likeness(sheet, budget);
  CHECK(coarse.triangles.size() <= budget);
  CHECK(coarse.triangles.size() > budget / 5);
  // A corner moves by a cell's diagonal at most; sqrt(3) times the cell of the first guess, which this sheet needs
  // no more than twice over. The sheet is no steeper than 25 / 60.
  const double cell_mm = std::sqrt(2.0 * 600 * 400 / budget) * 2;
  for (const auto& v : coarse.vertices)
    CHECK(std::abs(v.z() - height(v.x(), v.y())) < std::sqrt(3.0) * cell_mm * 25 / 60 + 2);
  const auto size = bounds(coarse).size();
  CHECK(size.x() > 600 - 2 * cell_mm);
  CHECK(size.y() > 400 - 2 * cell_mm);
}

TEST_CASE("A cloud is thinned evenly", "[viewer]") {
  PointCloud cloud;
  for (int i = 0; i < 10'001; ++i) cloud.points.push_back(Vec3f(static_cast<float>(i), 0, 0));
  const auto coarse = viewer::likeness(cloud, 100);
  CHECK(coarse.points.size() <= 100);
  CHECK(coarse.points.size() > 90);
  CHECK(coarse.points[1].x() - coarse.points[0].x() == coarse.points[9].x() - coarse.points[8].x());
}

TEST_CASE("Only large bays are turned as a likeness, and of them only large parts", "[viewer]") {
  const auto small = test::small_bay(30);
  for (const auto& [key, drawing] : viewer::draw_parts(small.bay).by_geometry) CHECK(drawing.likeness == nullptr);
  const auto large = test::small_bay(720);  // more than a million triangles in the scan
  const auto drawings = viewer::draw_parts(large.bay);
  for (const auto& part : large.bay.parts) {
    const auto found = drawings.by_geometry.find(part.mesh.get());
    REQUIRE(found != drawings.by_geometry.end());
    CHECK((found->second.likeness != nullptr) == (part.id.value == "scan"));
  }
}

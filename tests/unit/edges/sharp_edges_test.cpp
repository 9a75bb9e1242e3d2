#include "geometry/sharp_edges.hpp"

#include <BRepFilletAPI_MakeFillet.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "geometry/clearance/tri_tree.hpp"
#include "geometry/occt/access.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/case_count.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

constexpr double kPi = std::numbers::pi;

double length(const SharpEdges& edges) {
  double sum = 0;
  for (const TriMesh::Triangle& t : edges.mesh.triangles) {
    sum += (edges.mesh.vertex(t[0]) - edges.mesh.vertex(t[1])).norm();
  }
  return sum;
}

/// Every facet with corners of its own, as faces tessellated each for itself have them, a little apart.
TriMesh loose(const TriMesh& mesh, double apart_mm, std::mt19937& random) {
  std::uniform_real_distribution<double> shift(-apart_mm, apart_mm);
  TriMesh out;
  out.origin_mm = mesh.origin_mm;
  for (const TriMesh::Triangle& t : mesh.triangles) {
    const auto n = static_cast<std::uint32_t>(out.vertices.size());
    for (const std::uint32_t v : t) {
      out.vertices.push_back(
          (mesh.vertices[v].cast<double>() + Vec3(shift(random), shift(random), shift(random))).cast<float>());
    }
    out.triangles.push_back({n, n + 1, n + 2});
  }
  return out;
}

/// Right prism of height `h` over a convex outline, counter-clockwise; closed, looking outward.
TriMesh prism(const std::vector<Eigen::Vector2d>& outline, double h, const Pose& X = Pose()) {
  TriMesh mesh;
  const auto n = static_cast<std::uint32_t>(outline.size());
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const auto& p : outline) middle += p / n;
  const auto add = [&](const Eigen::Vector2d& p, double z) {
    mesh.vertices.push_back((X * Vec3(p.x(), p.y(), z)).cast<float>());
  };
  for (const double z : {0.0, h}) {
    for (const auto& p : outline) add(p, z);
  }
  add(middle, 0);
  add(middle, h);
  for (std::uint32_t i = 0; i < n; ++i) {
    const std::uint32_t j = (i + 1) % n;
    mesh.triangles.push_back({i, j, n + j});
    mesh.triangles.push_back({i, n + j, n + i});
    mesh.triangles.push_back({j, i, 2 * n});
    mesh.triangles.push_back({n + i, n + j, 2 * n + 1});
  }
  return mesh;
}

std::vector<Eigen::Vector2d> polygon(int corners, double radius) {
  std::vector<Eigen::Vector2d> out;
  for (int i = 0; i < corners; ++i) {
    out.emplace_back(radius * std::cos(2 * kPi * i / corners), radius * std::sin(2 * kPi * i / corners));
  }
  return out;
}

double perimeter(const std::vector<Eigen::Vector2d>& outline) {
  double sum = 0;
  for (std::size_t i = 0; i < outline.size(); ++i) sum += (outline[(i + 1) % outline.size()] - outline[i]).norm();
  return sum;
}

TriMesh meshed(const TopoDS_Shape& shape, double chord_mm = 0.1) {
  const auto mesh = tessellate(occt::Access::make(shape), chord_mm);
  REQUIRE(mesh);
  return *mesh;
}

TopoDS_Shape filleted_box(double a, double b, double c, double radius) {
  const TopoDS_Shape box = BRepPrimAPI_MakeBox(a, b, c).Shape();
  BRepFilletAPI_MakeFillet fillet(box);
  for (TopExp_Explorer it(box, TopAbs_EDGE); it.More(); it.Next()) fillet.Add(radius, TopoDS::Edge(it.Current()));
  return fillet.Shape();
}

}  // namespace

TEST_CASE("nothing, one triangle, a triangle without area", "[edges]") {
  CHECK(sharp_edges(TriMesh()).mesh.triangles.empty());
  TriMesh one;
  one.vertices = {{0, 0, 0}, {3, 0, 0}, {0, 4, 0}};
  one.triangles = {{0, 1, 2}, {0, 1, 1}};
  const SharpEdges edges = sharp_edges(one);
  CHECK(edges.open == 3);
  CHECK(edges.folds == 0);
  CHECK(length(edges) == Approx(3 + 4 + 5));
  const TriTree tree = TriTree::over(edges.mesh);
  CHECK(tree.report().segments == 3);
  // The middle of the triangle is no edge.
  CHECK(tree.nearest(Vec3(1, 1, 0))->distance_mm == Approx(1));
}

TEST_CASE("a box has twelve edges, whichever way it looks and however its corners are told apart", "[edges]") {
  const TriMesh box = box_mesh(Vec3(0, 0, 0), Vec3(30, 40, 50));
  std::mt19937 random(1);
  for (const TriMesh& mesh : {box, loose(box, 0.002, random)}) {
    const SharpEdges edges = sharp_edges(mesh);
    CHECK(edges.open == 0);
    CHECK(edges.folds == 12);
    CHECK(length(edges) == Approx(4 * (30 + 40 + 50)).epsilon(1e-3));
  }
  TriMesh inward = box;
  for (TriMesh::Triangle& t : inward.triangles) std::swap(t[1], t[2]);
  CHECK(sharp_edges(inward).folds == 12);  // nobody knows where its material is
  TriMesh open = box;
  open.triangles.resize(10);  // without the side x = 30
  const SharpEdges cut = sharp_edges(open);
  CHECK(cut.open == 4);
  CHECK(cut.folds == 8);
}

TEST_CASE("two boxes side by side have the edges of both", "[edges]") {
  const TriMesh both = merged({box_mesh(Vec3(0, 0, 0), Vec3(10, 10, 10)), box_mesh(Vec3(10, 0, 0), Vec3(20, 10, 10))});
  CHECK(sharp_edges(both).folds == 12 + 12 - 4);  // four they share
}

TEST_CASE("an inner corner is no edge", "[edges]") {
  // An L of 20 by 20 with legs of 10: five sharp corners and one that turns away from the material.
  const std::vector<Eigen::Vector2d> outline{{0, 0}, {20, 0}, {20, 10}, {10, 10}, {10, 20}, {0, 20}};
  TriMesh mesh;
  for (const double z : {0.0, 30.0}) {
    for (const auto& p : outline) mesh.vertices.push_back(Vec3(p.x(), p.y(), z).cast<float>());
  }
  for (std::uint32_t i = 0; i < 6; ++i) {
    const std::uint32_t j = (i + 1) % 6;
    mesh.triangles.push_back({i, j, 6 + j});
    mesh.triangles.push_back({i, 6 + j, 6 + i});
  }
  for (const auto& [a, b, c] : std::vector<std::array<std::uint32_t, 3>>{{0, 1, 2}, {0, 2, 3}, {0, 3, 4}, {0, 4, 5}}) {
    mesh.triangles.push_back({a, c, b});
    mesh.triangles.push_back({6 + a, 6 + b, 6 + c});
  }
  const SharpEdges edges = sharp_edges(mesh);
  CHECK(edges.open == 0);
  CHECK(length(edges) == Approx(5 * 30 + 2 * 80));
  const TriTree tree = TriTree::over(edges.mesh);
  CHECK(tree.nearest(Vec3(10, 10, 15))->distance_mm == Approx(10));
}

TEST_CASE("facets of a coarse cylinder are no edges, its rims are", "[edges]") {
  for (const int facets : {6, 7, 8, 12, 40}) {
    for (const double radius : {5.0, 40.0, 400.0}) {
      CAPTURE(facets, radius);
      const auto outline = polygon(facets, radius);
      const SharpEdges edges = sharp_edges(prism(outline, 60));
      CHECK(edges.open == 0);
      CHECK(length(edges) == Approx(2 * perimeter(outline)));
    }
  }
  // Five facets turn by 72 degrees each; so do those of a wire of half a millimetre together.
  CHECK(length(sharp_edges(prism(polygon(5, 40), 60))) == Approx(2 * perimeter(polygon(5, 40)) + 5 * 60));
  CHECK(length(sharp_edges(prism(polygon(12, 0.5), 60))) == Approx(2 * perimeter(polygon(12, 0.5)) + 12 * 60));
}

TEST_CASE("solids of the modelling kernel", "[edges]") {
  SECTION("box") {
    const SharpEdges edges = sharp_edges(meshed(BRepPrimAPI_MakeBox(30, 40, 50).Shape()));
    CHECK(edges.open == 0);
    CHECK(length(edges) == Approx(4 * (30 + 40 + 50)).epsilon(1e-4));
  }
  SECTION("box with fillets of half a millimetre: edges all along") {
    const SharpEdges edges = sharp_edges(meshed(filleted_box(30, 40, 50, 0.5)));
    CHECK(edges.open == 0);
    const TriTree tree = TriTree::over(edges.mesh);
    for (double s = 1; s < 29; s += 0.7) {
      CHECK(tree.nearest(Vec3(s, 0, 0))->distance_mm < 0.5);
      CHECK(tree.nearest(Vec3(30, s, 50))->distance_mm < 0.5);
    }
    CHECK(tree.nearest(Vec3(15, 20, 0))->distance_mm > 14);
  }
  SECTION("box with fillets of three millimetres: none") {
    for (const double chord : {0.02, 0.1, 0.3}) {
      const SharpEdges edges = sharp_edges(meshed(filleted_box(30, 40, 50, 3), chord));
      CHECK(edges.mesh.triangles.empty());
    }
  }
  SECTION("cylinder: two rims, no mantle, no seam") {
    const SharpEdges edges = sharp_edges(meshed(BRepPrimAPI_MakeCylinder(20, 50).Shape()));
    CHECK(edges.open == 0);
    CHECK(length(edges) == Approx(2 * 2 * kPi * 20).epsilon(0.01));
    CHECK(TriTree::over(edges.mesh).nearest(Vec3(20, 0, 25))->distance_mm == Approx(25).epsilon(0.01));
  }
}

TEST_CASE("rounded corners of any radius, turn and fineness against the rule", "[edges]") {
  std::mt19937 random(7);
  const auto any = [&](double lo, double hi) { return std::uniform_real_distribution<double>(lo, hi)(random); };
  int sharp = 0, smooth = 0;
  for (int i = 0; i < case_count(400); ++i) {
    const double turn_deg = any(20, 150), turn = turn_deg * kPi / 180;
    const double radius = std::exp(any(std::log(0.05), std::log(8.0)));
    const int facets = std::uniform_int_distribution<int>(turn_deg > 60 ? 2 : 1, 24)(random);
    if (turn_deg / facets > 58) continue;  // one fold alone would be sharp
    // The corner's arc, from a side along x to one turned by `turn`, and a far corner.
    std::vector<Eigen::Vector2d> outline{{-60, 0}};
    for (int k = 0; k <= facets; ++k) {
      const double t = turn * k / facets;
      outline.emplace_back(radius * std::sin(t), radius - radius * std::cos(t));
    }
    outline.push_back(outline.back() + 60 * Eigen::Vector2d(std::cos(turn), std::sin(turn)));
    const Vec3 axis = Vec3(any(-1, 1), any(-1, 1), any(-1, 1)).normalized();
    const Pose X = Pose::translation(Vec3(any(-500, 500), any(-500, 500), any(-500, 500))) *
                   Pose::rotation(axis, Vec3::Zero(), any(-3, 3));
    TriMesh mesh = prism(outline, 40, X);
    // Corners that lie apart turn narrow facets about.
    if (i % 2 == 1 && radius * turn / facets > 0.05) mesh = loose(mesh, 0.0005, random);
    const SharpEdges edges = sharp_edges(mesh);
    CHECK(edges.open == 0);
    // Halfway up and at the middle of the arc nothing but the corner itself is near.
    const Vec3 tip = X * Vec3(radius * std::sin(turn / 2), radius - radius * std::cos(turn / 2), 20);
    const bool found = TriTree::over(edges.mesh).nearest(tip)->distance_mm < 19;
    CAPTURE(i, turn_deg, radius, facets);
    if (radius < 0.97 && turn_deg > 62) {
      CHECK(found);
      ++sharp;
    }
    if (radius > 2.2 || turn_deg < 57) {
      CHECK_FALSE(found);
      ++smooth;
    }
  }
  CHECK(sharp > case_count(400) / 8);
  CHECK(smooth > case_count(400) / 8);
}

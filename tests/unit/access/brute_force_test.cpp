// The chart against another way of finding the same: triangles are turned into points close together, and the distance
// of every point from every part of the tool is written down in closed form.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "access/chart.hpp"
#include "access/tool_shapes.hpp"
#include "tests/unit/clearance/scenes.hpp"

namespace baywright::access {
namespace {

using test::Random;

constexpr double kSpacing_mm = 2;

std::vector<Vec3> points_of(const TriMesh& mesh) {
  std::vector<Vec3> out;
  for (const auto& t : mesh.triangles) {
    const Vec3 a = mesh.vertex(t[0]), b = mesh.vertex(t[1]) - a, c = mesh.vertex(t[2]) - a;
    const int n = 1 + static_cast<int>(std::max({b.norm(), c.norm(), (b - c).norm()}) / kSpacing_mm);
    for (int i = 0; i <= n; ++i) {
      for (int j = 0; i + j <= n; ++j) out.push_back(a + (i * b + j * c) / n);
    }
  }
  return out;
}

double from_solid(const StandingShape& shape, const Vec3& p) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return signed_distance(*s, p);
  if (const auto* s = std::get_if<Collar>(&shape)) return signed_distance(*s, p);
  const Box& box = std::get<Box>(shape);
  const Vec3 q = box.axes.transpose() * (p - box.center);
  return (q - q.cwiseMin(box.half_mm).cwiseMax(-box.half_mm)).norm();
}

/// Least distance of any of the points: never less than the true one, and more by at most kSpacing_mm.
double from_points(const std::vector<StandingShape>& shapes, const std::vector<Vec3>& points) {
  double least = 1e9;
  for (const StandingShape& shape : shapes) {
    const Aabb box = bounds(shape);
    const Vec3 middle = box.center();
    const double reach = 0.5 * box.size().norm();
    for (const Vec3& p : points) {
      const double far = least + reach;
      if ((p - middle).squaredNorm() < far * far) least = std::min(least, from_solid(shape, p));
    }
  }
  return least;
}

std::vector<StandingShape> shifted(std::vector<StandingShape> shapes, const Vec3& by) {
  for (StandingShape& shape : shapes) shape = moved(shape, Pose::translation(by));
  return shapes;
}

struct Truth {
  const ToolOnScrew& tool;
  const std::vector<Vec3>& points;

  void usable(const ToolAt& at) const {
    const double steps = 4;
    for (double s = 0; s <= steps; ++s) {
      const Vec3 off = s / steps * tool.off_mm() * tool.off(at.handle);
      REQUIRE(from_points(shifted(tool.whole(at.handle), off), points) >= kToolRoom_mm);
    }
    if (!tool.tool.swing) return;
    REQUIRE(at.arc.width() >= tool.tool.swing->least);
    const int samples = 1 + static_cast<int>(to_degrees(at.arc.width()) / 3);
    for (int i = 0; i <= samples; ++i) {
      const Angle angle = at.arc.from + (static_cast<double>(i) / samples) * at.arc.width();
      REQUIRE(from_points(tool.swinging(angle), points) >= kToolRoom_mm);
    }
  }

  void hindered(const ToolAt& at) const {
    const double too_near = kToolRoom_mm + kSpacing_mm;
    if (at.hindrance == Hindrance::seated) REQUIRE(from_points(tool.axial(0), points) < too_near);
    if (at.hindrance == Hindrance::lift_off && tool.tool.approach == catalog::Approach::axial) {
      // Either without the handle, or with it at every angle at which it may be put on.
      double least = from_points(tool.axial(tool.off_mm()), points);
      if (tool.tool.swing) {
        for (double s = 0; s <= 1; s += 0.125) {
          const Vec3 off = s * tool.off_mm() * tool.screw.axis;
          least = std::min(least, from_points(shifted(tool.whole(at.arc.middle()), off), points));
        }
      }
      REQUIRE(least < too_near + kLeastRoom_mm);
    }
    if (at.hindrance == Hindrance::swing) REQUIRE(widest_free_deg() < to_degrees(tool.tool.swing->least) + 5);
  }

  /// Widest run of free angles, looked at every two degrees, counting as free only what has more room than the
  /// demanded, by all that the chart may be off and the points may miss.
  double widest_free_deg() const {
    const double ample = kToolRoom_mm + kSpacing_mm + kLeastTurn.si() * tool.reach_mm();
    std::vector<bool> free;
    for (int i = 0; i < 180; ++i) free.push_back(from_points(tool.swinging(degrees(2 * i)), points) > ample);
    int widest = 0, run = 0;
    for (int i = 0; i < 360; ++i) {
      run = free[static_cast<std::size_t>(i % 180)] ? run + 1 : 0;
      widest = std::max(widest, run);
    }
    return std::min(2 * (widest - 1), 360);
  }
};

TEST_CASE(
    "every position of random scenes, both ways: no claim of free where a point is too near, none of too near "
    "where there is room") {
  Random random(77);
  const std::vector<catalog::Tool> table = catalog::usual_tools();
  std::size_t usable = 0, seated = 0, lift_off = 0, swing = 0;
  for (int trial = 0; trial < 5; ++trial) {
    ClampSite site;
    site.name = "C";
    site.along = random.unit();
    site.hose_radius_mm = random.in(20, 45);
    const auto& clamps = catalog::usual_clamps();
    site.type = clamps[static_cast<std::size_t>(random.below(static_cast<int>(clamps.size())))];
    const TriMesh mesh = test::strewn(random, 15 + 20 * trial, 190, 9);
    Scene scene;
    Obstacle obstacle;
    obstacle.name = "part strewn";
    obstacle.tree = TriTree::over(mesh);
    scene.obstacles.push_back(obstacle);
    const std::vector<Vec3> points = points_of(mesh);
    std::vector<ScrewPosition> positions;
    for (int i = 0; i < 8; ++i) positions.push_back({degrees(45.0 * i + 5 * trial), kSides[i % 2]});
    const ClampChart chart = *chart_of(site, {scene, {}, table, positions});
    for (const PositionAt& position : chart.positions) {
      const Box body = body_at(site, position.position, kBodyRoom_mm);
      const double from_body = from_points({body}, points);
      for (std::size_t i = 0; i < chart.tools.size(); ++i) {
        const ToolAt& at = position.tools[i];
        INFO("trial " << trial << ", " << to_degrees(position.position.clock) << " degrees, tool "
                      << chart.tools[i].id.value << ": " << name(at.hindrance));
        if (at.hindrance == Hindrance::body) {
          REQUIRE(from_body < kBodyRoom_mm + kSpacing_mm);
          continue;
        }
        REQUIRE(from_body >= kBodyRoom_mm);
        const ToolOnScrew tool{chart.tools[i], site.type.hexagon_mm, site.type.stud_mm,
                               screw_at(site, position.position)};
        const Truth truth{tool, points};
        if (at.usable()) {
          ++usable;
          truth.usable(at);
        } else {
          seated += at.hindrance == Hindrance::seated;
          lift_off += at.hindrance == Hindrance::lift_off;
          swing += at.hindrance == Hindrance::swing;
          truth.hindered(at);
        }
      }
    }
  }
  // The scenes must show all of it.
  CHECK(usable > 50);
  CHECK(seated > 50);
  CHECK(lift_off > 0);
  CHECK(swing > 10);
}

}  // namespace
}  // namespace baywright::access

// The chart against another way of finding the same: triangles are turned into points close together, and the distance
// of every point from every part of the tool is written down in closed form.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "access/chart.hpp"
#include "access/tool_shapes.hpp"
#include "geometry/shape_kernels.hpp"
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
                               grip_at(site, position.position)};
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

/// Points on the tool's skin as it is meant to be: rings round its middle line, each of its lengths.
std::vector<Vec3> skin(const catalog::Tool& tool, const Screw& screw, const Bent& bent, double hexagon_mm) {
  const Vec3 aside = screw.swing(bent.toward), normal = screw.axis.cross(aside);
  const double from = tool.bend->from_mm, over = tool.bend->over_mm, by = bent.by.si();
  std::vector<Vec3> out;
  double at = 0;
  for (const catalog::ToolLength& l : tool.lengths) {
    const double radius = 0.5 * catalog::diameter_mm(l, hexagon_mm);
    for (int i = 0; i <= 20; ++i) {
      const double s = at + i / 20.0 * l.length_mm;
      // Walked along in small steps: no formula of an arc.
      const int steps = 4000;
      Vec3 p = screw.head + std::min(s, from) * screw.axis;
      Vec3 along = screw.axis;
      for (int k = 0; k < steps && s > from; ++k) {
        const double middle = (s - from) * (k + 0.5) / steps;
        const double turned = by * (over > 0 ? std::min(middle / over, 1.0) : 1.0);
        along = std::cos(turned) * screw.axis + std::sin(turned) * aside;
        p += (s - from) / steps * along;
      }
      for (int k = 0; k < 12; ++k) {
        const double t = k * std::numbers::pi / 6;
        out.push_back(p + 0.98 * radius * (std::cos(t) * normal + std::sin(t) * normal.cross(along)));
      }
    }
    at += l.length_mm;
  }
  return out;
}

std::vector<catalog::Tool> bending_tools() {
  std::vector<catalog::Tool> table = catalog::usual_tools();
  std::erase_if(table, [](const catalog::Tool& t) { return !t.bend; });
  return table;
}

TEST_CASE("the shapes of a bent tool hold it, and its handle swings square to its outer line") {
  Random random(5);
  for (const catalog::Tool& tool : bending_tools()) {
    for (const Bent& bent : bends_of(tool)) {
      INFO(tool.id.value << " bent by " << to_degrees(bent.by) << " toward " << to_degrees(bent.toward));
      CHECK(bent.by <= tool.bend->greatest);
      Screw screw;
      screw.axis = random.unit();
      screw.out = any_perpendicular(screw.axis);
      screw.head = {random.in(-90, 90), 3, 4};
      const ToolOnScrew on{tool, 8, 0, screw, bent};
      const auto shapes = on.whole(degrees(70));
      std::size_t out = 0;
      for (const Vec3& p : skin(tool, screw, bent, 8)) {
        double least = 1e9;
        for (const StandingShape& shape : shapes) least = std::min(least, from_solid(shape, p));
        out += least > 0.05;
      }
      CHECK(out == 0);
      if (!tool.swing) continue;
      const Screw about = on.turning();
      CHECK(std::abs(about.axis.dot(on.hand(degrees(70)) - about.head) - tool.swing->height_mm) < 1e-9);
      CHECK(about.axis.dot(screw.axis) == Approx(std::cos(bent.by.si())));
      CHECK(std::abs(about.axis.dot(about.out)) < 1e-9);
    }
  }
}

TEST_CASE(
    "tools that bend in random scenes: no claim of free where a point is too near, nor of none where one is free") {
  Random random(78);
  const std::vector<catalog::Tool> table = bending_tools();
  std::size_t usable = 0, bent = 0, hindered = 0;
  for (int trial = 0; trial < 5; ++trial) {
    ClampSite site;
    site.name = "C";
    site.along = random.unit();
    site.hose_radius_mm = random.in(20, 45);
    site.type = catalog::usual_clamps()[1];
    const TriMesh mesh = test::strewn(random, 20 + 20 * trial, 190, 9);
    Scene scene;
    Obstacle obstacle;
    obstacle.name = "part strewn";
    obstacle.tree = TriTree::over(mesh);
    scene.obstacles.push_back(obstacle);
    const std::vector<Vec3> points = points_of(mesh);
    for (int i = 0; i < 6; ++i) {
      // One at a time: a clamp that can be worked needs nothing special.
      const std::vector<ScrewPosition> position = {{degrees(60.0 * i + 5 * trial), kSides[i % 2]}};
      const ClampChart chart = *chart_of(site, {scene, {}, table, position});
      for (std::size_t k = 0; k < chart.tools.size(); ++k) {
        const ToolAt& at = chart.positions[0].tools[k];
        if (at.hindrance == Hindrance::body || at.hindrance == Hindrance::inside) continue;
        const Screw screw = screw_at(site, position[0]);
        INFO("trial " << trial << ", " << to_degrees(position[0].clock) << " degrees, tool " << chart.tools[k].id.value
                      << ": " << name(at.hindrance));
        if (at.usable()) {
          ++usable;
          bent += at.bent.by > Angle();
          const ToolOnScrew tool{chart.tools[k], site.type.hexagon_mm, site.type.stud_mm, screw, at.bent};
          Truth{tool, points}.usable(at);
          continue;
        }
        ++hindered;
        if (chart.tools[k].swing) continue;
        for (const Bent& b : bends_of(chart.tools[k])) {
          const ToolOnScrew tool{chart.tools[k], site.type.hexagon_mm, site.type.stud_mm, screw, b};
          double least = 1e9;
          for (double s = 0; s <= 1; s += 0.125) {
            least = std::min(least, from_points(shifted(tool.whole({}), s * tool.off_mm() * screw.axis), points));
          }
          REQUIRE(least < kToolRoom_mm + kSpacing_mm + kLeastRoom_mm);
        }
      }
    }
  }
  CHECK(usable > 20);
  CHECK(bent > 5);
  CHECK(hindered > 10);
}

}  // namespace
}  // namespace baywright::access

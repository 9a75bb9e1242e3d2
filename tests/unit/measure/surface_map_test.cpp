#include "measure/surface_map.hpp"

#include <tbb/global_control.h>

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "measure/clearance_measure.hpp"
#include "measure/map_isolines.hpp"
#include "tests/support/rocking_bay.hpp"
#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

Installation straight(std::vector<bay::Part> parts) {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.bay.ports[1].body = 0;
  made.bay.parts = std::move(parts);
  return made;
}

SurfaceMapOptions grid(double spacing_mm, double range_mm = 60) {
  SurfaceMapOptions options;
  options.spacing_mm = spacing_mm;
  options.range_mm = range_mm;
  return options;
}

bool same(const SurfaceMap& a, const SurfaceMap& b) {
  if (a.points.size() != b.points.size()) return false;
  for (std::size_t i = 0; i < a.points.size(); ++i) {
    const SurfacePoint &p = a.points[i], &q = b.points[i];
    if (p.p_mm != q.p_mm || p.clearance_mm != q.clearance_mm || p.part != q.part || p.triangle != q.triangle) {
      return false;
    }
  }
  return true;
}

double least(const SurfaceMap& map) {
  double value = std::numeric_limits<double>::infinity();
  for (const SurfacePoint& p : map.points) value = std::min(value, p.clearance_mm);
  return value;
}

}  // namespace

TEST_CASE("A map without parts is beyond the range everywhere") {
  const Installation made = straight({});
  const SurfaceMap map = surface_map(made.bay, made.laid_out(), {});
  CHECK(map.points.size() > 1000);
  for (const SurfacePoint& p : map.points) {
    CHECK(p.part == -1);
    CHECK(std::isinf(p.clearance_mm));
  }
}

TEST_CASE("A map is dense as asked and lies on the surface") {
  const Installation made = fitted_job();
  const Duct duct = made.laid_out();
  const SurfaceMap map = surface_map(made.bay, duct, grid(6));
  std::size_t next = 0;
  for (const SurfacePatch& patch : map.patches) {
    CHECK(patch.first == next);
    next += static_cast<std::size_t>(patch.rows * patch.columns);
    const Shape& shape =
        duct.layout.pieces[static_cast<std::size_t>(patch.piece)].shapes[static_cast<std::size_t>(patch.shape)].shape;
    const auto at = [&](int r, int c) {
      return map.points[patch.first + static_cast<std::size_t>(r * patch.columns + c % patch.columns)].p_mm;
    };
    for (int r = 0; r < patch.rows; ++r) {
      for (int c = 0; c < patch.columns; ++c) {
        CHECK(std::abs(signed_distance(shape, at(r, c))) < 1e-6);
        CHECK((at(r, c + 1) - at(r, c)).norm() <= 6 + 1e-6);
        if (r > 0) CHECK((at(r, c) - at(r - 1, c)).norm() <= 6 + 1e-6);
      }
    }
  }
  CHECK(next == map.points.size());
}

TEST_CASE("Over a large slab every point is as far as its height") {
  const Installation made = straight({box_part("slab", {-200, -300, -110}, {700, 300, -60}, 0)});
  const SurfaceMap map = surface_map(made.bay, made.laid_out(), grid(5, 70));
  for (const SurfacePoint& p : map.points) {
    const double height = p.p_mm.z() + 60;
    if (height > 70 + 1e-6) {
      CHECK(p.part == -1);
    } else {
      CHECK(p.clearance_mm == Approx(height).margin(1e-4));
      CHECK(p.part == 0);
    }
  }
  CHECK(least(map) == Approx(60 - kRadius).margin(0.1));
}

TEST_CASE("Inside a closed part the clearance is negative, in an open one it is not") {
  bay::Part block = box_part("block", {100, -80, -80}, {300, 80, 80}, 0);
  block.encloses = true;
  Installation made = straight({block});
  const Duct duct = made.laid_out();
  std::size_t inside = 0;
  const SurfaceMap closed = surface_map(made.bay, duct, {});
  for (const SurfacePoint& p : closed.points) {
    const double x = p.p_mm.x();
    if (x > 100 && x < 300) {
      // Distance to the nearest of its six faces.
      const double depth = std::min({x - 100, 300 - x, 80 - std::abs(p.p_mm.y()), 80 - std::abs(p.p_mm.z())});
      CHECK(p.clearance_mm == Approx(-depth).margin(1e-4));
      ++inside;
    } else if (p.part == 0) {
      CHECK(p.clearance_mm >= 0);
    }
  }
  CHECK(inside > 500);
  made.bay.parts[0].encloses = false;
  CHECK(least(surface_map(made.bay, duct, {})) >= 0);
}

TEST_CASE("At a pose the map shows what moved") {
  Installation made = straight({box_part("under", {-200, -300, -110}, {700, 300, -60}, 1)});
  MotionMember rise;
  rise.name = "rebound";
  rise.joints = {{Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
  rise.to = {5};
  made.bay.bodies[1].motion = MotionSet({rise});
  const Duct duct = made.laid_out();
  PosedState state;
  state.bodies.resize(2);
  state.bodies[1] = {0, {5}};
  SurfaceMapOptions posed;
  posed.pose = state;
  const SurfaceMap map = surface_map(made.bay, duct, posed);
  for (const SurfacePoint& p : map.points) {
    if (p.part == 0) CHECK(p.clearance_mm == Approx(p.p_mm.z() + 55).margin(1e-4));
  }
  // The duct rides on the engine: it rises with it, in the vehicle's frame, and stays as far away.
  for (bay::Port& port : made.bay.ports) port.body = 1;
  const SurfaceMap with = surface_map(made.bay, made.laid_out(), posed);
  for (const SurfacePoint& p : with.points) {
    if (p.part == 0) CHECK(p.clearance_mm == Approx(p.p_mm.z() - 5 + 60).margin(1e-4));
  }
}

TEST_CASE("A map agrees with every triangle, for any threads and with any map before it") {
  std::mt19937 random(8);
  const Installation made = rocking_job(random);
  const Duct duct = made.laid_out();
  PosedState state = random_state(made.bay, random);
  state.mix = 0.3;
  for (const bool posed : {false, true}) {
    SurfaceMapOptions options = grid(9, 50);
    if (posed) options.pose = state;
    const SurfaceMap map = surface_map(made.bay, duct, options);
    {
      const tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
      CHECK(same(map, surface_map(made.bay, duct, options)));
    }
    SurfaceMapOptions coarse = options;
    coarse.spacing_mm = 25;
    const SurfaceMap before = surface_map(made.bay, duct, coarse);
    CHECK(same(map, surface_map(made.bay, duct, options, &before)));
    const Kinematics kinematics = made.bay.kinematics();
    for (std::size_t i = 0; i < map.points.size(); i += 7) {
      const SurfacePoint& p = map.points[i];
      double least_mm = std::numeric_limits<double>::infinity();
      for (const bay::Part& part : made.bay.parts) {
        const auto body = static_cast<std::size_t>(part.body);
        const Pose X = posed ? pose_at(kinematics.bodies[body], state.bodies[body]) : Pose();
        const Vec3 q = X.inverse() * p.p_mm;
        for (const TriMesh::Triangle& t : part.mesh->triangles) {
          const Contact contact = distance_to_triangle(Cylinder{q, q, 0}, part.mesh->vertex(t[0]),
                                                       part.mesh->vertex(t[1]), part.mesh->vertex(t[2]));
          least_mm = std::min(least_mm, contact.distance_mm);
        }
      }
      if (p.part < 0) {
        CHECK(least_mm > 50 - 1e-4);
      } else {
        CHECK(p.clearance_mm == Approx(least_mm).margin(1e-4));
      }
    }
  }
}

TEST_CASE(
    "Inside and outside are the same with what an earlier map of the bay knew of them, and by the boxes themselves") {
  std::mt19937 random(21);
  std::size_t inside = 0, outside = 0;
  for (int round = 0; round < 6; ++round) {
    Installation made = rocking_job(random);
    std::vector<Aabb> boxes;
    for (bay::Part& part : made.bay.parts) {
      if (part.id.value.starts_with("block")) part.encloses = true;
      if (part.encloses) boxes.push_back(part.tree.bounds());
    }
    SurfaceMapOptions options = grid(6, 50);
    const SurfaceMap before = surface_map(made.bay, made.laid_out(), options);
    for (duct::RoutePoint& point : made.spec.route.points) point.p_mm.z() += 4;
    for (bay::Port& port : made.bay.ports) port.center_mm.z() += 4;
    const Duct moved = made.laid_out();
    const SurfaceMap fresh = surface_map(made.bay, moved, options);
    options.previous_of_same_bay = true;
    CHECK(same(fresh, surface_map(made.bay, moved, options, &before)));
    for (const SurfacePoint& p : fresh.points) {
      const auto holds = [&](const Aabb& box) {
        return ((p.p_mm - box.lo).array() > 1e-3).all() && ((box.hi - p.p_mm).array() > 1e-3).all();
      };
      const bool in = std::any_of(boxes.begin(), boxes.end(), holds);
      if (in) CHECK(p.clearance_mm < 0);
      in ? ++inside : ++outside;
    }
  }
  CHECK(inside > 50);
  CHECK(outside > 1000);
}

TEST_CASE("The least of a fine map is the clearance at rest, seen from the grid") {
  std::mt19937 random(9);
  for (int run = 0; run < 4; ++run) {
    const Installation made = rocking_job(random);
    const Duct duct = made.laid_out();
    const ClearanceReport report = measure_clearance(made.bay, duct, false, {});
    double lo = std::numeric_limits<double>::infinity();
    for (const PairClearance& pair : report.pairs) lo = std::min(lo, pair.value.lo);
    const SurfaceMap map = surface_map(made.bay, duct, grid(4));
    if (lo > 0) {
      CHECK(least(map) >= lo);
      CHECK(least(map) <= lo + 4);  // no point of the surface is farther than the spacing from the grid, rims included
    } else {
      CHECK(least(map) <= 4);
    }
  }
}

TEST_CASE("At its port a duct may touch the port's own part") {
  Installation made = straight({box_part("housing", {-50, -60, -60}, {10, 60, 60}, 0)});
  made.bay.ports[0].part = bay::PartId("housing");
  made.bay.ports[0].contact_length_mm = 50;
  const SurfaceMap map = surface_map(made.bay, made.laid_out(), {});
  for (const SurfacePoint& p : map.points) {
    if (p.p_mm.x() < 49.9) CHECK(p.part == -1);
    if (p.part == 0) CHECK(p.clearance_mm >= 40 - 1e-4);
  }
}

TEST_CASE("Lines of equal clearance lie where the height says") {
  // Over a slab the clearance of a point is its height: lines run along the tube at z = level - 60.
  const Installation made = straight({box_part("slab", {-200, -300, -110}, {700, 300, -60}, 0)});
  const SurfaceMap map = surface_map(made.bay, made.laid_out(), grid(3, 90));
  const std::array levels = {30.0, 45.0, 200.0};
  const auto lines = isolines(map, levels, 90);
  REQUIRE(lines.size() == 3);
  CHECK(lines[2].segments.empty());
  for (std::size_t i = 0; i < 2; ++i) {
    double length = 0;
    for (const auto& [a, b] : lines[i].segments) {
      CHECK(a.z() == Approx(levels[i] - 60).margin(1e-4));
      CHECK(b.z() == Approx(levels[i] - 60).margin(1e-4));
      CHECK(std::hypot(a.y(), a.z()) == Approx(kRadius).margin(0.05));
      length += (b - a).norm();
    }
    // Two lines along each shape of the tube, which is 500 long.
    CHECK(length == Approx(2 * 500).epsilon(0.01));
  }
}

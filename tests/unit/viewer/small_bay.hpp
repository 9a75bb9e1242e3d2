#pragma once

#include <cmath>
#include <memory>
#include <numbers>
#include <random>

#include "checks/finding.hpp"
#include "job/assemble.hpp"
#include "tests/support/box_mesh.hpp"

namespace baywright::test {

/// Closed cylinder along x.
inline TriMesh can_mesh(const Vec3& a, double length_mm, double radius_mm, int sides = 48) {
  TriMesh mesh;
  mesh.vertices.push_back(a.cast<float>());
  mesh.vertices.push_back((a + length_mm * Vec3::UnitX()).cast<float>());
  for (int i = 0; i < sides; ++i) {
    const double t = 2 * std::numbers::pi * i / sides;
    const Vec3 ring = a + radius_mm * Vec3(0, std::cos(t), std::sin(t));
    mesh.vertices.push_back(ring.cast<float>());
    mesh.vertices.push_back((ring + length_mm * Vec3::UnitX()).cast<float>());
  }
  const auto at = [sides](int i, int end) { return static_cast<std::uint32_t>(2 + 2 * (i % sides) + end); };
  for (int i = 0; i < sides; ++i) {
    mesh.triangles.push_back({0, at(i + 1, 0), at(i, 0)});
    mesh.triangles.push_back({1, at(i, 1), at(i + 1, 1)});
    mesh.triangles.push_back({at(i, 0), at(i + 1, 0), at(i, 1)});
    mesh.triangles.push_back({at(i, 1), at(i + 1, 0), at(i + 1, 1)});
  }
  return mesh;
}

/// Sheet over x, y with height by function, as a scanner would see it (n x n cells, 0.4 mm of seeded noise).
template <class Height>
TriMesh sheet_mesh(double x0, double x1, double y0, double y1, int n, Height height) {
  std::mt19937 random(7);
  std::normal_distribution<float> noise(0, 0.4F);
  TriMesh mesh;
  for (int j = 0; j <= n; ++j)
    for (int i = 0; i <= n; ++i) {
      const double x = x0 + (x1 - x0) * i / n, y = y0 + (y1 - y0) * j / n;
      mesh.vertices.push_back(
          Vec3f(static_cast<float>(x), static_cast<float>(y), static_cast<float>(height(x, y)) + noise(random)));
    }
  const auto at = [n](int i, int j) { return static_cast<std::uint32_t>(j * (n + 1) + i); };
  for (int j = 0; j < n; ++j)
    for (int i = 0; i < n; ++i) {
      mesh.triangles.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
      mesh.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
    }
  return mesh;
}

inline void add_part(job::Installation& in, const char* id, const char* name, BodyIndex body, bay::PartClass c,
                     TriMesh mesh, bool closed) {
  bay::Part part;
  part.id = bay::PartId(id);
  part.name = name;
  part.body = body;
  part.part_class = c;
  part.encloses = closed;
  part.mesh = std::make_shared<const TriMesh>(std::move(mesh));
  part.tree = TriTree::over(*part.mesh);
  in.bay.parts.push_back(std::move(part));
}

/// Tube, coupler, tube along one route, made by hand: the viewer must draw whatever a layout says.
inline duct::Duct small_duct() {
  duct::Duct duct;
  duct.spec.id = duct::DuctId("intake");
  duct.spec.name = "intake";
  duct.spec.tube = {76.2, 1.65};
  duct.spec.route.points = {{duct::PointId("P0"), {-190, 415, 370}, 0},
                            {duct::PointId("P1"), {65, 415, 440}, 115},
                            {duct::PointId("P2"), {65, -250, 410}, 115},
                            {duct::PointId("P3"), {-250, -250, 410}, 0}};
  duct.layout = *duct::lay_out_route(duct.spec.route);
  duct.layout.upstream_tube = duct.spec.tube;
  const double r = duct.spec.tube.outer_diameter_mm / 2;
  auto& layout = duct.layout;
  const double split = layout.legs[1].station_from_mm + 250;
  const Vec3 middle = layout.at(split).p_mm, along = layout.legs[1].direction;
  const auto bend = [&](int i) {
    const auto& b = layout.bends[static_cast<std::size_t>(i)];
    return TorusSegment{b.center, b.e0, b.e1, b.radius_mm, b.angle.si(), r};
  };
  duct::Piece first, hose, second;
  first.name = "tube 1";
  first.station_to_mm = split;
  first.carriage = Carriage::on(0);
  for (const Shape& s : {Shape(Collar{layout.legs[0].start_mm, layout.legs[0].end_mm, r}), Shape(bend(0)),
                         Shape(Collar{layout.legs[1].start_mm, middle, r})})
    first.shapes.push_back({s, 0, 0, 0});
  second.name = "tube 2";
  second.station_from_mm = split;
  second.station_to_mm = layout.length_mm;
  second.carriage = Carriage::on(1);
  for (const Shape& s : {Shape(Collar{middle, layout.legs[1].end_mm, r}), Shape(bend(1)),
                         Shape(Collar{layout.legs[2].start_mm, layout.legs[2].end_mm, r})})
    second.shapes.push_back({s, 2, 0, 0});
  hose.kind = duct::Piece::Kind::coupler;
  hose.name = "coupler H1";
  hose.station_from_mm = split - 40;
  hose.station_to_mm = split + 40;
  hose.carriage = Carriage::on(0);
  hose.carriage.second = RigidCarriage{RigidCarriage::Kind::fixed, 1, 1, Vec3::Zero(), Vec3::Zero()};
  hose.shapes.push_back({Collar{middle - 40 * along, middle + 40 * along, r + 5}, 1, 0, 0});
  layout.pieces = {first, hose, second};
  return duct;
}

/// A bay small enough to measure by eye. `scan_cells`: the scan has 2 n^2 triangles.
inline job::Installation small_bay(int scan_cells = 60) {
  using bay::PartClass;
  job::Installation in;
  in.job.name = "small bay";
  bay::Body vehicle, engine;
  vehicle.id = bay::BodyId("vehicle");
  vehicle.name = "vehicle";
  engine.id = bay::BodyId("engine");
  engine.name = "engine";
  MotionMember roll;
  roll.name = "forward torque";
  roll.joints = {{Joint::Kind::rotation, Vec3::UnitX(), Vec3(0, 0, 90)}};
  roll.from = {0.0};
  roll.to = {1.8 * std::numbers::pi / 180};
  roll.from.clear();
  engine.motion = MotionSet({roll});
  in.bay.bodies = {vehicle, engine};
  in.bay.attitudes = {{"level", Angle{}, Angle{}}};
  add_part(in, "block", "engine block", 1, PartClass::plain, box_mesh({-500, -190, -190}, {0, 190, 316}), true);
  add_part(in, "cover", "rocker cover", 1, PartClass::plain, box_mesh({-480, -110, 316}, {-30, 110, 480}), true);
  add_part(in, "alternator", "alternator", 1, PartClass::rotating, can_mesh({-60, 210, 285}, 160, 65), true);
  add_part(in, "manifold", "exhaust manifold", 1, PartClass::hot, can_mesh({-440, -240, 250}, 360, 34), true);
  add_part(in, "radiator", "radiator", 0, PartClass::plain, box_mesh({235, -280, 0}, {283, 280, 480}), true);
  add_part(in, "battery", "battery", 0, PartClass::electrical, box_mesh({-300, -520, 150}, {-60, -350, 340}), true);
  add_part(in, "filter", "air filter", 0, PartClass::plain, box_mesh({-490, 305, 260}, {-190, 525, 480}), true);
  add_part(in, "bonnet", "bonnet", 0, PartClass::bonnet,
           sheet_mesh(-580, 240, -560, 560, 24,
                      [](double x, double y) { return 640 - 0.0816 * (x + 580) - 0.00045 * y * y; }),
           false);
  add_part(in, "scan", "bay scan", 0, PartClass::structure,
           sheet_mesh(-580, 240, -620, 620, scan_cells,
                      [](double x, double y) {
                        const double wall = std::max(0.0, std::abs(y) - 540) * 6;
                        return std::min(500.0, -150 + wall + 25 * std::sin(x / 60) * std::sin(y / 70));
                      }),
           false);
  in.ducts.push_back(small_duct());
  return in;
}

/// Clearance of the duct to a part between its nearest mesh vertex and the centerline, in `state`-less rest.
inline checks::Finding clearance_finding(const job::Installation& in, const char* part_id, double limit_mm) {
  const auto& duct = in.ducts[0];
  const auto& part = *std::find_if(in.bay.parts.begin(), in.bay.parts.end(),
                                   [&](const bay::Part& p) { return p.id.value == part_id; });
  double best = 1e9, station = 0;
  Vec3 on_part = Vec3::Zero(), axis = Vec3::Zero();
  for (double s = 0; s <= duct.layout.length_mm; s += 2) {
    const Vec3 p = duct.layout.at(s).p_mm;
    if (const auto nearest = part.tree.nearest(p); nearest && nearest->distance_mm < best) {
      best = nearest->distance_mm;
      on_part = nearest->point;
      axis = p;
      station = s;
    }
  }
  measure::Measured m = measure::Measured::exact(best - duct.spec.tube.outer_diameter_mm / 2, Unit::mm);
  m.band.add({"scan uncertainty", Contribution::Kind::standard, 1, 1, ""});
  m.witness = measure::Witness{axis + (on_part - axis).normalized() * duct.spec.tube.outer_diameter_mm / 2, on_part};
  m.station_mm = station;
  m.pose_name = "at rest";
  checks::Finding finding;
  finding.check = "cl.rest";
  finding.title = "Clearance at rest";
  finding.duct = duct.spec.id;
  finding.part = part.id;
  finding.subject = "tube 1 - " + part.name;
  finding.outcome = m;
  finding.limit = checks::Limit{checks::Comparison::at_least, limit_mm, Unit::mm, {}};
  finding.verdict = m.lowest() >= limit_mm   ? checks::Verdict::met
                    : m.highest() < limit_mm ? checks::Verdict::not_met
                                             : checks::Verdict::undecided;
  return finding;
}

}  // namespace baywright::test

#pragma once

#include <cmath>
#include <memory>
#include <random>
#include <string>

#include "tests/support/box_mesh.hpp"
#include "tests/support/ducts.hpp"

namespace baywright::test {

inline bay::Part mesh_part(const std::string& id, const TriMesh& mesh, BodyIndex body) {
  bay::Part made;
  made.id = bay::PartId(id);
  made.name = id;
  made.body = body;
  made.mesh = std::make_shared<TriMesh>(mesh);
  made.tree = TriTree::over(mesh);
  return made;
}

inline bay::Part box_part(const std::string& id, const Vec3& lo, const Vec3& hi, BodyIndex body) {
  return mesh_part(id, box_mesh(lo, hi), body);
}

/// A wavy sheet over [x0, x1] x [y0, y1] at about z, of two triangles per 25 mm square.
inline TriMesh sheet_mesh(double x0, double x1, double y0, double y1, double z, double wave_mm) {
  TriMesh mesh;
  const int nx = static_cast<int>((x1 - x0) / 25), ny = static_cast<int>((y1 - y0) / 25);
  for (int j = 0; j <= ny; ++j) {
    for (int i = 0; i <= nx; ++i) {
      const double x = x0 + (x1 - x0) * i / nx, y = y0 + (y1 - y0) * j / ny;
      mesh.vertices.push_back(Vec3(x, y, z + wave_mm * std::sin(0.021 * x) * std::cos(0.017 * y)).cast<float>());
    }
  }
  const auto row = static_cast<std::uint32_t>(nx + 1);
  for (std::uint32_t j = 0; j < static_cast<std::uint32_t>(ny); ++j) {
    for (std::uint32_t i = 0; i + 1 < row; ++i) {
      const std::uint32_t a = j * row + i;
      mesh.triangles.push_back({a, a + 1, a + row});
      mesh.triangles.push_back({a + 1, a + row + 1, a + row});
    }
  }
  return mesh;
}

/// Two load cases of an engine about its crank line.
inline MotionSet rocking(double roll_rad, const Vec3& sink_mm) {
  MotionMember roll, sink;
  roll.name = "torque";
  roll.joints = {{Joint::Kind::rotation, Vec3::UnitX(), Vec3(0, 0, 100)}};
  roll.to = {roll_rad};
  sink.name = "bump";
  for (int k = 0; k < 3; ++k) {
    sink.joints.push_back({Joint::Kind::translation, Vec3::Unit(k), Vec3::Zero()});
    sink.to.push_back(sink_mm[k]);
  }
  return MotionSet({roll, sink});
}

/// The demonstration vehicle's duct from vehicle to engine, between a wavy floor, a wall and blocks on both bodies,
/// some of which it meets.
inline Installation rocking_job(std::mt19937& random) {
  std::uniform_real_distribution<double> unit(0, 1);
  Installation made = fitted_job();
  made.bay.bodies[1].motion =
      rocking(0.04 * (unit(random) - 0.3), {6 * unit(random) - 3, 6 * unit(random) - 3, -8 * unit(random)});
  made.bay.parts = {mesh_part("floor", sheet_mesh(-300, 250, -350, 500, 325, 12), 0),
                    mesh_part("cover", sheet_mesh(-300, 250, -350, 500, 505, 10), 1)};
  for (int i = 0; i < 6; ++i) {
    const Vec3 at(-250 + 400 * unit(random), -300 + 700 * unit(random), 330 + 150 * unit(random));
    const Vec3 half(15 + 25 * unit(random), 15 + 25 * unit(random), 15 + 25 * unit(random));
    made.bay.parts.push_back(box_part("block-" + std::to_string(i), at - half, at + half, i % 2));
  }
  return made;
}

/// Any pose of one body's motion, the others at rest.
inline PosedState random_state(const bay::Bay& bay, std::mt19937& random) {
  std::uniform_real_distribution<double> unit(0, 1);
  PosedState state;
  state.bodies.resize(bay.bodies.size());
  const auto body = static_cast<std::size_t>(random() % bay.bodies.size());
  const auto& members = bay.bodies[body].motion.members();
  if (members.empty()) return state;
  const auto m = static_cast<std::size_t>(random() % members.size());
  state.bodies[body].member = static_cast<int>(m);
  const double share = unit(random);
  for (std::size_t i = 0; i < members[m].to.size(); ++i) {
    const bool path = members[m].shape == MotionMember::Shape::path;
    const double t = path ? share : unit(random);
    const double from = path ? 0 : members[m].from[i];
    state.bodies[body].q.push_back(from + t * (members[m].to[i] - from));
  }
  return state;
}

}  // namespace baywright::test

#include "viewer/scene/posed.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

namespace baywright::viewer {

PosedState at_rest(const job::Installation& installation) {
  PosedState state;
  state.bodies.resize(installation.bay.bodies.size());
  return state;
}

bool is_at_rest(const PosedState& state) {
  return std::all_of(state.bodies.begin(), state.bodies.end(), [](const BodyState& b) { return b.member < 0; });
}

Pose body_pose(const bay::Bay& bay, BodyIndex body, const PosedState& state) {
  const auto i = static_cast<std::size_t>(body);
  if (i >= bay.bodies.size() || i >= state.bodies.size()) return {};
  return pose_at(bay.bodies[i].motion, state.bodies[i]);
}

namespace {

/// One end of a shape: centre, unit direction out of the shape, radius.
struct End {
  Vec3 center, out;
  double radius_mm = 0;
  bool flat = false;
};

std::array<End, 2> ends_of(const Shape& shape) {
  if (const auto* s = std::get_if<TorusSegment>(&shape)) {
    const double t = s->angle_rad;
    return {End{s->axis_point(0), -s->e1, s->radius_mm, false},
            End{s->axis_point(t), std::cos(t) * s->e1 - std::sin(t) * s->e0, s->radius_mm, false}};
  }
  const auto straight = [](const Vec3& a, const Vec3& b, double radius_a_mm, double radius_b_mm, bool flat) {
    const Vec3 along = (b - a).normalized();
    return std::array<End, 2>{End{a, -along, radius_a_mm, flat}, End{b, along, radius_b_mm, flat}};
  };
  if (const auto* s = std::get_if<Cylinder>(&shape)) return straight(s->a, s->b, s->radius_mm, s->radius_mm, false);
  if (const auto* s = std::get_if<Cone>(&shape)) return straight(s->a, s->b, s->radius_a_mm, s->radius_b_mm, true);
  const auto& s = std::get<Collar>(shape);
  return straight(s.a, s.b, s.radius_mm, s.radius_mm, true);
}

/// True when a shape other than `own` takes up the point to within `slack_mm`.
bool taken_up(const duct::Piece& piece, std::size_t own, const Vec3& p, double slack_mm) {
  for (std::size_t i = 0; i < piece.shapes.size(); ++i)
    if (i != own && signed_distance(piece.shapes[i].shape, p) < slack_mm) return true;
  return false;
}

/// A step of the radius below this is drawn smooth, mm: short cylinders that stand for a bend differ by less.
constexpr double kSmoothStep_mm = 0.6;

/// The mesh without triangles that lie wholly beyond an end (round) or on one that runs into a neighbour (flat).
void drop_inner_ends(TriMesh& mesh, const duct::Piece& piece, std::size_t own) {
  for (const End& end : ends_of(piece.shapes[own].shape)) {
    const Vec3 beyond = end.center + 0.5 * end.out;
    if (!taken_up(piece, own, beyond, -0.5 * end.radius_mm)) continue;
    const auto outside = [&](const TriMesh::Triangle& triangle) {
      return std::all_of(triangle.begin(), triangle.end(), [&](std::uint32_t v) {
        const Vec3 off = mesh.vertex(v) - end.center;
        return off.dot(end.out) > -1e-3 && off.norm() < end.radius_mm + 0.01;
      });
    };
    std::erase_if(mesh.triangles, outside);
  }
}

}  // namespace

namespace {

/// The side of a flexible joint's hose in rings, which follow its curve at any pose; its ends lie in its neighbours.
TriMesh hose_mesh(const Cylinder& hose, double chord_error_mm) {
  constexpr int kRings = 8;
  const Vec3 step = (hose.b - hose.a) / kRings;
  std::vector<TriMesh> rings;
  for (int i = 0; i < kRings; ++i) {
    const Vec3 from = hose.a + i * step;
    rings.push_back(surface_mesh(Collar{from, from + step, hose.radius_mm}, chord_error_mm));
    TriMesh& ring = rings.back();
    const double half = 0.5 * step.norm();
    const auto on_end = [&](std::uint32_t v, double side) {
      return std::abs((ring.vertex(v) - from - 0.5 * step).dot(step.normalized()) - side * half) < 1e-3;
    };
    std::erase_if(ring.triangles, [&](const TriMesh::Triangle& t) {
      return (on_end(t[0], -1) && on_end(t[1], -1) && on_end(t[2], -1)) ||
             (on_end(t[0], 1) && on_end(t[1], 1) && on_end(t[2], 1));
    });
    ring.face.clear();
  }
  return merged(rings);
}

}  // namespace

TriMesh piece_mesh(const duct::Piece& piece, double chord_error_mm) {
  std::vector<TriMesh> meshes;
  meshes.reserve(piece.shapes.size());
  for (std::size_t i = 0; i < piece.shapes.size(); ++i) {
    const auto* hose = std::get_if<Cylinder>(&piece.shapes[i].shape);
    if (hose && piece.carriage.flexible()) {
      meshes.push_back(hose_mesh(*hose, chord_error_mm));
      continue;
    }
    meshes.push_back(surface_mesh(piece.shapes[i].shape, chord_error_mm));
    meshes.back().face.clear();
    drop_inner_ends(meshes.back(), piece, i);
  }
  return merged(meshes);
}

std::vector<std::vector<Vec3>> piece_rims(const duct::Piece& piece) {
  constexpr int kSides = 72;
  std::vector<std::vector<Vec3>> rims;
  for (std::size_t i = 0; i < piece.shapes.size(); ++i) {
    for (const End& end : ends_of(piece.shapes[i].shape)) {
      if (!end.flat || end.radius_mm <= 0) continue;
      const Vec3 e0 = end.out.unitOrthogonal(), e1 = end.out.cross(e0);
      std::vector<Vec3> rim;
      bool smooth = true;
      for (int k = 0; k <= kSides; ++k) {
        const double t = 2 * std::numbers::pi * k / kSides;
        rim.emplace_back(end.center + end.radius_mm * (std::cos(t) * e0 + std::sin(t) * e1));
        if (k % 18 == 0) smooth = smooth && taken_up(piece, i, rim.back() + 0.5 * end.out, kSmoothStep_mm);
      }
      if (!smooth) rims.push_back(std::move(rim));
    }
  }
  return rims;
}

std::vector<Vec3> carried(const job::Installation& installation, const duct::Piece& piece, const PosedState& state,
                          const std::vector<Vec3>& rest) {
  if (is_at_rest(state)) return rest;
  const Kinematics kinematics = installation.bay.kinematics();
  std::vector<Vec3> moved_points(rest.size());
  std::transform(rest.begin(), rest.end(), moved_points.begin(), CarriedPoints(kinematics, piece.carriage, state));
  return moved_points;
}

int piece_at(const duct::Layout& layout, double station_mm) {
  int found = -1;
  for (std::size_t i = 0; i < layout.pieces.size(); ++i) {
    const auto& piece = layout.pieces[i];
    if (piece.kind == duct::Piece::Kind::clamps) continue;
    if (piece.station_from_mm - 1e-6 <= station_mm && station_mm <= piece.station_to_mm + 1e-6)
      found = static_cast<int>(i);
  }
  return found;
}

Vec3 posed_station(const job::Installation& installation, const duct::Duct& duct, double station_mm,
                   const PosedState& state) {
  const Vec3 rest = duct.layout.at(std::clamp(station_mm, 0.0, duct.layout.length_mm)).p_mm;
  const int piece = piece_at(duct.layout, station_mm);
  if (piece < 0) return rest;
  return carried(installation, duct.layout.pieces[static_cast<std::size_t>(piece)], state, {rest}).front();
}

double nearest_station(const job::Installation& installation, const PieceRef& ref, const Vec3& p,
                       const PosedState& state) {
  constexpr double kStep_mm = 5;  // a pointer is not finer
  const auto& duct = installation.ducts[static_cast<std::size_t>(ref.duct)];
  const auto& piece = duct.layout.pieces[static_cast<std::size_t>(ref.piece)];
  std::vector<Vec3> rest;
  std::vector<double> stations;
  for (double s = piece.station_from_mm; s <= piece.station_to_mm; s += kStep_mm) {
    stations.push_back(s);
    rest.push_back(duct.layout.at(s).p_mm);
  }
  if (rest.empty()) return piece.station_from_mm;
  const auto now = carried(installation, piece, state, rest);
  const auto nearest = std::min_element(now.begin(), now.end(), [&](const Vec3& a, const Vec3& b) {
    return (a - p).squaredNorm() < (b - p).squaredNorm();
  });
  return stations[static_cast<std::size_t>(nearest - now.begin())];
}

int find_duct(const job::Installation& installation, const duct::DuctId& id) {
  for (std::size_t i = 0; i < installation.ducts.size(); ++i)
    if (installation.ducts[i].spec.id == id) return static_cast<int>(i);
  return -1;
}

int find_part(const job::Installation& installation, const bay::PartId& id) {
  for (std::size_t i = 0; i < installation.bay.parts.size(); ++i)
    if (installation.bay.parts[i].id == id) return static_cast<int>(i);
  return -1;
}

}  // namespace baywright::viewer

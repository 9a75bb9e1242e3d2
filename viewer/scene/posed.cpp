#include "viewer/scene/posed.hpp"

#include <algorithm>

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

TriMesh piece_mesh(const duct::Piece& piece, double chord_error_mm) {
  std::vector<TriMesh> meshes;
  meshes.reserve(piece.shapes.size());
  for (const auto& primitive : piece.shapes) meshes.push_back(surface_mesh(primitive.shape, chord_error_mm));
  return merged(meshes);
}

std::vector<Vec3> carried(const job::Installation& installation, const duct::Piece& piece, const PosedState& state,
                          const std::vector<Vec3>& rest) {
  if (is_at_rest(state)) return rest;
  const Kinematics kinematics = installation.bay.kinematics();
  std::vector<Vec3> moved_points(rest.size());
  std::transform(rest.begin(), rest.end(), moved_points.begin(),
                 [&](const Vec3& p) { return carried_point(kinematics, piece.carriage, state, p); });
  return moved_points;
}

int piece_at(const duct::Layout& layout, double station_mm) {
  int found = -1;
  for (std::size_t i = 0; i < layout.pieces.size(); ++i) {
    const auto& piece = layout.pieces[i];
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

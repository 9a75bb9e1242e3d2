#pragma once

#include "geometry/tri_mesh.hpp"
#include "job/assemble.hpp"

namespace baywright::viewer {

/// A piece of a duct within an installation.
struct PieceRef {
  int duct = 0;
  int piece = 0;
  bool operator==(const PieceRef&) const = default;
};

/// State in which nothing has moved.
PosedState at_rest(const job::Installation& installation);
bool is_at_rest(const PosedState& state);
/// Pose X_V_B of a body; rest for bodies the state does not name.
Pose body_pose(const bay::Bay& bay, BodyIndex body, const PosedState& state);

/// Outer surface of a piece, rest position, without what lies inside it: round ends of its shapes and the flat ends
/// that run into a neighbour, so that it can be drawn half transparent.
TriMesh piece_mesh(const duct::Piece& piece, double chord_error_mm);
/// Rims of a piece where its radius steps or it ends, as closed polylines, rest position.
std::vector<std::vector<Vec3>> piece_rims(const duct::Piece& piece);
/// Where rest points of a piece are in `state`.
std::vector<Vec3> carried(const job::Installation& installation, const duct::Piece& piece, const PosedState& state,
                          const std::vector<Vec3>& rest);
/// Point of a duct's centerline in `state`, carried by the piece that covers the station.
Vec3 posed_station(const job::Installation& installation, const duct::Duct& duct, double station_mm,
                   const PosedState& state);
/// Piece that covers a station (the last one that does: tubes end under their couplers); -1: none.
int piece_at(const duct::Layout& layout, double station_mm);
/// Station of a piece's centerline nearest to a point, all in `state`.
double nearest_station(const job::Installation& installation, const PieceRef& ref, const Vec3& p,
                       const PosedState& state);
int find_duct(const job::Installation& installation, const duct::DuctId& id);  ///< -1: none
int find_part(const job::Installation& installation, const bay::PartId& id);   ///< -1: none

}  // namespace baywright::viewer

#pragma once

#include "geometry/tri_mesh.hpp"

namespace baywright::access {

/// A spigot that something sits on: its open end, the way it looks, how far back it is a plain round end.
struct SeatPlace {
  Vec3 center = Vec3::Zero();
  Vec3 axis = Vec3::UnitX();  ///< unit, out of the part
  double length_mm = 0;
  double outer_diameter_mm = 0;
};

/// Height of a bead or lip on a spigot (common practice, no source: beads of hose ends are 1.5 to 2.5 mm high).
inline constexpr double kLip_mm = 3;

/// The mesh without what a hose on the spigot, or a tube drawn off it, touches by design, and slides over without
/// leaving its axis: the surface of the spigot from its open end back over its length, as far out as a lip, and behind
/// that for 50 mm what lies no farther from the axis than the spigot itself (its bore and its neck). Triangles that are
/// partly of that are cut; everything else stays.
TriMesh without_seat(const TriMesh& mesh, const SeatPlace& seat);

}  // namespace baywright::access

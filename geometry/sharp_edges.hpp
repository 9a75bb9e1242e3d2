#pragma once

#include <cstddef>
#include <numbers>

#include "geometry/tri_mesh.hpp"

namespace baywright {

/// What counts as a sharp edge. The surface is cut by a plane square to the edge; there its outline turns by more than
/// `turn_rad` towards the material, and the radius of that turn is less than `radius_mm`: the length of outline between
/// the first and the last fold of the turn, divided by the angle (the length of an arc is radius times angle). A fold
/// between two wide facets has radius 0; facets that stand for a fillet have that of the fillet.
struct EdgeRule {
  double turn_rad = std::numbers::pi / 3;
  double radius_mm = 1;
};

struct SharpEdges {
  /// Each edge a triangle without area (a, b, b), in the mesh's frame and with its chord error: what a TriTree counts
  /// as the segment it is.
  TriMesh mesh;
  std::size_t folds = 0;  ///< edges between facets
  std::size_t open = 0;   ///< edges with a facet on one side only: where a sheet was cut
};

/// The sharp edges of a mesh that was made from a model (a scan's noise would be edges everywhere). Corners within
/// 0.01 mm are one, so that faces tessellated each for itself belong together. Which side is material: where a piece of
/// the mesh is closed and looks outward, its inside; elsewhere nobody knows, and folds either way count. Open edges
/// always count. Where more than two facets share an edge, each two of them that do not lie upon one another are looked
/// at for their own fold. An edge beside too many slivers in a
/// row for its turn to be told counts. Inscribed facets of a true fillet below the radius, each turned by a degree or
/// more, are never missed; coarse ones of a fillet
/// up to 2.1 times the radius may count (1.6 times with facets that turn by 20 degrees at most, as those of
/// tessellate()). Deterministic. Cost: about a microsecond a facet.
SharpEdges sharp_edges(const TriMesh& mesh, const EdgeRule& rule = {});

}  // namespace baywright

#pragma once

#include <Poly_Triangulation.hxx>
#include <TopLoc_Location.hxx>
#include <TopoDS_Face.hxx>
#include <vector>

#include "geometry/vec.hpp"

// Only for .cpp files of geometry.

namespace baywright::occt {

/// What became of one face in a triangulation.
struct FaceCheck {
  double deviation_mm = 0;  ///< bound on the distance from any point of the exact face to the facets
  bool covered = true;      ///< every rim of the facets is a rim of the face: no holes, nothing left over
};

/// Measures how far the exact face strays from its facets.
///
/// @param corners  the facets' corners as they are handed out (rounded to float32), absolute, one per node: rounding
///                 is part of the answer.
/// Method: see mesh_check.cpp. Thread-safe for different faces. Throws what the kernel throws: call inside guard().
FaceCheck check_face(const TopoDS_Face& face, const Handle(Poly_Triangulation) & mesh, const TopLoc_Location& location,
                     const std::vector<Vec3>& corners, double target_mm);

}  // namespace baywright::occt

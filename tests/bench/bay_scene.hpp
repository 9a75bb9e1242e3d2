#pragma once

#include <vector>

#include "geometry/primitive.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright::bench {

/// A duct of 59 pieces among scanned surfaces that lie close along much of it: the worst case for a search.
struct BayScene {
  std::vector<Primitive> duct;
  std::size_t engine_from = 0, engine_to = 0;  ///< its triangles that belong to the engine, the others to the vehicle
  TriMesh surroundings;  ///< noisy open sheets, lumps and hoses of uneven density, and 9,600 slivers of 800 mm
};
/// @param triangles  about as many are made
BayScene bay_scene(std::size_t triangles, bool with_rods = true, unsigned seed = 1);
std::vector<Primitive> scene_duct();

/// Points on the duct's surface, row after row, about 45,000: what a colour map asks for.
std::vector<Vec3> surface_points(const std::vector<Primitive>& duct, std::size_t count = 45'000);

/// One triangle soup of all pieces, inscribed within `chord_error_mm`.
TriMesh duct_mesh(const std::vector<Primitive>& duct, double chord_error_mm);

}  // namespace baywright::bench

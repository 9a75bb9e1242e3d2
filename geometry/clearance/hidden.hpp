#pragma once

#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright {

// What of a model cannot be seen from outside and so cannot be met by anything from outside either.

/// Rays tried per body before it is taken to be hidden. Of rays from a body at distance r to a round opening of
/// diameter d about d^2 / (16 r^2) pass: at d = r / 40 ten of them.
inline constexpr int kHiddenRays = 1 << 18;

/// For every body, whether none of the rays from its surface, in all directions, gets out past the other bodies. Its
/// own surface does not count as being in the way. Rays start off the surface by all chord errors, so that facets laid
/// a little too high hide nothing. Rays are the same every time, spread evenly over the surface and over all
/// directions. One body that is seen through an opening wide enough stays; so do bodies without area, and all of them
/// where nothing at all would be left. Works on all cores. Costs some tenths of a second per body that is hidden,
/// little for one that is not.
std::vector<bool> hidden_bodies(const std::vector<TriMesh>& bodies, const Progress& progress = {});

}  // namespace baywright

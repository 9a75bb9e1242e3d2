#pragma once

#include "geometry/tri_mesh.hpp"

namespace baywright::job {

/// Whether a mesh looks made of a model rather than scanned: at least half of its area lies in facets that share an
/// edge with another facet of the same plane (to 1e-4 rad, the rounding of coordinates). Flat faces of a model are cut
/// into such facets; the noise of a scan, even of a smoothed one, leaves hardly any. A model without flat faces is not
/// recognised. EXPECTS nothing; meant for closed meshes, since an open one is no model anybody finished. Cost: about a
/// microsecond a facet.
bool looks_made_of_model(const TriMesh& mesh);

}  // namespace baywright::job

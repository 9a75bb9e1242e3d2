#pragma once

#include <string>
#include <vector>

#include "geometry/clearance/tri_tree.hpp"
#include "geometry/tri_mesh.hpp"

// A scanner at work, as far as it leaves traces in its mesh: it sees only what a ray reaches, from a few places; it
// measures ranges with noise; glancing and black surfaces answer rarely; and its software joins neighbours of one view
// to triangles unless their ranges jump. Shadows, holes, overlaps and uneven density follow, nothing of them is drawn.

namespace baywright::tarn40 {

/// What stands in front of the scanner. Every triangle of `surface` belongs to a layer.
struct Scene {
  TriMesh surface;
  std::vector<int> layer;  ///< per triangle, index into layer_names; -1: blocks the view, is cut out of the result
  std::vector<std::string> layer_names;
  std::vector<double> answer;  ///< per layer: share of rays that come back from it square on, 0..1

  void add(const TriMesh& mesh, int layer_index);
};

/// One place of the scanner and the angular grid it measured there.
struct View {
  Vec3 from_mm = Vec3::Zero();
  Vec3 at_mm = Vec3::Zero();  ///< middle of the field of view
  double width_deg = 80;
  double height_deg = 60;
  double step_deg = 0.25;
};

struct ScannerModel {
  double noise_mm = 0.10;            ///< standard deviation of a range at no distance, square on
  double noise_per_metre_mm = 0.05;  ///< added per metre of range
  double dull_from_deg = 60;         ///< incidence from which answers become rare...
  double blind_from_deg = 84;        ///< ...and beyond which none come
  double longest_edge_mm = 25;       ///< of a triangle
  double steepest_deg = 80;          ///< neighbours whose ranges differ by more than a surface so inclined are cut
  Aabb keep;                         ///< what lies outside was cut away after scanning
  std::uint64_t seed = 0;
};

/// One mesh per layer, in the order of layer_names; views overlap and are not merged. Same input, same bytes.
std::vector<TriMesh> scan(const Scene& scene, const std::vector<View>& views, const ScannerModel& scanner);

}  // namespace baywright::tarn40

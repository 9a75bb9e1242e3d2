#include "viewer/scene/part_drawings.hpp"

#include <vtkPolyData.h>

#include "viewer/scene/drawn.hpp"
#include "viewer/scene/likeness.hpp"
#include "viewer/scene/palette.hpp"
#include "viewer/scene/part_shapes.hpp"

namespace baywright::viewer {

namespace {

constexpr double kScanCrease_deg = 70;
/// A coarse mesh turns sharply at every edge; smooth shading hides that.
constexpr double kLikenessCrease_deg = 80;
constexpr double kEdge_deg = 25;
/// Triangles of all likenesses of a bay together: drawn in some 30 ms without a graphics card.
constexpr std::size_t kLikenessBudget = 40'000;
/// Parts below this are turned as they are.
constexpr std::size_t kSmallPart = 20'000;

const void* key_of(const bay::Part& part) {
  return part.mesh ? static_cast<const void*>(part.mesh.get()) : static_cast<const void*>(part.cloud.get());
}

std::size_t size_of(const bay::Part& part) {
  return part.mesh ? part.mesh->triangles.size() : part.cloud ? part.cloud->points.size() : 0;
}

}  // namespace

PartDrawing draw_part(const bay::Part& part) {
  PartDrawing made;
  if (part.mesh) {
    made.keep = part.mesh;
    made.surface = shaded_surface(*part.mesh, is_scan(part) ? kScanCrease_deg : kSolidCrease_deg);
    if (!is_scan(part)) made.edges = sharp_edges(*part.mesh, kEdge_deg);
  } else if (part.cloud) {
    made.keep = part.cloud;
    made.surface = dots(*part.cloud);
  }
  return made;
}

PartDrawings draw_parts(const bay::Bay& bay, const Progress& progress) {
  std::size_t all = 0, large = 0;
  for (const auto& part : bay.parts) {
    all += size_of(part);
    if (size_of(part) > kSmallPart) large += size_of(part);
  }
  PartDrawings drawings;
  std::size_t done = 0;
  for (const auto& part : bay.parts) {
    if (progress.cancelled()) return drawings;
    progress.report("preparing the picture", all > 0 ? static_cast<double>(done) / static_cast<double>(all) : -1);
    done += size_of(part);
    if (key_of(part) == nullptr || drawings.by_geometry.count(key_of(part)) > 0) continue;
    PartDrawing made = draw_part(part);
    if (all > kMostTurned && size_of(part) > kSmallPart) {
      const std::size_t budget = kLikenessBudget * size_of(part) / large;
      made.likeness = part.mesh ? shaded_surface(likeness(*part.mesh, budget), kLikenessCrease_deg)
                                : dots(likeness(*part.cloud, budget));
    }
    drawings.by_geometry.emplace(key_of(part), std::move(made));
  }
  return drawings;
}

}  // namespace baywright::viewer

#pragma once

#include <string>
#include <vector>

#include "checks/finding.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/tri_mesh.hpp"
#include "job/assemble.hpp"
#include "routing/course.hpp"

namespace baywright::routing {

// Regions of the vehicle frame that a job names for its routes. Sizes of keep-outs are taken as they stand: they have
// no uncertainty.

/// A closed surface with the region inside; of a sphere one of triangles around it, at most 1 % wider.
TriMesh surface_of(const job::RegionShape& shape);

/// The keep-outs of a job as parts of the vehicle, for a search to keep away from. Ids that no part of a job has.
std::vector<bay::Part> keep_out_parts(const job::RoutingWishes& wishes);
bool is_keep_out(const bay::Part& part);

/// One finding for each keep-out that some piece of the duct comes into, at rest or over the motion, or might by what
/// making it leaves open: "Keep-out battery tray", the least distance, at least 0. Worst first.
std::vector<checks::Finding> keep_out_findings(const job::Installation& installation,
                                               const std::vector<bay::Part>& keep_outs, const duct::Duct& duct,
                                               const Progress& progress);

/// Regions that a job prefers.
class PreferredRegions {
 public:
  explicit PreferredRegions(const job::RoutingWishes& wishes);
  bool any() const { return !all_.empty(); }
  bool holds(const Vec3& p) const;
  /// Length of a centreline inside any of them, to about 5 mm for each time it goes in or out.
  double length_inside_mm(const CourseShape& shape) const;

 private:
  struct Plane {
    Vec3 normal;  ///< unit, outward
    double offset = 0;
  };
  struct Convex {
    std::vector<Plane> planes;
    Vec3 center = Vec3::Zero();
    double radius_mm = -1;  ///< below zero: no sphere
  };
  std::vector<Convex> all_;
};

}  // namespace baywright::routing

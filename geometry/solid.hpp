#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "geometry/aabb.hpp"
#include "geometry/base/result.hpp"
#include "geometry/pose.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright {

namespace occt {
struct Access;
}

/// Immutable exact shape (solid, shell or compound of faces) of the modelling kernel; copies share it. One that was
/// stored is parsed when it is first asked for something, once, whichever thread asks.
class Solid {
 public:
  struct Impl;

  Solid();
  bool empty() const { return impl_ == nullptr; }
  /// Only for stored solids is this ever an error: neither their bytes nor their source give the shape. All else here
  /// EXPECTS that it is none.
  Result<void> ready() const;

  /// Number of faces, and of solids (0 for an open shell).
  int face_count() const;
  int solid_count() const;
  /// Enclosed volume, mm3; 0 for open shells.
  double volume_mm3() const;
  double area_mm2() const;
  /// Tight box without triangulation, mm.
  Aabb bounds() const;
  /// The same shape moved by X (rigid).
  Solid moved(const Pose& X) const;

 private:
  friend struct occt::Access;
  std::shared_ptr<const Impl> impl_;
};

/// Triangles of a solid. `chord_error_mm` of the result is measured after meshing on every facet and edge (the
/// mesher's deflection is a target, not a bound) and covers rounding to float32.
/// Fails: kernel_failed when the mesher gives nothing for a face (says which).
Result<TriMesh> tessellate(const Solid& solid, double target_chord_error_mm);

/// The same of some faces only, given by their numbers (TriMesh::face of the whole); `face` of the result holds them.
Result<TriMesh> tessellate_faces(const Solid& solid, std::span<const std::uint32_t> faces,
                                 double target_chord_error_mm);

/// Shapes in the kernel's own binary format, exact to the last bit, without triangles. They go on sharing what they
/// shared.
Result<std::string> solid_bytes(const std::vector<Solid>& solids);
/// The `count` solids of such bytes, which are parsed all together when the first of them is needed. If the kernel
/// cannot, `again` makes the same shapes from their source.
std::vector<Solid> stored_solids(std::string bytes, std::size_t count,
                                 std::function<Result<std::vector<Solid>>()> again);
/// Version of the modelling kernel: another one may make other triangles and write other bytes.
std::string kernel_version();

/// Exact distance between the surfaces of a solid and a point / of two solids, mm, >= 0. For spot checks: costs
/// milliseconds to seconds.
Result<double> exact_distance_mm(const Solid& solid, const Vec3& p);
Result<double> exact_distance_mm(const Solid& a, const Solid& b);

}  // namespace baywright

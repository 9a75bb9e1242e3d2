#pragma once

#include <filesystem>
#include <string>
#include <variant>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "geometry/point_cloud.hpp"
#include "geometry/tri_mesh.hpp"

namespace baywright {

/// A mesh or a cloud as read from a file, already scaled to mm.
struct ScanFile {
  std::variant<TriMesh, PointCloud> shape;
  std::string format;                    ///< "binary STL", "ASCII PLY", "compressed PCD"...
  std::size_t read_faces = 0;            ///< faces in the file (polygons before splitting)
  std::size_t dropped_points = 0;        ///< non-finite points left out
  std::size_t dropped_triangles = 0;     ///< triangles with a non-finite or impossible corner left out
  std::size_t degenerate_triangles = 0;  ///< kept, counted
  std::vector<std::string> warnings;     ///< one line each
};

struct ScanReadOptions {
  double mm_per_unit = 1.0;  ///< formats without a unit need one from the job
};

/// Reads STL, PLY, OBJ (triangles) or PLY, XYZ, CSV, TXT, PCD (points); the content decides, then the suffix. Strict:
/// what the file promises is compared with what came; nothing half-read is returned. Counts are checked against the
/// file's size before memory is taken.
/// Fails: file_missing, file_damaged (with line or byte), no_shape (0 facets, 0 points), not_supported (E57, LAS,
/// other formats, UTF-16), cancelled.
Result<ScanFile> read_scan(const std::filesystem::path& path, const ScanReadOptions& options,
                           const Progress& progress = {});

/// If the box is implausible for a vehicle bay (largest side under 100 mm or over 20 m), a line that says so and names
/// the unit that would make sense, with the key of the job to change; else "". A unit the file declares itself cannot
/// be changed there.
enum class UnitSource { job, file };
std::string size_doubt(const Aabb& box_mm, double mm_per_unit, UnitSource source = UnitSource::job);

/// Binary little-endian PLY / binary STL, vertices in mm absolute.
Result<void> write_ply(const std::filesystem::path& path, const TriMesh& mesh);
Result<void> write_stl(const std::filesystem::path& path, const TriMesh& mesh);

}  // namespace baywright

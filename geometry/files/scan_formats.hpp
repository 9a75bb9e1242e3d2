#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "geometry/files/mesh_file.hpp"
#include "geometry/files/point_sink.hpp"

// One reader per format. Each gets the whole file, trusts none of it and gives a whole result or one error.

namespace baywright {

/// What every reader needs to know besides the bytes.
struct ScanSource {
  std::string name;  ///< file name, for errors
  double mm_per_unit = 1.0;
  const Progress& progress;

  tl::unexpected<Error> damaged(std::string message) const {
    return fail(ErrorCode::file_damaged, name, std::move(message));
  }
  tl::unexpected<Error> damaged_at_line(std::size_t line, std::string message) const {
    return fail(ErrorCode::file_damaged, name + ": line " + std::to_string(line), std::move(message));
  }
  tl::unexpected<Error> no_shape(std::string message) const {
    return fail(ErrorCode::no_shape, name, std::move(message));
  }
  tl::unexpected<Error> cancelled() const { return fail(ErrorCode::cancelled, name, "reading was stopped"); }
};

Result<ScanFile> read_stl(std::string_view bytes, const ScanSource& source);
Result<ScanFile> read_ply(std::string_view bytes, const ScanSource& source);
Result<ScanFile> read_obj(std::string_view bytes, const ScanSource& source);
Result<ScanFile> read_pcd(std::string_view bytes, const ScanSource& source);
Result<ScanFile> read_text_cloud(std::string_view bytes, const ScanSource& source);

/// A word of the file between quotes, cut to a readable length, for error messages.
inline std::string quoted(std::string_view word) {
  std::string out(1, '"');
  out.append(word.substr(0, 40)).push_back('"');
  return out;
}

/// True when 84 + 50 n bytes match the count a binary STL file states.
bool is_binary_stl(std::string_view bytes);

/// Mesh from corners and index triples (all in range): triangles at bad corners are dropped and counted, bad corners
/// taken out. no_shape when nothing is left.
Result<ScanFile> finish_mesh(PointSink::Points points, std::vector<TriMesh::Triangle> triangles, ScanFile file,
                             const ScanSource& source);
/// Cloud from points and, when not empty, one normal each: bad points are dropped and counted. no_shape when nothing
/// is left.
Result<ScanFile> finish_cloud(PointSink::Points points, std::vector<Vec3f> normals, ScanFile file,
                              const ScanSource& source);

}  // namespace baywright

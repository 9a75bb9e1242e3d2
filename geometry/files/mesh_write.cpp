#include <bit>
#include <cstring>

#include "geometry/base/atomic_file.hpp"
#include "geometry/files/mesh_file.hpp"

namespace baywright {
namespace {

static_assert(std::endian::native == std::endian::little, "files are written in the machine's own byte order");

template <class T>
void append(std::string& bytes, const T& value) {
  const std::size_t at = bytes.size();
  bytes.resize(at + sizeof value);
  std::memcpy(bytes.data() + at, &value, sizeof value);
}

void append(std::string& bytes, const Vec3f& p) {
  for (int i = 0; i < 3; ++i) append(bytes, p[i]);
}

Vec3f absolute(const TriMesh& mesh, std::uint32_t i) { return mesh.vertex(i).cast<float>(); }

}  // namespace

Result<void> write_ply(const std::filesystem::path& path, const TriMesh& mesh) {
  // Far from the origin float32 would spoil what the mesh knows; such a mesh is written in double.
  bool exact = true;
  for (std::uint32_t i = 0; exact && i < mesh.vertices.size(); ++i) {
    exact = absolute(mesh, i).cast<double>() == mesh.vertex(i);
  }
  const std::string number = exact ? "float" : "double";
  std::string bytes = "ply\nformat binary_little_endian 1.0\ncomment unit mm\nelement vertex " +
                      std::to_string(mesh.vertices.size()) + "\nproperty " + number + " x\nproperty " + number +
                      " y\nproperty " + number + " z\nelement face " + std::to_string(mesh.triangles.size()) +
                      "\nproperty list uchar uint vertex_indices\nend_header\n";
  bytes.reserve(bytes.size() + mesh.vertices.size() * (exact ? 12 : 24) + mesh.triangles.size() * 13);
  for (std::uint32_t i = 0; i < mesh.vertices.size(); ++i) {
    if (exact) {
      append(bytes, absolute(mesh, i));
    } else {
      for (int k = 0; k < 3; ++k) append(bytes, mesh.vertex(i)[k]);
    }
  }
  for (const TriMesh::Triangle& t : mesh.triangles) {
    append(bytes, std::uint8_t{3});
    for (const std::uint32_t i : t) append(bytes, i);
  }
  return write_file(path, bytes);
}

Result<void> write_stl(const std::filesystem::path& path, const TriMesh& mesh) {
  if (mesh.triangles.size() > 0xffffffffU) {
    return fail(ErrorCode::not_written, path.string(), "an STL file holds at most 4294967295 triangles; write PLY");
  }
  // The first word must not be "solid", by which readers tell text from binary.
  std::string bytes = "binary STL, unit mm";
  bytes.resize(80, ' ');
  bytes.reserve(84 + mesh.triangles.size() * 50);
  append(bytes, static_cast<std::uint32_t>(mesh.triangles.size()));
  for (const TriMesh::Triangle& t : mesh.triangles) {
    const Vec3 a = mesh.vertex(t[0]);
    const Vec3 cross = (mesh.vertex(t[1]) - a).cross(mesh.vertex(t[2]) - a);
    append(bytes, Vec3f((cross.norm() > 0 ? cross.normalized() : Vec3::Zero().eval()).cast<float>()));
    for (const std::uint32_t i : t) append(bytes, absolute(mesh, i));
    append(bytes, std::uint16_t{0});
  }
  return write_file(path, bytes);
}

}  // namespace baywright

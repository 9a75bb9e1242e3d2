#include "geometry/shape_blocks.hpp"

#include <array>
#include <bit>

namespace baywright {
namespace {

std::array<double, 3> numbers(const Vec3& p) { return {p.x(), p.y(), p.z()}; }

/// Doubles as what they are made of: a type whose bytes are its value.
std::array<std::uint64_t, 4> bits(const Vec3& origin_mm, double error_mm) {
  const auto [x, y, z] = numbers(origin_mm);
  return {std::bit_cast<std::uint64_t>(x), std::bit_cast<std::uint64_t>(y), std::bit_cast<std::uint64_t>(z),
          std::bit_cast<std::uint64_t>(error_mm)};
}

double number(std::uint64_t bits) { return std::bit_cast<double>(bits); }

}  // namespace

bool all_below(const std::uint32_t* numbers, std::size_t count, std::size_t limit) {
  std::uint32_t greatest = 0;
  for (std::size_t i = 0; i < count; ++i) greatest = numbers[i] > greatest ? numbers[i] : greatest;
  return count == 0 || greatest < limit;
}

// In both, every member is named: one that is new does not compile before it is stored.
void add_blocks(BlockWriter& out, const TriMesh& mesh) {
  const auto& [origin_mm, vertices, triangles, face, chord_error_mm] = mesh;
  out.add_item("mesh", bits(origin_mm, chord_error_mm));
  out.add("mesh.vertices", vertices);
  out.add("mesh.triangles", triangles);
  out.add("mesh.face", face);
}

Result<TriMesh> read_mesh_blocks(const BlockFile& in) {
  TriMesh mesh;
  const auto facts = in.item<std::array<std::uint64_t, 4>>("mesh");
  if (!facts) return tl::unexpected(facts.error());
  mesh.origin_mm = Vec3(number((*facts)[0]), number((*facts)[1]), number((*facts)[2]));
  mesh.chord_error_mm = number((*facts)[3]);
  const std::size_t vertices = in.count("mesh.vertices");
  const BlockFile::Check<TriMesh::Triangle> in_range = [vertices](const TriMesh::Triangle* t, std::size_t count) {
    return all_below(t->data(), 3 * count, vertices);
  };
  if (auto done = in.read("mesh.vertices", mesh.vertices); !done) return tl::unexpected(done.error());
  if (auto done = in.read("mesh.triangles", mesh.triangles, in_range); !done) return tl::unexpected(done.error());
  if (auto done = in.read("mesh.face", mesh.face); !done) return tl::unexpected(done.error());
  if (!mesh.face.empty() && mesh.face.size() != mesh.triangles.size()) {
    return BlockFile::damaged("mesh.face", "has not one entry per triangle");
  }
  return mesh;
}

void add_blocks(BlockWriter& out, const PointCloud& cloud) {
  const auto& [origin_mm, points, normals] = cloud;
  out.add_item("cloud", bits(origin_mm, 0));
  out.add("cloud.points", points);
  out.add("cloud.normals", normals);
}

Result<PointCloud> read_cloud_blocks(const BlockFile& in) {
  PointCloud cloud;
  const auto facts = in.item<std::array<std::uint64_t, 4>>("cloud");
  if (!facts) return tl::unexpected(facts.error());
  cloud.origin_mm = Vec3(number((*facts)[0]), number((*facts)[1]), number((*facts)[2]));
  if (auto done = in.read("cloud.points", cloud.points); !done) return tl::unexpected(done.error());
  if (auto done = in.read("cloud.normals", cloud.normals); !done) return tl::unexpected(done.error());
  if (!cloud.normals.empty() && cloud.normals.size() != cloud.points.size()) {
    return BlockFile::damaged("cloud.normals", "has not one entry per point");
  }
  return cloud;
}

}  // namespace baywright

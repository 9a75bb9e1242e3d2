#include <algorithm>
#include <catch2/catch.hpp>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "geometry/files/mesh_file.hpp"

using namespace baywright;

namespace {

/// A number's bytes as a file of the given byte order holds them.
template <class T>
std::string bytes_of(T value, bool big) {
  std::string out(sizeof value, '\0');
  std::memcpy(out.data(), &value, sizeof value);  // this machine is little-endian, as all that the program builds for
  if (big) std::reverse(out.begin(), out.end());
  return out;
}

/// A tetrahedron with legs of 10, 20 and 30 along the axes: volume 1000.
std::filesystem::path tetrahedron(bool big) {
  const auto path = std::filesystem::temp_directory_path() / (big ? "byte_order_big.ply" : "byte_order_little.ply");
  std::ofstream out(path, std::ios::binary);
  out << "ply\nformat " << (big ? "binary_big_endian" : "binary_little_endian")
      << " 1.0\nelement vertex 4\nproperty float x\nproperty double y\nproperty float z\n"
         "element face 4\nproperty list uchar int vertex_indices\nend_header\n";
  const double corners[4][3] = {{0, 0, 0}, {10, 0, 0}, {0, 20, 0}, {0, 0, 30}};
  for (const auto& c : corners) {
    out << bytes_of(static_cast<float>(c[0]), big) << bytes_of(c[1], big) << bytes_of(static_cast<float>(c[2]), big);
  }
  const int faces[4][3] = {{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}};
  for (const auto& face : faces) {
    out << '\3';
    for (const int v : face) out << bytes_of(v, big);
  }
  return path;
}

}  // namespace

TEST_CASE("a binary PLY of either byte order gives the same mesh") {
  for (const bool big : {false, true}) {
    INFO((big ? "big" : "little") << "-endian");
    const auto path = tetrahedron(big);
    const auto scan = read_scan(path, {});
    REQUIRE(scan.has_value());
    const auto* mesh = std::get_if<TriMesh>(&scan->shape);
    REQUIRE(mesh);
    CHECK(mesh->triangles.size() == 4);
    CHECK(signed_volume_mm3(*mesh) == Approx(1000));
    CHECK(bounds(*mesh).size() == Vec3(10, 20, 30));
    std::filesystem::remove(path);
  }
}

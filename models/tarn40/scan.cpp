#include "scan.hpp"

#include <Eigen/Geometry>
#include <cmath>
#include <numbers>

#include "geometry/base/expects.hpp"

namespace baywright::tarn40 {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180;
constexpr int kNothing = -2;

/// Random numbers that depend only on seed and place, so that no order of work changes them.
/// splitmix64 (Steele, Lea, Flood 2014).
class Noise {
 public:
  explicit Noise(std::uint64_t state) : state_(state) {}
  double uniform() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }
  /// Sum of twelve uniform numbers: normal enough for noise, and the same on every machine.
  double normal() {
    double sum = -6;
    for (int i = 0; i < 12; ++i) sum += uniform();
    return sum;
  }

 private:
  std::uint64_t next() {
    state_ += 0x9e3779b97f4a7c15ULL;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
  }
  std::uint64_t state_;
};

struct Pixel {
  int layer = kNothing;
  double range_mm = 0;
  Vec3 p = Vec3::Zero();
};

/// Range image of one view.
struct Image {
  int columns = 0;
  int rows = 0;
  double step_rad = 0;
  std::vector<Pixel> pixels;
  const Pixel& at(int column, int row) const { return pixels[static_cast<std::size_t>(row * columns + column)]; }
};

Pixel measure(const Scene& scene, const TriTree& tree, const Vec3& from, const Vec3& ray, const ScannerModel& scanner,
              Noise noise) {
  const auto hit = tree.first_hit(from, ray, 5000);
  if (!hit) return {};
  const int layer = scene.layer[hit->triangle];
  if (layer < 0) return {};
  const TriTree::Corners t = tree.corners(hit->triangle);
  const double cosine = std::abs((t.v1 - t.v0).cross(t.v2 - t.v0).normalized().dot(ray));
  const double dull = std::cos(scanner.dull_from_deg * kRadPerDeg);
  const double blind = std::cos(scanner.blind_from_deg * kRadPerDeg);
  const double share = std::clamp((cosine - blind) / (dull - blind), 0.0, 1.0);
  if (noise.uniform() > share * scene.answer[static_cast<std::size_t>(layer)]) return {};
  const double deviation =
      (scanner.noise_mm + scanner.noise_per_metre_mm * hit->distance_mm / 1000) / std::max(cosine, 0.35);
  const double range = hit->distance_mm + deviation * noise.normal();
  const Vec3 p = from + range * ray;
  if ((p.array() < scanner.keep.lo.array()).any() || (p.array() > scanner.keep.hi.array()).any()) return {};
  return {layer, range, p};
}

Image look(const Scene& scene, const TriTree& tree, const View& view, const ScannerModel& scanner,
           std::uint64_t index) {
  const Vec3 ahead = (view.at_mm - view.from_mm).normalized();
  const Vec3 helper = std::abs(ahead.z()) > 0.95 ? Vec3::UnitX() : Vec3::UnitZ();
  const Vec3 right = ahead.cross(helper).normalized();
  const Vec3 up = right.cross(ahead);
  Image image;
  image.step_rad = view.step_deg * kRadPerDeg;
  image.columns = static_cast<int>(view.width_deg / view.step_deg);
  image.rows = static_cast<int>(view.height_deg / view.step_deg);
  for (int row = 0; row < image.rows; ++row) {
    const double elevation = (row - 0.5 * (image.rows - 1)) * image.step_rad;
    for (int column = 0; column < image.columns; ++column) {
      const double azimuth = (column - 0.5 * (image.columns - 1)) * image.step_rad;
      const Vec3 ray =
          std::cos(elevation) * (std::cos(azimuth) * ahead + std::sin(azimuth) * right) + std::sin(elevation) * up;
      const std::uint64_t place =
          (index << 40) ^ (static_cast<std::uint64_t>(row) << 20) ^ static_cast<std::uint64_t>(column);
      image.pixels.push_back(
          measure(scene, tree, view.from_mm, ray, scanner, Noise(scanner.seed * 0x2545f4914f6cdd1dULL + place)));
    }
  }
  return image;
}

/// Whether two neighbours lie on one surface as far as the scanner's software can tell.
bool joined(const Pixel& a, const Pixel& b, double step_rad, const ScannerModel& scanner) {
  if (a.layer < 0 || a.layer != b.layer) return false;
  const double across = std::min(a.range_mm, b.range_mm) * step_rad;
  if (std::abs(a.range_mm - b.range_mm) > across * std::tan(scanner.steepest_deg * kRadPerDeg) + 3 * scanner.noise_mm)
    return false;
  return (a.p - b.p).norm() <= scanner.longest_edge_mm;
}

/// Triangles of one range image, sorted into the layers' meshes.
void join(const Image& image, const ScannerModel& scanner, std::vector<TriMesh>& meshes) {
  std::vector<std::int64_t> number(image.pixels.size(), -1);
  const auto vertex = [&](int column, int row) {
    const auto i = static_cast<std::size_t>(row * image.columns + column);
    TriMesh& mesh = meshes[static_cast<std::size_t>(image.pixels[i].layer)];
    if (number[i] < 0) {
      number[i] = static_cast<std::int64_t>(mesh.vertices.size());
      mesh.vertices.emplace_back(image.pixels[i].p.cast<float>());
    }
    return static_cast<std::uint32_t>(number[i]);
  };
  const auto facet = [&](std::array<int, 2> a, std::array<int, 2> b, std::array<int, 2> c) {
    const Pixel& pa = image.at(a[0], a[1]);
    const Pixel& pb = image.at(b[0], b[1]);
    const Pixel& pc = image.at(c[0], c[1]);
    const auto one_surface = [&](const Pixel& p, const Pixel& q) { return joined(p, q, image.step_rad, scanner); };
    if (!one_surface(pa, pb) || !one_surface(pb, pc) || !one_surface(pc, pa)) return;
    TriMesh& mesh = meshes[static_cast<std::size_t>(pa.layer)];
    mesh.triangles.push_back({vertex(a[0], a[1]), vertex(b[0], b[1]), vertex(c[0], c[1])});
  };
  for (int row = 0; row + 1 < image.rows; ++row) {
    for (int column = 0; column + 1 < image.columns; ++column) {
      // The shorter diagonal, as far as both exist.
      const Pixel& a = image.at(column, row);
      const Pixel& b = image.at(column + 1, row);
      const Pixel& c = image.at(column + 1, row + 1);
      const Pixel& d = image.at(column, row + 1);
      const bool ac =
          b.layer < 0 || d.layer < 0 || (a.layer >= 0 && c.layer >= 0 && (a.p - c.p).norm() <= (b.p - d.p).norm());
      if (ac) {
        facet({column, row}, {column + 1, row}, {column + 1, row + 1});
        facet({column, row}, {column + 1, row + 1}, {column, row + 1});
      } else {
        facet({column, row}, {column + 1, row}, {column, row + 1});
        facet({column + 1, row}, {column + 1, row + 1}, {column, row + 1});
      }
    }
  }
}

}  // namespace

void Scene::add(const TriMesh& mesh, int layer_index) {
  EXPECTS(surface.origin_mm.isZero());
  const auto base = static_cast<std::uint32_t>(surface.vertices.size());
  for (std::uint32_t i = 0; i < mesh.vertices.size(); ++i) surface.vertices.emplace_back(mesh.vertex(i).cast<float>());
  for (const TriMesh::Triangle& t : mesh.triangles)
    surface.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
  layer.insert(layer.end(), mesh.triangles.size(), layer_index);
}

std::vector<TriMesh> scan(const Scene& scene, const std::vector<View>& views, const ScannerModel& scanner) {
  EXPECTS(scene.layer.size() == scene.surface.triangles.size());
  EXPECTS(scene.answer.size() == scene.layer_names.size());
  const TriTree tree = TriTree::over(scene.surface);
  std::vector<TriMesh> meshes(scene.layer_names.size());
  for (std::size_t i = 0; i < views.size(); ++i) join(look(scene, tree, views[i], scanner, i), scanner, meshes);
  return meshes;
}

}  // namespace baywright::tarn40

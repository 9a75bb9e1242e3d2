// The demo's parts lie where models/tarn40/README.md says, and the scan looks like one.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "demo_job.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/tri_mesh.hpp"

using namespace baywright;

namespace {

const bay::Part& part(const std::string& id) {
  const bay::Part* found = demo::checked("fitted").installation.bay.find_part(bay::PartId{id});
  INFO(id);
  REQUIRE(found);
  return *found;
}
Aabb box_of(const std::string& id) {
  REQUIRE(part(id).mesh);
  return bounds(*part(id).mesh);
}
void check_box(const std::string& id, const Vec3& lo, const Vec3& hi) {
  const Aabb box = box_of(id);
  INFO(id << ": " << box.lo.transpose() << " .. " << box.hi.transpose());
  CHECK((box.lo - lo).cwiseAbs().maxCoeff() < 0.2);
  CHECK((box.hi - hi).cwiseAbs().maxCoeff() < 0.2);
}

}  // namespace

TEST_CASE("parts that verdicts depend on have the stated extent") {
  check_box("fan", {162, -230, 0}, {207, 230, 460});
  const Aabb rocker = box_of("rocker-cover");
  CHECK(rocker.lo.y() == Approx(-110).margin(0.01));
  CHECK(rocker.hi.y() == Approx(110).margin(0.01));
  CHECK(rocker.lo.x() == Approx(-480).margin(0.01));
  CHECK(rocker.hi.x() == Approx(-30).margin(0.01));
  const Aabb manifold = box_of("intake-manifold");
  CHECK(manifold.hi.y() == Approx(260).margin(0.01));
  CHECK(manifold.hi.z() == Approx(420).margin(0.01));
  const Aabb head = box_of("cylinder-head");
  CHECK(head.lo.y() == Approx(-140).margin(0.01));
  CHECK(head.hi.x() == Approx(-15).margin(0.01));
  CHECK(head.hi.z() == Approx(430).margin(0.01));
  const Aabb compressor = box_of("compressor");
  CHECK(compressor.hi.x() == Approx(-250).margin(0.01));
}

TEST_CASE("nothing of the bonnet pierces its outer skin") {
  // Underside of the skin: that of the inner panel and the bulge on it (bonnet.cpp).
  const auto skin_z = [](double x, double y) {
    const double across = 1 - std::pow(y / 535, 4), along = 1 - std::pow((2 * x + 578 - 384) / 962, 4);
    return 640 - 0.0816 * (x + 580) - 0.00045 * y * y + 4 + 26 * across * along;
  };
  const TriMesh& inside = *part("bonnet").mesh;
  double least = 1e9;
  for (std::size_t i = 0; i < inside.vertices.size(); ++i) {
    const Vec3 p = inside.origin_mm + inside.vertices[i].cast<double>();
    least = std::min(least, skin_z(p.x(), p.y()) - p.z());
  }
  CHECK(least > 0.5);
}

TEST_CASE("every solid of the models belongs to exactly one part of the job") {
  // A shape that no part selects would be missing from the bay without a word.
  std::map<std::string, std::set<std::string>> selected;
  std::size_t named = 0;
  for (const job::PartSpec& p : demo::checked("fitted").installation.job.parts) {
    for (const std::string& name : p.select) {
      ++named;
      selected[p.file].insert(name);
    }
  }
  std::size_t distinct = 0;
  for (const auto& [file, names] : selected) {
    Result<StepModel> model = read_step(demo::folder() / "fitted" / file);
    REQUIRE(model);
    for (const StepPart& p : model->parts) {
      INFO(file << ": " << p.name);
      CHECK(names.contains(p.name));
      CHECK(p.color.has_value());
    }
    CHECK(names.size() == model->parts.size());
    distinct += names.size();
  }
  CHECK(named == distinct);
}

TEST_CASE("the scan has the size, the holes and the uneven density of a scan") {
  const TriMesh& scan = *part("bay-scan").mesh;
  const MeshCounts counts = count_mesh(scan);
  CHECK(counts.triangles >= 300'000);
  CHECK(counts.non_manifold_edges == 0);
  // Rims of views, shadows and drop-outs.
  CHECK(counts.boundary_edges > 20'000);
  CHECK(counts.boundary_edges < counts.triangles);
  std::vector<double> edges;
  for (const TriMesh::Triangle& t : scan.triangles) edges.push_back((scan.vertex(t[1]) - scan.vertex(t[0])).norm());
  std::sort(edges.begin(), edges.end());
  CHECK(edges[edges.size() * 9 / 10] > 2 * edges[edges.size() / 10]);
}

TEST_CASE("the scan lies on the surfaces it was taken from, with noise") {
  // The inner wing is flat at y = 560 away from its swages, its top flange, the wheel arch and everything fixed to it;
  // its outer face, seen from outside, lies 2 mm farther.
  const TriMesh& scan = *part("bay-scan").mesh;
  double sum = 0, square = 0;
  int count = 0;
  for (std::uint32_t i = 0; i < scan.vertices.size(); ++i) {
    const Vec3 p = scan.vertex(i);
    if (p.x() < -300 || p.x() > 200 || p.z() < 345 || p.z() > 385 || std::abs(p.y() - 560) > 1) continue;
    const double off = p.y() - 560;
    sum += off;
    square += off * off;
    ++count;
  }
  REQUIRE(count > 500);
  const double deviation = std::sqrt(square / count);
  CHECK(std::abs(sum / count) < 0.05);
  CHECK(deviation > 0.05);
  CHECK(deviation < 0.4);
}

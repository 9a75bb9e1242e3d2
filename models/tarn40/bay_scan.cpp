#include "bay_scan.hpp"

#include "geometry/files/mesh_file.hpp"
#include "geometry/occt/access.hpp"
#include "parts.hpp"
#include "scan.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::uint64_t kSeed = 40;
constexpr double kChord_mm = 0.3;

/// Standing places of the scanner: round the open bay, over it, twice leaning into it, and once from the pit.
std::vector<View> standing_places() {
  return {
      {{900, 120, 820}, {-300, 0, 180}, 74, 46, 0.19},      // before the radiator
      {{-120, 900, 900}, {-180, -150, 120}, 78, 52, 0.21},  // left side
      {{-160, -920, 860}, {-180, 150, 120}, 78, 52, 0.21},  // right side
      {{-760, 180, 1050}, {40, -40, 60}, 76, 46, 0.23},     // over the scuttle
      {{-100, -60, 1300}, {-150, 0, 0}, 62, 56, 0.21},      // from above
      {{40, -160, 640}, {-520, 330, 240}, 84, 66, 0.28},    // into the left rear corner
      {{20, 200, 620}, {-480, -420, 200}, 84, 66, 0.28},    // into the right rear corner
      {{-60, 40, -900}, {-120, 0, 100}, 70, 54, 0.26},      // from the pit
  };
}

Result<void> add_parts(Scene& scene) {
  // Steering, brake lines and loom need more room than sheet metal does, so they were marked in the scan by hand.
  scene.layer_names = {"bay-scan", "scan-steering", "scan-brake-lines", "scan-loom"};
  scene.answer = {0.985, 0.97, 0.96, 0.76};
  const auto layer_of = [](const std::string& name) {
    if (name == "steering shaft") return 1;
    if (name == "brake lines") return 2;
    if (name == "wiring loom") return 3;
    return 0;
  };
  const auto add = [&](const Drawn& part, int layer) -> Result<void> {
    Result<TriMesh> mesh = tessellate(occt::Access::make(part.shape), kChord_mm);
    if (!mesh) return tl::unexpected(mesh.error());
    scene.add(*mesh, layer);
    return {};
  };
  for (const Drawn& part : draw_chassis()) {
    if (Result<void> done = add(part, layer_of(part.name)); !done) return done;
  }
  // Radiator and charge cooler stood in the scanner's way; they come as models, so their points were cut out.
  for (const Drawn& part : draw_cooling()) {
    if (part.name == "fan shroud") continue;  // fitted later
    if (Result<void> done = add(part, -1); !done) return done;
  }
  return {};
}

}  // namespace

Result<void> write_bay_scan(const std::filesystem::path& folder) {
  Scene scene;
  if (Result<void> done = add_parts(scene); !done) return done;
  ScannerModel scanner;
  scanner.seed = kSeed;
  scanner.keep.lo = {-680, -640, -200};
  scanner.keep.hi = {440, 640, 680};
  const std::vector<TriMesh> meshes = scan(scene, standing_places(), scanner);
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    if (Result<void> done = write_ply(folder / (scene.layer_names[i] + ".ply"), meshes[i]); !done) return done;
  }
  return {};
}

}  // namespace baywright::tarn40

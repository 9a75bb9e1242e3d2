// Makes the geometry of the Tarn 40 demo: `make_tarn40 OUT_DIR` writes STEP models of engine, filter, cooling pack and
// bonnet, and a scan of the bay they go into. Same program, same bytes.

#include <filesystem>
#include <iostream>

#include "bay_scan.hpp"
#include "geometry/files/step_file.hpp"
#include "geometry/occt/access.hpp"
#include "geometry/occt/guard.hpp"
#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

using Draw = std::vector<Drawn> (*)();

Result<void> write_model(const std::filesystem::path& folder, const std::string& name, Draw draw) {
  return occt::guard(name, [&]() -> Result<void> {
    std::vector<StepOut> parts;
    for (const Drawn& part : draw()) parts.push_back({part.name, part.color, occt::Access::make(part.shape)});
    return write_step(folder / (name + ".step"), parts, "Tarn 40 " + name);
  });
}

Result<void> make_all(const std::filesystem::path& folder) {
  const std::vector<std::pair<std::string, Draw>> models{
      {"engine", draw_engine}, {"filter", draw_filter}, {"cooling", draw_cooling}, {"bonnet", draw_bonnet}};
  for (const auto& [name, draw] : models) {
    std::cerr << "  " << name << ".step\n";
    if (Result<void> done = write_model(folder, name, draw); !done) return done;
  }
  std::cerr << "  bay-scan.ply\n";
  return occt::guard("bay-scan", [&] { return write_bay_scan(folder); });
}

}  // namespace
}  // namespace baywright::tarn40

int main(int argc, char** argv) {
  if (argc != 2 || argv[1][0] == '-') {
    std::cerr << "usage: make_tarn40 OUT_DIR\n";
    return 2;
  }
  const std::filesystem::path folder = argv[1];
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (error) {
    std::cerr << "make_tarn40: cannot make " << folder.string() << ": " << error.message() << "\n";
    return 2;
  }
  const baywright::Result<void> made = baywright::tarn40::make_all(folder);
  if (!made) {
    std::cerr << "make_tarn40: " << made.error().where << ": " << made.error().message << "\n";
    return 70;
  }
  return 0;
}

#include "geometry/files/step_several.hpp"

#include <catch2/catch.hpp>

#include <filesystem>

#include "geometry/base/atomic_file.hpp"

using namespace baywright;
namespace fs = std::filesystem;

namespace {
const fs::path kData = fs::path(BAYWRIGHT_TEST_DATA);
}

TEST_CASE("several STEP files at once give what each gives alone, in order, good ones and bad ones") {
  const fs::path empty = fs::path(BAYWRIGHT_BINARY_DIR) / "step_several_test.step";
  REQUIRE(write_file(empty, "").has_value());
  const std::vector<fs::path> paths = {
      kData / "step" / "red_cube_blue_cylinder.step", empty,           kData / "malformed" / "cut60pct_nist_ftc_06.stp",
      kData / "step" / "sliced_cylinder.step",        "/nowhere.step", kData / "step" / "s1-c5-214" / "HEAD.stp",
      kData / "step" / "red_cube_blue_cylinder.step"};
  CHECK(read_steps({}).empty());
  const auto together = read_steps(paths);
  REQUIRE(together.size() == paths.size());
  for (std::size_t i = 0; i < paths.size(); ++i) {
    INFO(paths[i]);
    const auto alone = read_step(paths[i]);
    REQUIRE(together[i].has_value() == alone.has_value());
    if (!alone) {
      CHECK(together[i].error() == alone.error());
      continue;
    }
    CHECK(together[i]->warnings == alone->warnings);
    CHECK(together[i]->unit == alone->unit);
    REQUIRE(together[i]->parts.size() == alone->parts.size());
    for (std::size_t k = 0; k < alone->parts.size(); ++k) {
      CHECK(together[i]->parts[k].path == alone->parts[k].path);
      CHECK(together[i]->parts[k].color == alone->parts[k].color);
      CHECK(together[i]->parts[k].shape.volume_mm3() == alone->parts[k].shape.volume_mm3());
    }
  }
  const Progress progress;
  progress.cancel();
  for (const auto& model : read_steps({paths[0], paths[3], paths[5]}, progress)) {
    REQUIRE_FALSE(model.has_value());
    CHECK(model.error().code == ErrorCode::cancelled);
  }
  fs::remove(empty);
}

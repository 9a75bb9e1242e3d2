#include "fabrication/duct_step.hpp"

#include <unistd.h>

#include <catch2/catch.hpp>
#include <numbers>

#include "geometry/files/step_file.hpp"
#include "geometry/tube_solid.hpp"
#include "tests/support/ducts.hpp"

using namespace baywright;

namespace {

double tube_area_mm2(double outer_mm, double wall_mm) {
  const double inner_mm = outer_mm - 2 * wall_mm;
  return std::numbers::pi / 4 * (outer_mm * outer_mm - inner_mm * inner_mm);
}

}  // namespace

TEST_CASE("a run of no length has no shapes", "[duct_step]") {
  const duct::Layout layout = test::fitted_job().laid_out().layout;
  CHECK(fabrication::tube_run(layout, 100, 100).empty());
}

TEST_CASE("a run follows the centerline end to end", "[duct_step]") {
  const duct::Layout layout = test::fitted_job().laid_out().layout;
  const std::vector<Shape> run = fabrication::tube_run(layout, 0, 435);
  // Straight to 148.1, bend to 330.1, straight to 435.
  REQUIRE(run.size() == 3);
  CHECK(std::holds_alternative<Collar>(run[0]));
  CHECK(std::get<TorusSegment>(run[1]).angle_rad == Approx(layout.bends[0].angle.si()));
  const auto& last = std::get<Collar>(run[2]);
  CHECK((last.b - layout.at(435).p_mm).norm() < 1e-9);
  CHECK(last.radius_mm == Approx(38.1));
}

TEST_CASE("the tube's solid has the volume of its wall along its axis", "[duct_step]") {
  const duct::Layout layout = test::fitted_job().laid_out().layout;
  const Result<Solid> solid = tube_solid(fabrication::tube_run(layout, 0, 435), 1.65);
  REQUIRE(solid);
  CHECK(solid->solid_count() == 1);
  // Pappus: the ring's area times the length of its centre's path, bend included.
  CHECK(solid->volume_mm3() == Approx(435 * tube_area_mm2(76.2, 1.65)).epsilon(1e-6));
}

TEST_CASE("every piece of a duct is written with its name and read back", "[duct_step]") {
  const duct::Duct duct = test::fitted_job().laid_out();
  const auto path = std::filesystem::temp_directory_path() / ("baywright-duct-" + std::to_string(::getpid()) + ".step");
  const Result<void> written = fabrication::write_duct_step(duct, path);
  INFO((written ? std::string() : to_line(written.error())));
  REQUIRE(written);
  const Result<StepModel> model = read_step(path);
  std::filesystem::remove(path);
  REQUIRE(model);
  REQUIRE(model->parts.size() == duct.layout.pieces.size());
  for (std::size_t i = 0; i < model->parts.size(); ++i) CHECK(model->parts[i].name == duct.layout.pieces[i].name);
}

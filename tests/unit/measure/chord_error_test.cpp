#include "measure/chord_error.hpp"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>

#include "geometry/tube_solid.hpp"
#include "usual_tube.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::measure;
using namespace baywright::test;

namespace {

constexpr double kPartRadius = 200;
/// A round bar across the tube, its axis 250 below: 250 - 200 - 38.1 = 11.9 away. Meshed coarsely its chords lie
/// inside.
bay::Part bar(double chord_error_mm) {
  const std::vector<Shape> run = {Collar{Vec3(250, -300, -250), Vec3(250, 300, -250), kPartRadius}};
  bay::Part part;
  part.id = bay::PartId("bar");
  part.name = "bar";
  part.modelled = true;
  part.encloses = true;
  part.uncertainty_mm = 0;
  part.solid = *tube_solid(run, 0);
  part.shapes = {*part.solid};
  part.mesh = std::make_shared<const TriMesh>(*tessellate(*part.solid, chord_error_mm));
  part.tree = TriTree::over(*part.mesh);
  return part;
}

Installation job(double chord_error_mm) {
  Installation made = between(route({{0, 0, 0}, {500, 0, 0}}, 0));
  made.bay.ports[1].body = 0;
  made.spec.bend_tolerance_mm = 0;
  made.bay.parts = {bar(chord_error_mm)};
  return made;
}

}  // namespace

TEST_CASE("Some faces of a solid are meshed alone and keep their numbers") {
  const bay::Part part = bar(2);
  REQUIRE(part.solid->face_count() == 3);
  for (std::uint32_t face = 0; face < 3; ++face) {
    const std::array wanted = {face};
    const auto mesh = tessellate_faces(*part.solid, wanted, 0.1);
    REQUIRE(mesh);
    CHECK(mesh->chord_error_mm <= 0.1);
    double area = 0, before = 0;
    for (std::size_t i = 0; i < mesh->triangles.size(); ++i) CHECK(mesh->face[i] == face);
    area = area_mm2(*mesh);
    TriMesh same = *part.mesh;
    same.triangles.clear();
    for (std::size_t i = 0; i < part.mesh->triangles.size(); ++i) {
      if (part.mesh->face[i] == face) same.triangles.push_back(part.mesh->triangles[i]);
    }
    before = area_mm2(same);
    CHECK(area == Approx(before).epsilon(0.05));
  }
}

TEST_CASE("A verdict that hangs on the chord error is settled by finer faces") {
  const double truth = 250 - kPartRadius - kRadius;
  const Installation made = job(3);
  const Duct duct = made.laid_out();
  const double coarse = made.bay.parts[0].chord_error_mm();
  REQUIRE(coarse > 0.5);
  for (const double room : {0.2, 0.02}) {
    ClearanceReport report = measure_clearance(made.bay, duct, false, kOptions);
    REQUIRE(report.pairs.size() == 1);
    const double need = truth - room;
    REQUIRE(report.pairs[0].value.lowest() < need);
    settle_chord_error(
        made.bay, duct, false, [&](const PairClearance&) { return std::optional(need); }, kOptions, report);
    const Measured& value = report.pairs[0].value;
    CHECK(value.lowest() >= need);
    CHECK(value.lowest() <= truth);
    CHECK(value.hi >= truth - 1e-4);
    CHECK(value.note.find("hangs on") == std::string::npos);
    REQUIRE(value.band.contributions().back().source.find("finer") != std::string::npos);
    CHECK(value.band.contributions().back().low < 0.5 * coarse);
  }
}

TEST_CASE("What finer faces cannot settle stays open and says so; what does not hang on them is not touched") {
  const double truth = 250 - kPartRadius - kRadius;
  const Installation made = job(3);
  const Duct duct = made.laid_out();
  const ClearanceReport before = measure_clearance(made.bay, duct, false, kOptions);
  const auto settled = [&](double need) {
    ClearanceReport report = before;
    settle_chord_error(
        made.bay, duct, false, [&](const PairClearance&) { return std::optional(need); }, kOptions, report);
    return report.pairs[0].value;
  };
  // The need is all but the truth: only a mesh almost without error would do.
  const Measured open = settled(truth - 1e-4);
  CHECK(open.note.find("hangs on how finely the part is meshed") != std::string::npos);
  CHECK(open.lowest() < truth - 1e-4);
  CHECK(open.lowest() > before.pairs[0].value.lowest());
  // Far from the truth on either side nothing is done.
  CHECK(settled(truth - 10).band == before.pairs[0].value.band);
  CHECK(settled(truth + 10).band == before.pairs[0].value.band);
}

TEST_CASE("Over motion the finer faces are measured over motion") {
  Installation made = job(3);
  made.bay.parts[0].body = 1;
  MotionMember rise;
  rise.name = "rebound";
  rise.joints = {{Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
  rise.to = {5};
  made.bay.bodies[1].motion = MotionSet({rise});
  const Duct duct = made.laid_out();
  const double truth = 250 - kPartRadius - kRadius - 5, need = truth - 0.3;
  ClearanceReport report = measure_clearance(made.bay, duct, true, kOptions);
  REQUIRE(report.pairs[0].value.lowest() < need);
  settle_chord_error(
      made.bay, duct, true, [&](const PairClearance&) { return std::optional(need); }, kOptions, report);
  CHECK(report.pairs[0].value.lowest() >= need);
  CHECK(report.pairs[0].value.lowest() <= truth);
  CHECK(report.pairs[0].value.pose_name.find("rebound") != std::string::npos);
}

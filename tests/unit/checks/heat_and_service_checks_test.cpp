#include <cmath>

#include "tests/support/box_mesh.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// A part with a shape of its own.
bay::Part& boxed(Case& c, const std::string& name, bay::PartClass part_class, const Vec3& lo, const Vec3& hi) {
  const int at = c.add_part(name, part_class, 0);
  bay::Part& part = c.bay.parts[static_cast<std::size_t>(at)];
  part.mesh = std::make_shared<TriMesh>(box_mesh(lo, hi));
  part.tree = TriTree::over(*part.mesh);
  part.encloses = true;
  part.uncertainty_mm = 0;
  return part;
}

std::vector<Finding> of_job(const Case& c, const std::string& id) {
  const duct::Duct duct = laid_out(c.spec, c.bay);
  std::vector<Finding> found;
  for (Finding& f : run_job_checks({c.bay, {&duct, 1}, c.flow, c.sheet, c.workshop, c.answers, c.surroundings}, {})) {
    if (f.check == id) found.push_back(std::move(f));
  }
  return found;
}

}  // namespace

TEST_CASE("ht.touch: hot surfaces near where hands go", "[checks][heat]") {
  Case c;
  REQUIRE(of_job(c, "ht.touch").size() == 1);
  CHECK(missing_of(of_job(c, "ht.touch")[0]) == std::vector<std::string>{"parts/class: hot"});  // nothing is hot
  bay::Part& pipe = boxed(c, "Pipe", bay::PartClass::plain, {200, 500, 0}, {300, 600, 100});
  pipe.surface_temperature = celsius(59);
  CHECK(of_job(c, "ht.touch")[0].verdict == Verdict::not_checked);
  pipe.surface_temperature = celsius(61);
  CHECK(missing_of(of_job(c, "ht.touch")[0]) == std::vector<std::string>{"service_points"});
  c.surroundings.service_points = {{"dipstick", {50, 550, 50}}, {"cap", {40, 550, 50}}, {"far", {-2000, 0, 0}}};
  auto found = of_job(c, "ht.touch");
  REQUIRE(found.size() == 3);
  CHECK(value_of(found[0]) == Approx(150));
  CHECK(found[0].verdict == Verdict::met);
  CHECK(std::isinf(std::get<Measured>(found[2].outcome).hi));
  CHECK(found[2].verdict == Verdict::met);
  c.surroundings.service_points = {{"dipstick", {51, 550, 50}}};
  CHECK(of_job(c, "ht.touch")[0].verdict == Verdict::not_met);
  CHECK(of_job(c, "ht.touch")[0].part == bay::PartId("Pipe"));
  c.surroundings.shields = {{bay::PartId("Pipe"), bay::PartId("Guard")}};
  CHECK(of_job(c, "ht.touch")[0].verdict == Verdict::not_met);  // by a guard that is not there
  boxed(c, "Guard", bay::PartClass::plain, {180, 900, 0}, {190, 1000, 100});
  CHECK(of_job(c, "ht.touch")[0].verdict == Verdict::not_met);  // or that stands elsewhere
  c.bay.parts.pop_back();
  boxed(c, "Guard", bay::PartClass::plain, {180, 500, 0}, {190, 600, 100});
  CHECK(of_job(c, "ht.touch")[0].verdict == Verdict::met);
  // A guard before the nearest place alone leaves the rest of the pipe bare, from the guard's shadow on: 10 mm at 129
  // are 11.6 at 149, and pieces of 10 mm leave up to as much of it out.
  c.bay.parts.pop_back();
  boxed(c, "Guard", bay::PartClass::plain, {180, 540, 40}, {190, 560, 60});
  const Finding beside = of_job(c, "ht.touch")[0];
  CHECK(value_of(beside) >= std::hypot(149, 11.6));
  CHECK(value_of(beside) < std::hypot(149, 11.6 + 10));
  CHECK(beside.part == bay::PartId("Pipe"));
  c.bay.parts.pop_back();
  boxed(c, "Guard", bay::PartClass::plain, {180, 500, 0}, {190, 600, 100});
  // A hot part of which nothing is known does not hide one that is near.
  boxed(c, "Downpipe", bay::PartClass::hot, {0, 0, 0}, {1, 1, 1}).doubt = "no unit";
  c.surroundings.shields.clear();
  found = of_job(c, "ht.touch");
  REQUIRE(found.size() == 2);
  CHECK(found[0].verdict == Verdict::not_met);
  CHECK(found[1].verdict == Verdict::not_checked);
}

TEST_CASE("sn.heat: from the sensor tube to a hot part", "[checks][heat]") {
  Case c;
  c.engine_moves();
  c.remove("breather");
  CHECK(missing_of(c.one("sn.heat")) == std::vector<std::string>{"parts/class: hot"});  // nothing is hot
  // The sensor tube lies along x at y = z = 0, radius 38.1, from 30 to 150: a slab above it.
  boxed(c, "Exhaust", bay::PartClass::hot, {0, -500, -300}, {300, 500, -38.1 - 80});
  CHECK(value_of(c.one("sn.heat")) == Approx(80).margin(0.11));
  CHECK(c.one("sn.heat").verdict == Verdict::met);
  c.bay.parts.clear();
  boxed(c, "Exhaust", bay::PartClass::hot, {0, -500, -300}, {300, 500, -38.1 - 70});
  CHECK(c.one("sn.heat").verdict == Verdict::not_met);
  boxed(c, "Shield", bay::PartClass::plain, {-100, -600, -38.1 - 61}, {400, 600, -38.1 - 60});
  c.surroundings.shields = {{bay::PartId("Exhaust"), bay::PartId("Shield")}};
  CHECK(c.one("sn.heat").verdict == Verdict::met);
  CHECK(c.one("sn.heat").limit->value == 51);
  // Without a motion nobody knows how near it comes; what is too near at rest is so all the same.
  c.bay.parts.clear();
  c.surroundings.shields.clear();
  bay::Part& near = boxed(c, "Exhaust", bay::PartClass::hot, {0, -500, -300}, {300, 500, -38.1 - 70});
  near.body = 1;
  c.bay.bodies[1].motion = MotionSet();
  CHECK(c.one("sn.heat").verdict == Verdict::not_met);
  CHECK(std::get<Measured>(c.one("sn.heat").outcome).note == "at rest: no motion is stated for engine");
  c.bay.parts.clear();
  boxed(c, "Exhaust", bay::PartClass::hot, {0, -500, -300}, {300, 500, -38.1 - 80}).body = 1;
  CHECK(missing_of(c.one("sn.heat")) == std::vector<std::string>{"bodies/engine/motion"});
  c.remove("sensor");
  CHECK(missing_of(c.one("sn.heat")) == std::vector<std::string>{"ducts/intake/fittings: sensor tube"});
}

TEST_CASE("sn.plug: two fingers around the connector", "[checks][service]") {
  Case c;
  boxed(c, "Far", bay::PartClass::plain, {5000, 0, 0}, {5001, 1, 1});
  CHECK(c.one("sn.plug").verdict == Verdict::not_checked);  // no boss is stated
  auto& sensor = std::get<duct::SensorTube>(c.kind("sensor"));
  sensor.boss_radius_mm = 16;
  sensor.boss_height_mm = 40;
  CHECK(c.one("sn.plug").verdict == Verdict::met);
  // Clock 0 is up: the connector leaves between z = 38.1 + 40 and 40 more; its plane is at 30 + 70 = 100 along x.
  const double top = 38.1 + 40 + 40;
  boxed(c, "Panel", bay::PartClass::plain, {0, -50, top + 24}, {200, 50, top + 30});
  CHECK(value_of(c.one("sn.plug")) == Approx(24).margin(0.11));
  CHECK(c.one("sn.plug").verdict == Verdict::not_met);
  c.bay.parts.pop_back();
  boxed(c, "Wall", bay::PartClass::plain, {100 + 16 + 26, -50, 0}, {300, 50, 300});
  CHECK(value_of(c.one("sn.plug")) == Approx(26).margin(0.11));
  CHECK(c.one("sn.plug").verdict == Verdict::met);
  c.bay.parts.clear();
  CHECK(missing_of(c.one("sn.plug")) == std::vector<std::string>{"parts"});
}

TEST_CASE("sn.plug: a duct that comes back over its own sensor is in the way", "[checks][service]") {
  // Out along x, up, and back 170 higher: its underside is at 170 - 38.1, the connector's way ends at 38.1 + 40 + 40.
  Case c;
  for (const char* id : {"hump-1", "hump-2", "cone", "tap", "breather"}) c.remove(id);
  const double up = 170;
  c.spec.route.points = {{duct::PointId("P0"), {0, 0, 0}, 0},
                         {duct::PointId("P1"), {300, 0, 0}, 80},
                         {duct::PointId("P2"), {300, 0, up}, 80},
                         {duct::PointId("P3"), {-100, 0, up}, 0}};
  c.bay.ports[1] = port("compressor-in", {-100, 0, up}, Vec3::UnitX(), 76.2, 0);
  boxed(c, "Far", bay::PartClass::plain, {5000, 0, 0}, {5001, 1, 1});
  auto& sensor = std::get<duct::SensorTube>(c.kind("sensor"));
  sensor.boss_radius_mm = 16;
  sensor.boss_height_mm = 40;
  CHECK(value_of(c.one("sn.plug")) == Approx(up - 38.1 - 38.1 - 80).margin(0.11));
  CHECK(c.one("sn.plug").verdict == Verdict::not_met);
  CHECK(c.one("sn.plug").subject == "sensor, connector - duct intake: tube 1");
  sensor.boss_height_mm = 5;  // its own straight is no obstacle, however near
  CHECK(value_of(c.one("sn.plug")) == Approx(up - 38.1 - 38.1 - 45).margin(0.11));
  CHECK(c.one("sn.plug").verdict == Verdict::met);
}

TEST_CASE("sv.filter: the element on its way out", "[checks][service]") {
  Case c;
  boxed(c, "Housing", bay::PartClass::plain, {-400, 900, 0}, {-100, 1200, 300});
  c.flow.components.resize(1);
  c.flow.components[0].id = flow::ComponentId("cleaner");
  CHECK(missing_of(of_job(c, "sv.filter")[0]) == std::vector<std::string>{"filter_elements"});
  Case none;  // an intake draws through something
  none.flow.components.clear();
  CHECK(missing_of(of_job(none, "sv.filter")[0]) == std::vector<std::string>{"flow/components", "filter_elements"});
  // Along x, radius 70, in the housing, drawn up by 200: its lower side then at z = 150 - 70 + 200, its top at 420.
  FilterElement element{flow::ComponentId("cleaner"), {-350, 1050, 150}, Vec3::UnitX(), 200, 140, Vec3::UnitZ(), 200,
                        bay::PartId("Housing")};
  c.surroundings.elements = {element};
  CHECK(of_job(c, "sv.filter")[0].verdict == Verdict::met);
  boxed(c, "Bar", bay::PartClass::plain, {-400, 1045, 420 + 24}, {-100, 1055, 420 + 40});
  CHECK(value_of(of_job(c, "sv.filter")[0]) == Approx(24).margin(0.11));
  CHECK(of_job(c, "sv.filter")[0].verdict == Verdict::not_met);
  // Off to the side it is passed half way: nearest while the element's axis is level with it.
  c.bay.parts.pop_back();
  boxed(c, "Post", bay::PartClass::plain, {-400, 1050 + 70 + 26, 240}, {-100, 1300, 260});
  CHECK(value_of(of_job(c, "sv.filter")[0]) == Approx(26).margin(0.11));
  CHECK(of_job(c, "sv.filter")[0].verdict == Verdict::met);
  // In the way, unless it is the bonnet, which is open.
  c.bay.parts.pop_back();
  bay::Part& lid = boxed(c, "Lid", bay::PartClass::plain, {-400, 900, 300}, {-100, 1200, 310});
  CHECK(of_job(c, "sv.filter")[0].verdict == Verdict::not_met);
  CHECK(std::get<Measured>(of_job(c, "sv.filter")[0].outcome).hi <= 0);
  lid.removed_first = true;  // for clamps, not each time the element is changed
  CHECK(of_job(c, "sv.filter")[0].verdict == Verdict::not_met);
  lid.part_class = bay::PartClass::bonnet;
  const Finding without = of_job(c, "sv.filter")[0];
  CHECK(without.verdict == Verdict::met);
  CHECK(std::get<Measured>(without.outcome).note == "with Lid open");
}

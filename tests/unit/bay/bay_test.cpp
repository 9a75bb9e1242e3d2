#include "bay/bay.hpp"

#include <cmath>
#include <set>

#include <catch2/catch.hpp>

using namespace baywright;
using namespace baywright::bay;

TEST_CASE("an empty bay finds nothing") {
  const Bay bay;
  CHECK_FALSE(bay.find_body(kVehicle).has_value());
  CHECK(bay.find_part(PartId("x")) == nullptr);
  CHECK(bay.find_port(PortId("x")) == nullptr);
  CHECK(bay.kinematics().bodies.empty());
}

TEST_CASE("bodies, parts and ports are found by id") {
  Bay bay;
  bay.bodies.resize(2);
  bay.bodies[1].id = BodyId("engine");
  bay.parts.resize(1);
  bay.parts[0].id = PartId("head");
  bay.ports.resize(1);
  bay.ports[0].id = PortId("out");
  bay.motions_combined = true;
  CHECK(bay.find_body(BodyId("engine")) == 1);
  CHECK(bay.find_part(PartId("head")) == &bay.parts[0]);
  CHECK(bay.find_port(PortId("out")) == &bay.ports[0]);
  CHECK(bay.kinematics().bodies.size() == 2);
  CHECK(bay.kinematics().product);
}

TEST_CASE("every class of part has a word of its own") {
  std::set<std::string_view> words;
  for (const PartClass c : kPartClasses) words.insert(name(c));
  CHECK(words.size() == kPartClasses.size());
}

TEST_CASE("up leans the way the vehicle stands") {
  const double tenth = degrees(10).si();
  CHECK((Attitude{"level", {}, {}}.up() - Vec3::UnitZ()).norm() == 0);
  // Nose up: the front is higher, so up has a part along +x. Left side up: a part along +y.
  CHECK((Attitude{"nose up", degrees(10), {}}.up() - Vec3(std::sin(tenth), 0, std::cos(tenth))).norm() < 1e-15);
  CHECK((Attitude{"left up", {}, degrees(10)}.up() - Vec3(0, std::sin(tenth), std::cos(tenth))).norm() < 1e-15);
  CHECK(Attitude{"both", degrees(25), degrees(-40)}.up().norm() == Approx(1).epsilon(1e-15));
}

#include <catch2/catch.hpp>

#include <algorithm>

#include "job/lay_out_ducts.hpp"
#include "routing/port_moves.hpp"
#include "routing/route_search.hpp"
#include "tests/support/planted_bay.hpp"
#include "tests/support/rocking_bay.hpp"

using namespace baywright;
using namespace baywright::routing;

namespace {

/// Two ports whose axes meet at a right angle `leg_mm` from either, a tube of 60 mm, and one bend allowed: the only
/// duct there is has its bend at that corner. `box`: what stands in the bay.
job::Installation corner(double leg_mm, const std::vector<bay::Part>& box) {
  test::PlantOptions options;
  options.motion = false;
  test::PlantedBay planted = test::planted_bay(options);
  job::Installation out = std::move(planted.installation);
  out.bay.ports = {test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), 60, 0),
                   test::port("compressor-in", {leg_mm, leg_mm, 0}, -Vec3::UnitY(), 60, 0)};
  for (bay::Port& p : out.bay.ports) p.bore_mm = 56;
  out.bay.parts = box;
  out.sheet.limits.at("in.bends").value = 1;
  duct::DuctSpec spec = planted.planted;
  spec.route = test::route({{0, 0, 0}, {leg_mm, 0, 0}, {leg_mm, leg_mm, 0}}, std::min(90.0, leg_mm - 5));
  out.job.ducts = {spec};
  out.ducts = *job::lay_out_ducts(out.job.ducts, out.bay);
  return out;
}

/// A part that nothing comes near to: a bay without any is one nobody has filled.
bay::Part far_box() { return test::box_part("box", {900, 900, 900}, {950, 950, 950}, 0); }

const Suggestion* find(const SearchResult& result, const std::string& start) {
  for (const Suggestion& s : result.suggestions) {
    if (s.change.find(start) == 0) return &s;
  }
  return nullptr;
}

}  // namespace

TEST_CASE("where bends of the sheet's radius do not fit, a smaller radius and a smaller tube do", "[suggest]") {
  // The set-back of a right angle is its radius: 90 mm on legs of 75.
  const job::Installation bay = corner(75, {far_box()});
  const auto result =
      find_routes(bay, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9, .near_misses = 2, .suggest = true});
  REQUIRE(result.has_value());
  CHECK(result->routes.empty());
  const Suggestion* bends = find(*result, "bends of 60");
  REQUIRE(bends != nullptr);
  CHECK(bends->change.find("in.radius") != std::string::npos);
  REQUIRE(bends->route.has_value());
  CHECK(bends->route->meets);
  CHECK(bends->route->bends == 1);
  CHECK(bends->route->spec.route.points[1].bend_radius_mm == 60);
  // 0.9 of 60 is 54 and needs 81; 0.8 is 48 and needs 72.
  const Suggestion *tube_54 = find(*result, "a tube of 54"), *tube_48 = find(*result, "a tube of 48");
  REQUIRE(tube_54 != nullptr);
  REQUIRE(tube_48 != nullptr);
  CHECK_FALSE(tube_54->route.has_value());
  REQUIRE(tube_48->route.has_value());
  CHECK(tube_48->route->spec.tube.outer_diameter_mm == 48);
  CHECK(*tube_48->route->restriction_Pa > 0);
}

TEST_CASE("where a part stands beside the only duct, the port that leads away from it frees it", "[suggest]") {
  // The second leg runs along y at x = 400; the box is 5 mm from the tube, the sheet asks for 10.
  const job::Installation bay = corner(400, {test::box_part("box", {435, 150, -50}, {500, 300, 50}, 0)});
  const auto result = find_routes(bay, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9, .suggest = true});
  REQUIRE(result.has_value());
  CHECK(result->routes.empty());
  REQUIRE_FALSE(result->near_misses.empty());
  const Suggestion* away = find(*result, "port compressor-in moved by 30.0 mm along -x");
  REQUIRE(away != nullptr);
  REQUIRE(away->route.has_value());
  CHECK(away->route->spec.route.points.back().p_mm == Vec3(370, 400, 0));
  CHECK(away->route->least_room_mm.value_or(0) > 0);
  const Suggestion* idle = find(*result, "port filter-out moved by 60.0 mm along -x");
  REQUIRE(idle != nullptr);
  CHECK_FALSE(idle->route.has_value());
}

TEST_CASE("where one bend more than the sheet allows is needed, it says so, and that no fewer do", "[suggest]") {
  // Ports side by side and pointing the same way: a duct between them turns back and sets over, which takes two bends;
  // the sheet allows one, so none is found.
  job::Installation bay = corner(400, {far_box()});
  bay.bay.ports[1].axis = -Vec3::UnitX();
  bay.bay.ports[1].center_mm = {600, 300, 0};
  bay.job.ducts.front().route = test::route({{0, 0, 0}, {200, 0, 0}, {400, 300, 0}, {600, 300, 0}}, 90);
  bay.ducts = *job::lay_out_ducts(bay.job.ducts, bay.bay);
  const auto result = find_routes(bay, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9, .suggest = true});
  REQUIRE(result.has_value());
  CHECK(result->routes.empty());
  const Suggestion* more = find(*result, "2 bends instead of at most 1, which the sheet does not allow (in.bends");
  REQUIRE(more != nullptr);
  REQUIRE(more->route.has_value());
  CHECK(more->route->bends == 2);
  CHECK(more->route->meets);
  CHECK(find(*result, "3 bends") == nullptr);
}

TEST_CASE("where the carrier changes and nobody has a soft joint, one is named as needed", "[suggest]") {
  job::Installation bay = corner(75, {far_box()});
  bay.bay.ports[1].body = 1;
  bay.job.ducts.front().fittings.clear();
  bay.ducts = *job::lay_out_ducts(bay.job.ducts, bay.bay);
  const auto result = find_routes(bay, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9, .suggest = true});
  REQUIRE(result.has_value());
  CHECK(result->routes.empty());
  const Suggestion* joint = find(*result, "a soft joint between port filter-out and port compressor-in");
  REQUIRE(joint != nullptr);
  CHECK_FALSE(joint->route.has_value());
  CHECK(joint->not_run.find("stock file") != std::string::npos);
}

TEST_CASE("a bay with a wall across it: no change frees it, and each says so", "[suggest]") {
  test::PlantOptions options;
  options.seed = 1;
  options.blocked = true;
  options.motion = false;
  const test::PlantedBay bay = test::planted_bay(options);
  const auto result =
      find_routes(bay.installation, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9, .suggest = true});
  REQUIRE(result.has_value());
  CHECK(result->routes.empty());
  CHECK(result->suggestions.size() > 3);
  for (const Suggestion& s : result->suggestions) {
    CAPTURE(s.change);
    CHECK_FALSE(s.route.has_value());
    CHECK(s.not_run.empty());
  }
}

TEST_CASE("no change is tried when the time is up", "[suggest]") {
  const job::Installation bay = corner(75, {far_box()});
  const auto result = find_routes(bay, duct::DuctId("intake"), {.effort = 1, .time_s = 0, .suggest = true});
  REQUIRE(result.has_value());
  CHECK(result->time_was_up);
  REQUIRE_FALSE(result->suggestions.empty());
  for (const Suggestion& s : result->suggestions) {
    CHECK_FALSE(s.route.has_value());
    CHECK(s.not_run == "the time was up");
  }
}

TEST_CASE("a port moves with its part, and stays where another duct ends on that", "[suggest]") {
  job::Installation bay = corner(400, {test::box_part("box", {435, 150, -50}, {500, 300, 50}, 0)});
  bay.bay.ports[1].part = bay::PartId("box");
  CHECK(why_port_stays(bay, duct::DuctId("intake"), bay::PortId("compressor-in")).empty());
  const job::Installation moved = with_port_moved(bay, bay::PortId("compressor-in"), Pose::translation({-30, 0, 10}));
  CHECK(moved.bay.ports[1].center_mm == Vec3(370, 400, 10));
  CHECK(moved.bay.ports[0].center_mm == bay.bay.ports[0].center_mm);
  const Aabb was = bay.bay.parts[0].tree.bounds(), is = moved.bay.parts[0].tree.bounds();
  CHECK((is.lo - was.lo - Vec3(-30, 0, 10)).norm() < 1e-3);
  CHECK((is.hi - was.hi - Vec3(-30, 0, 10)).norm() < 1e-3);
  duct::Duct other = bay.ducts.front();
  other.spec.id = duct::DuctId("other");
  bay.ducts.push_back(other);
  CHECK(why_port_stays(bay, duct::DuctId("intake"), bay::PortId("compressor-in")).find("duct other") == 0);
}

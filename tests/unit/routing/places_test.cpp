#include <catch2/catch.hpp>

#include <algorithm>

#include "checks/evaluation.hpp"
#include "job/lay_out_ducts.hpp"
#include "routing/places.hpp"
#include "routing/route_search.hpp"
#include "searched.hpp"
#include "session/evaluate.hpp"
#include "tests/support/planted_bay.hpp"
#include "tests/support/rocking_bay.hpp"

using namespace baywright;
using namespace baywright::routing;
using test::found;
using test::kIntake;

namespace {

/// Two ports whose axes meet at a right angle 400 mm from either, a tube of 60 mm and one bend allowed: the only duct
/// there is has its bend at that corner, and a box is 5 mm from it where the sheet asks for 10.
job::Installation tight_corner() {
  test::PlantOptions options;
  options.motion = false;
  test::PlantedBay planted = test::planted_bay(options);
  job::Installation out = std::move(planted.installation);
  out.bay.ports = {test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), 60, 0),
                   test::port("compressor-in", {400, 400, 0}, -Vec3::UnitY(), 60, 0)};
  for (bay::Port& p : out.bay.ports) p.bore_mm = 56;
  out.bay.parts = {test::box_part("box", {435, 150, -50}, {500, 300, 50}, 0)};
  out.sheet.limits.at("in.bends").value = 1;
  duct::DuctSpec spec = planted.planted;
  spec.route = test::route({{0, 0, 0}, {400, 0, 0}, {400, 400, 0}}, 90);
  out.job.ducts = {spec};
  out.ducts = *job::lay_out_ducts(out.job.ducts, out.bay);
  return out;
}

job::MayMove compressor_slides(double from_mm, double to_mm) {
  job::MayMove may;
  may.ports = {bay::PortId("compressor-in")};
  may.slides = {{Vec3::UnitX(), from_mm, to_mm}};
  return may;
}

/// The job with a route and what was moved for it, checked in full as `baywright check` does it.
checks::Evaluation checked_with(const job::Installation& installation, const JudgedRoute& route) {
  job::Installation with = installation;
  for (const PartMove& move : route.moves) with = with_moved(with, move);
  with.job.ducts = {route.spec};
  with.ducts = *job::lay_out_ducts(with.job.ducts, with.bay);
  return *session::evaluate(with);
}

}  // namespace

TEST_CASE("a bay that has a route only with a port slid: it is slid, says so, and passes the full check", "[places]") {
  job::Installation bay = tight_corner();
  CHECK(found(bay).routes.empty());
  bay.job.routing.may_move = {compressor_slides(-60, 40)};
  const SearchResult result = found(bay, 4);
  REQUIRE_FALSE(result.routes.empty());
  CHECK(result.places > 2);
  for (const JudgedRoute& route : result.routes) {
    REQUIRE(route.moves.size() == 1);
    const Vec3 by = route.moves.front().by.p;
    CHECK(by.x() < 0);
    CHECK(by.x() >= -60);
    CHECK(by.y() == 0);
    CHECK(route.moves.front().text.find("port compressor-in moved by ") == 0);
    CHECK(route.moves.front().text.find(" along -x") != std::string::npos);
    CHECK((route.spec.route.points.back().p_mm - (Vec3(400, 400, 0) + by)).norm() < 1e-9);
    CHECK(checks::exit_code(checked_with(bay, route).summary) == 0);
  }
  // Only the other way: the box stays where it is.
  bay.job.routing.may_move = {compressor_slides(0, 20)};
  CHECK(found(bay).routes.empty());
}

TEST_CASE("a bay that has a route only with the part at its second place", "[places]") {
  job::Installation bay = tight_corner();
  job::MayMove may;
  may.name = "compressor";
  may.ports = {bay::PortId("compressor-in")};
  may.places = {{"too high", std::nullopt, {}, {}, {}, {0, 0, 300}}, {"nearer", std::nullopt, {}, {}, {}, {-50, 0, 0}}};
  bay.job.routing.may_move = {may};
  const SearchResult result = found(bay);
  REQUIRE(result.routes.size() == 1);
  CHECK(result.places == 2);
  REQUIRE(result.routes.front().moves.size() == 1);
  CHECK(result.routes.front().moves.front().text == "compressor at place nearer");
  CHECK(result.routes.front().moves.front().place == "nearer");
  CHECK(result.routes.front().spec.route.points.back().p_mm == Vec3(350, 400, 0));
  CHECK(checks::exit_code(checked_with(bay, result.routes.front()).summary) == 0);
}

TEST_CASE("a part turned in its place takes its port along", "[places]") {
  // The compressor's port looks past the filter's axis by 20 degrees: no duct of one bend meets both axes but with the
  // part turned back. Turned about z through the port's own centre.
  job::Installation bay = tight_corner();
  bay.bay.parts = {test::box_part("box", {900, 900, 900}, {950, 950, 950}, 0),
                   test::box_part("compressor", {370, 410, -30}, {430, 470, 30}, 0)};
  bay::Port& port = bay.bay.ports[1];
  port.part = bay::PartId("compressor");
  port.contact_length_mm = 40;
  port.axis = Vec3(0, -std::cos(0.35), std::sin(0.35));
  bay.job.ducts.front().route =
      test::route({{0, 0, 0}, {200, 0, 100}, Vec3(400, 400, 0) + 200 * port.axis, {400, 400, 0}}, 60);
  bay.job.ducts.front().route.points[1].p_mm = Vec3(200, 0, 0);
  bay.ducts = *job::lay_out_ducts(bay.job.ducts, bay.bay);
  CHECK(found(bay).routes.empty());
  job::MayMove may;
  may.parts = {bay::PartId("compressor")};
  may.turn = job::Turn{{Vec3(400, 400, 0), Vec3::UnitX()}, degrees(-30), Angle::from_si(0.35)};
  bay.job.routing.may_move = {may};
  const SearchResult result = found(bay);
  REQUIRE_FALSE(result.routes.empty());
  CHECK(result.routes.front().bends == 1);
  CHECK(result.routes.front().moves.front().text == "part compressor turned by 20.1°");
  CHECK(checks::exit_code(checked_with(bay, result.routes.front()).summary) == 0);
}

TEST_CASE("what is found with things moved is the same each time, and rounds with them are cut by the time",
          "[places]") {
  job::Installation bay = tight_corner();
  bay.job.routing.may_move = {compressor_slides(-70, 30)};
  bay.job.routing.may_move.front().slides.push_back({Vec3::UnitZ(), -20, 20});
  const SearchResult once = found(bay, 2), again = found(bay, 2);
  REQUIRE_FALSE(once.routes.empty());
  REQUIRE(once.routes.size() == again.routes.size());
  CHECK(once.places == again.places);
  CHECK(once.tried == again.tried);
  for (std::size_t i = 0; i < once.routes.size(); ++i) {
    CHECK(once.routes[i].spec == again.routes[i].spec);
    CHECK(once.routes[i].moves.front().text == again.routes[i].moves.front().text);
  }
  const auto cut = find_routes(bay, kIntake, {.effort = 2, .time_s = 0});
  REQUIRE(cut.has_value());
  CHECK(cut->time_was_up);
  CHECK(cut->places == 0);
}

TEST_CASE("where the place as given has as good a route, it comes first", "[places]") {
  job::Installation bay = tight_corner();
  bay.bay.parts = {test::box_part("box", {900, 900, 900}, {950, 950, 950}, 0)};
  bay.job.routing.may_move = {compressor_slides(-5, 5)};
  const SearchResult result = found(bay);
  REQUIRE_FALSE(result.routes.empty());
  CHECK(result.routes.front().moves.empty());
}

TEST_CASE("what cannot be moved is refused in one line, for the ducts that end there alone", "[places]") {
  job::Installation bay = tight_corner();
  job::MayMove may;
  may.parts = {bay::PartId("box")};
  may.slides = {{Vec3::UnitX(), -10, 10}};
  bay.job.routing.may_move = {may};
  CHECK(found(bay).places == 0);  // no port of the duct is on it
  bay.bay.ports[1].part = bay::PartId("box");
  duct::Duct other = bay.ducts.front();
  other.spec.id = duct::DuctId("other");
  bay.ducts.push_back(other);
  bay.files.resize(1);
  bay.files.front().path = "route-1.json";
  const auto shared = Places::of(bay, bay.ducts.front());
  REQUIRE_FALSE(shared.has_value());
  CHECK(to_line(shared.error())
            .find("route-1.json: /routing/may_move/0: part box cannot be moved for duct intake: duct "
                  "other ends there too") == 0);
  bay.ducts.pop_back();
  bay.bay.parts.front().mesh.reset();
  const auto cloud = Places::of(bay, bay.ducts.front());
  REQUIRE_FALSE(cloud.has_value());
  CHECK(to_line(cloud.error()).find("is a cloud of points") != std::string::npos);
}

TEST_CASE("settings come from coarse to fine, none twice, all within their ranges", "[places]") {
  job::Installation bay = tight_corner();
  bay.job.routing.may_move = {compressor_slides(-33.37, 12)};
  bay.job.routing.may_move.front().slides.push_back({Vec3::UnitZ(), 0, 8});
  auto places = Places::of(bay, bay.ducts.front());
  REQUIRE(places.has_value());
  // Best where x is -20 and z is 3.
  std::vector<PlaceValue> values(1);
  const auto value_of = [](const Vec3& at) { return PlaceValue{std::nullopt, -(at - Vec3(-20, 0, 3)).norm()}; };
  values[0] = value_of(Vec3::Zero());
  std::vector<Vec3> seen = {Vec3::Zero()};
  for (int call = 0; call < 30; ++call) {
    const auto settings = places->next(values);
    CHECK(settings.size() <= Places::kMostAtOnce);
    for (const Setting& setting : settings) {
      REQUIRE(setting.size() == 1);
      const Vec3 at = setting.front().by.p;
      CHECK(std::none_of(seen.begin(), seen.end(), [&](const Vec3& p) { return (p - at).norm() < 1e-9; }));
      CHECK((at.x() >= -33.37 && at.x() <= 12 && at.y() == 0 && at.z() >= 0 && at.z() <= 8));
      seen.push_back(at);
      values.push_back(value_of(at));
    }
    if (settings.empty()) break;
  }
  double best = -1e9;
  for (const PlaceValue& value : values) best = std::max(best, value.margin_mm);
  CHECK(best > -2);
  CHECK(seen.size() < 80);
  CHECK(places->next(values).empty());
}

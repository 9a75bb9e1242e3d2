#include <catch2/catch.hpp>

#include "job/lay_out_ducts.hpp"
#include "routing/route_search.hpp"
#include "searched.hpp"
#include "session/evaluate.hpp"
#include "tests/support/case_count.hpp"
#include "tests/support/planted_bay.hpp"
#include "tests/support/rocking_bay.hpp"

using namespace baywright;
using namespace baywright::routing;
using test::checked_with;

namespace {

/// A planted bay whose job has the planted duct with one inner point moved: into something, or nearly so.
job::Installation spoilt(unsigned seed, double by_mm) {
  test::PlantOptions options;
  options.seed = seed;
  options.bends = 3 + static_cast<int>(seed % 3);
  options.margin_mm = 8;
  options.motion = seed % 2 == 0;
  test::PlantedBay bay = test::planted_bay(options);
  duct::DuctSpec spec = bay.planted;
  duct::RoutePoint& point = spec.route.points[2];
  const Vec3 leg = spec.route.points[3].p_mm - point.p_mm;
  point.p_mm += by_mm * leg.unitOrthogonal();
  bay.installation.job.ducts = {spec};
  bay.installation.ducts = *job::lay_out_ducts({spec}, bay.installation.bay);
  return bay.installation;
}

}  // namespace

TEST_CASE("a spoilt route is mended by about as much as it was spoilt, with as many bends", "[repair]") {
  const auto runs = static_cast<unsigned>(test::case_count(4));
  unsigned mended = 0;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    CAPTURE(seed);
    constexpr double kSpoilt_mm = 25;
    const job::Installation bay = spoilt(seed, kSpoilt_mm);
    const auto result = find_routes(bay, duct::DuctId("intake"), {.time_s = 1e9, .repair = true});
    REQUIRE(result.has_value());
    CHECK_FALSE(result->as_given.meets);
    if (result->routes.empty()) continue;
    ++mended;
    const JudgedRoute& route = result->routes.front();
    CHECK(checks::exit_code(checked_with(bay, route.spec).summary) == 0);
    REQUIRE(route.change_mm.has_value());
    CHECK(*route.change_mm < 2 * kSpoilt_mm);
    CHECK(result->corridors == 0);
  }
  CHECK(mended + 1 >= runs);
}

TEST_CASE("a route that meets is left as it is", "[repair]") {
  const job::Installation bay = spoilt(1, 0);
  const auto result = find_routes(bay, duct::DuctId("intake"), {.time_s = 1e9, .repair = true});
  REQUIRE(result.has_value());
  CHECK(result->as_given.meets);
  REQUIRE_FALSE(result->routes.empty());
  CHECK(*result->routes.front().change_mm < 0.02);  // points are written to 0.01 mm
  CHECK(result->rounds == 1);
}

TEST_CASE("a radius below the sheet's is raised when a route is mended", "[repair]") {
  job::Installation bay = spoilt(1, 0);
  bay.job.ducts[0].route.points[1].bend_radius_mm = 70;  // the sheet asks for 90
  bay.ducts = *job::lay_out_ducts(bay.job.ducts, bay.bay);
  const auto result = find_routes(bay, duct::DuctId("intake"), {.time_s = 1e9, .repair = true});
  REQUIRE(result.has_value());
  CHECK_FALSE(result->as_given.meets);
  REQUIRE_FALSE(result->routes.empty());
  CHECK(result->routes.front().spec.route.points[1].bend_radius_mm == 90);
}

TEST_CASE("a route that lacks its soft joint is mended with one of the stock, and keeps its tube", "[repair]") {
  job::Installation bay = spoilt(2, 12);
  duct::Stock stock;
  duct::StockTube other;
  other.id = duct::StockTubeId("other");
  other.size = {50, 2};
  other.bend_radii_mm = {75};
  stock.tubes = {other};
  duct::StockCoupler row;
  row.id = duct::StockCouplerId("joint");
  row.for_outer_diameter_mm = 60;
  row.coupler = std::get<duct::Coupler>(bay.job.ducts.front().fittings.front().kind);
  stock.couplers = {row};
  bay.job.ducts.front().fittings.clear();
  bay.ducts = *job::lay_out_ducts(bay.job.ducts, bay.bay);
  const auto without = find_routes(bay, duct::DuctId("intake"), {.time_s = 1e9, .repair = true});
  REQUIRE(without.has_value());
  CHECK(without->routes.empty());
  const auto result = find_routes(bay, duct::DuctId("intake"), {.time_s = 1e9, .stock = &stock, .repair = true});
  REQUIRE(result.has_value());
  REQUIRE_FALSE(result->routes.empty());
  const JudgedRoute& route = result->routes.front();
  CHECK(route.spec.tube.outer_diameter_mm == 60);
  CHECK(route.added == std::vector<duct::FittingId>{duct::FittingId("joint")});
  REQUIRE(route.change_mm.has_value());
  CHECK(*route.change_mm < 30);
  CHECK(checks::exit_code(checked_with(bay, route.spec).summary) == 0);
}

TEST_CASE("two points are taken out of a drawn route where it has two bends too many", "[repair]") {
  test::PlantOptions options;
  options.motion = false;
  job::Installation bay = test::planted_bay(options).installation;
  bay.bay.ports = {test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), 60, 0),
                   test::port("compressor-in", {1200, 0, 0}, -Vec3::UnitX(), 60, 0)};
  for (bay::Port& p : bay.bay.ports) p.bore_mm = 56;
  bay.bay.parts = {test::box_part("block", {500, -300, -100}, {700, -200, 100}, 0)};
  duct::DuctSpec& spec = bay.job.ducts.front();
  spec.fittings.clear();
  spec.route = test::route({{0, 0, 0}, {250, 0, 0}, {420, 290, 0}, {780, 290, 0}, {950, 0, 0}, {1200, 0, 0}}, 90);
  bay.ducts = *job::lay_out_ducts(bay.job.ducts, bay.bay);
  const auto mended = [&bay](double most_bends) {
    bay.sheet.limits["in.bends"].value = most_bends;
    return *find_routes(bay, duct::DuctId("intake"), {.time_s = 1e9, .repair = true});
  };
  CHECK(mended(4).as_given.meets);
  const SearchResult result = mended(2);
  CHECK_FALSE(result.as_given.meets);
  REQUIRE_FALSE(result.routes.empty());
  CHECK(result.routes.front().bends <= 2);
  CHECK(result.routes.front().change_mm.value_or(0) < 295);
}

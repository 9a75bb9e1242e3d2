#include <catch2/catch.hpp>

#include <tbb/global_control.h>

#include <cmath>
#include <set>

#include "job/lay_out_ducts.hpp"
#include "routing/angle_steps.hpp"
#include "routing/route_search.hpp"
#include "searched.hpp"
#include "session/evaluate.hpp"
#include "tests/support/case_count.hpp"
#include "tests/support/planted_bay.hpp"

using namespace baywright;
using namespace baywright::routing;
using test::checked_with;
using test::options_of;

namespace {

duct::StockTube tube(const char* id, double outer_mm, std::vector<double> radii_mm) {
  duct::StockTube t;
  t.id = duct::StockTubeId(id);
  t.size = {outer_mm, 2};
  t.bend_radii_mm = std::move(radii_mm);
  t.least_straight_mm = 100;
  t.end_straight_mm = 20;
  t.source = "test";
  return t;
}

const duct::StockTube& row_of(const duct::Stock& stock, const duct::StockTubeId& id) {
  for (const duct::StockTube& t : stock.tubes) {
    if (t.id == id) return t;
  }
  throw std::runtime_error("no such tube");
}

/// Everything the stock says of a route, looked at in its layout.
void check_stock(const duct::DuctSpec& spec, const duct::StockTube& row) {
  CHECK(spec.tube == row.size);
  const auto layout = duct::lay_out_route(spec.route);
  REQUIRE(layout.has_value());
  for (const duct::Bend& bend : layout->bends) {
    CHECK(std::find(row.bend_radii_mm.begin(), row.bend_radii_mm.end(), bend.radius_mm) != row.bend_radii_mm.end());
  }
  CHECK(on_steps(*layout, row.angle_step));
  const auto straights = layout->straights();
  for (std::size_t i = 0; i < straights.size(); ++i) {
    const bool end = i == 0 || i + 1 == straights.size();
    CHECK(straights[i].length_mm() > (end ? row.end_straight_mm : row.least_straight_mm) - 0.03);
  }
}

}  // namespace

TEST_CASE("each tube of the stock is made with each radius that the sheet allows", "[stock]") {
  const test::PlantedBay bay = test::planted_bay(options_of(3, 15));
  // The sheet asks for 1.5 diameters: 90 mm of 60, 75 mm of 50, 120 mm of 80.
  const duct::Stock stock{{tube("a", 60, {120, 90, 80}), tube("b", 50, {75}), tube("c", 80, {100})}, {}};
  const auto makes = makes_of(bay.installation, bay.installation.ducts.front(), &stock);
  REQUIRE(makes.has_value());
  REQUIRE(makes->makes.size() == 3);
  CHECK(makes->makes[0].need.bend_radius_mm == 120);
  CHECK(makes->makes[1].need.bend_radius_mm == 90);
  CHECK(makes->makes[1].need.radii_mm == std::vector<double>{120, 90});
  CHECK(makes->makes[1].need.most_radii == 1);  // fb.radius: one die for a tube
  CHECK(makes->makes[2].olds.front().spec.tube.outer_diameter_mm == 50);
  CHECK(makes->makes[2].need.outer_diameter_mm == 50);
  CHECK(makes->makes[0].need.stock_straight_mm == 100);
  REQUIRE(makes->left_out.size() == 1);
  CHECK(makes->left_out[0].find("tube c") == 0);
  const duct::Stock none{{tube("c", 80, {100})}, {}};
  CHECK_FALSE(makes_of(bay.installation, bay.installation.ducts.front(), &none).has_value());
}

TEST_CASE("routes of a stock keep its radii and straights and pass the full check", "[stock]") {
  const duct::Stock stock{{tube("a", 60, {120, 90}), tube("b", 50, {75})}, {}};
  const auto runs = static_cast<unsigned>(test::case_count(2));
  unsigned solved = 0;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    CAPTURE(seed);
    test::PlantedBay bay = test::planted_bay(options_of(2 * seed + 1, 12));
    bay.installation.sheet.not_required["fb.radius"] = "as many dies as you like";
    bay.installation.sheet.limits.erase("fb.radius");
    const auto result =
        find_routes(bay.installation, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9, .stock = &stock});
    REQUIRE(result.has_value());
    solved += !result->routes.empty();
    for (const JudgedRoute& route : result->routes) {
      check_stock(route.spec, row_of(stock, route.tube));
      CHECK(checks::exit_code(checked_with(bay.installation, route.spec).summary) == 0);
    }
  }
  CHECK(solved == runs);
}

TEST_CASE("bends that come in steps are on their steps in every route", "[stock]") {
  duct::Stock stock{{tube("a", 60, {90})}, {}};
  stock.tubes[0].angle_step = degrees(5);
  test::PlantOptions options = options_of(1, 30);
  const test::PlantedBay bay = test::planted_bay(options);
  const auto result =
      find_routes(bay.installation, duct::DuctId("intake"), {.effort = 2, .time_s = 1e9, .stock = &stock});
  REQUIRE(result.has_value());
  CHECK_FALSE(result->routes.empty());
  for (const JudgedRoute& route : result->routes) check_stock(route.spec, stock.tubes[0]);
  for (const JudgedRoute& route : result->near_misses) check_stock(route.spec, stock.tubes[0]);
}

TEST_CASE("a duct that lacks a soft joint gets one of the stock, on every route", "[stock]") {
  test::PlantedBay bay = test::planted_bay(options_of(2, 15));
  duct::StockCoupler row;
  row.id = duct::StockCouplerId("joint");
  row.for_outer_diameter_mm = 60;
  row.coupler = std::get<duct::Coupler>(bay.planted.fittings.front().kind);
  bay.installation.job.ducts.front().fittings.clear();
  bay.installation.ducts = *job::lay_out_ducts(bay.installation.job.ducts, bay.installation.bay);
  duct::Stock stock{{tube("a", 60, {90})}, {}};
  const auto without =
      find_routes(bay.installation, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9, .stock = &stock});
  REQUIRE(without.has_value());
  CHECK(without->routes.empty());
  REQUIRE(without->left_out.size() == 1);
  CHECK(without->left_out[0].find("no coupler of the stock fits") != std::string::npos);

  stock.couplers = {row};
  const auto with =
      find_routes(bay.installation, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9, .stock = &stock});
  REQUIRE(with.has_value());
  REQUIRE_FALSE(with->routes.empty());
  for (const JudgedRoute& route : with->routes) {
    REQUIRE(route.spec.fittings.size() == 1);
    CHECK(route.spec.fittings[0].id.value == "joint");
    CHECK(route.added == std::vector<duct::FittingId>{duct::FittingId("joint")});
    CHECK(route.pieces == 3);
    CHECK(checks::exit_code(checked_with(bay.installation, route.spec).summary) == 0);
  }
}

TEST_CASE("routes of a stock are the same on one thread and on two", "[stock]") {
  const test::PlantedBay bay = test::planted_bay(options_of(4, 12));
  const duct::Stock stock{{tube("a", 60, {90, 120}), tube("b", 50, {75})}, {}};
  const auto routes_on = [&](std::size_t threads) {
    const tbb::global_control limit(tbb::global_control::max_allowed_parallelism, threads);
    return *find_routes(bay.installation, duct::DuctId("intake"),
                        {.effort = 1, .time_s = 1e9, .seed = 5, .stock = &stock});
  };
  const SearchResult one = routes_on(1), two = routes_on(2);
  REQUIRE_FALSE(one.routes.empty());
  REQUIRE(one.routes.size() == two.routes.size());
  for (std::size_t i = 0; i < one.routes.size(); ++i) CHECK(one.routes[i].spec == two.routes[i].spec);
  CHECK(one.tried == two.tried);
  CHECK(one.judged == two.judged);
}

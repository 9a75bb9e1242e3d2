#include <algorithm>
#include <catch2/catch.hpp>

#include "demo_job.hpp"
#include "routing/route_search.hpp"

using namespace baywright;

TEST_CASE("From scratch the first try's intake comes nearer, and a joint it has not is what stands in its way",
          "[route]") {
  job::Installation job = demo::checked("first-try").installation;
  job.workshop = {};  // its clamps are other ducts' and stay where they are
  const auto result = routing::find_routes(job, duct::DuctId("intake"), {.effort = 1, .time_s = 1e9});
  REQUIRE(result.has_value());
  // A rigid tube from filter to rocking engine can meet no sheet that asks for a soft joint: none is a route, the
  // nearest one has that in its way and little else.
  CHECK(result->routes.empty());
  REQUIRE_FALSE(result->near_misses.empty());
  const auto& best = result->near_misses.front();
  CHECK(best.bends <= 3);
  CHECK(best.bends < result->as_given.bends);
  REQUIRE(best.restriction_Pa.has_value());
  CHECK(*best.restriction_Pa < *result->as_given.restriction_Pa);
  CHECK(3 * best.in_the_way.size() <= result->as_given.in_the_way.size());
  std::string open;
  for (const checks::Finding& f : best.in_the_way) open += f.check + " ";
  INFO(open);
  const auto in_the_way = [&best](const std::string& check) {
    return std::any_of(best.in_the_way.begin(), best.in_the_way.end(),
                       [&](const checks::Finding& f) { return f.check == check; });
  };
  CHECK(in_the_way("fx.every"));
  for (const char* check : {"cr.static", "cr.motion", "cr.rotating", "cr.lines", "cr.bonnet", "ht.turbo", "in.bends",
                            "in.turn", "in.radius", "sn.up", "sn.down", "sn.clock", "br.after", "br.before"}) {
    CAPTURE(check);
    CHECK_FALSE(in_the_way(check));
  }
}

#include <catch2/catch.hpp>

#include <chrono>
#include <cstdio>
#include <ctime>

#include "routing/route_search.hpp"
#include "tests/support/case_count.hpp"
#include "tests/support/planted_bay.hpp"

using namespace baywright;
using namespace baywright::routing;

// The figures of docs/routing.md: not run with the others, because it takes minutes.
//   build/release/tests/unit/routing/routing_test "[share]"
TEST_CASE("share of planted bays that are solved", "[.share]") {
  const auto runs = static_cast<unsigned>(test::case_count(50));
  const char* stated = std::getenv("BAYWRIGHT_MARGIN");
  const double margin = stated ? std::atof(stated) : 10;
  const char* wanted = std::getenv("BAYWRIGHT_TRIANGLES");
  const auto triangles = static_cast<std::size_t>(wanted ? std::atof(wanted) : 30'000);
  const char* only = std::getenv("BAYWRIGHT_SEED");
  unsigned solved = 0, within = 0, no_more_bends = 0;
  std::printf("seed planted found routes first_s all_s cpu_s corridors tried judged loss_ratio planted_room\n");
  for (unsigned seed = only ? static_cast<unsigned>(std::atoi(only)) : 1; seed <= (only ? seed : runs); ++seed) {
    test::PlantOptions options;
    options.seed = seed;
    options.bends = 2 + static_cast<int>(seed % 5);
    options.margin_mm = margin;
    options.triangles = triangles;
    options.motion = seed % 2 == 0;
    const test::PlantedBay bay = test::planted_bay(options);
    const auto judge = *Judge::of(bay.installation, duct::DuctId("intake"), {});
    Course planted;
    for (const auto& point : bay.planted.route.points) planted.points.push_back(point.p_mm);
    planted.radius_mm = 90;
    const JudgedRoute known = *judge.judge(bay.planted, planted, {});
    const auto start = std::chrono::steady_clock::now();
    const std::clock_t cpu = std::clock();
    const auto result = *find_routes(bay.installation, duct::DuctId("intake"), {.effort = 4, .time_s = 10});
    const double all = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    const bool found = !result.routes.empty();
    solved += found;
    within += found && result.first_after_s <= 10;
    no_more_bends += found && result.routes.front().bends <= known.bends;
    std::printf("%4u %d %d %zu %6.2f %6.2f %6.2f %zu %zu %zu %.3f %.1f\n", seed, known.bends,
                found ? result.routes.front().bends : -1, result.routes.size(), result.first_after_s, all,
                static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC, result.corridors, result.tried, result.judged,
                found ? *result.routes.front().restriction_Pa / *known.restriction_Pa : 0.0,
                known.least_room_mm.value_or(-1));
    std::fflush(stdout);
    if (only) break;
  }
  std::printf("solved %u of %u, within 10 s %u, no more bends than planted %u\n", solved, runs, within, no_more_bends);
  CHECK(solved > 0);
}

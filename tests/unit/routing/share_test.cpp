#include <catch2/catch.hpp>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <vector>

#include "routing/route_search.hpp"
#include "tests/support/case_count.hpp"
#include "tests/support/planted_bay.hpp"

using namespace baywright;
using namespace baywright::routing;

namespace {

double stated(const char* name, double otherwise) {
  const char* text = std::getenv(name);
  return text ? std::atof(text) : otherwise;
}

/// Of values, sorted here; -1 where there are none.
double share_of(std::vector<double>& values, double share) {
  if (values.empty()) return -1;
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5)];
}

}  // namespace

// The figures of docs/routing.md: not run with the others, because it takes minutes.
//   build/release/tests/unit/routing/routing_test "[share]"
// The environment tells which bays: BAYWRIGHT_MARGIN (mm), BAYWRIGHT_TRIANGLES, BAYWRIGHT_DEAD_ENDS, BAYWRIGHT_BLOCKS,
// BAYWRIGHT_BLOCKED (1: a wall across), BAYWRIGHT_FIRST (seed of the first), BAYWRIGHT_SEED (one only),
// BAYWRIGHT_EFFORT.
TEST_CASE("share of planted bays that are solved", "[.share]") {
  const auto runs = static_cast<unsigned>(test::case_count(50));
  const auto first = static_cast<unsigned>(stated("BAYWRIGHT_FIRST", 1));
  const auto only = static_cast<unsigned>(stated("BAYWRIGHT_SEED", 0));
  std::vector<double> first_after, whole, processor, loss_ratio;
  unsigned solved = 0, within = 0, no_more_bends = 0;
  std::printf("seed planted found routes first_s all_s cpu_s corridors tried judged loss_ratio planted_room\n");
  for (unsigned seed = only ? only : first; seed < (only ? only + 1 : first + runs); ++seed) {
    test::PlantOptions options;
    options.seed = seed;
    options.bends = 2 + static_cast<int>(seed % 5);
    options.margin_mm = stated("BAYWRIGHT_MARGIN", options.margin_mm);
    options.triangles = static_cast<std::size_t>(stated("BAYWRIGHT_TRIANGLES", 30'000));
    options.motion = seed % 2 == 0;
    options.dead_ends = static_cast<int>(stated("BAYWRIGHT_DEAD_ENDS", 0));
    options.blocks = static_cast<int>(stated("BAYWRIGHT_BLOCKS", options.blocks));
    options.blocked = stated("BAYWRIGHT_BLOCKED", 0) != 0;
    const test::PlantedBay bay = test::planted_bay(options);
    const auto judge = *Judge::of(bay.installation, duct::DuctId("intake"), {});
    Course planted;
    for (const auto& point : bay.planted.route.points) planted.points.push_back(point.p_mm);
    planted.radius_mm = 90;
    const JudgedRoute known = *judge.judge(bay.planted, planted, {});
    const auto start = std::chrono::steady_clock::now();
    const std::clock_t cpu = std::clock();
    const auto result = *find_routes(bay.installation, duct::DuctId("intake"),
                                     {.effort = static_cast<int>(stated("BAYWRIGHT_EFFORT", 4)), .time_s = 60});
    const double all = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    const bool found = !result.routes.empty();
    whole.push_back(all);
    processor.push_back(static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC);
    if (found) {
      first_after.push_back(result.first_after_s);
      loss_ratio.push_back(*result.routes.front().restriction_Pa / *known.restriction_Pa);
    }
    solved += found;
    within += found && result.first_after_s <= 10;
    no_more_bends += found && result.routes.front().bends <= known.bends;
    std::printf("%4u %d %d %zu %6.2f %6.2f %6.2f %zu %zu %zu %.3f %.1f\n", seed, known.bends,
                found ? result.routes.front().bends : -1, result.routes.size(), result.first_after_s, all,
                processor.back(), result.corridors, result.tried, result.judged, found ? loss_ratio.back() : 0.0,
                known.least_room_mm.value_or(-1));
    std::fflush(stdout);
  }
  std::printf("solved %u of %zu, within 10 s %u, no more bends than planted %u\n", solved, whole.size(), within,
              no_more_bends);
  const auto tell = [](const char* what, std::vector<double>& values) {
    const double least = share_of(values, 0), middle = share_of(values, 0.5), nearly_all = share_of(values, 0.95);
    std::printf("%s: least %.3f, median %.3f, 95 of 100 %.3f, greatest %.3f\n", what, least, middle, nearly_all,
                share_of(values, 1));
  };
  tell("first route, s", first_after);
  tell("whole search, s", whole);
  tell("processor time, s", processor);
  tell("restriction to that of the planted", loss_ratio);
  CHECK((stated("BAYWRIGHT_BLOCKED", 0) != 0 ? solved == 0 : solved > 0));
}

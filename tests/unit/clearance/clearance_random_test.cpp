#include "geometry/clearance/clearance.hpp"

#include <chrono>
#include <cstdlib>
#include <iostream>

#include <catch2/catch.hpp>

#include "random_scenes.hpp"
#include "tests/support/case_count.hpp"

namespace baywright {
namespace {

using test::Random;
using test::random_scene;
using test::Scene;

struct Tally {
  int cases = 0, poses = 0, violations = 0, wide = 0, unattained = 0, beyond = 0, inside = 0;
  double worst_below = 0, worst_width = 0, worst_repeat = 0, slowest_ms = 0, total_ms = 0;
};

/// BAYWRIGHT_ONLY=243839 measures that case alone; the others are only made, so that it is the same one.
bool passed_over(int number) {
  const char* only = std::getenv("BAYWRIGHT_ONLY");
  return only && std::atoi(only) != number;
}

void run_scene(Random& random, const Scene& s, int poses, Tally& tally) {
  if (passed_over(tally.cases + 1)) {
    ++tally.cases;
    for (int i = 0; i < poses; ++i) test::random_state(random, s.kinematics);
    return;
  }
  ClearanceOptions options;
  const auto start = std::chrono::steady_clock::now();
  const Bracket b = clearance(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, options);
  const double ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  tally.slowest_ms = std::max(tally.slowest_ms, ms);
  tally.total_ms += ms;
  if (b.cells > 20'000 && std::getenv("BAYWRIGHT_TALLY")) {
    std::cout << "case " << tally.cases + 1 << ": " << b.cells << " cells, " << ms << " ms\n";
  }
  ++tally.cases;
  tally.beyond += b.beyond_range;
  tally.inside += b.hi_mm < 0;
  if (!b.beyond_range) {
    tally.worst_width = std::max(tally.worst_width, b.hi_mm - b.lo_mm);
    tally.wide += !(b.hi_mm - b.lo_mm <= options.width_mm);
    const Bracket again = clearance_at(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, b.state, {0.1, 1e4});
    tally.worst_repeat = std::max(tally.worst_repeat, std::abs(again.hi_mm - b.hi_mm));
    tally.unattained += !(std::abs(again.hi_mm - b.hi_mm) < 1e-4);
  }
  for (int i = 0; i < poses; ++i) {
    const PosedState state = test::random_state(random, s.kinematics);
    const Bracket at = clearance_at(s.kinematics, s.shapes, s.carriage, s.tree, s.surface, state, {0.1, 100});
    ++tally.poses;
    const double below = b.lo_mm - at.hi_mm;
    tally.worst_below = std::max(tally.worst_below, below);
    tally.violations += below > 1e-6;
  }
}

void report(const char* name, const Tally& t) {
  if (!std::getenv("BAYWRIGHT_TALLY")) return;
  std::cout << name << ": " << t.cases << " cases (" << t.beyond << " beyond, " << t.inside << " inside), " << t.poses
            << " poses, violations " << t.violations << " worst " << t.worst_below << ", wide " << t.wide << " worst "
            << t.worst_width << ", unattained " << t.unattained << " worst " << t.worst_repeat << ", mean ms "
            << t.total_ms / std::max(1, t.cases) << " slowest " << t.slowest_ms << std::endl;
}

/// Bodies, carriages and shapes at random, few triangles so that each case is quick. BAYWRIGHT_TALLY=1 prints what
/// was tried and the worst of it; BAYWRIGHT_CASES=10 runs ten times as many.
template <class Make>
void run_many(const char* name, const Make& make, unsigned seed, int cases, int poses) {
  if (const char* other = std::getenv("BAYWRIGHT_SEED")) seed += static_cast<unsigned>(std::atoi(other));
  Random random(seed);
  cases = static_cast<int>(test::case_count(cases));
  Tally tally;
  for (int i = 0; i < cases; ++i) {
    run_scene(random, make(random), i % 50 ? poses : 20 * poses, tally);
  }
  report(name, tally);
  CHECK(tally.violations == 0);
  CHECK(tally.wide == 0);
  CHECK(tally.unattained == 0);
  CHECK(tally.inside > cases / 20);
  CHECK(tally.beyond < cases / 2);
}

void run_many(const char* name, bool linked, bool soft, unsigned seed, int cases, int poses) {
  run_many(
      name, [=](Random& random) { return random_scene(random, linked, soft); }, seed, cases, poses);
}

TEST_CASE("random rigid carriages: nothing below lo, hi attained, narrow") {
  run_many("fixed", false, false, 1000, 100'000, 10);
}

TEST_CASE("random soft carriages: nothing below lo, hi attained, narrow") {
  run_many("soft", false, true, 2000, 1500, 20);
}

TEST_CASE("random flexible joints: nothing below lo, hi attained, narrow") {
  run_many(
      "flexible", [](Random& random) { return test::random_joint(random); }, 5000, 3000, 20);
}

TEST_CASE("random links: nothing below lo, hi attained, narrow") { run_many("link", true, false, 3000, 800, 20); }

TEST_CASE("random soft joints on links: nothing below lo, hi attained, narrow") {
  run_many("link and soft", true, true, 4000, 150, 40);
}

}  // namespace
}  // namespace baywright

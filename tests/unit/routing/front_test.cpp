#include <catch2/catch.hpp>

#include "routing/front.hpp"

using namespace baywright;
using namespace baywright::routing;

namespace {

/// A route that meets, straight along x and `aside` beside it; only what it is compared by matters.
JudgedRoute route(int bends, double restriction_Pa, double margin_mm, double length_mm, int pieces, double aside_mm) {
  JudgedRoute r;
  r.meets = true;
  r.bends = bends;
  r.restriction_Pa = restriction_Pa;
  r.least_room_mm = margin_mm;
  r.length_mm = length_mm;
  r.pieces = pieces;
  r.course = {{{0, aside_mm, 0}, {500, aside_mm, 0}}, 90};
  return r;
}

std::vector<double> asides(const std::vector<JudgedRoute>& routes) {
  std::vector<double> out;
  for (const JudgedRoute& r : routes) out.push_back(r.course.points[0].y());
  return out;
}

}  // namespace

TEST_CASE("a route dominates one that is no better in any of the five", "[front]") {
  const JudgedRoute base = route(3, 1000, 5, 800, 1, 0);
  CHECK_FALSE(dominates(base, base));
  CHECK(dominates(base, route(4, 1000, 5, 800, 1, 0)));
  CHECK(dominates(base, route(3, 1100, 5, 800, 1, 0)));
  CHECK(dominates(base, route(3, 1000, 4, 800, 1, 0)));
  CHECK(dominates(base, route(3, 1000, 5, 810, 1, 0)));
  CHECK(dominates(base, route(3, 1000, 5, 800, 2, 0)));
  CHECK_FALSE(dominates(base, route(2, 2000, 1, 900, 3, 0)));
  // Margin beyond the ample one is no better.
  CHECK_FALSE(dominates(route(3, 1000, 80, 800, 1, 0), route(3, 1000, 40, 800, 1, 0)));
  // A restriction that nobody knows is no better than any.
  JudgedRoute unknown = base;
  unknown.restriction_Pa.reset();
  CHECK_FALSE(dominates(unknown, route(4, 5000, 1, 900, 3, 0)));
  CHECK_FALSE(dominates(base, unknown));
  CHECK(dominates(base, [&] {
    JudgedRoute longer = unknown;
    longer.length_mm = 900;
    return longer;
  }()));
}

TEST_CASE("weights are one bend, 0.1 kPa, 5 mm of margin, 100 mm and one piece", "[front]") {
  Weights w{1, 10, 100, 1000, 10000};
  // 3 bends; 1000 Pa are 10 of 100 Pa; 20 mm are 4 of 5 mm; 800 mm are 8 of 100 mm; 2 pieces.
  CHECK(weighted(route(3, 1000, 20, 800, 2, 0), w) == Approx(3 + 10 * 10 - 100 * 4 + 1000 * 8 + 10000 * 2));
  REQUIRE(set_weight("restriction=2.5", w));
  CHECK(w.restriction == 2.5);
  REQUIRE(set_weight("bends=0", w));
  CHECK(w.bends == 0);
  for (const char* bad :
       {"restriction", "restriction=", "restriction=-1", "restriction=x", "noise=1", "=1", "bends=inf"}) {
    CAPTURE(bad);
    CHECK_FALSE(set_weight(bad, w));
  }
  CHECK(to_line(set_weight("noise=1", w).error()).find("bends, restriction, margin, length") != std::string::npos);
}

TEST_CASE("the weights choose which route comes first, the front comes before the others", "[front]") {
  const JudgedRoute few = route(2, 2000, 2, 900, 1, 0), open = route(3, 1000, 5, 900, 1, 100),
                    wide = route(3, 1500, 25, 950, 1, 200), poor = route(4, 2500, 1, 990, 1, 300);
  const auto kept = [&](const Weights& weights) {
    std::vector<JudgedRoute> out;
    for (const JudgedRoute& r : {poor, wide, open, few}) keep_on_front(r, out, 5, weights);
    return out;
  };
  const auto by_bends = kept({100, 0, 0, 0, 0});
  REQUIRE(by_bends.size() == 4);
  CHECK(by_bends[0].course.points[0].y() == 0);
  CHECK(by_bends[3].course.points[0].y() == 300);
  CHECK(by_bends[3].dominated);
  CHECK_FALSE(by_bends[2].dominated);
  CHECK(asides(kept({0, 1, 0, 0, 0}))[0] == 100);
  CHECK(asides(kept({0, 0, 1, 0, 0}))[0] == 200);
}

TEST_CASE("of routes that hardly differ the preferred one is kept, and what is too much goes", "[front]") {
  const Weights weights;
  std::vector<JudgedRoute> kept;
  keep_on_front(route(3, 1000, 5, 800, 1, 0), kept, 3, weights);
  keep_on_front(route(3, 980, 5, 795, 1, 20), kept, 3, weights);  // 20 mm beside it, and better
  REQUIRE(kept.size() == 1);
  CHECK(*kept[0].restriction_Pa == 980);
  keep_on_front(route(3, 1000, 5, 800, 1, 0), kept, 3, weights);
  CHECK(*kept[0].restriction_Pa == 980);
  keep_on_front(route(4, 900, 5, 900, 1, 200), kept, 3, weights);   // least restriction
  keep_on_front(route(5, 1100, 4, 900, 1, 300), kept, 3, weights);  // dominated
  REQUIRE(kept.size() == 3);
  keep_on_front(route(4, 1500, 25, 950, 1, 400), kept, 3, weights);  // most margin
  CHECK(asides(kept) == std::vector<double>{20, 200, 400});
}

#include "access/travel_up_to.hpp"

#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

namespace baywright::access {
namespace {

/// A handle of no width and length 100 among points at these angles on its tip's circle: room is the distance of a
/// point from the segment less what is demanded.
RoomAlong among(const std::vector<double>& points_deg, double demanded_mm, int* asked = nullptr) {
  return [=](double angle) {
    if (asked) ++*asked;
    double least = 25;
    for (const double at_deg : points_deg) {
      const double d = std::remainder(angle - degrees(at_deg).si(), 2 * std::numbers::pi);
      least = std::min(least, (std::abs(d) < std::numbers::pi / 2 ? 100 * std::abs(std::sin(d)) : 100.0) - demanded_mm);
    }
    return least;
  };
}

TEST_CASE("nothing in the way: a full turn") {
  int asked = 0;
  const auto arcs = free_arcs(among({}, 3, &asked), 100);
  REQUIRE(arcs.size() == 1);
  CHECK(to_degrees(arcs[0].width()) == Approx(360));
  CHECK(asked == 24);  // 22 prove 12.6 degrees to either side: slices of 15 are proven whole
}

TEST_CASE("everything in the way: no arc") {
  CHECK(free_arcs([](double) { return -1.0; }, 100).empty());
  CHECK(free_arcs([](double) { return 0.0; }, 100).empty());
}

TEST_CASE("one point in the way leaves all but what the demanded room takes on both sides") {
  for (const double at : {0.0, 2.5, 47.3, 180.0, 359.0}) {
    const auto arcs = free_arcs(among({at}, 10), 100);
    INFO("point at " << at);
    REQUIRE(arcs.size() == 1);
    const double each = to_degrees(radians(std::asin(0.1)));  // 5.74 degrees
    CHECK(to_degrees(arcs[0].width()) <= 360 - 2 * each);
    CHECK(to_degrees(arcs[0].width()) >= 360 - 2 * each - 2 * to_degrees(kLeastTurn));
    CHECK(std::remainder(to_degrees(arcs[0].middle()) - at - 180, 360) == Approx(0).margin(0.4));
  }
}

TEST_CASE("between two points lies what is left, and the wider arc is the other way round") {
  const auto arcs = free_arcs(among({30, 60}, 10), 100);
  REQUIRE(arcs.size() == 2);
  const double each = to_degrees(radians(std::asin(0.1)));
  double sum = 0;
  for (const Arc& arc : arcs) sum += to_degrees(arc.width());
  CHECK(sum == Approx(360 - 4 * each).margin(4 * to_degrees(kLeastTurn)));
  CHECK(sum <= 360 - 4 * each);
}

TEST_CASE("a free stretch is never claimed where it is blocked, however thin the obstacle") {
  // Blocked over a twentieth of a degree only: between all angles that are looked at.
  for (double at = 0; at < 360; at += 7.77) {
    const auto room = among({at}, 100 * std::sin(degrees(0.025).si()));
    for (const Arc& arc : free_arcs(room, 100)) {
      for (const double turn : {0.0, 360.0}) {
        const bool inside = to_degrees(arc.from) < at + turn && at + turn < to_degrees(arc.to);
        CHECK_FALSE(inside);
      }
    }
  }
}

TEST_CASE("a straight way is free when nothing on it comes too near") {
  // A point 5 beside the way at 40; 4 demanded: free. 6 demanded: blocked, unless the way ends before.
  const auto past = [](double demanded) { return [=](double x) { return std::hypot(5, x - 40) - demanded; }; };
  CHECK(free_way(past(4), 100));
  CHECK_FALSE(free_way(past(6), 100));
  CHECK(free_way(past(6), 30));
  CHECK(free_way(past(4), 0));
  CHECK_FALSE(free_way(past(6), 40));
  CHECK(free_way([](double) { return 0.3; }, 1000));  // a long way along a wall
  CHECK_FALSE(free_way([](double) { return 0.0; }, 1000));
}

TEST_CASE("room that is cut off at what is asked for proves the same") {
  for (double at = 0; at < 360; at += 23.3) {
    const RoomAlong whole = among({at, at + 50}, 10);
    double most_asked = 0;
    const auto cut = [&](double angle, double enough_mm) {
      most_asked = std::max(most_asked, enough_mm);
      return std::min(whole(angle), enough_mm);
    };
    const auto expected = free_arcs(whole, 100), arcs = free_arcs(cut, 100);
    REQUIRE(arcs.size() == expected.size());
    for (std::size_t i = 0; i < arcs.size(); ++i) {
      CHECK(arcs[i].from.si() == Approx(expected[i].from.si()).margin(1e-12));
      CHECK(arcs[i].to.si() == Approx(expected[i].to.si()).margin(1e-12));
    }
    CHECK(most_asked == Approx(100 * degrees(7.5).si()));  // half a slice of 15 degrees
  }
  // Exactly as much as is asked for, everywhere: free; a little less at the last stretch that is looked at: not.
  CHECK(free_way([](double, double enough_mm) { return enough_mm; }, 1000));
  CHECK_FALSE(free_way([](double, double enough_mm) { return 0.2 * std::min(enough_mm, kLeastRoom_mm); }, 1000));
}

}  // namespace
}  // namespace baywright::access

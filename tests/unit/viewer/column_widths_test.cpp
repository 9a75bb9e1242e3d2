#include "viewer/window/column_widths.hpp"

#include <catch2/catch.hpp>

#include <numeric>

using baywright::viewer::shared_widths;

TEST_CASE("Columns that fit get what they need, the last one the rest", "[viewer]") {
  CHECK(shared_widths(500, {100, 200}, 110) == std::vector<int>{100, 400});
  CHECK(shared_widths(300, {}, 110).empty());
}

TEST_CASE("Columns that do not fit share the room", "[viewer]") {
  const auto widths = shared_widths(400, {300, 500}, 100);
  CHECK(std::accumulate(widths.begin(), widths.end(), 0) <= 400);
  CHECK(std::accumulate(widths.begin(), widths.end(), 0) >= 398);
  CHECK(widths[0] < widths[1]);
}

TEST_CASE("No column gets narrower than can be read, nor wider than it needs for that", "[viewer]") {
  CHECK(shared_widths(50, {300, 500}, 110) == std::vector<int>{110, 110});
  CHECK(shared_widths(50, {300, 40}, 110) == std::vector<int>{110, 40});
  CHECK(shared_widths(-20, {300, 500}, 110) == std::vector<int>{110, 110});
}

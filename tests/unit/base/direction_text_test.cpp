#include "geometry/direction_text.hpp"

#include <catch2/catch.hpp>

using namespace baywright;

TEST_CASE("a direction in the vehicle's words: strongest first, and what is under a quarter left out") {
  CHECK(vehicle_words({1, 0, 0}) == "forward");
  CHECK(vehicle_words({-1, 0, 0}) == "back");
  CHECK(vehicle_words({0, 1, 0}) == "left");
  CHECK(vehicle_words({0, -1, 0}) == "right");
  CHECK(vehicle_words({0, 0, -1}) == "down");
  CHECK(vehicle_words(Vec3(0.2, -0.1, 1).normalized()) == "up");
  CHECK(vehicle_words(Vec3(0.3, -0.1, 1).normalized()) == "up and forward");
  CHECK(vehicle_words(Vec3(0.5, -0.6, -0.7).normalized()) == "down and right and forward");
  CHECK(vehicle_words({0.25, 0, std::sqrt(1 - 0.0625)}) == "up and forward");
  CHECK(vehicle_words({0.2499, 0, std::sqrt(1 - 0.2499 * 0.2499)}) == "up");
  // Of ways that are followed alike, as the axes come.
  CHECK(vehicle_words(Vec3(1, 1, 0).normalized()) == "forward and left");
}

TEST_CASE("a direction in coordinates: its axis where it lies on one, no minus before zero") {
  CHECK(direction_text({0, -1, 0}) == "-y");
  CHECK(direction_text({0, 0, 1}) == "+z");
  CHECK(direction_text({-0.001, 0.6, 0.8}) == "(0.00, 0.60, 0.80)");
}

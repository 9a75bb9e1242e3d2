#include "geometry/base/near_word.hpp"

#include <catch2/catch.hpp>

using namespace baywright;

TEST_CASE("a slip of the pen finds its word") {
  const std::vector<std::string> known{"bore_mm", "bend_radius_mm", "body", "name"};
  CHECK(nearest_word("boddy", known) == "body");
  CHECK(nearest_word("bend_radius", known) == "bend_radius_mm");
  CHECK(nearest_word("bore", known) == "bore_mm");
  CHECK(nearest_word("temperature", known).empty());
  CHECK(nearest_word("", known).empty());
  CHECK(edit_distance("kitten", "sitting") == 3);  // the usual textbook pair
}

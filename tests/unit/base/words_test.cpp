#include "geometry/base/words.hpp"

#include <catch2/catch.hpp>
#include <set>
#include <vector>

using namespace baywright;

TEST_CASE("lists of words", "[words]") {
  CHECK(joined(std::vector<std::string>{}).empty());
  CHECK(joined(std::vector<std::string>{"a"}) == "a");
  CHECK(joined(std::vector<std::string>{"", "b"}) == ", b");
  CHECK(joined(std::set<std::string>{"b", "a"}, " and ") == "a and b");
  CHECK(in_quotes("a") == "\"a\"");
}

TEST_CASE("a kind and an id that says the same are not said twice", "[words]") {
  CHECK(named("cone", "C1") == "cone C1");
  CHECK(named("cone", "cone") == "cone");
  CHECK(named("tap", "tap-small") == "tap-small");
  CHECK(named("sensor tube", "sensor") == "sensor tube");
  CHECK(named("hump coupler", "hump-1") == "hump coupler hump-1");
  CHECK(named("port", "port2") == "port2");
  CHECK(named("port", "portal") == "port portal");
  CHECK(named("port", "") == "port ");
}

#include "catalog/tool.hpp"

#include <algorithm>

#include <catch2/catch.hpp>

namespace baywright {
namespace {

using catalog::Tool;

Tool tool(const std::string& id, double hexagon_mm = 8) {
  for (const Tool& t : catalog::usual_tools(hexagon_mm)) {
    if (t.id.value == id) return t;
  }
  FAIL("no tool " << id);
  return {};
}

TEST_CASE("room along the screw's axis, seated and lift-off, worked out by hand") {
  CHECK(axial_room_mm(tool("nut-driver"), 0) == 20 + 125 + 110 + 15);
  CHECK(axial_room_mm(tool("stubby-driver"), 0) == 115);
  CHECK(axial_room_mm(tool("ratchet"), 0) == 54);
  CHECK(axial_room_mm(tool("ratchet-deep"), 0) == 74);
  CHECK(axial_room_mm(tool("ratchet-deep"), 35) == 74 + 35);
  CHECK(axial_room_mm(tool("ratchet-ring"), 0) == 21);
  CHECK(axial_room_mm(tool("ring"), 0) == 19);
  CHECK(axial_room_mm(tool("ratchet"), 35) == 54);  // does not go over a stud: its length is no matter
}

TEST_CASE("a flat wall at 60 mm square to the screw lets pass the short ones only") {
  std::vector<std::string> pass;
  for (const Tool& t : catalog::usual_tools(8)) {
    if (t.approach == catalog::Approach::axial && axial_room_mm(t, 0) <= 60) pass.push_back(t.id.value);
  }
  CHECK(pass == std::vector<std::string>{"ratchet", "ratchet-ring", "ring"});
}

TEST_CASE("sockets and heads by size of hexagon") {
  // d1 = 1.25 s + 2.2: 7 -> 11.0 (10.95), 8 -> 12.2, 10 -> 14.7, 13 -> 18.5 (18.45)
  CHECK(catalog::socket_diameter_mm(8) == Approx(12.2));
  CHECK(catalog::socket_diameter_mm(10) == Approx(14.7));
  CHECK(catalog::socket_diameter_mm(7) == Approx(11.0).margin(0.06));
  CHECK(catalog::socket_diameter_mm(13) == Approx(18.5).margin(0.06));
  CHECK(tool("open", 10).lengths.front().diameter_mm == Approx(28));
  CHECK(tool("ring", 10).lengths.front().diameter_mm == Approx(19));
}

TEST_CASE("every tool has an id of its own, a size and a source; what swings lies on its lengths") {
  for (const double s : {7.0, 8.0, 10.0, 11.0, 13.0}) {
    std::vector<std::string> ids;
    for (const Tool& t : catalog::usual_tools(s)) {
      ids.push_back(t.id.value);
      CHECK(t.hexagon_mm == s);
      CHECK_FALSE(t.source.empty());
      REQUIRE_FALSE(t.lengths.empty());
      if (t.swing) CHECK(t.swing->height_mm < axial_room_mm(t, 0) - t.lift_off_mm);
    }
    std::sort(ids.begin(), ids.end());
    CHECK(std::adjacent_find(ids.begin(), ids.end()) == ids.end());
  }
}

}  // namespace
}  // namespace baywright

#include "catalog/tool.hpp"

#include <algorithm>

#include <catch2/catch.hpp>

#include "catalog/clamp_type.hpp"
#include "catalog/hose_material.hpp"

namespace baywright {
namespace {

using catalog::Tool;

Tool tool(const std::string& id) {
  for (const Tool& t : catalog::usual_tools()) {
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
  CHECK(axial_room_mm(tool("ring"), 40) == 19 + 40);
  CHECK(axial_room_mm(tool("open"), 40) == 5);  // slides on from the side
}

TEST_CASE("a flat wall at 60 mm square to the screw lets pass the short ones only") {
  std::vector<std::string> pass;
  for (const Tool& t : catalog::usual_tools()) {
    if (t.approach == catalog::Approach::axial && axial_room_mm(t, 0) <= 60) pass.push_back(t.id.value);
  }
  CHECK(pass == std::vector<std::string>{"ratchet", "ratchet-ring", "ring", "torque-wrench"});
}

TEST_CASE("sockets and heads by size of hexagon") {
  // d1 = 1.25 s + 2.2: 7 -> 11.0 (10.95), 8 -> 12.2, 10 -> 14.7, 13 -> 18.5 (18.45)
  const auto head = [](const std::string& id, double s) { return diameter_mm(tool(id).lengths.front(), s); };
  CHECK(head("ratchet", 8) == Approx(12.2));
  CHECK(head("ratchet", 10) == Approx(14.7));
  CHECK(head("ratchet", 7) == Approx(11.0).margin(0.06));
  CHECK(head("ratchet", 13) == Approx(18.5).margin(0.06));
  CHECK(head("open", 10) == Approx(28));
  CHECK(head("ring", 10) == Approx(19));
}

TEST_CASE("what suits a hexagon and a stud") {
  CHECK(suits(tool("ratchet"), 8, 0));
  CHECK(suits(tool("ratchet"), 25.4 * 5 / 16, 0));  // 7.94
  CHECK(suits(tool("ratchet"), 25.4 * 7 / 16, 0));  // 11.11
  CHECK_FALSE(suits(tool("ratchet"), 9, 0));
  CHECK_FALSE(suits(tool("ratchet"), 11, 40));  // a short socket does not go over a stud
  CHECK(suits(tool("ratchet-deep"), 11, 40));
  CHECK_FALSE(suits(tool("ratchet-deep"), 11, 50));
  CHECK(suits(tool("ring"), 11, 50));
}

TEST_CASE("every tool has an id of its own, a size, a hand and a source; what swings lies on its lengths") {
  std::vector<std::string> ids;
  for (const Tool& t : catalog::usual_tools()) {
    ids.push_back(t.id.value);
    INFO(t.id.value);
    CHECK_FALSE(t.source.empty());
    if (t.pliers) continue;
    CHECK_FALSE(t.hexagons_mm.empty());
    REQUIRE_FALSE(t.lengths.empty());
    CHECK(t.hand.has_value() != t.swing.has_value());
    if (t.swing) {
      CHECK(t.swing->height_mm < length_mm(t));
      CHECK(t.swing->hand.along_mm <= t.swing->length_mm);
    }
  }
  std::sort(ids.begin(), ids.end());
  CHECK(std::adjacent_find(ids.begin(), ids.end()) == ids.end());
}

TEST_CASE("what bends: shafts no tighter than a radius of 100, joints by 30 degrees, each short of handle and hand") {
  int shafts = 0, joints = 0;
  for (const Tool& t : catalog::usual_tools()) {
    if (!t.bend) continue;
    INFO(t.id.value);
    const double end = t.bend->from_mm + t.bend->over_mm;
    CHECK_FALSE(t.torque);
    if (t.bend->over_mm > 0) {
      ++shafts;
      CHECK(t.bend->over_mm / t.bend->greatest.si() >= 100);
      CHECK(t.bend->greatest <= degrees(180));
      CHECK(end <= length_mm(t) - t.hand->length_mm);
    } else {
      ++joints;
      CHECK(to_degrees(t.bend->greatest) == Approx(30));
      CHECK(to_degrees(t.swing->least) == Approx(25));
      CHECK(end == 25 + 19);  // socket, and half the joint's 38
      CHECK(end < t.swing->height_mm);
    }
  }
  CHECK(shafts == 3);
  CHECK(joints == 2);
}

TEST_CASE("every usual clamp has a source, a screw inside its body and tools that turn it") {
  for (const catalog::ClampType& clamp : catalog::usual_clamps()) {
    INFO(clamp.id.value);
    CHECK_FALSE(clamp.source.empty());
    CHECK(clamp.screw_height_mm < clamp.body_height_mm);
    CHECK(clamp.kind.has_value());
    CHECK(find_clamp(catalog::usual_clamps(), clamp.id) == &clamp);
    const auto tools = catalog::usual_tools();
    CHECK(std::any_of(tools.begin(), tools.end(), [&](const Tool& t) { return suits(t, clamp); }));
    for (const Tool& t : tools) CHECK((!suits(t, clamp) || t.pliers.has_value() != clamp.has_screw()));
    if (!clamp.has_screw()) continue;
    CHECK(std::any_of(tools.begin(), tools.end(),
                      [&](const Tool& t) { return suits(t, clamp.hexagon_mm, clamp.stud_mm); }));
    CHECK(std::any_of(tools.begin(), tools.end(),
                      [&](const Tool& t) { return t.torque && suits(t, clamp.hexagon_mm, clamp.stud_mm); }));
  }
  CHECK(find_clamp(catalog::usual_clamps(), catalog::ClampTypeId("none")) == nullptr);
}

TEST_CASE("every usual material of hoses has a source, a name and a peak that is no lower than what it always takes") {
  for (const catalog::HoseMaterial& m : catalog::usual_materials()) {
    INFO(m.id.value);
    CHECK_FALSE(m.name.empty());
    CHECK_FALSE(m.source.empty());
    CHECK(m.peak >= m.continuous);
    CHECK(find_material(catalog::usual_materials(), m.id) == &m);
  }
  CHECK(find_material(catalog::usual_materials(), catalog::HoseMaterialId("none")) == nullptr);
  // Oil behind a closed breather wants a liner in silicone.
  const auto oil = [](const char* id) {
    return find_material(catalog::usual_materials(), catalog::HoseMaterialId(id))->oil_proof;
  };
  CHECK_FALSE(oil("silicone"));
  CHECK(oil("silicone-fvmq"));
  CHECK_FALSE(oil("epdm"));
}

}  // namespace
}  // namespace baywright

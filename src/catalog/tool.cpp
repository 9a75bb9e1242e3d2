#include "catalog/tool.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"

namespace baywright::catalog {
namespace {

constexpr const char* kTypicalTool = "from memory: typical tool";
constexpr const char* kHead = "from memory: ISO 3318 greatest head width";
const std::vector<double> kSizes_mm = {7, 8, 10, 11, 13};
/// Fist around a bar: breadth of a hand 100, its depth 60, knuckles to thumb 90 (from memory of hand tables).
constexpr BarHand kFist{100, 60, 90};

Tool axial(const char* id, const char* name, std::vector<ToolLength> lengths, double lift_off_mm) {
  Tool tool;
  tool.id = ToolId(id);
  tool.name = name;
  tool.hexagons_mm = kSizes_mm;
  tool.lengths = std::move(lengths);
  tool.lift_off_mm = lift_off_mm;
  tool.source = kTypicalTool;
  return tool;
}

/// Greatest outer diameter of a hexagon socket for 6.3 mm square drive: 1.25 s + 2.2 (ISO 2725-1, from memory).
ToolLength socket(const char* name, double length_mm) { return {name, 2.2, length_mm, 1.25}; }

Tool driver(const char* id, const char* name, double shaft_mm, double handle_diameter_mm, double handle_mm,
            RoundHand hand) {
  Tool tool =
      axial(id, name, {socket("tip", 20), {"shaft", 6, shaft_mm}, {"handle", handle_diameter_mm, handle_mm}}, 15);
  tool.hand = hand;
  return tool;
}

Tool ratchet(const char* id, const char* name, std::vector<ToolLength> ahead) {
  constexpr double kHead_mm = 14, kHeadDiameter_mm = 26;
  double height = 0.5 * kHead_mm;
  for (const ToolLength& l : ahead) height += l.length_mm;
  ahead.push_back({"ratchet head", kHeadDiameter_mm, kHead_mm});
  Tool tool = axial(id, name, std::move(ahead), 15);
  tool.swing = ToolSwing{18, 13, 115, height, degrees(15), Angle(), kFist};
  return tool;
}

/// On a universal joint: the bar behind it stands up to 30 degrees off the screw's axis.
Tool jointed(const char* id, const char* name, double bar_mm) {
  const ToolLength head = socket("socket", 25), joint{"joint", 13, 38};
  Tool tool = ratchet(id, name, {head, joint, {"bar", 8, bar_mm}});
  tool.swing->least = degrees(25);
  tool.bend = ToolBend{head.length_mm + 0.5 * joint.length_mm, 0, degrees(30)};
  return tool;
}

/// On a shaft that bends all along, no tighter than a radius of 100.
Tool flexible(const char* id, const char* name, double shaft_mm) {
  constexpr double kLeastRadius_mm = 100;
  const ToolLength tip = socket("tip", 25);
  Tool tool = axial(id, name, {tip, {"flexible shaft", 8, shaft_mm}, {"handle", 32, 110}}, 15);
  tool.hand = RoundHand{107, 100};
  tool.bend = ToolBend{tip.length_mm, shaft_mm, degrees(std::floor(to_degrees(radians(shaft_mm / kLeastRadius_mm))))};
  return tool;
}

/// What goes over a stud of any length: it is open on both sides.
constexpr double kAnyStud_mm = 1000;

Tool spanner(const char* id, const char* name, ToolLength head, double shank_thickness_mm, double shank_mm, Angle least,
             double lift_off_mm) {
  const double height = 0.5 * head.length_mm;
  Tool tool = axial(id, name, {std::move(head)}, lift_off_mm);
  tool.swing = ToolSwing{10, shank_thickness_mm, shank_mm, height, least, Angle(), kFist};
  tool.greatest_stud_mm = kAnyStud_mm;
  return tool;
}

}  // namespace

bool suits(const Tool& tool, double hexagon_mm, double stud_mm) {
  return stud_mm <= tool.greatest_stud_mm &&
         std::any_of(tool.hexagons_mm.begin(), tool.hexagons_mm.end(),
                     [&](double s) { return std::abs(s - hexagon_mm) <= kSameHexagon_mm; });
}

bool suits(const Tool& tool, const ClampType& clamp) {
  return clamp.has_screw() ? suits(tool, clamp.hexagon_mm, clamp.stud_mm) : tool.pliers.has_value();
}

double diameter_mm(const ToolLength& length, double hexagon_mm) {
  return length.diameter_mm + length.diameter_per_hexagon * hexagon_mm;
}

double length_mm(const Tool& tool) {
  double sum = 0;
  for (const ToolLength& l : tool.lengths) sum += l.length_mm;
  if (tool.pliers) sum += tool.pliers->jaw_length_mm + tool.pliers->handle_length_mm;
  return sum;
}

double lift_off_mm(const Tool& tool, double stud_mm) {
  EXPECTS(stud_mm >= 0);
  const bool over = tool.approach == Approach::axial && tool.greatest_stud_mm > 0;
  return tool.lift_off_mm + (over ? stud_mm : 0);
}

double axial_room_mm(const Tool& tool, double stud_mm) {
  return length_mm(tool) + (tool.approach == Approach::axial ? lift_off_mm(tool, stud_mm) : 0);
}

std::vector<Tool> usual_tools() {
  std::vector<Tool> tools;
  tools.push_back(driver("nut-driver", "nut driver", 125, 32, 110, {107, 100}));
  tools.push_back(driver("stubby-driver", "stubby nut driver", 25, 32, 55, {107, 60}));
  tools.push_back(ratchet("ratchet", "1/4 in ratchet, short socket", {socket("socket", 25)}));
  struct Bar {
    const char *id, *name;
    double length_mm;
  };
  for (const Bar& bar : {Bar{"ratchet-bar-50", "1/4 in ratchet, short extension", 50},
                         Bar{"ratchet-bar-75", "1/4 in ratchet, medium extension", 75},
                         Bar{"ratchet-bar-150", "1/4 in ratchet, long extension", 150}}) {
    tools.push_back(
        ratchet(bar.id, bar.name, {socket("socket", 25), {"bar end", 13, 15}, {"bar", 8, bar.length_mm - 15}}));
  }
  Tool deep = ratchet("ratchet-deep", "1/4 in ratchet, deep socket", {socket("deep socket", 50)});
  deep.lift_off_mm = 10;
  deep.greatest_stud_mm = 45;
  tools.push_back(std::move(deep));
  tools.push_back(spanner("ratchet-ring", "ratcheting ring spanner", {"ring", 6, 9, 1.5}, 6, 130, degrees(10), 9 + 3));
  Tool ring = spanner("ring", "12-point ring spanner, cranked", {"ring", 4, 8, 1.5}, 6, 125, degrees(30), 8 + 3);
  ring.swing->tilt = degrees(15);
  ring.source = std::string(kHead) + "; swing NAVEDTRA 14001, 30 degrees";
  tools.push_back(std::move(ring));
  Tool open = spanner("open", "open spanner, 15 degree jaw", {"head", 7, 5, 2.1}, 5, 120, degrees(30), 0);
  open.approach = Approach::radial;
  open.lift_off_mm = 30;  // head width on the largest common hexagon, 2.1 * 11 + 7
  open.source = std::string(kHead) + "; 30 degrees by turning it over, NAVEDTRA 14001";
  tools.push_back(std::move(open));
  Tool torque_driver = driver("torque-driver", "torque screwdriver", 125, 42, 120, {110, 110});
  torque_driver.torque = true;
  torque_driver.source = std::string(kTypicalTool) + ", 1 to 6 N m";
  tools.push_back(std::move(torque_driver));
  Tool wrench = axial("torque-wrench", "1/4 in torque wrench", {socket("socket", 25), {"head", 30, 20}}, 15);
  wrench.swing = ToolSwing{30, 30, 230, 35, degrees(60), Angle(), kFist};
  wrench.torque = true;
  wrench.source = std::string(kTypicalTool) + ", 2 to 15 N m";
  Tool deep_wrench = axial("torque-wrench-deep", "1/4 in torque wrench, deep socket",
                           {socket("deep socket", 50), {"head", 30, 20}}, 10);
  deep_wrench.swing = wrench.swing;
  deep_wrench.swing->height_mm = 60;
  deep_wrench.greatest_stud_mm = 45;
  deep_wrench.torque = true;
  deep_wrench.source = wrench.source;
  // On a bar, where its handle finds room farther off.
  const ToolLength bar_end{"bar end", 13, 15}, bar{"bar", 8, 135};
  const auto on_bar = [&](Tool tool, const char* id, const char* name) {
    tool.id = ToolId(id);
    tool.name = name;
    tool.lengths = {tool.lengths.front(), bar_end, bar, tool.lengths.back()};
    tool.swing->height_mm += bar_end.length_mm + bar.length_mm;
    return tool;
  };
  Tool far_wrench = on_bar(wrench, "torque-wrench-bar-150", "1/4 in torque wrench, long extension");
  Tool far_deep =
      on_bar(deep_wrench, "torque-wrench-deep-bar-150", "1/4 in torque wrench, deep socket, long extension");
  for (Tool* tool : {&wrench, &deep_wrench, &far_wrench, &far_deep}) tools.push_back(std::move(*tool));
  tools.push_back(jointed("ratchet-joint-75", "1/4 in ratchet, universal joint, medium extension", 75));
  tools.push_back(jointed("ratchet-joint-150", "1/4 in ratchet, universal joint, long extension", 150));
  tools.push_back(flexible("flexible-driver-150", "flexible nut driver, 150 mm shaft", 150));
  tools.push_back(flexible("flexible-driver-225", "flexible nut driver, 225 mm shaft", 225));
  tools.push_back(flexible("flexible-driver-300", "flexible nut driver, 300 mm shaft", 300));
  Tool pliers;
  pliers.id = ToolId("spring-pliers");
  pliers.name = "spring-clamp pliers";
  // Jaws, handles, their opening and the free way are of a typical tool; a hand round both handles, from hand tables.
  pliers.pliers = Pliers{40, 20, 60, 180, degrees(15), {100, 115, 90}};
  pliers.lift_off_mm = 30;
  pliers.source = kTypicalTool;
  tools.push_back(std::move(pliers));
  return tools;
}

}  // namespace baywright::catalog

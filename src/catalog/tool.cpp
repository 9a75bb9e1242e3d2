#include "catalog/tool.hpp"

#include "geometry/base/expects.hpp"

namespace baywright::catalog {
namespace {

constexpr const char* kTypical = "from memory: typical tool";

Tool axial(const char* id, const char* name, double hexagon_mm, std::vector<ToolLength> lengths, double lift_off_mm) {
  Tool tool;
  tool.id = ToolId(id);
  tool.name = name;
  tool.hexagon_mm = hexagon_mm;
  tool.lengths = std::move(lengths);
  tool.lift_off_mm = lift_off_mm;
  tool.source = kTypical;
  return tool;
}

constexpr double kRatchetHead_mm = 14, kRatchetDiameter_mm = 26;

Tool ratchet(const char* id, const char* name, double hexagon_mm, std::vector<ToolLength> ahead) {
  double head = 0.5 * kRatchetHead_mm;
  for (const ToolLength& l : ahead) head += l.length_mm;
  ahead.push_back({"ratchet head", kRatchetDiameter_mm, kRatchetHead_mm});
  Tool tool = axial(id, name, hexagon_mm, std::move(ahead), 15);
  tool.swing = ToolSwing{18, 13, 115, head, degrees(15)};
  return tool;
}

Tool spanner(const char* id, const char* name, double hexagon_mm, double head_diameter_mm, double head_mm,
             double shank_width_mm, double shank_thickness_mm, double shank_mm, Angle least, double lift_off_mm) {
  Tool tool = axial(id, name, hexagon_mm, {{"head", head_diameter_mm, head_mm}}, lift_off_mm);
  tool.swing = ToolSwing{shank_width_mm, shank_thickness_mm, shank_mm, 0.5 * head_mm, least};
  return tool;
}

}  // namespace

double axial_room_mm(const Tool& tool, double stud_mm) {
  EXPECTS(stud_mm >= 0);
  double room = tool.lift_off_mm + (tool.over_stud ? stud_mm : 0);
  for (const ToolLength& l : tool.lengths) room += l.length_mm;
  return room;
}

double socket_diameter_mm(double hexagon_mm) { return 1.25 * hexagon_mm + 2.2; }

std::vector<Tool> usual_tools(double s) {
  EXPECTS(s >= 7 && s <= 13);
  const double socket = socket_diameter_mm(s);
  std::vector<Tool> tools;
  tools.push_back(
      axial("nut-driver", "nut driver", s, {{"tip", socket, 20}, {"shaft", 6, 125}, {"handle", 32, 110}}, 15));
  tools.push_back(
      axial("stubby-driver", "stubby nut driver", s, {{"tip", socket, 20}, {"shaft", 6, 25}, {"handle", 32, 55}}, 15));
  tools.push_back(ratchet("ratchet", "1/4 in ratchet, short socket", s, {{"socket", socket, 25}}));
  for (const double bar : {50.0, 75.0, 150.0}) {
    const std::string length = std::to_string(static_cast<int>(bar));
    tools.push_back(ratchet(("ratchet-bar-" + length).c_str(), ("1/4 in ratchet, " + length + " mm extension").c_str(),
                            s, {{"socket", socket, 25}, {"bar end", 13, 15}, {"bar", 8, bar - 15}}));
  }
  Tool deep = ratchet("ratchet-deep", "1/4 in ratchet, deep socket", s, {{"deep socket", socket, 50}});
  deep.lift_off_mm = 10;
  deep.over_stud = true;
  tools.push_back(std::move(deep));
  Tool ring_ratchet =
      spanner("ratchet-ring", "ratcheting ring spanner", s, 1.5 * s + 6, 9, 10, 6, 130, degrees(10), 9 + 3);
  tools.push_back(std::move(ring_ratchet));
  Tool ring = spanner("ring", "12-point ring spanner", s, 1.5 * s + 4, 8, 10, 6, 125, degrees(30), 8 + 3);
  ring.source = "from memory: ISO 3318 greatest head width; swing NAVEDTRA 14001, 30 degrees";
  tools.push_back(std::move(ring));
  Tool open = spanner("open", "open spanner, 15 degree jaw", s, 2.1 * s + 7, 5, 10, 5, 120, degrees(30), 0);
  open.approach = Approach::radial;
  open.source = "from memory: ISO 3318 greatest head width; 30 degrees by turning it over, NAVEDTRA 14001";
  tools.push_back(std::move(open));
  return tools;
}

}  // namespace baywright::catalog

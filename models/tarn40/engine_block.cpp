#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::array<float, 3> kPressedSteel{0.16F, 0.17F, 0.19F};
constexpr std::array<float, 3> kBlockZinc{0.68F, 0.68F, 0.66F};

/// Outline of the block's section from the deck down to the sump rail, left half mirrored to the right.
Points section(double x) {
  const std::vector<std::array<double, 2>> left{{140, 316}, {140, 292}, {128, 276}, {128, 118},
                                                {172, 30},  {176, -58}, {190, -62}, {190, -76}};
  Points outline;
  for (const auto& [y, z] : left) outline.emplace_back(x, y, z);
  for (auto it = left.rbegin(); it != left.rend(); ++it) outline.emplace_back(x, -(*it)[0], (*it)[1]);
  return outline;
}

TopoDS_Shape side_ribs(double side) {
  Shapes ribs;
  for (const double x : {-34.0, -143.0, -249.0, -355.0, -464.0}) {
    ribs.push_back(prism({{x - 5, side * 120, 286},
                          {x - 5, side * 142, 286},
                          {x - 5, side * 142, 130},
                          {x - 5, side * 180, 30},
                          {x - 5, side * 180, -60},
                          {x - 5, side * 120, -60}},
                         {10, 0, 0}));
  }
  ribs.push_back(box({-490, side > 0 ? 120.0 : -140.0, 196}, {-10, side > 0 ? 140.0 : -120.0, 206}));
  return fused(ribs);
}

TopoDS_Shape block() {
  const TopoDS_Shape body = rounded(prism(section(-490), {490, 0, 0}), 7, [](const Vec3& a, const Vec3& b) {
    return std::abs(a.x() - b.x()) > 400 && a.z() < 300 && a.z() > -60;
  });
  Shapes together{body, side_ribs(1), side_ribs(-1), cylinder({-500, 0, 20}, {-482, 0, 20}, 186)};
  for (const double x : kCylinderX) {
    together.push_back(cylinder({x, 120, 236}, {x, 136, 236}, 27));
    together.push_back(cylinder({x, -136, 236}, {x, -120, 236}, 27));
  }
  Shapes plugs;
  for (const double x : kCylinderX) {
    plugs.push_back(cylinder({x, 131, 236}, {x, 140, 236}, 21));
    plugs.push_back(cylinder({x, -140, 236}, {x, -131, 236}, 21));
  }
  return cut(fused(together), plugs);
}

TopoDS_Shape sump() {
  const TopoDS_Shape pan =
      prism({{-488, 168, -84}, {-488, -168, -84}, {-488, -120, -190}, {-488, 120, -190}}, {268, 0, 0});
  const TopoDS_Shape shallow =
      prism({{-240, 168, -84}, {-240, -168, -84}, {-240, -140, -136}, {-240, 140, -136}}, {236, 0, 0});
  const EdgeTest below = [](const Vec3& a, const Vec3& b) { return std::min(a.z(), b.z()) < -100; };
  Shapes all{rounded(pan, 16, below), rounded(shallow, 12, below), box({-490, -190, -84}, {0, 190, -76})};
  return fused(all);
}

TopoDS_Shape block_bolts() {
  Shapes bolts;
  for (double x = -470; x < 0; x += 110) {
    bolts.push_back(bolt({x, 181, -84}, {0, 0, -1}, 10));
    bolts.push_back(bolt({x, -181, -84}, {0, 0, -1}, 10));
  }
  bolts.push_back(bolt({-354, 0, -190}, {0, 0, -1}, 19));
  for (int i = 0; i < 10; ++i) {
    const double angle = 0.3 + i * 0.6283;
    bolts.push_back(bolt({-482, 172 * std::cos(angle), 20 + 172 * std::sin(angle)}, {1, 0, 0}, 14));
  }
  return group(bolts);
}

/// Clutch housing and the front of the gearbox; it passes below the bulkhead.
TopoDS_Shape bell_housing() {
  const TopoDS_Shape bell =
      turned({{0, 0}, {186, 0}, {186, 14}, {176, 20}, {168, 120}, {128, 190}, {116, 260}, {0, 260}}, {-500, 0, 20},
             {-1, 0, 0});
  Shapes ribs{bell};
  for (int i = 0; i < 8; ++i) {
    const TopoDS_Shape rib = prism({{-512, -4, 200}, {-620, -4, 186}, {-750, -4, 128}, {-512, -4, 128}}, {0, 8, 0});
    ribs.push_back(turned_about(rib, {0, 0, 20}, {1, 0, 0}, 22.5 + 45 * i));
  }
  return fused(ribs);
}

/// Cast bracket, rubber and the foot that stands on the frame rail.
std::vector<Drawn> mount(double side, const std::string& name) {
  const double y = side * 176;
  const TopoDS_Shape plate = box({-290, std::min(y, y + side * 14), -40}, {-150, std::max(y, y + side * 14), 60});
  const TopoDS_Shape arm =
      prism({{-250, y, 40}, {-250, side * 300, 30}, {-250, side * 300, 14}, {-250, y, -30}}, {60, 0, 0});
  const TopoDS_Shape gusset =
      prism({{-226, y, 60}, {-226, side * 282, 40}, {-226, side * 282, 20}, {-226, y, 20}}, {12, 0, 0});
  const TopoDS_Shape rubber = turned({{0, 0}, {34, 0}, {27, 7}, {34, 14}, {0, 14}}, {-220, side * 272, 0}, {0, 0, 1});
  return {{name + " bracket", kCastIron, fused({plate, arm, gusset})},
          {name + " rubber", {0.08F, 0.08F, 0.08F}, rubber}};
}

TopoDS_Shape starter() {
  return fused({cylinder({-480, -208, -8}, {-300, -208, -8}, 42), cylinder({-300, -208, -8}, {-288, -208, -8}, 36),
                cylinder({-470, -214, 60}, {-350, -214, 60}, 24), box({-482, -230, -50}, {-466, -150, 40}),
                cylinder({-350, -214, 60}, {-338, -214, 60}, 8)});
}

TopoDS_Shape oil_filter() {
  return turned({{0, 0}, {40, 0}, {40, 8}, {46, 12}, {46, 92}, {40, 102}, {0, 104}}, {-150, -222, 112}, {0, 0, -1});
}

}  // namespace

std::vector<Drawn> draw_cylinder_block() {
  std::vector<Drawn> parts{
      {"cylinder block", kCastIron, block()},
      {"sump", kPressedSteel, sump()},
      {"block bolts", kBlockZinc, block_bolts()},
      {"bell housing", {0.55F, 0.56F, 0.57F}, bell_housing()},
      {"starter motor", kPressedSteel, starter()},
      {"oil filter", {0.10F, 0.16F, 0.42F}, oil_filter()},
      {"oil filter head", kCastIron,
       fused({box({-190, -226, 100}, {-110, -120, 124}), cylinder({-150, -222, 96}, {-150, -222, 130}, 42)})}};
  for (const double side : {1.0, -1.0}) {
    for (Drawn& part : mount(side, side > 0 ? "engine mount left" : "engine mount right"))
      parts.push_back(std::move(part));
  }
  return parts;
}

}  // namespace baywright::tarn40

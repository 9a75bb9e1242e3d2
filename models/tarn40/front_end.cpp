#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <GC_MakeArcOfCircle.hxx>
#include <numbers>

#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::array<float, 3> kCoverAluminium{0.70F, 0.71F, 0.72F};
constexpr std::array<float, 3> kPulleyBlack{0.09F, 0.09F, 0.10F};
constexpr double kBeltFrom = 76;  ///< x of the belt's rear edge
constexpr double kBeltTo = 98;

/// A pulley's place in the belt plane.
struct Pulley {
  double y, z, radius;
};
constexpr Pulley kCrank{0, 20, 84};
constexpr Pulley kAlternator{210, 285, 34};
constexpr Pulley kWaterPump{0, 230, 58};

TopoDS_Shape gear_cover() {
  const TopoDS_Shape plate =
      rounded(prism({{0, -150, -40}, {0, 150, -40}, {0, 150, 330}, {0, -150, 330}}, {22, 0, 0}), 46, along_x());
  const TopoDS_Shape dome = rounded(
      prism({{0, -118, -20}, {0, 118, -20}, {0, 132, 150}, {0, 104, 300}, {0, -104, 300}, {0, -132, 150}}, {40, 0, 0}),
      40, along_x());
  const TopoDS_Shape soft = rounded(dome, 8, within({39, -200, -100}, {41, 200, 400}));
  Shapes all{plate, soft, cylinder({30, 0, 20}, {45, 0, 20}, 52), cylinder({30, 0, 230}, {45, 0, 230}, 66)};
  for (const double y : {-66.0, 0.0, 66.0}) all.push_back(box({10, y - 3, 80}, {43.5, y + 3, 176}));
  return fused(all);
}

TopoDS_Shape front_bolts() {
  Shapes bolts;
  for (const double z : {20.0, 90.0, 160.0, 230.0, 290.0}) {
    bolts.push_back(bolt({22, 141, z}, {1, 0, 0}, 12));
    bolts.push_back(bolt({22, -141, z}, {1, 0, 0}, 12));
  }
  for (const double y : {-90.0, 90.0}) bolts.push_back(bolt({22, y, 318}, {1, 0, 0}, 12));
  for (int i = 0; i < 4; ++i) {
    const double a = std::numbers::pi * (0.25 + 0.5 * i);
    bolts.push_back(bolt({162, 42 * std::cos(a), 230 + 42 * std::sin(a)}, {-1, 0, 0}, 10));
  }
  bolts.push_back(bolt({104, 0, 20}, {1, 0, 0}, 22));
  bolts.push_back(bolt({102, 210, 285}, {1, 0, 0}, 17));
  bolts.push_back(bolt({11, 26, 345}, {0, 0, 1}, 8));
  bolts.push_back(bolt({11, -26, 345}, {0, 0, 1}, 8));
  return group(bolts);
}

TopoDS_Shape thermostat_housing() {
  const TopoDS_Shape body = rounded(box({0, -40, 300}, {50, 40, 345}), 9, along_z());
  return fused({body, cylinder({25, -30, 321}, {25, -84, 321}, 19), bead({25, -80, 321}, {0, 1, 0}, 19, 2),
                cylinder({34, 14, 310}, {62, 14, 310}, 8)});
}

TopoDS_Shape alternator() {
  const Vec3 at(-60, 210, 285);
  Shapes all{turned({{0, 0},
                     {50, 0},
                     {58, 6},
                     {60, 30},
                     {62, 32},
                     {62, 78},
                     {60, 80},
                     {60, 92},
                     {65, 96},
                     {65, 134},
                     {24, 136},
                     {0, 136}},
                    at, {1, 0, 0}),
             turned({{0, 0}, {18, 0}, {18, 6}, {0, 6}}, {-66, 210, 285}, {1, 0, 0})};
  Shapes slots;
  for (int i = 0; i < 10; ++i) {
    const double degrees = 18 + 36 * i;
    if (degrees > 60 && degrees < 120) continue;  // the ring stays whole on top
    slots.push_back(turned_about(box({44, 240, 281}, {68, 280, 289}), {0, 210, 285}, {1, 0, 0}, degrees));
    slots.push_back(turned_about(box({-70, 232, 281}, {-48, 256, 289}), {0, 210, 285}, {1, 0, 0}, degrees));
  }
  const TopoDS_Shape ears =
      fused({box({-20, 130, 222}, {20, 206, 246}), cylinder({-24, 140, 234}, {24, 140, 234}, 16)});
  return fused({cut(fused(all), slots), ears});
}

TopoDS_Shape grooved_pulley(double x, const Pulley& p, double from, double hub) {
  const double r = p.radius;
  std::vector<std::array<double, 2>> profile{
      {0, from - x}, {hub, from - x}, {hub, kBeltFrom - 3 - x}, {r + 4, kBeltFrom - 3 - x}, {r + 4, kBeltFrom - x}};
  for (int i = 0; i < 5; ++i) {
    const double rib = kBeltFrom + 1 + 4.0 * i - x;
    profile.push_back({r, rib});
    profile.push_back({r - 2.5, rib + 2});
  }
  for (const auto& point : std::vector<std::array<double, 2>>{{r, kBeltTo - 1 - x},
                                                              {r + 4, kBeltTo - x},
                                                              {r + 4, kBeltTo + 2 - x},
                                                              {0.55 * r, kBeltTo + 2 - x},
                                                              {0.5 * r, kBeltTo - 6 - x},
                                                              {0, kBeltTo - 6 - x}}) {
    profile.push_back(point);
  }
  return turned(profile, {x, p.y, p.z}, {1, 0, 0});
}

TopoDS_Wire belt_loop(double grow) {
  const std::array<Pulley, 3> pulleys{kCrank, kAlternator, kWaterPump};  // counter-clockwise in (y, z)
  std::array<Vec3, 3> leave, arrive, mid;
  for (std::size_t i = 0; i < 3; ++i) {
    const Pulley& a = pulleys[i];
    const Pulley& b = pulleys[(i + 1) % 3];
    const double ra = a.radius + grow;
    const double rb = b.radius + grow;
    const double distance = std::hypot(b.y - a.y, b.z - a.z);
    const double heading = std::atan2(b.z - a.z, b.y - a.y);
    const double normal = heading - std::acos((ra - rb) / distance);  // outward of a counter-clockwise loop
    leave[i] = {kBeltFrom, a.y + ra * std::cos(normal), a.z + ra * std::sin(normal)};
    arrive[(i + 1) % 3] = {kBeltFrom, b.y + rb * std::cos(normal), b.z + rb * std::sin(normal)};
  }
  BRepBuilderAPI_MakeWire wire;
  const auto pnt = [](const Vec3& p) { return gp_Pnt(p.x(), p.y(), p.z()); };
  for (std::size_t i = 0; i < 3; ++i) {
    const Pulley& p = pulleys[i];
    const Vec3 center(kBeltFrom, p.y, p.z);
    const double from = std::atan2(arrive[i].z() - p.z, arrive[i].y() - p.y);
    double to = std::atan2(leave[i].z() - p.z, leave[i].y() - p.y);
    while (to < from) to += 2 * std::numbers::pi;
    const double half = 0.5 * (from + to);
    const Vec3 middle = center + (p.radius + grow) * Vec3(0, std::cos(half), std::sin(half));
    wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(pnt(arrive[i]), pnt(middle), pnt(leave[i])).Value()).Edge());
    wire.Add(BRepBuilderAPI_MakeEdge(pnt(leave[i]), pnt(arrive[(i + 1) % 3])).Edge());
  }
  return wire.Wire();
}

TopoDS_Shape belt() {
  const auto loop = [](double grow) {
    const TopoDS_Face face = BRepBuilderAPI_MakeFace(belt_loop(grow), true).Face();
    return TopoDS_Shape(BRepPrimAPI_MakePrism(face, gp_Vec(kBeltTo - kBeltFrom - 1, 0, 0)).Shape());
  };
  return cut(loop(4.5), {loop(0.2)});
}

TopoDS_Shape fan() {
  Shapes all{turned({{0, 0}, {66, 0}, {70, 4}, {70, 40}, {66, 45}, {0, 45}}, {162, 0, 230}, {1, 0, 0})};
  for (int i = 0; i < 9; ++i) {
    std::vector<Points> sections;
    for (const double r : {60.0, 120.0, 180.0, 227.0}) {
      const double pitch = (62 - 0.16 * r) * std::numbers::pi / 180;  // blade angle against the disc falls outward
      const double chord = 66 + 0.10 * r;
      const Vec3 center(184, 0, 230 + r);
      const double half_depth = std::min(21.0, 0.5 * chord * std::sin(pitch) * 0.62);
      const double half_width = std::min(0.5 * chord * std::cos(pitch) + 6, std::sqrt(229.0 * 229.0 - r * r));
      const Vec3 along(half_depth, half_width, 0);
      const Vec3 thick = 1.3 * Vec3(half_width, -half_depth, 0).normalized();
      sections.push_back(
          {center - along - thick, center + along - thick, center + along + thick, center - along + thick});
    }
    all.push_back(turned_about(lofted(sections), {0, 0, 230}, {1, 0, 0}, 40.0 * i));
  }
  return group(all);
}

/// Viscous coupling between water pump and fan, finned.
TopoDS_Shape coupling() {
  std::vector<std::array<double, 2>> profile{{0, 0}, {16, 0}, {16, 34}, {46, 36}};
  for (int i = 0; i < 5; ++i) {
    profile.push_back({58, 38.0 + 5 * i});
    profile.push_back({58, 40.5 + 5 * i});
    profile.push_back({48, 40.5 + 5 * i});
    profile.push_back({48, 43.0 + 5 * i});
  }
  profile.push_back({40, 63});
  profile.push_back({0, 63});
  return turned(profile, {99, 0, 230}, {1, 0, 0});
}

}  // namespace

std::vector<Drawn> draw_front_end() {
  return {{"gear cover", kCoverAluminium, gear_cover()},
          {"front bolts", kZinc, front_bolts()},
          {"thermostat housing", kCoverAluminium, thermostat_housing()},
          {"alternator", {0.74F, 0.74F, 0.72F}, alternator()},
          {"crank pulley", kPulleyBlack, grooved_pulley(46, kCrank, 46, 40)},
          {"water pump pulley", kPulleyBlack, grooved_pulley(46, kWaterPump, 46, 30)},
          {"alternator pulley", kPulleyBlack, grooved_pulley(76, kAlternator, 76, 30)},
          {"belt", {0.05F, 0.05F, 0.05F}, belt()},
          {"fan coupling", {0.62F, 0.63F, 0.64F}, coupling()},
          {"fan blades", {0.12F, 0.12F, 0.13F}, fan()},
          {"fan swept disc", {0.85F, 0.55F, 0.15F}, cylinder({162, 0, 230}, {207, 0, 230}, 230)}};
}

}  // namespace baywright::tarn40

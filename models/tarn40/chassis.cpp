#include <cmath>
#include <numbers>

#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::array<float, 3> kFrameBlack{0.13F, 0.13F, 0.14F};
constexpr std::array<float, 3> kPaint{0.93F, 0.45F, 0.06F};

/// C-section, web outside: 750 over the webs, 640 clear between the flanges, top face at z = 0.
TopoDS_Shape rail(double side) {
  const auto y = [&](double value) { return side * value; };
  const Points outline{{-900, y(375), 0},    {-900, y(320), 0},    {-900, y(320), -8},   {-900, y(367), -8},
                       {-900, y(367), -172}, {-900, y(320), -172}, {-900, y(320), -180}, {-900, y(375), -180}};
  Shapes holes;
  for (double x = -820; x < 420; x += 110) {
    holes.push_back(cylinder({x, y(360), -90}, {x, y(380), -90}, 22));
    holes.push_back(cylinder({x + 45, y(360), -40}, {x + 45, y(380), -40}, 8));
    holes.push_back(cylinder({x + 45, y(360), -140}, {x + 45, y(380), -140}, 8));
  }
  return cut(prism(outline, {1360, 0, 0}), holes);
}

TopoDS_Shape cross_members() {
  Shapes all{rounded(box({330, -367, -150}, {420, 367, -30}), 16, along_y()),
             ring({-120, -367, -130}, {-120, 367, -130}, 38, 32), box({240, -367, -60}, {290, 367, -22})};
  for (const double y : {-250.0, 250.0}) all.push_back(box({235, y - 30, -40}, {283, y + 30, -18}));
  for (const double side : {-1.0, 1.0})
    all.push_back(box({-280, std::min(side * 300, side * 366), -60}, {-160, std::max(side * 300, side * 366), 0}));
  return group(all);
}

TopoDS_Shape bulkhead() {
  const TopoDS_Shape sheet = prism({{-583, -640, -30},
                                    {-583, -300, -30},
                                    {-583, -290, 120},
                                    {-583, -215, 225},
                                    {-583, -100, 268},
                                    {-583, 100, 268},
                                    {-583, 215, 225},
                                    {-583, 290, 120},
                                    {-583, 300, -30},
                                    {-583, 640, -30},
                                    {-583, 640, 640},
                                    {-583, -640, 640}},
                                   {3, 0, 0});
  Shapes all{sheet};
  // Pressed swages stand to the rear, the panel's face stays at x = -580.
  for (const double y : {-560.0, -480.0, -400.0, -320.0, -150.0, -75.0, 0.0, 75.0, 150.0, 320.0, 400.0, 480.0, 560.0}) {
    const double from = std::abs(y) < 290 ? 300 : 40;
    all.push_back(cylinder({-580, y, from}, {-580, y, 470}, 11));
  }
  all.push_back(cylinder({-580, -600, 520}, {-580, 600, 520}, 12));
  // Scuttle: closes the top, carries the hinges.
  all.push_back(prism({{-583, -600, 604},
                       {-570, -600, 604},
                       {-570, -600, 612},
                       {-700, -600, 636},
                       {-700, -600, 628},
                       {-583, -600, 606}},
                      {0, 1200, 0}));
  const TopoDS_Shape body = fused(all);
  Shapes holes{box({-570, -700, 30}, {-560, 700, 480}), box({-570, -700, 500}, {-560, 700, 545})};
  holes.push_back(cylinder({-600, -130, 420}, {-560, -130, 420}, 18));
  holes.push_back(cylinder({-600, 40, 440}, {-560, 40, 440}, 18));
  return cut(body, holes);
}

TopoDS_Shape bulkhead_fittings() {
  Shapes all;
  for (const auto& [y, z, r] :
       std::vector<std::array<double, 3>>{{-130, 420, 18}, {40, 440, 18}, {220, 500, 24}, {-300, 500, 20}}) {
    all.push_back(turned({{r - 8, 0}, {r + 8, 0}, {r + 6, 6}, {r - 6, 9}}, {-581, y, z}, {1, 0, 0}));
  }
  // Relay box and valve block.
  all.push_back(rounded(box({-580, -440, 470}, {-520, -300, 560}), 8, along_x()));
  all.push_back(rounded(box({-516, -434, 476}, {-506, -306, 554}), 4, along_x()));
  all.push_back(rounded(box({-580, -520, 300}, {-536, -420, 372}), 5, along_x()));
  for (const double y : {-505.0, -470.0, -435.0}) all.push_back(cylinder({-558, y, 372}, {-558, y, 394}, 11));
  return group(all);
}

/// Inner wing with a pressed wheel arch behind it and two swages.
TopoDS_Shape inner_wing(double side) {
  const auto slab = [&](double y0, double y1, double x0, double x1, double z0, double z1) {
    return box({x0, std::min(side * y0, side * y1), z0}, {x1, std::max(side * y0, side * y1), z1});
  };
  Shapes all{slab(560, 562, -580, 400, -60, 452), slab(560, 604, -580, 400, 450, 453)};
  for (const double z : {330.0, 400.0}) all.push_back(cylinder({-540, side * 561, z}, {360, side * 561, z}, 9));
  const TopoDS_Shape arch = ring({0, side * 562, -190}, {0, side * 700, -190}, 432, 429);
  const TopoDS_Shape opening = cylinder({0, side * 540, -190}, {0, side * 580, -190}, 428);
  const TopoDS_Shape floor = slab(500, 720, -600, 600, -700, -62);
  Shapes holes{opening};
  if (side > 0) holes.push_back(cylinder({-425.787, 540, 281.149}, {-425.787, 580, 281.149}, 74));  // raw air
  return cut(fused({fused(all), cut(arch, {floor})}), holes);
}

TopoDS_Shape spring_tower(double side) {
  return fused(
      {rounded(prism({{-60, side * 470, 0}, {60, side * 470, 0}, {45, side * 470, 210}, {-45, side * 470, 210}},
                     {0, side * 92, 0}),
               14,
               [side](const Vec3& a, const Vec3& b) {
                 return std::abs(a.z() - b.z()) > 100 && std::abs(a.y() - side * 470) < 2 &&
                        std::abs(b.y() - side * 470) < 2;
               }),
       cylinder({0, side * 512, 205}, {0, side * 512, 226}, 26),
       // Outrigger from the rail.
       prism({{-50, side * 375, -20}, {50, side * 375, -20}, {50, side * 375, -150}, {-50, side * 375, -150}},
             {0, side * 96, 0}),
       box({-60, std::min(side * 469, side * 562), -60}, {60, std::max(side * 469, side * 562), 2})});
}

TopoDS_Shape battery_box() {
  const double y0 = -545;
  const double y1 = -352;
  Shapes all{box({-530, y0, 40}, {-272, y1, 48}), rounded(box({-520, y0 + 10, 48}, {-284, y1 - 10, 236}), 8, along_z()),
             rounded(box({-524, y0 + 6, 220}, {-280, y1 - 6, 240}), 8, along_z())};
  for (const double x : {-480.0, -324.0})
    all.push_back(turned({{0, 0}, {10, 0}, {8, 20}, {0, 20}}, {x, y1 - 42, 240}, {0, 0, 1}));
  all.push_back(box({-414, y0 + 2, 240}, {-390, y1 - 2, 246}));
  for (const double y : {y0 + 4, y1 - 4}) all.push_back(cylinder({-402, y, 46}, {-402, y, 262}, 5));
  for (double x = -515; x < -290; x += 32) all.push_back(box({x, y0, 48}, {x + 3, y1, 120}));
  return group(all);
}

TopoDS_Shape universal_joint(const Vec3& at, const Vec3& in, const Vec3& out) {
  return group({cylinder(at - 46 * in, at - 16 * in, 19), cylinder(at + 16 * out, at + 46 * out, 19),
                cylinder(at - 24 * in, at + 4 * in, 15), cylinder(at - 4 * out, at + 24 * out, 15),
                cylinder(at - Vec3(0, 22, 0), at + Vec3(0, 22, 0), 9),
                cylinder(at - Vec3(0, 0, 22), at + Vec3(0, 0, 22), 9)});
}

TopoDS_Shape steering_shaft() {
  const Vec3 a(-600, 292, 178);
  const Vec3 b(-490, 306, 128);
  const Vec3 c(-60, 346, 66);
  const Vec3 d(60, 346, 40);
  const Vec3 ab = (b - a).normalized();
  const Vec3 bc = (c - b).normalized();
  const Vec3 cd = (d - c).normalized();
  Shapes all{cylinder(a, b - 30 * ab, 11),
             cylinder(b + 30 * bc, b + 210 * bc, 15),
             cylinder(b + 200 * bc, c - 30 * bc, 11),
             cylinder(c + 30 * cd, d, 11),
             universal_joint(b, ab, bc),
             universal_joint(c, bc, cd),
             rounded(box({60, 300, -20}, {180, 372, 84}), 16, along_y()),
             cylinder({120, 290, 30}, {120, 380, 30}, 40)};
  return group(all);
}

TopoDS_Shape brake_lines() {
  Shapes all;
  for (int i = 0; i < 3; ++i) {
    const double o = 14.0 * i;
    all.push_back(soft_tube({{-558, -505 + 35.0 * i, 392},
                             {-560, -505 + 34.0 * i, 430 + o},
                             {-568, -450 + o, 442 + o},
                             {-570, -300, 446 + o},
                             {-570, 0, 452 + o},
                             {-570, 300, 446 + o},
                             {-568, 480, 430 + o},
                             {-556, 548, 300 + o},
                             {-470, 550, 110 + o},
                             {-200, 548, 60 + o}},
                            4));
    all.push_back(soft_tube({{-548, -500 + 30.0 * i, 300},
                             {-546, -510 + 20.0 * i, 250},
                             {-548, -546, 160 - o},
                             {-400, -551, 20 + o},
                             {-100, -552, 250 + o},
                             {200, -552, 180 + o}},
                            4));
  }
  return group(all);
}

TopoDS_Shape wiring_loom() {
  Shapes all{
      soft_tube({{-580, 220, 500},
                 {-556, 240, 502},
                 {-556, 330, 500},
                 {-548, 470, 470},
                 {-520, 540, 440},
                 {-380, 548, 436},
                 {-100, 547, 430},
                 {160, 546, 420},
                 {300, 520, 300},
                 {340, 460, 120}},
                13),
      soft_tube({{-580, -300, 500},
                 {-556, -310, 506},
                 {-552, -430, 590},
                 {-548, -500, 560},
                 {-540, -545, 440},
                 {-300, -549, 430},
                 {100, -548, 425},
                 {300, -545, 330},
                 {345, -540, 120}},
                12),
      soft_tube({{-552, 330, 500}, {-556, 200, 540}, {-556, 0, 552}, {-556, -200, 545}, {-556, -300, 512}}, 11),
      soft_tube({{-480, -394, 256}, {-480, -398, 300}, {-500, -440, 330}, {-530, -490, 370}, {-552, -460, 440}}, 8)};
  return group(all);
}

}  // namespace

std::vector<Drawn> draw_chassis() {
  std::vector<Drawn> parts{{"rail left", kFrameBlack, rail(1)},
                           {"rail right", kFrameBlack, rail(-1)},
                           {"cross members", kFrameBlack, cross_members()},
                           {"bulkhead", kPaint, bulkhead()},
                           {"bulkhead fittings", kFrameBlack, bulkhead_fittings()},
                           {"inner wing left", kPaint, inner_wing(1)},
                           {"inner wing right", kPaint, inner_wing(-1)},
                           {"spring tower left", kPaint, spring_tower(1)},
                           {"spring tower right", kPaint, spring_tower(-1)}};
  parts.push_back({"battery box", {0.18F, 0.19F, 0.20F}, battery_box()});
  parts.push_back({"steering shaft", {0.42F, 0.42F, 0.43F}, steering_shaft()});
  parts.push_back({"brake lines", {0.70F, 0.62F, 0.40F}, brake_lines()});
  parts.push_back({"wiring loom", {0.08F, 0.08F, 0.08F}, wiring_loom()});
  return parts;
}

}  // namespace baywright::tarn40

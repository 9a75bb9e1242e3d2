#include <cmath>
#include <numbers>

#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::array<float, 3> kFilterBlack{0.10F, 0.10F, 0.11F};
constexpr std::array<float, 3> kCoolerAluminium{0.74F, 0.75F, 0.76F};
constexpr std::array<float, 3> kSteel{0.66F, 0.66F, 0.64F};

/// Filter housing in its own frame (outlet face at the origin, outlet axis +x) to its place in the vehicle.
TopoDS_Shape placed(const TopoDS_Shape& shape) {
  const double pitch = std::atan2(70.0, 255.0) * 180 / std::numbers::pi;  // the outlet points at the route's next point
  return shifted(turned_about(shape, Vec3::Zero(), {0, 1, 0}, -pitch), {-190, 415, 370});
}

/// Spigot for the raw air, in the vehicle's frame: it reaches through the inner wing and falls outward by 5 degrees.
const Vec3 kRawAir(-425.787, 645, 273.8);
const Vec3 kRawAirOut(0, 0.996195, -0.087156);
constexpr double kRawAirRadius = 44.45;

constexpr double kFront = -45;  ///< of the box; it is 300 long, 220 wide, 220 high
constexpr double kBack = -345;

TopoDS_Shape filter_body() {
  const TopoDS_Shape shell = rounded(box({kBack, -104, -110}, {kFront, 104, 44}), 24,
                                     [](const Vec3& a, const Vec3& b) { return std::min(a.z(), b.z()) < 40; });
  Shapes all{shell, rounded(box({kBack, -110, 36}, {kFront, 110, 44}), 20, along_z()),
             turned({{0, 0}, {38.1, 0}, {38.1, 40}, {46, 46}, {50, 60}, {0, 60}}, Vec3::Zero(), {-1, 0, 0})};
  for (const double x : {-305.0, -255.0, -205.0, -155.0, -105.0})
    all.push_back(box({x - 2, -109, -92}, {x + 2, 109, 40}));
  for (const double z : {-70.0, -20.0}) all.push_back(box({kFront - 8, -80, z - 2}, {kFront + 3, 80, z + 2}));
  const TopoDS_Shape housing =
      fused({placed(fused(all)), cylinder(kRawAir - 137 * kRawAirOut, kRawAir, kRawAirRadius),
             cylinder(kRawAir - 127 * kRawAirOut, kRawAir - 115 * kRawAirOut, kRawAirRadius + 6),
             bead(kRawAir - 5 * kRawAirOut, kRawAirOut, kRawAirRadius, 2)});
  return cut(housing, {placed(cylinder({-70, 0, 0}, {10, 0, 0}, 36.45)),
                       cylinder(kRawAir - 143 * kRawAirOut, kRawAir + 8 * kRawAirOut, kRawAirRadius - 1.65)});
}

/// Hood over the end of the raw air duct, above the left wing; its louvre looks to the rear.
TopoDS_Shape raw_air_hood() {
  const TopoDS_Shape cap = rounded(box({-496, 782, 655}, {-356, 922, 780}), 22, along_z());
  Shapes all{ring({-425.787, 852.209, 640}, {-425.787, 852.209, 660}, 44.45, 42.8),
             cut(cap, {box({-520, 805, 690}, {-470, 899, 765}), box({-485, 793, 668}, {-367, 911, 770})})};
  for (double z = 694; z < 760; z += 16) all.push_back(box({-494, 805, z}, {-484, 899, z + 4}));
  return group(all);
}

TopoDS_Shape filter_lid() {
  const TopoDS_Shape cap = rounded(rounded(box({kBack + 6, -104, 44}, {kFront - 6, 104, 106}), 26, along_z()), 14,
                                   within({kBack, -110, 105}, {kFront, 110, 107}));
  Shapes all{cap, rounded(box({kBack, -110, 44}, {kFront, 110, 52}), 20, along_z())};
  for (const double y : {-66.0, -22.0, 22.0, 66.0})
    all.push_back(rounded(box({kBack + 40, y - 8, 98}, {kFront - 40, y + 8, 110}), 3.5, along_x()));
  return fused(all);
}

TopoDS_Shape filter_clips() {
  Shapes clips;
  const auto clip = [&](double x, double side) {
    const double y = side * 110;
    const auto slab = [&](double inner, double outer, double z0, double z1) {
      return box({x - 11, std::min(y + side * inner, y + side * outer), z0},
                 {x + 11, std::max(y + side * inner, y + side * outer), z1});
    };
    clips.push_back(fused({slab(-1, 2, 6, 60), slab(-10, 2, 52, 58), slab(0, 8, 18, 22), slab(5, 8, 18, 46),
                           cylinder({x - 14, y + side * 4, 12}, {x + 14, y + side * 4, 12}, 4)}));
  };
  for (const double x : {-305.0, -195.0, -85.0}) {
    clip(x, 1);
    clip(x, -1);
  }
  return group(clips);
}

TopoDS_Shape filter_bracket() {
  // Two straps down to the inner wing, in the vehicle's frame.
  return group({prism({{-470, 500, 196}, {-470, 558, 176}, {-470, 558, 170}, {-470, 500, 188}}, {40, 0, 0}),
                prism({{-320, 500, 232}, {-320, 558, 214}, {-320, 558, 208}, {-320, 500, 224}}, {40, 0, 0}),
                box({-480, 554, 120}, {-345, 558, 184}), box({-345, 554, 120}, {-270, 558, 220})});
}

/// Core of a cooler: tubes standing out a little from the fins between them.
TopoDS_Shape core(double x0, double x1, double y0, double y1, double z0, double z1, int tubes) {
  Shapes all;
  const double pitch = (z1 - z0) / tubes;
  for (int i = 0; i < tubes; ++i) {
    const double z = z0 + pitch * i;
    all.push_back(box({x0, y0, z}, {x1, y1, z + 0.32 * pitch}));
    all.push_back(box({x0 + 4, y0, z + 0.32 * pitch}, {x1 - 4, y1, z + pitch}));
  }
  return group(all);
}

TopoDS_Shape radiator_tank(double side) {
  const double y0 = side * 280;
  const double y1 = side * 322;
  Shapes all{rounded(box({237, std::min(y0, y1), -8}, {281, std::max(y0, y1), 468}), 13, along_z())};
  for (double z = 30; z < 450; z += 42)
    all.push_back(box({236, std::min(y0, y1 + side), z}, {282, std::max(y0, y1 + side), z + 5}));
  if (side < 0) {
    all.push_back(cylinder({262, -300, 414}, {208, -299, 412}, 19));
    all.push_back(cylinder({262, -300, 44}, {208, -299, 44}, 19));
    all.push_back(cylinder({259, -300, 460}, {259, -300, 492}, 20));
  }
  return fused(all);
}

TopoDS_Shape radiator_frame() {
  return group({box({235, -322, 468}, {283, 322, 474}), box({235, -322, -16}, {283, 322, -8}),
                turned({{0, 0}, {25, 0}, {25, 14}, {20, 18}, {0, 18}}, {259, -300, 488}, {0, 0, 1})});
}

TopoDS_Shape shroud() {
  const TopoDS_Shape funnel = lofted({{{233, -278, 4}, {233, 278, 4}, {233, 278, 462}, {233, -278, 462}},
                                      {{206, -268, -18 + 10}, {206, 268, -8}, {206, 268, 468}, {206, -268, 468}}});
  const TopoDS_Shape hollow = lofted({{{235, -275, 7}, {235, 275, 7}, {235, 275, 459}, {235, -275, 459}},
                                      {{209, -265, -5}, {209, 265, -5}, {209, 265, 465}, {209, -265, 465}}});
  const TopoDS_Shape neck = ring({172, 0, 230}, {207, 0, 230}, 247, 243);
  const TopoDS_Shape opened = cut(funnel, {hollow, cylinder({200, 0, 230}, {215, 0, 230}, 243)});
  return fused({opened, neck});
}

TopoDS_Shape charge_cooler_tank(double side) {
  const double inner = side * 320;
  const double outer = side * 410;
  Shapes all{rounded(box({316, std::min(inner, outer), 84}, {362, std::max(inner, outer), 376}), 18,
                     [](const Vec3& a, const Vec3& b) { return std::abs(a.z() - b.z()) > 100; }),
             cylinder({324, side * 376, 160}, {262, side * 376, 160}, 25.4),
             bead({267, side * 376, 160}, {1, 0, 0}, 25.4, 2)};
  for (double z = 120; z < 370; z += 48)
    all.push_back(box({314, std::min(inner, outer + side), z}, {364, std::max(inner, outer + side), z + 5}));
  return fused(all);
}

}  // namespace

std::vector<Drawn> draw_filter() {
  return {{"filter body", kFilterBlack, filter_body()},
          {"filter lid", {0.14F, 0.14F, 0.15F}, placed(filter_lid())},
          {"filter clips", kSteel, placed(filter_clips())},
          {"filter bracket", {0.20F, 0.21F, 0.22F}, filter_bracket()},
          {"raw air hood", kFilterBlack, raw_air_hood()}};
}

std::vector<Drawn> draw_cooling() {
  return {{"radiator core", {0.20F, 0.20F, 0.20F}, core(235, 283, -280, 280, -8, 468, 24)},
          {"radiator tank left", kFilterBlack, radiator_tank(1)},
          {"radiator tank right", kFilterBlack, radiator_tank(-1)},
          {"radiator frame", kSteel, radiator_frame()},
          {"fan shroud", kFilterBlack, shroud()},
          {"charge cooler core", kCoolerAluminium, core(300, 364, -320, 320, 80, 380, 14)},
          {"charge cooler tank left", kCoolerAluminium, charge_cooler_tank(1)},
          {"charge cooler tank right", kCoolerAluminium, charge_cooler_tank(-1)}};
}

}  // namespace baywright::tarn40

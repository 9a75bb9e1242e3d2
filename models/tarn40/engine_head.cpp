#include <numbers>

#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::array<float, 3> kHeadAluminium{0.72F, 0.73F, 0.74F};
constexpr std::array<float, 3> kRed{0.62F, 0.10F, 0.09F};

TopoDS_Shape head() {
  // The upper right edge is well rounded: a tube that comes down to the compressor passes close to it.
  const EdgeTest upper_right = both(along_x(), within({-501, -141, 429}, {-14, -139, 431}));
  Shapes all{rounded(box({-500, -140, 316}, {-15, 150, 430}), 12, upper_right)};
  for (const double x : kCylinderX) {
    if (x < -100 && x > -400) all.push_back(cylinder({x + 25, 140, 408}, {x + 25, 156, 408}, 12));  // glow plugs
  }
  Shapes pockets;
  // Casting pockets between the ports; the outer corners and the machined faces stay sharp.
  for (const double x : {-143.0, -249.0, -355.0}) {
    pockets.push_back(rounded(box({x - 20, -150, 330}, {x + 20, -126, 418}), 8, all_edges()));
    pockets.push_back(rounded(box({x - 20, 136, 330}, {x + 20, 160, 386}), 8, all_edges()));
  }
  pockets.push_back(rounded(box({-30, -90, 350}, {0, -50, 415}), 8, all_edges()));
  pockets.push_back(rounded(box({-30, 60, 350}, {0, 110, 415}), 8, all_edges()));
  return cut(fused(all), pockets);
}

/// Cast cover with lengthwise fins. The outermost fins stand square on the edge: they are the nearest thing to a tube
/// that crosses the engine.
TopoDS_Shape rocker_cover() {
  Shapes all{box({-480, -110, 430}, {-30, 110, 440}),
             rounded(box({-472, -104, 434}, {-38, 104, 466}), 14, [](const Vec3& a, const Vec3& b) {
               return std::min(a.z(), b.z()) > 440 || std::abs(a.z() - b.z()) > 20;
             })};
  for (const double y : {-107.0, -80.0, -53.5, -27.0, 27.0, 53.5, 80.0, 107.0}) {
    all.push_back(box({-480, y - 3, 436}, {-30, y + 3, 480}));
  }
  all.push_back(cylinder({-420, 0, 460}, {-420, 0, 486}, 27));  // filler neck
  all.push_back(box({-330, -24, 460}, {-190, 24, 478}));        // breather chamber
  return fused(all);
}

/// Oil separator of the crankcase breather on the front of the rocker cover; its outlet looks down at the intake.
TopoDS_Shape breather_separator() {
  return fused({rounded(cylinder({-150, -96, 532}, {-40, -96, 532}, 26), 4, all_edges()),
                box({-132, -106, 478}, {-122, -86, 512}), box({-68, -106, 478}, {-58, -86, 512}),
                bent_tube({{8.450, -115.193, 514.129}, {-18.550, -117.301, 560.846}, {-75, -98, 534}}, 14, 12.5)});
}

TopoDS_Shape oil_filler_cap() {
  Shapes all{
      turned({{0, 0}, {34, 0}, {34, 20}, {30, 24}, {0, 24}}, {-420, 0, 486}, {0, 0, 1}),
      rounded(box({-448, -5, 506}, {-392, 5, 522}), 4, both(within({-500, -20, 512}, {-300, 20, 530}), all_edges()))};
  for (int i = 0; i < 12; ++i) {
    all.push_back(turned_about(cylinder({-387, 0, 488}, {-387, 0, 506}, 4), {-420, 0, 0}, {0, 0, 1}, 30 * i));
  }
  return fused(all);
}

TopoDS_Shape head_bolts() {
  Shapes bolts;
  for (const double x : {-490.0, -355.0, -249.0, -143.0, -24.0}) {
    bolts.push_back(bolt({x, 132, 430}, {0, 0, 1}, 17));
    if (x < -100) bolts.push_back(bolt({x, -120, 430}, {0, 0, 1}, 13));
  }
  for (const double x : {-360.0, -150.0}) bolts.push_back(bolt({x, 0, 466}, {0, 0, 1}, 13));
  return group(bolts);
}

TopoDS_Shape lifting_eye() {
  const TopoDS_Shape plate = box({-500, -130, 400}, {-494, -84, 470});
  return cut(rounded(plate, 18, both(along_x(), within({-510, -140, 460}, {-490, -80, 480}))),
             {cylinder({-510, -107, 450}, {-490, -107, 450}, 12)});
}

/// Four runners out of the head, up into a plenum whose lid overhangs it with a square edge.
TopoDS_Shape intake_manifold() {
  Shapes all{rounded(box({-456, 196, 346}, {-44, 256, 414}), 16,
                     [](const Vec3& a, const Vec3& b) { return std::min(a.z(), b.z()) < 400; }),
             box({-460, 192, 412}, {-40, 260, 420})};
  for (const double x : kCylinderX) {
    all.push_back(bent_tube({{x, 152, 324}, {x, 226, 324}, {x, 226, 372}}, 26, 21));
    all.push_back(rounded(box({x - 36, 150, 301}, {x + 36, 160, 350}), 12, along_y()));
  }
  for (double x = -400; x < -60; x += 53) all.push_back(box({x - 3, 190, 360}, {x + 3, 259.5, 416}));  // plenum ribs
  return fused(all);
}

TopoDS_Shape manifold_bolts() {
  Shapes bolts;
  for (const double x : kCylinderX) {
    bolts.push_back(bolt({x - 27, 160, 326}, {0, 1, 0}, 12));
    bolts.push_back(bolt({x + 27, 160, 326}, {0, 1, 0}, 12));
  }
  return group(bolts);
}

/// High-pressure rail behind the runners and a line to each injector.
TopoDS_Shape fuel_rail() {
  Shapes all{cylinder({-470, 172, 396}, {-130, 172, 396}, 11), cylinder({-140, 172, 396}, {-128, 172, 396}, 14)};
  for (const double x : {-196.0, -302.0, -408.0}) {
    all.push_back(cylinder({x, 172, 396}, {x, 172, 414}, 7));
    all.push_back(
        soft_tube({{x, 172, 408}, {x, 172, 432}, {x - 14, 152, 446}, {x - 20, 128, 440}, {x - 20, 122, 426}}, 3.2));
  }
  return group(all);
}

TopoDS_Shape charge_elbow() {
  // From below into the plenum between runners one and two: there is no room beside it.
  return fused({bent_tube({{60, 306, 160}, {-4.214, 267.25, 160}, {-143, 226, 160}, {-143, 226, 352}}, 60, 25.4),
                bead({60 - 5 * 0.85619, 306 - 5 * 0.516667, 160}, {0.85619, 0.516667, 0}, 25.4, 2),
                cylinder({-143, 226, 334}, {-143, 226, 348}, 29)});
}

}  // namespace

std::vector<Drawn> draw_head_and_manifold() {
  return {{"cylinder head", kCastIron, head()},
          {"rocker cover", kRed, rocker_cover()},
          {"breather separator", {0.10F, 0.10F, 0.11F}, breather_separator()},
          {"oil filler cap", {0.07F, 0.07F, 0.07F}, oil_filler_cap()},
          {"head bolts", kZinc, head_bolts()},
          {"lifting eye", kZinc, lifting_eye()},
          {"intake manifold", kHeadAluminium, intake_manifold()},
          {"intake manifold bolts", kZinc, manifold_bolts()},
          {"fuel rail and injector lines", {0.75F, 0.74F, 0.66F}, fuel_rail()},
          {"charge air elbow", kHeadAluminium, charge_elbow()}};
}

}  // namespace baywright::tarn40

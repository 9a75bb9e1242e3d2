#include <numbers>

#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::array<float, 3> kTurboAluminium{0.76F, 0.77F, 0.78F};
constexpr std::array<float, 3> kRust{0.40F, 0.27F, 0.20F};
constexpr std::array<float, 3> kTurboZinc{0.66F, 0.66F, 0.64F};
constexpr double kY = -250;  ///< turbocharger axis
constexpr double kZ = 410;
/// The neck of the compressor is so long, and the exhaust leaves the head so far back, that rubber on the neck keeps 76
/// mm from everything hot: the head collects its four ports in a cooled gallery with two outlets.
constexpr double kTurboX = -50;  ///< all of the turbocharger behind its neck, from where its parts are drawn
constexpr std::array<double, 2> kOutletX{-400, -456};

/// Scroll with a section that grows along its turn, then the tangential outlet; cut into overlapping round bars.
TopoDS_Shape scroll(double x, double ring_from, double ring_to, double section_from, double section_to,
                    double from_deg) {
  std::vector<TopoDS_Shape> bars;
  constexpr int kSteps = 6;
  for (int i = 0; i < kSteps; ++i) {
    const double t = (i + 0.5) / kSteps;
    const double section = section_from + t * (section_to - section_from);
    const double radius = ring_from + t * (ring_to - ring_from);
    const double a0 = (from_deg + 360.0 * i / kSteps) * std::numbers::pi / 180;
    const double a1 = (from_deg + 360.0 * (i + 1) / kSteps) * std::numbers::pi / 180;
    const auto at = [&](double a) { return Vec3(x, kY + radius * std::cos(a), kZ + radius * std::sin(a)); };
    // Arc as a bent tube through the corner of its two tangents.
    const double half = 0.5 * (a1 - a0);
    const Vec3 corner(x, kY + radius / std::cos(half) * std::cos(a0 + half),
                      kZ + radius / std::cos(half) * std::sin(a0 + half));
    bars.push_back(bent_tube({at(a0), corner, at(a1)}, radius, section));
  }
  return group(bars);
}

TopoDS_Shape compressor_housing() {
  // Inlet: OD 63.5, bore 60, face at x = -250; the neck is bare for the hose and beyond, down to x = -334.
  const TopoDS_Shape neck = turned(
      {{30, 0}, {31.75, 0}, {31.75, 84}, {40, 88}, {58, 90}, {62, 96}, {62, 120}, {18, 120}, {26, 100}, {30, 80}},
      {-250, kY, kZ}, {-1, 0, 0});
  Shapes all;
  all.push_back(turned({{22, 0}, {78, 0}, {78, 5}, {70, 8}, {22, 8}}, {-312, kY, kZ}, {-1, 0, 0}));  // backplate flange
  const TopoDS_Shape outlet =
      fused({cone({-299, -250, 360}, {-299, -318, 352}, 16, 24), cylinder({-299, -316, 352}, {-299, -366, 352}, 25.4),
             bead({-299, -361, 352}, {0, 1, 0}, 25.4, 2)});
  all.push_back(outlet);
  // A probe boss on the cover's rim is the part that reaches farthest forward.
  all.push_back(cylinder({-300, -250 + 56, kZ + 36}, {-265, -250 + 56, kZ + 36}, 9));
  return fused({neck, shifted(fused(all), {kTurboX, 0, 0})});
}

TopoDS_Shape compressor_scroll() {
  Shapes all{scroll(-299, 50, 58, 13, 20, 270)};
  for (int i = 0; i < 6; ++i) {
    const double a = (20 + 60 * i) * std::numbers::pi / 180;
    all.push_back(bolt({-312, kY + 71 * std::cos(a), kZ + 71 * std::sin(a)}, {1, 0, 0}, 8));
  }
  return group(all);
}

TopoDS_Shape bearing_housing() {
  Shapes all{
      turned({{0, 0}, {56, 0}, {56, 6}, {36, 12}, {34, 34}, {44, 40}, {44, 48}, {0, 48}}, {-320, kY, kZ}, {-1, 0, 0}),
      cylinder({-343, kY, kZ}, {-343, kY, kZ + 46}, 15), cylinder({-343, kY, kZ - 48}, {-343, kY, kZ}, 20)};
  return fused(all);
}

TopoDS_Shape turbine_housing() {
  const TopoDS_Shape core =
      turned({{0, 0}, {62, 0}, {62, 10}, {50, 16}, {46, 42}, {40, 50}, {40, 56}, {50, 58}, {50, 68}, {0, 68}},
             {-372, kY, kZ}, {-1, 0, 0});
  const TopoDS_Shape foot =
      fused({cone({-404, -250, 400}, {-404, -250, 344}, 34, 28), box({-440, -288, 334}, {-368, -212, 344})});
  return fused({core, foot});
}

TopoDS_Shape turbine_scroll() { return scroll(-404, 46, 56, 15, 24, 250); }

TopoDS_Shape exhaust_manifold() {
  Shapes all{bent_tube({{-376, -182, 286}, {-454, -182, 286}, {-454, -250, 286}, {-454, -250, 330}}, 32, 25),
             box({-490, -288, 322}, {-418, -212, 334})};
  for (const double x : kOutletX) {
    all.push_back(bent_tube({{x, -144, 336}, {x, -182, 336}, {x, -182, 288}}, 26, 18));
    all.push_back(rounded(box({x - 34, -152, 318}, {x + 34, -140, 356}), 10, along_y()));
  }
  all.push_back(cylinder({-376, -182, 286}, {-368, -182, 286}, 25));
  return fused(all);
}

TopoDS_Shape downpipe() {
  Shapes all{bent_tube({{-490, -250, 410}, {-531, -250, 410}, {-531, -250, -90}, {-900, -250, -90}}, 40, 31),
             turned({{30, 0}, {50, 0}, {50, 10}, {30, 10}}, {-490, kY, kZ}, {-1, 0, 0}),
             turned({{31, 0},
                     {36, 3},
                     {36, 9},
                     {31, 12},
                     {36, 15},
                     {36, 21},
                     {31, 24},
                     {36, 27},
                     {36, 33},
                     {31, 36},
                     {0, 36},
                     {0, 0}},
                    {-531, -250, 240}, {0, 0, -1})};
  return fused(all);
}

TopoDS_Shape v_bands() {
  return group({ring({-478, kY, kZ}, {-504, kY, kZ}, 54, 47), box({-500, -262, 462}, {-482, -238, 476}),
                ring({-364, kY, kZ}, {-376, kY, kZ}, 60, 54), box({-376, -256, 468}, {-364, -236, 480})});
}

TopoDS_Shape exhaust_bolts() {
  Shapes bolts;
  for (const double x : kOutletX) {
    bolts.push_back(bolt({x - 26, -152, 337}, {0, -1, 0}, 13));
    bolts.push_back(bolt({x + 26, -152, 337}, {0, -1, 0}, 13));
  }
  for (const double dx : {-29.0, 29.0}) {
    for (const double dy : {-30.0, 30.0}) bolts.push_back(bolt({-454 + dx, -250 + dy, 322}, {0, 0, -1}, 13));
  }
  return group(bolts);
}

TopoDS_Shape oil_lines() {
  return group({soft_tube({{-343, -250, 452},
                           {-343, -250, 474},
                           {-352, -232, 486},
                           {-366, -200, 466},
                           {-372, -160, 440},
                           {-376, -142, 420}},
                          4.5),
                cylinder({-343, -250, 452}, {-343, -250, 462}, 9),
                bent_tube({{-343, -250, 366}, {-343, -250, 320}, {-343, -236, 240}, {-343, -150, 200}}, 24, 9),
                cylinder({-343, -250, 356}, {-343, -250, 366}, 16)});
}

TopoDS_Shape wastegate() {
  return group(
      {turned({{0, 0}, {28, 0}, {32, 5}, {32, 12}, {28, 18}, {14, 30}, {0, 34}}, {-348, -322, 470}, {-0.2, -0.1, 1}),
       cylinder({-352, -322, 470}, {-412, -312, 440}, 4), box({-362, -344, 462}, {-322, -262, 468}),
       cylinder({-412, -318, 440}, {-412, -290, 440}, 7)});
}

TopoDS_Shape behind_neck(const TopoDS_Shape& part) { return shifted(part, {kTurboX, 0, 0}); }

}  // namespace

std::vector<Drawn> draw_turbocharger() {
  return {{"compressor housing", kTurboAluminium, compressor_housing()},
          {"compressor scroll", kTurboAluminium, behind_neck(compressor_scroll())},
          {"bearing housing", {0.42F, 0.40F, 0.38F}, behind_neck(bearing_housing())},
          {"turbine housing", kRust, behind_neck(turbine_housing())},
          {"turbine scroll", kRust, behind_neck(turbine_scroll())},
          {"exhaust manifold", {0.44F, 0.30F, 0.22F}, exhaust_manifold()},
          {"downpipe", {0.50F, 0.40F, 0.32F}, downpipe()},
          {"V-bands", kTurboZinc, v_bands()},
          {"exhaust bolts", kTurboZinc, exhaust_bolts()},
          {"turbocharger oil lines", {0.60F, 0.58F, 0.50F}, behind_neck(oil_lines())},
          {"wastegate actuator", {0.70F, 0.66F, 0.40F}, behind_neck(wastegate())}};
}

}  // namespace baywright::tarn40

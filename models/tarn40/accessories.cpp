#include "parts.hpp"

namespace baywright::tarn40 {
namespace {

constexpr std::array<float, 3> kRubber{0.07F, 0.07F, 0.08F};

TopoDS_Shape dipstick() {
  return group({soft_tube({{-478, 182, -40}, {-486, 200, 60}, {-488, 208, 200}, {-484, 200, 330}, {-478, 186, 442}}, 5),
                torus({-477, 184, 458}, {0, 1, 0.2}, 13, 3)});
}

/// Upper hose from the thermostat round the fan to the right-hand tank.
TopoDS_Shape upper_hose() {
  return group({soft_tube({{25, -62, 321},
                           {27, -104, 319},
                           {64, -166, 306},
                           {126, -242, 322},
                           {176, -282, 376},
                           {208, -297, 404},
                           {240, -299, 412}},
                          22),
                ring({25, -70, 321}, {25, -80, 321}, 24.5, 19), box({18, -80, 342}, {32, -70, 351})});
}

TopoDS_Shape lower_hose() {
  return soft_tube({{30, -120, 70}, {60, -170, 40}, {120, -240, 20}, {180, -285, 30}, {240, -299, 44}}, 22);
}

TopoDS_Shape pump_inlet() {
  return fused({cylinder({30, -60, 110}, {30, -126, 68}, 20), cylinder({24, -60, 112}, {44, -60, 112}, 26)});
}

TopoDS_Shape heater_hoses() {
  return group({soft_tube({{-500, -60, 380}, {-530, -70, 380}, {-556, -120, 400}, {-580, -130, 420}}, 10),
                soft_tube({{-500, 20, 360}, {-535, 30, 360}, {-560, 40, 420}, {-580, 40, 440}}, 10)});
}

/// Engine loom on the left shoulder of the head with branches to the alternator and the injectors.
TopoDS_Shape engine_harness() {
  Shapes all{soft_tube({{-500, 100, 448},
                        {-440, 136, 444},
                        {-330, 140, 444},
                        {-220, 139, 444},
                        {-120, 141, 440},
                        {-60, 150, 404},
                        {-30, 176, 368},
                        {-30, 196, 346}},
                       9)};
  for (const double x : {-408.0, -302.0, -196.0}) {
    all.push_back(soft_tube({{x + 10, 139, 444}, {x + 18, 128, 452}, {x + 22, 118, 444}, {x + 22, 114, 436}}, 4));
  }
  return group(all);
}

}  // namespace

std::vector<Drawn> draw_accessories() {
  return {{"dipstick", {0.86F, 0.68F, 0.12F}, dipstick()}, {"upper coolant hose", kRubber, upper_hose()},
          {"lower coolant hose", kRubber, lower_hose()},   {"coolant inlet", {0.70F, 0.71F, 0.72F}, pump_inlet()},
          {"heater hoses", kRubber, heater_hoses()},       {"engine harness", {0.10F, 0.10F, 0.12F}, engine_harness()}};
}

std::vector<Drawn> draw_engine() {
  std::vector<Drawn> all;
  for (const auto& draw :
       {draw_cylinder_block, draw_head_and_manifold, draw_turbocharger, draw_front_end, draw_accessories}) {
    for (Drawn& part : draw()) all.push_back(std::move(part));
  }
  return all;
}

}  // namespace baywright::tarn40

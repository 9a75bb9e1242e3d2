#pragma once

#include <array>
#include <vector>

#include "shapes.hpp"

// The parts of the Tarn 40, an invented municipal snow-clearing truck with an invented 2.6-litre four-cylinder
// turbo-diesel. README.md beside this file gives the dimensions that the demo's verdicts depend on; every other one is
// there to make the bay as crowded as a real one.

namespace baywright::tarn40 {

/// Colours that several drawings share.
inline constexpr std::array<float, 3> kCastIron{0.30F, 0.34F, 0.38F};
inline constexpr std::array<float, 3> kZinc{0.70F, 0.70F, 0.68F};
/// Middles of the cylinders along the vehicle.
inline constexpr std::array<double, 4> kCylinderX{-90, -196, -302, -408};

/// Rides on the engine mounts.
std::vector<Drawn> draw_engine();
std::vector<Drawn> draw_cylinder_block();
std::vector<Drawn> draw_head_and_manifold();
std::vector<Drawn> draw_turbocharger();
std::vector<Drawn> draw_front_end();
std::vector<Drawn> draw_accessories();

/// Rides on the vehicle, delivered as models.
std::vector<Drawn> draw_filter();
std::vector<Drawn> draw_cooling();
/// Hinged at the bulkhead.
std::vector<Drawn> draw_bonnet();

/// Rides on the vehicle, known from the scan only.
std::vector<Drawn> draw_chassis();

}  // namespace baywright::tarn40

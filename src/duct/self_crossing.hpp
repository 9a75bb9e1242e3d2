#pragma once

#include <optional>

#include "duct/layout.hpp"

namespace baywright::duct {

/// Two stations of a centerline that are nearer to each other than the tube is wide.
struct SelfCrossing {
  double station_from_mm = 0, station_to_mm = 0;
  double distance_mm = 0;  ///< of the centerline's two places, within 0.4 mm
  double needed_mm = 0;    ///< half the one outer diameter and half the other
};

/// The place where a laid-out duct (legs, bends, fittings) passes deepest through itself, or nothing. Never a false
/// alarm: bends are taken as chords of at most 4 degrees and their rise is given away, so a tube that overlaps itself
/// by less than that may pass unnoticed. Stations along one bend of at least half the outer diameter are apart.
/// Tube and sensor tube only: hoses and clamps, being thicker, may touch before.
std::optional<SelfCrossing> self_crossing(const Layout& layout);

}  // namespace baywright::duct

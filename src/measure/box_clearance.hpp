#pragma once

#include <span>
#include <vector>

#include "geometry/box.hpp"
#include "measure/clearance_measure.hpp"

namespace baywright::measure {

/// A box that rides on a duct, as the body of a clamp does.
struct RidingBox {
  Box box;            ///< at rest, vehicle frame
  int piece = 0;      ///< index into Layout::pieces: what it sits on
  Carriage carriage;  ///< what it rides on; may be less than what the whole piece does
  double station_mm = 0;
};

/// One box against one part.
struct BoxTask {
  RidingBox riding;
  int part = 0;  ///< index into Bay::parts, one with a surface
  bool over_motion = false;
  double range_mm = 60;  ///< farther than this is an answer
};

/// How much of a box the cylinders that stand for it may leave.
inline constexpr double kBoxFineness_mm = 0.25;

/// Clearance of each box, certified: it is searched as cylinders that fill it from within, and the lower end is set
/// back by what they leave of it (kBoxFineness_mm where anything is near). A box that meets the surface has an upper
/// end below 0; how deep it reaches is known only to be less than half its least thickness. Band: as of the piece, and
/// of where the box is put on it. `inside`: wholly within a closed part. In the order of the tasks; runs in parallel;
/// deterministic. Cost: as a pair of one shape where it is far, else of some tens to hundreds.
std::vector<PairClearance> box_clearance(const bay::Bay& bay, const duct::Duct& duct, std::span<const BoxTask> tasks,
                                         double width_mm = 0.1);

}  // namespace baywright::measure

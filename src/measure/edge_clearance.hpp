#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "geometry/sharp_edges.hpp"
#include "measure/clearance_measure.hpp"

namespace baywright::measure {

/// A duct against the sharp edges of parts.
struct EdgeClearance {
  /// To the edges of the part (value, band, witness and pose as of any pair), for every pair whose surface is too near
  /// to answer for its edges; in the order of the surface's pairs.
  std::vector<PairClearance> pairs;
  std::vector<int> scanned;   ///< parts that come that near and are scans: what is an edge there nobody can tell
  std::vector<int> edgeless;  ///< parts that come that near and have none
};

/// The part as if it were its sharp edges alone; none: it has none, or nobody can tell them (a scan, no mesh).
std::optional<bay::Part> edges_of(const bay::Part& part, const EdgeRule& rule = {});

/// Distance to sharp edges over the motion or at rest, certified as that to the surface is. `surface`: what
/// measure_clearance found over the motion or at rest, whole or some pairs of it; an edge is as far away as its surface
/// at least, so only pairs whose surface, its uncertainty taken off, comes nearer than `need_mm` are measured, and only
/// their parts are searched for edges, each once. `counts`: parts to look at. Left out by design as in `surface`.
/// Deterministic; runs in parallel. Cost: nothing where all is far; else about a microsecond a triangle of a part that
/// is near, and a search a pair.
EdgeClearance measure_edge_clearance(const bay::Bay& bay, const duct::Duct& duct, const ClearanceReport& surface,
                                     bool over_motion, double need_mm, const ClearanceOptions& options,
                                     const std::function<bool(const bay::Part&)>& counts, const EdgeRule& rule = {});

}  // namespace baywright::measure

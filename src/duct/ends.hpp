#pragma once

#include <optional>

#include "duct/layout.hpp"
#include "duct/trouble.hpp"

namespace baywright::duct {

/// What a duct's end is attached to.
struct DuctEnd {
  Vec3 center_mm;
  Vec3 axis;  ///< unit, outward
  double outer_diameter_mm = 0;
  double bore_mm = 0;
  Hold hold;                 ///< station not set
  std::string name;          ///< "port compressor-in"
  bool axis_stated = false;  ///< in the job; a branch port's follows from its duct
};

/// Looks up the port (or the branch port on a duct already laid out). `which` is "from" or "to".
std::optional<DuctEnd> find_end(const PortRef& ref, const std::string& which, const bay::Bay& bay,
                                std::span<const Duct> others, Trouble& trouble);

/// The route's end must lie at the port (0.5 mm) and run along its axis (1 degree).
void check_end(const DuctEnd& end, const RoutePoint& point, const Vec3& outward_direction, Trouble& trouble);

}  // namespace baywright::duct

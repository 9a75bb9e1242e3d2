#include "access/clamp_site.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"

namespace baywright::access {

std::string_view name(Side side) { return side == Side::clockwise ? "clockwise" : "counter-clockwise"; }

Vec3 Screw::swing(Angle angle) const { return std::cos(angle.si()) * out + std::sin(angle.si()) * axis.cross(out); }

Screw screw_at(const ClampSite& site, const ScrewPosition& position) {
  Screw screw;
  screw.out = duct::outward_direction(site.along, position.clock);
  // The clock runs along x out.
  screw.axis = (position.side == Side::clockwise ? 1.0 : -1.0) * site.along.cross(screw.out);
  screw.head = site.center + (site.hose_radius_mm + site.type.screw_height_mm) * screw.out +
               0.5 * site.type.body_length_mm * screw.axis;
  return screw;
}

Box body_at(const ClampSite& site, const ScrewPosition& position, double raised_mm) {
  EXPECTS(raised_mm >= 0);
  const Screw screw = screw_at(site, position);
  const double low = std::min(raised_mm, site.type.body_height_mm);
  Box box;
  box.axes.col(0) = screw.axis;
  box.axes.col(1) = screw.out;
  box.axes.col(2) = screw.axis.cross(screw.out);
  box.half_mm = 0.5 * Vec3(site.type.body_length_mm, site.type.body_height_mm - low, site.type.body_width_mm);
  box.center = site.center + (site.hose_radius_mm + 0.5 * (low + site.type.body_height_mm)) * screw.out;
  return box;
}

}  // namespace baywright::access

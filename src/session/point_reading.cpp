#include "session/point_reading.hpp"

#include <algorithm>

#include "geometry/base/expects.hpp"

namespace baywright::session {

PointReading reading_of(const duct::Duct& duct, const duct::PointId& point) {
  const auto& points = duct.spec.route.points;
  const auto found = std::find_if(points.begin(), points.end(), [&](const auto& p) { return p.id == point; });
  EXPECTS(found != points.end());
  EXPECTS(duct.layout.legs.size() + 1 == points.size());
  const auto i = static_cast<std::size_t>(found - points.begin());
  PointReading out;
  out.p_mm = found->p_mm;
  if (i > 0) out.leg_before_mm = duct.layout.legs[i - 1].length_mm();
  if (i + 1 < points.size()) out.leg_after_mm = duct.layout.legs[i].length_mm();
  if (i > 0 && i + 1 < points.size()) {
    const duct::Bend& bend = duct.layout.bends[i - 1];
    out.bend = bend.angle;
    out.radius_mm = bend.radius_mm;
  }
  return out;
}

}  // namespace baywright::session

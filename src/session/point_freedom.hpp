#pragma once

#include <string>

#include "bay/bay.hpp"
#include "duct/route.hpp"

namespace baywright::session {

/// Where an intersection point can go and the duct still be attached: an end stays at its port, and the leg behind a
/// port stays on the port's axis.
struct PointFreedom {
  enum class Kind { fixed, line, free };
  Kind kind = Kind::free;
  Vec3 axis = Vec3::Zero();  ///< of a line: unit, along the flow
  std::string why;           ///< one line; "" when free
  /// The place nearest to `to_mm` where the point may go, when it stands at `from_mm`.
  Vec3 nearest(const Vec3& from_mm, const Vec3& to_mm) const;
};

/// EXPECTS that the route has the point.
PointFreedom freedom_of(const duct::DuctSpec& spec, const duct::PointId& point);

}  // namespace baywright::session

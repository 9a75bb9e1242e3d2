#pragma once

#include "viewer/scene/views.hpp"

namespace baywright::viewer {

// A camera that keeps the vehicle's up axis upright, as changes of a Shot. Lengths mm, angles rad, pixels of a
// picture `height_px` high.

/// Turned about `pivot`: `turn` to the right about the vehicle's z, `tilt` downward, held off the poles.
Shot orbited(const Shot& shot, const Vec3& pivot, double turn_rad, double tilt_rad);
/// Moved so that what lies under the pointer follows it by (dx, dy) pixels, y up.
Shot panned(const Shot& shot, double dx_px, double dy_px, double height_px);
/// Shows `factor` times as much, keeping the point (x, y) pixels right of and above the middle in place.
Shot zoomed(const Shot& shot, double factor, double x_px, double y_px, double height_px);

}  // namespace baywright::viewer

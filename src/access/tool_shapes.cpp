#include "access/tool_shapes.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"

namespace baywright::access {
namespace {

/// Directions of a handle at one angle: along it, in the plane of the swing, and square to both.
Eigen::Matrix3d handle_axes(const Screw& screw, const catalog::ToolSwing& swing, Angle angle) {
  const Vec3 u = screw.swing(angle);
  Eigen::Matrix3d axes;
  axes.col(0) = std::cos(swing.tilt.si()) * u + std::sin(swing.tilt.si()) * screw.axis;
  axes.col(1) = screw.axis.cross(u);
  axes.col(2) = axes.col(0).cross(axes.col(1));
  return axes;
}

double half_across(const catalog::ToolSwing& s) { return 0.5 * std::max(s.width_mm, s.hand.across_mm); }
double half_axial(const catalog::ToolSwing& s) { return 0.5 * std::max(s.thickness_mm, s.hand.axial_mm); }

}  // namespace

std::vector<StandingShape> ToolOnScrew::axial(double along_mm) const {
  std::vector<StandingShape> shapes;
  double at = 0;
  for (const catalog::ToolLength& l : tool.lengths) {
    const double end = at + l.length_mm;
    shapes.emplace_back(Collar{screw.head + at * screw.axis, screw.head + (end + along_mm) * screw.axis,
                               0.5 * catalog::diameter_mm(l, hexagon_mm)});
    at = end;
  }
  if (tool.hand) {
    shapes.emplace_back(Collar{screw.head + (at - tool.hand->length_mm) * screw.axis,
                               screw.head + (at + along_mm) * screw.axis, 0.5 * tool.hand->diameter_mm});
  }
  return shapes;
}

std::vector<StandingShape> ToolOnScrew::swinging(Angle angle) const {
  if (!tool.swing) return {};
  const catalog::ToolSwing& s = *tool.swing;
  const Eigen::Matrix3d axes = handle_axes(screw, s, angle);
  const Vec3 foot = screw.head + s.height_mm * screw.axis;
  std::vector<StandingShape> shapes;
  shapes.emplace_back(
      Box{foot + 0.5 * s.length_mm * axes.col(0), axes, 0.5 * Vec3(s.length_mm, s.width_mm, s.thickness_mm)});
  if (s.hand.along_mm > 0) {
    shapes.emplace_back(Box{foot + (s.length_mm - 0.5 * s.hand.along_mm) * axes.col(0), axes,
                            0.5 * Vec3(s.hand.along_mm, s.hand.across_mm, s.hand.axial_mm)});
  }
  return shapes;
}

std::vector<StandingShape> ToolOnScrew::whole(Angle angle) const {
  std::vector<StandingShape> shapes = swinging(angle);
  for (StandingShape& shape : axial(0)) shapes.push_back(std::move(shape));
  return shapes;
}

double ToolOnScrew::reach_mm() const {
  EXPECTS(tool.swing);
  const catalog::ToolSwing& s = *tool.swing;
  return std::hypot(s.length_mm * std::cos(s.tilt.si()) + half_axial(s) * std::abs(std::sin(s.tilt.si())),
                    half_across(s));
}

Collar ToolOnScrew::swung_round() const {
  const catalog::ToolSwing& s = *tool.swing;
  const double thick = half_axial(s) * std::cos(s.tilt.si()), rise = s.length_mm * std::sin(s.tilt.si());
  return {screw.head + (s.height_mm + std::min(rise, 0.0) - thick) * screw.axis,
          screw.head + (s.height_mm + std::max(rise, 0.0) + thick) * screw.axis, reach_mm()};
}

Vec3 ToolOnScrew::hand(Angle angle) const {
  if (tool.swing) {
    const catalog::ToolSwing& s = *tool.swing;
    return screw.head + s.height_mm * screw.axis +
           (s.length_mm - 0.5 * s.hand.along_mm) * handle_axes(screw, s, angle).col(0);
  }
  const double held = tool.hand ? tool.hand->length_mm : 0;
  return screw.head + (catalog::length_mm(tool) - 0.5 * held) * screw.axis;
}

double ToolOnScrew::hand_core_mm() const {
  if (tool.swing) {
    const catalog::BarHand& h = tool.swing->hand;
    return 0.5 * std::min({h.along_mm, h.across_mm, h.axial_mm});
  }
  return tool.hand ? 0.5 * std::min(tool.hand->diameter_mm, tool.hand->length_mm) : 0;
}

Vec3 ToolOnScrew::off(Angle angle) const {
  return tool.approach == catalog::Approach::radial ? screw.swing(angle) : screw.axis;
}

}  // namespace baywright::access

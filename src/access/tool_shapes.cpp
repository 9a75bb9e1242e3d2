#include "access/tool_shapes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

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

/// Pliers that come along the radius, over all places from seated to `along_mm` farther out.
std::vector<StandingShape> plier_boxes(const catalog::Pliers& p, const Screw& screw, double along_mm) {
  Eigen::Matrix3d axes;
  axes << screw.axis, screw.out, screw.axis.cross(screw.out);
  std::vector<StandingShape> shapes;
  const auto box = [&](double from, double to, double across, double thick) {
    const double end = to + along_mm;
    shapes.emplace_back(Box{screw.head + 0.5 * (from + end) * screw.axis, axes, 0.5 * Vec3(end - from, across, thick)});
  };
  const double jaws = p.jaw_length_mm, end = jaws + p.handle_length_mm;
  box(0, jaws, p.jaw_width_mm, p.jaw_thickness_mm);
  // The handles where they are farthest open, each half of it to its side.
  box(jaws, end, p.jaw_width_mm + 2 * p.handle_length_mm * std::sin(0.5 * p.opens.si()), p.jaw_thickness_mm);
  box(end - p.hand.along_mm, end, p.hand.across_mm, p.hand.axial_mm);
  return shapes;
}

}  // namespace

std::vector<Bent> bends_of(const catalog::Tool& tool) {
  std::vector<Bent> out = {{}};
  if (!tool.bend) return out;
  constexpr double kStep_deg = 30;
  const int steps = std::max(3, static_cast<int>(std::ceil(to_degrees(tool.bend->greatest) / kStep_deg)));
  for (int i = 1; i <= steps; ++i) {
    for (double side = 0; side < 360; side += kStep_deg) {
      out.push_back({static_cast<double>(i) / steps * tool.bend->greatest, degrees(side)});
    }
  }
  return out;
}

double ToolOnScrew::bend_from_mm() const {
  return tool.bend ? tool.bend->from_mm : std::numeric_limits<double>::infinity();
}

ToolOnScrew::OnLine ToolOnScrew::on_line(double along_mm) const {
  const double from = bend_from_mm(), by = bent.by.si();
  if (along_mm <= from || by == 0) return {screw.head + along_mm * screw.axis, screw.axis};
  const Vec3 aside = screw.swing(bent.toward);
  const double over = tool.bend->over_mm, done = over > 0 ? std::min((along_mm - from) / over, 1.0) : 1;
  const Vec3 along = std::cos(done * by) * screw.axis + std::sin(done * by) * aside;
  Vec3 p = screw.head + from * screw.axis;
  if (over > 0) {
    p += over / by * (std::sin(done * by) * screw.axis + (1 - std::cos(done * by)) * aside);
  }
  return {p + std::max(along_mm - from - over, 0.0) * along, along};
}

Screw ToolOnScrew::turning() const {
  if (!tool.bend || bent.by.si() == 0) return screw;
  const double end = catalog::length_mm(tool);
  const OnLine outer = on_line(end);
  Screw out;
  out.axis = outer.along;
  out.head = outer.p - end * outer.along;
  // Turned with the line about the normal of the plane in which it is bent.
  out.out = Eigen::AngleAxisd(bent.by.si(), screw.axis.cross(screw.swing(bent.toward))) * screw.out;
  return out;
}

std::vector<StandingShape> ToolOnScrew::beyond_bend() const {
  std::vector<StandingShape> shapes;
  if (!tool.bend) return shapes;
  /// A rod for each step of a bent shaft, thicker by what the arc stands off it.
  constexpr double kRod_rad = 10 * std::numbers::pi / 180;
  const double from = tool.bend->from_mm, to = from + tool.bend->over_mm;
  double at = 0, thickest = 0;
  const auto straight = [&](double a, double b, double radius) {
    if (b > a) shapes.emplace_back(Collar{on_line(a).p, on_line(b).p, radius});
  };
  for (const catalog::ToolLength& l : tool.lengths) {
    const double end = at + l.length_mm, radius = 0.5 * catalog::diameter_mm(l, hexagon_mm);
    if (at <= from && end >= from) thickest = std::max(thickest, radius);
    const double a = std::max(at, from), b = std::min(end, to);
    if (b > a) {
      const double turn = bent.by.si() * (b - a) / tool.bend->over_mm;
      const int rods = std::max(1, static_cast<int>(std::ceil(turn / kRod_rad)));
      const double stands_off = turn > 0 ? (b - a) / turn * (1 - std::cos(0.5 * turn / rods)) : 0;
      for (int i = 0; i < rods; ++i) {
        const Vec3 p = on_line(a + (b - a) * i / rods).p, q = on_line(a + (b - a) * (i + 1) / rods).p;
        shapes.emplace_back(Cylinder{p, q, radius + stands_off});
      }
    }
    // on_line takes a joint's pivot as still on the screw's axis: both sides begin there.
    straight(std::max(at, to), end, radius);
    at = end;
  }
  if (to == from) {  // the wedge that opens at a joint
    const Vec3 pivot = on_line(from).p;
    shapes.emplace_back(Cylinder{pivot, pivot, thickest});
  }
  if (tool.hand) {
    const double end = catalog::length_mm(tool);
    straight(end - tool.hand->length_mm, end, 0.5 * tool.hand->diameter_mm);
  }
  return shapes;
}

std::vector<StandingShape> ToolOnScrew::axial(double along_mm) const {
  if (tool.pliers) return plier_boxes(*tool.pliers, screw, along_mm);
  std::vector<StandingShape> shapes;
  double at = 0;
  const double bend = bend_from_mm();
  for (const catalog::ToolLength& l : tool.lengths) {
    if (at >= bend) return shapes;
    const double end = at + l.length_mm;
    shapes.emplace_back(Collar{screw.head + at * screw.axis, screw.head + (std::min(end, bend) + along_mm) * screw.axis,
                               0.5 * catalog::diameter_mm(l, hexagon_mm)});
    at = end;
  }
  if (tool.hand && !tool.bend) {
    shapes.emplace_back(Collar{screw.head + (at - tool.hand->length_mm) * screw.axis,
                               screw.head + (at + along_mm) * screw.axis, 0.5 * tool.hand->diameter_mm});
  }
  return shapes;
}

std::vector<StandingShape> ToolOnScrew::swinging(Angle angle) const {
  if (!tool.swing) return {};
  const catalog::ToolSwing& s = *tool.swing;
  const Screw about = turning();
  const Eigen::Matrix3d axes = handle_axes(about, s, angle);
  const Vec3 foot = about.head + s.height_mm * about.axis;
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
  for (StandingShape& shape : beyond_bend()) shapes.push_back(std::move(shape));
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
  const Screw about = turning();
  return {about.head + (s.height_mm + std::min(rise, 0.0) - thick) * about.axis,
          about.head + (s.height_mm + std::max(rise, 0.0) + thick) * about.axis, reach_mm()};
}

Vec3 ToolOnScrew::hand(Angle angle) const {
  if (tool.swing) {
    const catalog::ToolSwing& s = *tool.swing;
    const Screw about = turning();
    return about.head + s.height_mm * about.axis +
           (s.length_mm - 0.5 * s.hand.along_mm) * handle_axes(about, s, angle).col(0);
  }
  const double held = tool.hand ? tool.hand->length_mm : tool.pliers ? tool.pliers->hand.along_mm : 0;
  return on_line(catalog::length_mm(tool) - 0.5 * held).p;
}

double ToolOnScrew::hand_core_mm() const {
  if (tool.swing || tool.pliers) {
    const catalog::BarHand& h = tool.swing ? tool.swing->hand : tool.pliers->hand;
    return 0.5 * std::min({h.along_mm, h.across_mm, h.axial_mm});
  }
  return tool.hand ? 0.5 * std::min(tool.hand->diameter_mm, tool.hand->length_mm) : 0;
}

Vec3 ToolOnScrew::off(Angle angle) const {
  return tool.approach == catalog::Approach::radial ? screw.swing(angle) : screw.axis;
}

}  // namespace baywright::access

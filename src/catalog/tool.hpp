#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/base/id.hpp"
#include "geometry/base/quantity.hpp"

namespace baywright::catalog {

using ToolId = Id<struct ToolTag>;

/// One length of a tool along the screw's axis, from the screw's head outward: a round bar that holds it.
struct ToolLength {
  std::string name;  ///< "socket", "shaft", "handle"
  double diameter_mm = 0;
  double length_mm = 0;
  bool operator==(const ToolLength&) const = default;
};

/// What swings square to the axis: a bar from the axis outward, and the hand on its outer end.
struct ToolSwing {
  double width_mm = 0;      ///< in the plane of the swing
  double thickness_mm = 0;  ///< along the screw's axis
  double length_mm = 0;     ///< from the axis
  double height_mm = 0;     ///< of its middle above the screw's head
  Angle least;              ///< net swing without which the screw does not turn on
  bool operator==(const ToolSwing&) const = default;
};

/// How a tool gets onto the head.
enum class Approach {
  axial,   ///< pushed on along the axis
  radial,  ///< slid on from the side: an open spanner
};

/// A hand tool on one size of hexagon.
struct Tool {
  ToolId id;
  std::string name;
  double hexagon_mm = 0;            ///< across flats
  std::vector<ToolLength> lengths;  ///< from the head outward
  std::optional<ToolSwing> swing;   ///< absent: rolls in the hand
  Approach approach = Approach::axial;
  double lift_off_mm = 0;  ///< free way along the axis to put it on and take it off
  bool over_stud = false;  ///< lift_off_mm comes on top of the stud's length
  std::string source;
  bool operator==(const Tool&) const = default;
};

/// Room a tool needs along the screw's axis, from the head to whatever is in the way: its own length, and the way to
/// put it on. `stud_mm`: what sticks out beyond the nut; counts for tools that go over it. mm, >= 0.
double axial_room_mm(const Tool& tool, double stud_mm);

/// Greatest outer diameter of a hexagon socket for 6.3 mm square drive: 1.25 s + 2.2 (ISO 2725-1, from memory). mm.
double socket_diameter_mm(double hexagon_mm);

/// The tools of a usual box for one size of hexagon (7 to 13 mm), each with its source. All dimensions are from memory:
/// typical tools, or the greatest the named standard allows; a shop puts in its own.
std::vector<Tool> usual_tools(double hexagon_mm);

}  // namespace baywright::catalog

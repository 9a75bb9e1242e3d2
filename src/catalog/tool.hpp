#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "catalog/clamp_type.hpp"
#include "geometry/base/id.hpp"
#include "geometry/base/quantity.hpp"

namespace baywright::catalog {

using ToolId = Id<struct ToolTag>;

/// One length of a tool along the screw's axis, from the screw's head outward: a round bar that holds it. Its diameter
/// is `diameter_mm + diameter_per_hexagon * s` on a hexagon of s across flats.
struct ToolLength {
  std::string name;  ///< "socket", "shaft", "handle"
  double diameter_mm = 0;
  double length_mm = 0;
  double diameter_per_hexagon = 0;
  bool operator==(const ToolLength&) const = default;
};

/// The hand around the outer end of a tool that is turned about its own axis: a round bar flush with the tool's end.
struct RoundHand {
  double diameter_mm = 0;
  double length_mm = 0;
  bool operator==(const RoundHand&) const = default;
};

/// The hand on the outer end of a handle that swings: a box flush with the handle's end.
struct BarHand {
  double along_mm = 0;   ///< along the handle
  double across_mm = 0;  ///< in the plane of the swing
  double axial_mm = 0;   ///< square to it
  bool operator==(const BarHand&) const = default;
};

/// What swings about the axis: a bar from the axis outward, and the hand on its outer end.
struct ToolSwing {
  double width_mm = 0;      ///< in the plane of the swing
  double thickness_mm = 0;  ///< square to it
  double length_mm = 0;     ///< from the axis
  double height_mm = 0;     ///< of its middle above the screw's head, at the axis
  Angle least;              ///< net swing without which the screw does not turn on
  Angle tilt;               ///< of the bar away from the screw: the crank of a ring spanner
  BarHand hand;
  bool operator==(const ToolSwing&) const = default;
};

/// What lets the outer part of a tool stand off the screw's axis: a universal joint, or a shaft that bends. The rest of
/// the tool lies straight on beyond it, and a handle swings about that line.
struct ToolBend {
  double from_mm = 0;  ///< along the tool, from the screw's head: the joint's pivot, or where the shaft begins to bend
  double over_mm = 0;  ///< length that bends, evenly; 0: a joint
  Angle greatest;      ///< that it bends by, 180 degrees at most
  bool operator==(const ToolBend&) const = default;
};

/// Pliers for the tangs of a spring band: jaws, then handles, as boxes along the radius, and a hand on the handles.
struct Pliers {
  double jaw_width_mm = 0;      ///< along the band
  double jaw_thickness_mm = 0;  ///< along the hose; of the handles too
  double jaw_length_mm = 0;
  double handle_length_mm = 0;
  Angle opens;   ///< the handles, from closed to open
  BarHand hand;  ///< on the handles' outer end; across: in their plane
  bool operator==(const Pliers&) const = default;
};

/// How a tool gets onto the head.
enum class Approach {
  axial,   ///< pushed on along the axis
  radial,  ///< slid on from the side, along its handle: an open spanner
};

/// A hand tool, for one or more sizes of hexagon, or for tangs.
struct Tool {
  ToolId id;
  std::string name;
  std::vector<double> hexagons_mm;  ///< across flats: the sizes there are; none: pliers
  std::vector<ToolLength> lengths;  ///< from the head outward; at least one, none: pliers
  std::optional<RoundHand> hand;    ///< of a tool that rolls in the hand
  std::optional<ToolSwing> swing;   ///< absent: rolls in the hand
  std::optional<ToolBend> bend;     ///< a special tool: taken where no plain one will do
  std::optional<Pliers> pliers;     ///< nothing of the above then
  Approach approach = Approach::axial;
  double lift_off_mm = 0;       ///< free way to put it on and take it off
  double greatest_stud_mm = 0;  ///< it goes over a stud up to this long, and the lift-off is longer by the stud
  bool torque = false;          ///< tells the torque
  std::string source;
  bool operator==(const Tool&) const = default;
};

/// Sizes of hexagon that differ by less are one: 8 mm and 5/16 in, 11 mm and 7/16 in.
inline constexpr double kSameHexagon_mm = 0.15;

/// Whether there is a size of the tool for this hexagon, and the stud beyond the nut is no hindrance.
bool suits(const Tool& tool, double hexagon_mm, double stud_mm);
/// Whether it works the clamp: its screw, or the tangs of a spring band.
bool suits(const Tool& tool, const ClampType& clamp);
/// Diameter of one of its lengths on a hexagon, mm.
double diameter_mm(const ToolLength& length, double hexagon_mm);
/// Of all its lengths, mm.
double length_mm(const Tool& tool);
/// Free way it needs to come off over a stud that sticks out by `stud_mm`, mm.
double lift_off_mm(const Tool& tool, double stud_mm);
/// Room a tool needs along the screw's axis, from the head to whatever is in the way: its own length, and the way to
/// put it on. `stud_mm`: what sticks out beyond the nut; counts for tools that go over it. mm, >= 0.
double axial_room_mm(const Tool& tool, double stud_mm);

/// The tools of a usual box, each with its source. All dimensions are from memory: typical tools, or the greatest the
/// named standard allows; a shop puts in its own.
std::vector<Tool> usual_tools();

}  // namespace baywright::catalog

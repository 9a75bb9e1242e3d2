#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "duct/route.hpp"
#include "geometry/base/result.hpp"
#include "geometry/clearance/motion.hpp"
#include "geometry/primitive.hpp"

namespace baywright::duct {

/// Straight between tangent points. Index i runs from route point i to i + 1.
struct Leg {
  PointId from;
  Vec3 start_mm, end_mm;  ///< tangent points (route ends at the ends)
  Vec3 direction;         ///< unit, along the flow
  double station_from_mm = 0, station_to_mm = 0;
  double length_mm() const { return station_to_mm - station_from_mm; }
};

/// Direction changes below this are no bend: no set-back, no arc, `Bend::angle` is exactly 0 (such
/// points are dropped from the bend table).
inline constexpr Angle kStraightAngle = degrees(0.05);
/// Direction changes above this are refused as a reversal.
inline constexpr Angle kReversalAngle = degrees(175);

/// Arc at an inner route point. Bend i lies between leg i and leg i + 1.
struct Bend {
  PointId at;
  Vec3 center, e0, e1;  ///< as TorusSegment
  double radius_mm = 0;
  Angle angle;     ///< direction change, 0..180; exactly 0 where the route goes straight on
  Angle rotation;  ///< of its plane against the previous bend's, right-handed about the feed direction; first: 0
  Vec3 normal;     ///< unit, of its plane
  double set_back_mm = 0;
  double station_from_mm = 0, station_to_mm = 0;
  int pieces = 0;  ///< as RoutePoint; 0: bent smooth
  bool bends() const { return angle.si() > 0; }
  double arc_mm() const { return station_to_mm - station_from_mm; }
};

/// Point and frame at a station.
struct StationFrame {
  Vec3 p_mm;
  Vec3 tangent;  ///< unit, along the flow
};

/// A fitting with its place resolved.
struct PlacedFitting {
  FittingId id;
  FittingKind kind;
  int leg = 0;                 ///< the leg it is anchored to
  double station_from_mm = 0;  ///< couplers: the gap; points (ports, taps, brackets): from = to
  double station_to_mm = 0;
  bool separates = false;  ///< couplers: parts two carriers (hump, elbow, reducer shape; straight when it has to)
};

/// What the shop makes or buys: a rigid tube between two couplers (none where less than 1 mm is left between a gap and
/// an end or another gap), a coupler's hose, or the clamps on it (where their height is stated). Hose and clamps of a
/// coupler between two carriers are one piece each: which of its shapes ride on which end, and which bend with the gap,
/// is carriage_of()'s to say.
struct Piece {
  enum class Kind { tube, coupler, clamps };
  Kind kind = Kind::tube;
  std::string name;                  ///< "tube 1", "coupler hump-1"
  std::optional<FittingId> fitting;  ///< couplers and clamps: the coupler's
  /// Couplers: of the hose, overlapping the tubes; a hose on a port's own spigot reaches below 0 or above the length.
  double station_from_mm = 0, station_to_mm = 0;
  Carriage carriage;                 ///< how it moves
  std::vector<bay::BodyId> held_by;  ///< bodies that hold it rigidly; none: floats between two soft joints
  std::string note;                  ///< what was assumed about its motion, one line; "" when nothing
  std::vector<Primitive> shapes;     ///< analytic outer surface; Primitive::owner = index of the piece
};

/// A place where a body (or, for a branch, another duct's tube) holds the duct rigidly, in order of station.
struct Hold {
  double station_mm = 0;
  Carriage carriage;
  std::vector<bay::BodyId> bodies;  ///< one for ports and brackets; for an end on another duct what holds that tube
  std::string by;                   ///< "port compressor-in", "bracket B1", "duct intake"
};

/// A straight between two real bends or ends; legs on both sides of a point without a bend are one straight.
struct Straight {
  double station_from_mm = 0, station_to_mm = 0;
  double length_mm() const { return station_to_mm - station_from_mm; }
};

/// Everything that follows from route and fittings.
struct Layout {
  std::vector<Leg> legs;
  std::vector<Bend> bends;
  std::vector<PlacedFitting> fittings;  ///< in order of station
  std::vector<Hold> holds;              ///< in order of station
  std::vector<Piece> pieces;            ///< tubes and couplers in order of station, then clamps
  double length_mm = 0;
  /// Bore of what the two ends are attached to; absent for a route laid out without a bay.
  std::optional<double> bore_ahead_mm, bore_behind_mm;

  /// Outside [0, length] the end's leg goes straight on.
  StationFrame at(double station_mm) const;
  /// Tube size at a station. Reducers and reducer-shaped hoses change it downstream (linear along a cone; the gap of a
  /// hose counts as upstream tube); a sensor tube has its own size over its length, ends included at its start.
  TubeSize tube_at(double station_mm) const;
  TubeSize upstream_tube;
  DisplayUnits units;  ///< of the texts made about it, as the bay's
  const PlacedFitting* find(const FittingId& id) const;
  /// Straights in order of station, those of no length included.
  std::vector<Straight> straights() const;
};

/// A duct ready to be measured.
struct Duct {
  DuctSpec spec;
  Layout layout;
};

/// Centerline, fittings, pieces and carriers of a duct in a bay. `others`: ducts already laid out, for ends that sit on
/// another duct's branch port.
/// Fails (all errors): fewer than two points, zero-length leg, reversal, radius too large for its legs (says by how
/// much), radius below half the tube, a duct through itself, fitting off its leg (drains may lie in its bends), overlaps,
/// unknown port, duct or body, end not at its port (farther than 0.5 mm) or not along its axis (more than 1 deg),
/// values that are not finite or impossible. `where` names job ids: "duct intake: point P2". Fittings with a length
/// (sensor tubes, gaps of couplers, reducers, flow straighteners) must not overlap, nor hoses one another. Point
/// fittings (branch ports, brackets, taps) and sensors may sit anywhere on rigid tube, a sensor tube or a cone
/// included, but not under a hose. Gaps of elbow couplers lie over the bend they replace.
ResultAll<Layout> lay_out(const DuctSpec& spec, const bay::Bay& bay, std::span<const Duct> others = {});

/// The route's geometry alone (no fittings, no bay).
ResultAll<Layout> lay_out_route(const Route& route);

/// Clock angle -> unit vector normal to the tangent, and back (-180..180 degrees). Clock 0 is `up` projected on the
/// section plane, positive clockwise seen along the flow. nullopt when the tangent is within 15 degrees of vertical,
/// and back also when `outward` lies along the tangent.
std::optional<Vec3> clock_direction(const Vec3& tangent, const Vec3& up, Angle clock);
std::optional<Angle> clock_of(const Vec3& tangent, const Vec3& up, const Vec3& outward);
/// Direction in which a boss or nipple of this clock stands on the duct: clock_direction in the level vehicle; on a
/// tube within 15 degrees of vertical the clock counts from the vehicle's forward direction instead of up.
Vec3 outward_direction(const Vec3& tangent, Angle clock);
/// Outward axis of a nipple on a tube: square to it unless its angle says otherwise.
Vec3 nipple_axis(const Vec3& tangent, const BranchPort& branch);

}  // namespace baywright::duct

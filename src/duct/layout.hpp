#pragma once

#include <optional>
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
  Vec3 start_mm, end_mm;    ///< tangent points (route ends at the ends)
  Vec3 direction;           ///< unit, along the flow
  double station_from_mm = 0, station_to_mm = 0;
  double length_mm() const { return station_to_mm - station_from_mm; }
};

/// Arc at an inner route point. Bend i lies between leg i and leg i + 1.
struct Bend {
  PointId at;
  Vec3 center, e0, e1;      ///< as TorusSegment
  double radius_mm = 0;
  Angle angle;              ///< direction change, 0..180
  Angle rotation;           ///< of its plane against the previous bend's, right-handed about the feed direction; first: 0
  Vec3 normal;              ///< unit, of its plane
  double set_back_mm = 0;
  double station_from_mm = 0, station_to_mm = 0;
};

/// Point and frame at a station.
struct StationFrame {
  Vec3 p_mm;
  Vec3 tangent;             ///< unit, along the flow
};

/// A fitting with its place resolved.
struct PlacedFitting {
  FittingId id;
  FittingKind kind;
  int leg = 0;
  double station_from_mm = 0;  ///< couplers: the gap; points (ports, taps): from = to
  double station_to_mm = 0;
};

/// What the shop makes or buys: a rigid tube between two couplers, or a coupler.
struct Piece {
  enum class Kind { tube, coupler };
  Kind kind = Kind::tube;
  std::string name;            ///< "tube 1", "coupler hump-1"
  std::optional<FittingId> fitting;  ///< couplers
  double station_from_mm = 0, station_to_mm = 0;  ///< couplers: of the hose, overlapping the tubes
  Carriage carriage;           ///< how it moves
  std::vector<bay::BodyId> held_by;  ///< bodies that hold it rigidly; none: floats between two soft joints
  std::vector<Primitive> shapes;     ///< analytic outer surface; Primitive::owner = index of the piece
};

/// Everything that follows from route and fittings.
struct Layout {
  std::vector<Leg> legs;
  std::vector<Bend> bends;
  std::vector<PlacedFitting> fittings;  ///< in order of station
  std::vector<Piece> pieces;            ///< in order of station
  double length_mm = 0;

  StationFrame at(double station_mm) const;
  /// Tube size at a station (reducers change it downstream).
  TubeSize tube_at(double station_mm) const;
  TubeSize upstream_tube;
  const PlacedFitting* find(const FittingId& id) const;
};

/// A duct ready to be measured.
struct Duct {
  DuctSpec spec;
  Layout layout;
};

/// Centerline, fittings, pieces and carriers of a duct in a bay.
/// Fails (all errors): fewer than two points, zero-length leg, reversal (angle above 175 deg), radius too large for
/// its legs (says by how much), fitting off its leg or on a bend, fittings overlapping, unknown port or body, end not
/// at its port (farther than 0.5 mm) or not along its axis (more than 1 deg). `where` names job ids:
/// "duct intake: point P2".
ResultAll<Layout> lay_out(const DuctSpec& spec, const bay::Bay& bay);

/// The route's geometry alone (no fittings, no bay).
ResultAll<Layout> lay_out_route(const Route& route);

/// Clock angle -> unit vector normal to the tangent, and back. Clock 0 is `up` projected on the section plane, positive
/// clockwise seen along the flow. nullopt when the tangent is within 15 degrees of `up` (trade.md section 1).
std::optional<Vec3> clock_direction(const Vec3& tangent, const Vec3& up, Angle clock);
std::optional<Angle> clock_of(const Vec3& tangent, const Vec3& up, const Vec3& outward);

}  // namespace baywright::duct

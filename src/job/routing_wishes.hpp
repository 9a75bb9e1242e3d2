#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "bay/bay.hpp"
#include "bay/motion_spec.hpp"
#include "duct/route.hpp"

namespace baywright::job {

// What a job leaves open to a search of routes, and what it wants of them. No measure or check reads it.

/// Along a direction of the vehicle frame, 0 being the place as given.
struct Slide {
  Vec3 along = Vec3::UnitX();
  double from_mm = 0, to_mm = 0;
  bool operator==(const Slide&) const = default;
};

/// About a line of the vehicle frame, 0 being the place as given.
struct Turn {
  bay::Axis axis;
  Angle from, to;
  bool operator==(const Turn&) const = default;
};

/// Another place, seen from the one as given: turned about a point by roll (x), then pitch (y), then yaw (z), then
/// shifted.
struct OtherPlace {
  std::string name;
  std::optional<Vec3> about_mm;  ///< absent: it is not turned
  Angle roll, pitch, yaw;
  Vec3 shift_mm = Vec3::Zero();
  bool operator==(const OtherPlace&) const = default;
};

/// What may be moved as one: parts, with all ports that belong to them, and ports that belong to no part.
struct MayMove {
  std::string name;
  std::vector<bay::PartId> parts;
  std::vector<bay::PortId> ports;
  std::vector<Slide> slides;
  std::optional<Turn> turn;  ///< done before the slides
  std::vector<OtherPlace> places;
  bool operator==(const MayMove&) const = default;
};

struct BoxRegion {
  Vec3 from_mm = Vec3::Zero(), to_mm = Vec3::Zero();  ///< corners; from below to
  bool operator==(const BoxRegion&) const = default;
};
struct SphereRegion {
  Vec3 center_mm = Vec3::Zero();
  double radius_mm = 0;
  bool operator==(const SphereRegion&) const = default;
};
/// Convex: all that lies between its points.
struct HullRegion {
  std::vector<Vec3> points_mm;
  bool operator==(const HullRegion&) const = default;
};
using RegionShape = std::variant<BoxRegion, SphereRegion, HullRegion>;

/// Of the vehicle frame; it does not move.
struct Region {
  std::string name;
  RegionShape shape;
  bool operator==(const Region&) const = default;
};

/// Points of a duct's route that stay where they are, with their bends.
struct LockedPoints {
  duct::DuctId duct;
  std::vector<duct::PointId> points;
  bool operator==(const LockedPoints&) const = default;
};

struct RoutingWishes {
  std::string stock;  ///< file relative to the job folder; "": the job's own tube
  std::vector<MayMove> may_move;
  std::vector<Region> keep_out;
  std::vector<Region> prefer;
  std::vector<LockedPoints> locked;
  bool operator==(const RoutingWishes&) const = default;
};

}  // namespace baywright::job

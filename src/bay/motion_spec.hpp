#pragma once

#include <array>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "bay/ids.hpp"
#include "geometry/base/quantity.hpp"
#include "geometry/base/result.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/clearance/motion.hpp"
#include "geometry/vec.hpp"

namespace baywright::bay {

/// A line in the vehicle frame at rest.
struct Axis {
  Vec3 point_mm = Vec3::Zero();
  Vec3 direction = Vec3::UnitX();  ///< unit
  bool operator==(const Axis&) const = default;
};

/// One named load case: turn about the roll axis, then pitch and yaw about the axis' point (y and z of the vehicle),
/// then shift. Angles right-handed about the axis (roll positive lifts the left side for an axis along +x).
struct LoadCase {
  std::string name;
  Angle roll, pitch, yaw;
  Vec3 shift_mm = Vec3::Zero();
  bool operator==(const LoadCase&) const = default;
};

/// Motion known as load cases; the set is the union of the straight paths from rest to each.
struct LoadCaseMotion {
  Axis roll_axis;
  std::vector<LoadCase> cases;
  bool operator==(const LoadCaseMotion&) const = default;
};
/// Motion known as independent ranges (full product of roll, pitch, yaw and shifts).
struct RangeMotion {
  Axis roll_axis;
  std::array<Angle, 2> roll, pitch, yaw;  ///< from, to; contain 0
  Vec3 shift_from_mm = Vec3::Zero();
  Vec3 shift_to_mm = Vec3::Zero();
  bool operator==(const RangeMotion&) const = default;
};
/// Motion measured on the vehicle: where three marked points went in each load case.
struct MarkedPoint {
  MarkId id;
  Vec3 point_mm = Vec3::Zero();
  bool operator==(const MarkedPoint&) const = default;
};
struct MeasuredCase {
  std::string name;
  std::array<Vec3, 3> moved_mm = {Vec3::Zero(), Vec3::Zero(), Vec3::Zero()};  ///< displacement of each mark
  bool operator==(const MeasuredCase&) const = default;
};
struct MeasuredMotion {
  std::array<MarkedPoint, 3> marks;
  std::vector<MeasuredCase> cases;
  bool operator==(const MeasuredMotion&) const = default;
};
/// Nothing was measured: the default load cases of an engine on rubber mounts (common practice, no source). Every
/// finding that rests on it says so.
struct AssumedMotion {
  Axis roll_axis;
  bool worn_mounts = false;  ///< every displacement times 1.5
  bool operator==(const AssumedMotion&) const = default;
};
/// Turns about a line.
struct HingeMotion {
  Axis axis;
  Angle from, to;        ///< contain 0
  bool service = false;  ///< only with the engine off and somebody at it (a filter lid lifted): no part of cr.motion
  bool operator==(const HingeMotion&) const = default;
};
/// Slides along a direction.
struct SlideMotion {
  Vec3 direction = Vec3::UnitX();  ///< unit
  double from_mm = 0, to_mm = 0;   ///< contain 0
  bool service = false;            ///< as for a hinge (a filter element drawn out)
  bool operator==(const SlideMotion&) const = default;
};

using MotionSpec =
    std::variant<std::monostate, LoadCaseMotion, RangeMotion, MeasuredMotion, AssumedMotion, HingeMotion, SlideMotion>;

/// The motion is stated to be for service only.
bool for_service(const MotionSpec& spec);

struct BuiltMotion {
  MotionSet set;
  bool assumed = false;
  /// Largest distance by which rigid poses fitted to the measured marks miss the marks, mm (0 unless measured).
  double fit_residual_mm = 0;
  std::vector<std::string> warnings;
};

/// Load cases taken when nothing was measured: common practice for engines on rubber mounts, no source.
std::vector<LoadCase> assumed_load_cases(bool worn_mounts);

/// Motion set of a spec. Load cases and measured cases become one path each, ranges, hinges and slides one box.
/// Measured marks are fitted by a rigid pose (least squares; Kabsch 1976), taken apart into one turn about an axis
/// through the marks' centroid and a shift of the centroid.
/// Fails: bad_value for collinear or coincident marks, rest outside a range, rotations beyond 90 degrees. Directions
/// need not have unit length; one of zero length fails.
/// `units`: what warnings state lengths in.
Result<BuiltMotion> build_motion(const MotionSpec& spec, const DisplayUnits& units = {});

}  // namespace baywright::bay

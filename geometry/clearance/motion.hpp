#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/pose.hpp"
#include "geometry/vec.hpp"

namespace baywright {

/// One degree of freedom: turning about a line or sliding along a direction.
struct Joint {
  enum class Kind { rotation, translation };
  Kind kind = Kind::translation;
  Vec3 axis = Vec3::UnitX();  ///< unit
  Vec3 point = Vec3::Zero();  ///< any point of the rotation axis, mm (rotation only)
};

/// Part of a motion set over one joint chain: pose(q) = J0(q0) J1(q1) ... Jn(qn), q in rad and mm.
struct MotionMember {
  enum class Shape {
    path,  ///< q = t * to, t in 0..1 (starts at rest)
    box,   ///< every q_i in [from_i, to_i] on its own; contains 0
  };
  std::string name;  ///< load case or range, as the user named it
  Shape shape = Shape::path;
  std::vector<Joint> joints;
  std::vector<double> from;  ///< box only; empty for a path
  std::vector<double> to;
};

/// All poses a body may take relative to the vehicle: the union of its members and rest. Empty: never moves.
class MotionSet {
 public:
  MotionSet() = default;
  /// EXPECTS joint axes of unit length, sizes that match, rest inside every member, rotations within +-pi/2.
  explicit MotionSet(std::vector<MotionMember> members);

  const std::vector<MotionMember>& members() const { return members_; }
  bool moves() const { return !members_.empty(); }
  /// Greatest displacement of point p (mm) over the set, an upper bound.
  double reach_mm(const Vec3& p) const;

 private:
  std::vector<MotionMember> members_;
};

/// Pose X_V_B of a body for parameters q of one member.
Pose pose_at(const MotionMember& member, const std::vector<double>& q);

/// A body's place within its motion set; rest when member < 0.
struct BodyState {
  int member = -1;
  std::vector<double> q;
  bool operator==(const BodyState&) const = default;
};
Pose pose_at(const MotionSet& set, const BodyState& state);

using BodyIndex = int;

/// The motion sets of all bodies of a bay; index = BodyIndex.
struct Kinematics {
  std::vector<MotionSet> bodies;
  /// Bodies that may be away from rest at the same time. False: one body moves, the others rest (union). True: full
  /// product.
  bool product = false;
};

/// How something rigid moves.
struct RigidCarriage {
  enum class Kind {
    fixed,  ///< rides on body a
    link,   ///< rigid rod between ball joints: its points end_a, end_b follow bodies a and b, see docs
  };
  Kind kind = Kind::fixed;
  BodyIndex a = 0;
  BodyIndex b = 0;
  Vec3 end_a = Vec3::Zero();  ///< link only, rest position in the vehicle frame, mm
  Vec3 end_b = Vec3::Zero();
  bool operator==(const RigidCarriage&) const = default;
};

/// Axis of a flexible joint at rest: straight, from the end of one tube to the end of the other.
struct Gap {
  Vec3 from = Vec3::Zero();  ///< vehicle frame, mm
  Vec3 to = Vec3::Zero();
  /// Whether flat-ended lengths of the joint's own radius ride on both ends, as a hose lies on its tubes.
  bool held = false;
  bool operator==(const Gap&) const = default;
};

/// What a thing rides on: one rigid carriage, or two when it is soft or held twice (a tube that is bolted to two
/// bodies). With a `gap` it is a flexible joint, whose every point follows from the two poses: see carried_point().
/// Without one nobody knows how it bends, and every point may follow any mixture of the two motions (their hull).
struct Carriage {
  RigidCarriage first;
  std::optional<RigidCarriage> second;
  std::optional<Gap> gap;  ///< with `second` only: first holds what lies before it, second what lies behind it

  static Carriage on(BodyIndex body) {
    Carriage c;
    c.first.a = c.first.b = body;
    return c;
  }
  bool flexible() const { return second && gap; }
  /// Soft, and its shape not known.
  bool mixed() const { return second && !gap; }
  bool operator==(const Carriage&) const = default;
};

/// A pose of everything: one state per body, plus what bodies do not determine: where a link lies between its ends
/// (axial play and spin are shared by the two joints, 0 = follows end a, 1 = follows end b, 0.5 nominal) and, for a
/// soft thing without a known shape, the mixture (0 = first, 1 = second).
struct PosedState {
  std::vector<BodyState> bodies;
  double axial_share = 0.5;
  double spin_share = 0.5;
  double mix = 0;
};
/// Pose by which something on a rigid carriage has moved from rest in `state` (vehicle frame).
/// EXPECTS the ends of a link apart, at rest and in `state`.
Pose carriage_pose(const Kinematics& kinematics, const RigidCarriage& carriage, const PosedState& state);

/// Where rest points (vehicle frame) of a thing on `carriage` are in `state`.
/// Link: the point of the rod's chord midway moves by the mean of the two ends' displacements, plus
/// (axial_share - 0.5) times the change of the chord's length along it; the rod turns by the smallest rotation that
/// carries the rest chord onto the moved chord, after a spin about the rest chord of (1 - spin_share) times end a's and
/// spin_share times end b's twist about it. Blend: (1 - mix) first + mix second, not rigid.
/// Flexible joint: points before the gap ride on first, points behind it on second. Between them the axis is the cubic
/// that leaves one tube and meets the other in their directions (flexible_gap.hpp), and a section stays square to it:
/// it turns with the share of the way from the one pose's turn to the other's, then the shortest way onto the curve.
class CarriedPoints {
 public:
  CarriedPoints(const Kinematics& kinematics, const Carriage& carriage, const PosedState& state);
  Vec3 operator()(const Vec3& rest_p) const;

 private:
  Vec3 in_gap(const Vec3& rest_p, double share) const;

  Pose first_;
  std::optional<Pose> second_;
  std::optional<Gap> gap_;
  double mix_ = 0;
};
Vec3 carried_point(const Kinematics& kinematics, const Carriage& carriage, const PosedState& state, const Vec3& rest_p);

}  // namespace baywright

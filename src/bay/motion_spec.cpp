#include "bay/motion_spec.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "bay/mark_fit.hpp"

namespace baywright::bay {
namespace {

constexpr double kShortestDirection = 1e-9;
/// Marks whose triangle is flatter than this tell no angle about their line: 1 mm of reading error on marks 500 mm
/// apart would turn the body by more than 11 degrees.
constexpr double kFlattestMarks = 0.02;
/// Marks nearer to each other than this are one mark.
constexpr double kNearestMarks_mm = 10;
/// A rigid body cannot stretch: readings that disagree by more than this are probably misread (common practice, no
/// source: dial or marker board readings are good to about 1 mm).
constexpr double kResidualWorthAWarning_mm = 2.0;

std::string number(double value) {
  char text[32];
  std::snprintf(text, sizeof text, "%.1f", value);
  return text;
}

Result<Vec3> unit(const Vec3& direction, const std::string& where) {
  const double length = direction.norm();
  if (!(length > kShortestDirection)) return fail(ErrorCode::bad_value, where, "direction has no length");
  return Vec3(direction / length);
}

Result<void> check_angle(Angle angle, const std::string& where) {
  if (std::abs(angle.si()) <= std::numbers::pi / 2) return {};
  return fail(ErrorCode::bad_value, where,
              "turns by " + number(to_degrees(angle)) +
                  " degrees; at most 90 are possible (is it in radians or a typing slip?)");
}

Result<void> check_holds_rest(double from, double to, const std::string& where, double per_unit) {
  if (from <= 0 && to >= 0) return {};
  return fail(ErrorCode::bad_value, where,
              "runs from " + number(from * per_unit) + " to " + number(to * per_unit) +
                  "; it must contain 0, the position at rest");
}

/// Six joints in the order shift x, y, z, yaw, pitch, roll: the rightmost acts first.
struct Chain {
  std::vector<Joint> joints;
  std::vector<double> from, to;

  void slide(const Vec3& axis, double lo, double hi) {
    if (lo == 0 && hi == 0) return;
    joints.push_back({Joint::Kind::translation, axis, Vec3::Zero()});
    from.push_back(lo);
    to.push_back(hi);
  }
  void turn(const Vec3& axis, const Vec3& point, double lo, double hi) {
    if (lo == 0 && hi == 0) return;
    joints.push_back({Joint::Kind::rotation, axis, point});
    from.push_back(lo);
    to.push_back(hi);
  }
  MotionMember path(const std::string& name) const { return {name, MotionMember::Shape::path, joints, {}, to}; }
  MotionMember box(const std::string& name) const { return {name, MotionMember::Shape::box, joints, from, to}; }
};

Result<void> add_case(const Axis& axis, const Vec3& direction, const LoadCase& c, std::vector<MotionMember>& members,
                      std::vector<std::string>& warnings) {
  for (const Angle angle : {c.roll, c.pitch, c.yaw}) {
    if (auto good = check_angle(angle, "load case \"" + c.name + "\""); !good) return good;
  }
  Chain chain;
  chain.slide(Vec3::UnitX(), 0, c.shift_mm.x());
  chain.slide(Vec3::UnitY(), 0, c.shift_mm.y());
  chain.slide(Vec3::UnitZ(), 0, c.shift_mm.z());
  chain.turn(Vec3::UnitZ(), axis.point_mm, 0, c.yaw.si());
  chain.turn(Vec3::UnitY(), axis.point_mm, 0, c.pitch.si());
  chain.turn(direction, axis.point_mm, 0, c.roll.si());
  if (chain.joints.empty()) {
    warnings.push_back("load case \"" + c.name + "\" moves nothing");
  } else {
    members.push_back(chain.path(c.name));
  }
  return {};
}

Result<BuiltMotion> build_cases(const Axis& axis, const std::vector<LoadCase>& cases) {
  const auto direction = unit(axis.direction, "roll axis");
  if (!direction) return tl::unexpected(direction.error());
  BuiltMotion built;
  std::vector<MotionMember> members;
  for (const LoadCase& c : cases) {
    if (auto good = add_case(axis, *direction, c, members, built.warnings); !good) return tl::unexpected(good.error());
  }
  built.set = MotionSet(std::move(members));
  return built;
}

Result<BuiltMotion> build(const std::monostate&) { return BuiltMotion{}; }

Result<BuiltMotion> build(const LoadCaseMotion& motion) { return build_cases(motion.roll_axis, motion.cases); }

Result<BuiltMotion> build(const RangeMotion& motion) {
  constexpr double kDegreesPerRadian = 180 / std::numbers::pi;
  const auto direction = unit(motion.roll_axis.direction, "roll axis");
  if (!direction) return tl::unexpected(direction.error());
  const std::array<std::pair<const char*, const std::array<Angle, 2>*>, 3> turns{
      {{"yaw", &motion.yaw}, {"pitch", &motion.pitch}, {"roll", &motion.roll}}};
  const std::array<Vec3, 3> turn_axes{Vec3::UnitZ(), Vec3::UnitY(), *direction};
  Chain chain;
  for (int i = 0; i < 3; ++i) {
    const double from = motion.shift_from_mm[i];
    const double to = motion.shift_to_mm[i];
    if (auto good = check_holds_rest(from, to, std::string("shift ") + "xyz"[i], 1); !good) {
      return tl::unexpected(good.error());
    }
    chain.slide(Vec3::Unit(i), from, to);
  }
  for (std::size_t i = 0; i < 3; ++i) {
    const auto& [from, to] = *turns[i].second;
    for (const Angle angle : {from, to}) {
      if (auto good = check_angle(angle, turns[i].first); !good) return tl::unexpected(good.error());
    }
    if (auto good = check_holds_rest(from.si(), to.si(), turns[i].first, kDegreesPerRadian); !good) {
      return tl::unexpected(good.error());
    }
    chain.turn(turn_axes[i], motion.roll_axis.point_mm, from.si(), to.si());
  }
  BuiltMotion built;
  if (chain.joints.empty()) {
    built.warnings.emplace_back("all ranges are zero: the body never moves");
  } else {
    built.set = MotionSet({chain.box("range")});
  }
  return built;
}

Result<void> check_marks(const std::array<Vec3, 3>& rest, const DisplayUnits& units) {
  for (std::size_t i = 0; i < 3; ++i) {
    if ((rest[i] - rest[(i + 1) % 3]).norm() < kNearestMarks_mm) {
      return fail(ErrorCode::bad_value, "marks",
                  "two marks are less than " + length_text(kNearestMarks_mm, units) +
                      " apart; choose three spread over the body");
    }
  }
  if (flatness(rest) < kFlattestMarks) {
    return fail(ErrorCode::bad_value, "marks",
                "the three marks lie on one line, so that a turn about it would not be seen; move one of them aside");
  }
  return {};
}

Result<BuiltMotion> build(const MeasuredMotion& motion, const DisplayUnits& units) {
  std::array<Vec3, 3> rest;
  for (std::size_t i = 0; i < 3; ++i) rest[i] = motion.marks[i].point_mm;
  if (auto good = check_marks(rest, units); !good) return tl::unexpected(good.error());
  BuiltMotion built;
  std::vector<MotionMember> members;
  for (const MeasuredCase& c : motion.cases) {
    std::array<Vec3, 3> moved;
    for (std::size_t i = 0; i < 3; ++i) moved[i] = rest[i] + c.moved_mm[i];
    const MarkFit fit = fit_marks(rest, moved);
    if (auto good = check_angle(radians(fit.angle_rad), "measured case \"" + c.name + "\""); !good) {
      return tl::unexpected(good.error());
    }
    built.fit_residual_mm = std::max(built.fit_residual_mm, fit.residual_mm);
    if (fit.residual_mm > kResidualWorthAWarning_mm) {
      built.warnings.push_back("measured case \"" + c.name + "\": the readings miss every rigid motion by " +
                               length_text(fit.residual_mm, units) + "; read the marks again");
    }
    Chain chain;
    chain.slide(Vec3::UnitX(), 0, fit.shift.x());
    chain.slide(Vec3::UnitY(), 0, fit.shift.y());
    chain.slide(Vec3::UnitZ(), 0, fit.shift.z());
    chain.turn(fit.axis, fit.centroid, 0, fit.angle_rad);
    if (chain.joints.empty()) {
      built.warnings.push_back("measured case \"" + c.name + "\" moves nothing");
    } else {
      members.push_back(chain.path(c.name));
    }
  }
  built.set = MotionSet(std::move(members));
  return built;
}

Result<BuiltMotion> build(const AssumedMotion& motion) {
  auto built = build_cases(motion.roll_axis, assumed_load_cases(motion.worn_mounts));
  if (built) {
    built->assumed = true;
    built->warnings.emplace_back(motion.worn_mounts ? "motion is assumed (worn mounts), not measured"
                                                    : "motion is assumed (mounts in good order), not measured");
  }
  return built;
}

Result<BuiltMotion> build(const HingeMotion& motion) {
  const auto direction = unit(motion.axis.direction, "hinge axis");
  if (!direction) return tl::unexpected(direction.error());
  for (const Angle angle : {motion.from, motion.to}) {
    if (auto good = check_angle(angle, "hinge"); !good) return tl::unexpected(good.error());
  }
  if (auto good = check_holds_rest(motion.from.si(), motion.to.si(), "hinge", 180 / std::numbers::pi); !good) {
    return tl::unexpected(good.error());
  }
  Chain chain;
  chain.turn(*direction, motion.axis.point_mm, motion.from.si(), motion.to.si());
  BuiltMotion built;
  if (chain.joints.empty()) {
    built.warnings.emplace_back("the angle of a hinge is zero: the body never moves");
  } else {
    built.set = MotionSet({chain.box("hinge")});
  }
  return built;
}

Result<BuiltMotion> build(const SlideMotion& motion) {
  const auto direction = unit(motion.direction, "slide");
  if (!direction) return tl::unexpected(direction.error());
  if (auto good = check_holds_rest(motion.from_mm, motion.to_mm, "slide", 1); !good)
    return tl::unexpected(good.error());
  Chain chain;
  chain.slide(*direction, motion.from_mm, motion.to_mm);
  BuiltMotion built;
  if (chain.joints.empty()) {
    built.warnings.emplace_back("the travel of a slide is zero: the body never moves");
  } else {
    built.set = MotionSet({chain.box("slide")});
  }
  return built;
}

}  // namespace

std::vector<LoadCase> assumed_load_cases(bool worn_mounts) {
  // Common practice, no source. Start and stop shake (+-2 degrees of roll) lies within the first two and is not listed.
  const Angle none;
  std::vector<LoadCase> cases{
      {"forward torque", degrees(3), none, none, Vec3::Zero()},
      {"over-run or reverse", degrees(-2), none, none, Vec3::Zero()},
      {"bump", none, none, none, Vec3(0, 0, -12)},
      {"rebound", none, none, none, Vec3(0, 0, 10)},
      {"braking", none, none, none, Vec3(10, 0, 0)},
      {"launch", none, none, none, Vec3(-10, 0, 0)},
      {"cornering left", none, none, none, Vec3(0, -8, 0)},
      {"cornering right", none, none, none, Vec3(0, 8, 0)},
      {"forward torque with bump", degrees(3), none, none, Vec3(0, 0, -12)},
  };
  if (!worn_mounts) return cases;
  constexpr double kWorn = 1.5;  // common practice, no source
  for (LoadCase& c : cases) {
    c.roll = kWorn * c.roll;
    c.shift_mm *= kWorn;
  }
  return cases;
}

bool for_service(const MotionSpec& spec) {
  const auto* hinge = std::get_if<HingeMotion>(&spec);
  const auto* slide = std::get_if<SlideMotion>(&spec);
  return (hinge && hinge->service) || (slide && slide->service);
}

Result<BuiltMotion> build_motion(const MotionSpec& spec, const DisplayUnits& units) {
  return std::visit(
      [&](const auto& motion) -> Result<BuiltMotion> {
        if constexpr (std::is_same_v<std::decay_t<decltype(motion)>, MeasuredMotion>) {
          return build(motion, units);
        } else {
          return build(motion);
        }
      },
      spec);
}

}  // namespace baywright::bay

#include "bay/motion_spec.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include <catch2/catch.hpp>

#include "bay/mark_fit.hpp"

using namespace baywright;
using namespace baywright::bay;

namespace {

const Axis kRollAxis{Vec3(0, 0, 90), Vec3::UnitX()};

BuiltMotion built(const MotionSpec& spec) {
  auto motion = build_motion(spec);
  if (!motion) FAIL(to_line(motion.error()));
  return *motion;
}

/// Where a rest point is at the end of path `member`.
Vec3 at_end(const BuiltMotion& motion, std::size_t member, const Vec3& p) {
  const MotionMember& m = motion.set.members().at(member);
  return pose_at(m, m.to) * p;
}

}  // namespace

TEST_CASE("no motion, and load cases that move nothing") {
  CHECK_FALSE(built(std::monostate()).set.moves());
  const auto still = built(LoadCaseMotion{kRollAxis, {{"rest", {}, {}, {}, Vec3::Zero()}}});
  CHECK_FALSE(still.set.moves());
  CHECK(still.warnings.size() == 1);
}

TEST_CASE("three degrees about an axis move a point at 500 mm along a chord of 26.2 mm") {
  const auto motion = built(LoadCaseMotion{kRollAxis, {{"torque", degrees(3), {}, {}, Vec3::Zero()}}});
  const Vec3 p = kRollAxis.point_mm + Vec3(120, 500, 0);
  const double chord = (at_end(motion, 0, p) - p).norm();
  CHECK(chord == Approx(2 * 500 * std::sin(1.5 * std::numbers::pi / 180)).epsilon(1e-12));
  CHECK(chord == Approx(26.2).margin(0.05));
  CHECK(at_end(motion, 0, p).z() > p.z());  // positive roll about +x lifts the left side
}

TEST_CASE("a load case rolls first, then pitches, yaws and shifts") {
  const LoadCase c{"all", degrees(20), degrees(-15), degrees(10), Vec3(4, -3, 6)};
  const auto motion = built(LoadCaseMotion{kRollAxis, {c}});
  const Vec3 p(-250, -250, 410);
  const Vec3& o = kRollAxis.point_mm;
  const Vec3 expected =
      Pose::translation(c.shift_mm) *
      (Pose::rotation(Vec3::UnitZ(), o, c.yaw.si()) *
       (Pose::rotation(Vec3::UnitY(), o, c.pitch.si()) * (Pose::rotation(Vec3::UnitX(), o, c.roll.si()) * p)));
  CHECK((at_end(motion, 0, p) - expected).norm() < 1e-9);
}

TEST_CASE("ranges make one box that holds every combination") {
  RangeMotion ranges;
  ranges.roll_axis = kRollAxis;
  ranges.roll = {degrees(-2), degrees(3)};
  ranges.shift_from_mm = Vec3(0, 0, -12);
  ranges.shift_to_mm = Vec3(0, 0, 10);
  const auto motion = built(ranges);
  REQUIRE(motion.set.members().size() == 1);
  const MotionMember& box = motion.set.members()[0];
  CHECK(box.shape == MotionMember::Shape::box);
  REQUIRE(box.joints.size() == 2);  // z and roll; what cannot move has no joint
  CHECK(box.from[0] == -12);
  CHECK(box.to[1] == Approx(degrees(3).si()));
}

TEST_CASE("what cannot be a motion is refused") {
  const auto refused = [](const MotionSpec& spec) {
    const auto motion = build_motion(spec);
    return motion ? std::string("accepted") : to_line(motion.error());
  };
  RangeMotion ranges;
  ranges.shift_from_mm = Vec3(1, 0, 0);
  ranges.shift_to_mm = Vec3(2, 0, 0);
  CHECK(refused(ranges) == "shift x: runs from 1.0 to 2.0; it must contain 0, the position at rest");
  CHECK(refused(HingeMotion{{}, degrees(10), degrees(60)}).find("must contain 0") != std::string::npos);
  CHECK(refused(SlideMotion{Vec3::Zero(), 0, 10}) == "slide: direction has no length");
  CHECK(refused(LoadCaseMotion{kRollAxis, {{"typo", degrees(180), {}, {}, Vec3::Zero()}}}).find("at most 90") !=
        std::string::npos);
  MeasuredMotion line;
  for (int i = 0; i < 3; ++i) line.marks[static_cast<std::size_t>(i)] = {MarkId("m"), Vec3(100.0 * i, 0, 0)};
  line.cases.push_back({"c", {}});
  CHECK(refused(line).find("on one line") != std::string::npos);
  line.marks[2].point_mm = line.marks[1].point_mm;
  CHECK(refused(line).find("less than 10.0 mm apart") != std::string::npos);
}

TEST_CASE("marks moved rigidly give back the motion exactly") {
  std::mt19937 random(20240607);
  std::uniform_real_distribution<double> coordinate(-600, 600);
  std::uniform_real_distribution<double> shift(-15, 15);
  std::uniform_real_distribution<double> angle(-0.15, 0.15);
  std::normal_distribution<double> direction;
  for (int round = 0; round < 200; ++round) {
    MeasuredMotion measured;
    std::array<Vec3, 3> rest;
    do {
      for (Vec3& p : rest) p = Vec3(coordinate(random), coordinate(random), coordinate(random));
    } while (flatness(rest) < 0.1);
    const Vec3 axis = Vec3(direction(random), direction(random), direction(random)).normalized();
    const Vec3 point(coordinate(random), coordinate(random), coordinate(random));
    const Pose truth = Pose::translation(Vec3(shift(random), shift(random), shift(random))) *
                       Pose::rotation(axis, point, angle(random));
    MeasuredCase c{"case", {}};
    for (std::size_t i = 0; i < 3; ++i) {
      measured.marks[i] = {MarkId(std::string(i + 1, 'm')), rest[i]};
      c.moved_mm[i] = truth * rest[i] - rest[i];
    }
    measured.cases.push_back(c);
    const auto motion = built(measured);
    CHECK(motion.fit_residual_mm < 1e-9);
    const Vec3 p(coordinate(random), coordinate(random), coordinate(random));
    CHECK((at_end(motion, 0, p) - truth * p).norm() < 1e-7);
  }
}

TEST_CASE("marks in a plane do not fit a mirror image") {
  const std::array<Vec3, 3> rest{Vec3(0, 0, 0), Vec3(300, 0, 0), Vec3(0, 200, 0)};
  const Pose turn = Pose::rotation(Vec3::UnitZ(), Vec3::Zero(), 0.2);
  std::array<Vec3, 3> moved;
  for (std::size_t i = 0; i < 3; ++i) moved[i] = turn * rest[i];
  const MarkFit fit = fit_marks(rest, moved);
  CHECK(fit.residual_mm < 1e-9);
  CHECK((fit.pose() * Vec3(0, 0, 100) - turn * Vec3(0, 0, 100)).norm() < 1e-9);
}

TEST_CASE("marks that stretch are reported by how far the fit misses them") {
  MeasuredMotion measured;
  measured.marks = {{{MarkId("a"), Vec3(0, 0, 0)}, {MarkId("b"), Vec3(500, 0, 0)}, {MarkId("c"), Vec3(0, 400, 0)}}};
  // b moves 9 mm away from a along their line: no rigid motion does that. The best fit has a residual of several mm.
  measured.cases.push_back({"misread", {Vec3::Zero(), Vec3(9, 0, 0), Vec3::Zero()}});
  const auto motion = built(measured);
  CHECK(motion.fit_residual_mm > 3);
  CHECK(motion.fit_residual_mm < 9);
  CHECK(motion.warnings.size() == 1);
}

TEST_CASE("the assumed motion says that it is assumed, and worn mounts give half as much again") {
  const auto sound = built(AssumedMotion{kRollAxis, false});
  const auto worn = built(AssumedMotion{kRollAxis, true});
  CHECK(sound.assumed);
  CHECK(sound.warnings.size() == 1);
  REQUIRE(sound.set.members().size() == worn.set.members().size());
  for (std::size_t i = 0; i < sound.set.members().size(); ++i) {
    for (std::size_t k = 0; k < sound.set.members()[i].to.size(); ++k) {
      CHECK(worn.set.members()[i].to[k] == Approx(1.5 * sound.set.members()[i].to[k]));
    }
  }
}

TEST_CASE("hinge and slide move about and along their lines") {
  const auto hinge = built(HingeMotion{{Vec3(-580, 0, 640), Vec3(0, 2, 0)}, degrees(-70), degrees(0.3)});
  const MotionMember& box = hinge.set.members().at(0);
  const Vec3 nose(235, 0, 574);
  CHECK((pose_at(box, {degrees(-70).si()}) * nose).z() > nose.z() + 700);
  const auto slide = built(SlideMotion{Vec3(0, 0, 3), 0, 40});
  CHECK((pose_at(slide.set.members().at(0), {40.0}) * nose - nose - Vec3(0, 0, 40)).norm() < 1e-12);
}

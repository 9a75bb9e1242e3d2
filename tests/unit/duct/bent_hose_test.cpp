#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "duct/pieces.hpp"
#include "geometry/clearance/clearance.hpp"
#include "geometry/clearance/flexible_gap.hpp"
#include "routes.hpp"

using namespace baywright;
using namespace baywright::duct;
using namespace baywright::test;

namespace {

/// The hose of a coupler between the vehicle and body 1, engaged by less than its radius of 43.1.
struct Hose {
  Piece piece;
  double from_mm = 0, gap_from_mm = 0, gap_to_mm = 0, to_mm = 0;  ///< x of its ends and of its gap's
  double radius_mm = 0;
};

Hose hose(double gap_mm, double length_mm) {
  Installation made = between(route({{0, 0, 0}, {600, 0, 0}}, 0));
  made.spec.fittings = {fitting_at(made.spec.route, "C1", 250, coupler(CouplerShape::straight, gap_mm, length_mm))};
  made.spec.fittings[0].kind = coupler(CouplerShape::hump, gap_mm, length_mm);
  std::get<Coupler>(made.spec.fittings[0].kind).hump_height_mm = 0;
  Hose out;
  out.piece = made.laid_out().layout.pieces[1];
  out.gap_from_mm = out.piece.carriage.gap->from.x();
  out.gap_to_mm = out.piece.carriage.gap->to.x();
  out.from_mm = out.piece.station_from_mm;
  out.to_mm = out.piece.station_to_mm;
  out.radius_mm = std::get<Cylinder>(out.piece.shapes[1].shape).radius_mm;
  return out;
}

MotionMember motion(const Vec3& about, double turn_rad, double shift_mm) {
  MotionMember m;
  m.shape = MotionMember::Shape::box;
  for (int k = 0; k < 3; ++k) m.joints.push_back({Joint::Kind::translation, Vec3::Unit(k), Vec3::Zero()});
  for (int k = 0; k < 3; ++k) m.joints.push_back({Joint::Kind::rotation, Vec3::Unit(k), about});
  for (const double most : {shift_mm, shift_mm, shift_mm, turn_rad, turn_rad, turn_rad}) {
    m.from.push_back(-most);
    m.to.push_back(most);
  }
  return m;
}

}  // namespace

TEST_CASE("Nothing of a bent hose lies outside of what is measured") {
  // Surface points of engaged lengths and gap at random poses, sections square to the axis and sections that tilt with
  // the two tubes instead (each line of the surface a cubic of its own): against each, as a speck, nothing is left.
  std::mt19937 random(81);
  const auto in = [&](double a, double b) { return a + (b - a) * std::generate_canonical<double, 53>(random); };
  for (const auto& [gap, length] : {std::pair{20.0, 90.0}, {25.0, 75.0}, {40.0, 80.0}}) {
    const Hose h = hose(gap, length);
    REQUIRE(h.gap_from_mm - h.from_mm < h.radius_mm);
    Kinematics kinematics;
    kinematics.bodies = {MotionSet(), MotionSet({motion({250, 30, -100}, 0.05, 5)})};
    double deepest = 0;
    for (int i = 0; i < 1500; ++i) {
      PosedState state;
      state.bodies.resize(2);
      state.bodies[1].member = 0;
      const auto& m = kinematics.bodies[1].members()[0];
      for (std::size_t k = 0; k < m.to.size(); ++k) {
        state.bodies[1].q.push_back(in(0, 1) < 0.5 ? (in(0, 1) < 0.5 ? m.from[k] : m.to[k]) : in(m.from[k], m.to[k]));
      }
      const CarriedPoints carried(kinematics, h.piece.carriage, state);
      const double x = in(0, 1) < 0.5 ? in(h.from_mm, h.to_mm) : in(h.gap_from_mm, h.gap_to_mm);
      const double turn = in(0, 2 * std::numbers::pi);
      const Vec3 aside = h.radius_mm * Vec3(0, std::cos(turn), std::sin(turn));
      Vec3 p = carried(Vec3(x, 0, 0) + aside);
      if (i % 2 && x > h.gap_from_mm && x < h.gap_to_mm) {
        const Pose first = carriage_pose(kinematics, h.piece.carriage.first, state),
                   second = carriage_pose(kinematics, *h.piece.carriage.second, state);
        const auto controls = gap_controls(*h.piece.carriage.gap);
        const auto weights = cubic_weights((x - h.gap_from_mm) / (h.gap_to_mm - h.gap_from_mm));
        p.setZero();
        for (std::size_t k = 0; k < 4; ++k) p += weights[k] * ((k < 2 ? first : second) * Vec3(controls[k] + aside));
      }
      TriMesh speck;
      speck.origin_mm = p;
      speck.vertices = {Eigen::Vector3f::Zero()};
      speck.triangles = {{0, 0, 0}};
      const TriTree tree = TriTree::over(speck);
      const auto there = clearance_at(kinematics, h.piece.shapes, h.piece.carriage, tree, 0, state, {0.1, 100});
      INFO(x << " " << there.hi_mm);
      REQUIRE(there.hi_mm < 1e-5);
      deepest = std::min(deepest, there.hi_mm);
      if (i % 50) continue;
      const auto over_motion = clearance(kinematics, h.piece.shapes, h.piece.carriage, tree, 0, {0.1, 100});
      REQUIRE(over_motion.lo_mm < there.hi_mm);
    }
    CHECK(deepest < -0.01);  // some of it lies inside: sections that keep square would not close everywhere
  }
}

TEST_CASE("A hose at rest ends flat") {
  const Hose h = hose(20, 90);
  const auto at = [&](const Vec3& p) {
    TriMesh speck;
    speck.origin_mm = p;
    speck.vertices = {Eigen::Vector3f::Zero()};
    speck.triangles = {{0, 0, 0}};
    return clearance_at_rest(h.piece.shapes, h.piece.carriage, TriTree::over(speck), {0.1, 100}).hi_mm;
  };
  CHECK(at({h.from_mm - 7, 0, 0}) == Approx(7));
  CHECK(at({h.to_mm + 7, 20, 0}) == Approx(7));
  CHECK(at({h.to_mm + 3, h.radius_mm + 4, 0}) == Approx(5));
  CHECK(at({0.5 * (h.gap_from_mm + h.gap_to_mm), 0, h.radius_mm + 6}) == Approx(6));
}

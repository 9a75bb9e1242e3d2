#include "viewer/window/turntable.hpp"

#include <catch2/catch.hpp>

#include <Eigen/Geometry>

#include <numbers>
#include <random>

using namespace baywright;
using viewer::Shot;

namespace {

/// Right and up of a point in the picture, mm.
Eigen::Vector2d seen(const Shot& shot, const Vec3& p) {
  const Vec3 off = p - shot.focal_mm;
  return {off.dot(shot.up.cross(shot.toward)), off.dot(shot.up)};
}

}  // namespace

TEST_CASE("No movement changes nothing", "[viewer]") {
  const Shot shot;
  CHECK((viewer::orbited(shot, {1, 2, 3}, 0, 0).toward - shot.toward).norm() < 1e-12);
  CHECK((viewer::panned(shot, 0, 0, 800).focal_mm - shot.focal_mm).norm() < 1e-12);
  CHECK(viewer::zoomed(shot, 1, 50, 50, 800).half_height_mm == shot.half_height_mm);
}

TEST_CASE("Turning keeps the pivot in place and the vehicle upright", "[viewer]") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> angle(-0.4, 0.4), place(-300, 300);
  Shot shot;
  for (int i = 0; i < 200; ++i) {
    const Vec3 pivot(place(random), place(random), place(random));
    const auto before = seen(shot, pivot);
    shot = viewer::orbited(shot, pivot, angle(random), angle(random));
    CHECK((seen(shot, pivot) - before).norm() < 1e-6);
    CHECK(std::abs(shot.up.cross(shot.toward).z()) < 1e-9);  // the horizon stays level
    CHECK(shot.up.z() > 0);
    CHECK(std::abs(shot.toward.norm() - 1) < 1e-9);
  }
}

TEST_CASE("Tilting stops at the pole", "[viewer]") {
  Shot shot;
  shot = viewer::orbited(shot, Vec3::Zero(), 0, 10);
  CHECK(shot.toward.z() == Approx(std::sin(89 * std::numbers::pi / 180)).margin(1e-4));
  shot = viewer::orbited(shot, Vec3::Zero(), 0, -20);
  CHECK(shot.toward.z() == Approx(-std::sin(89 * std::numbers::pi / 180)).margin(1e-4));
}

TEST_CASE("Zoom keeps the point under the pointer, moving follows it", "[viewer]") {
  Shot shot;
  shot.half_height_mm = 400;
  const double height_px = 800;  // 1 mm per pixel
  const Vec3 right = shot.up.cross(shot.toward);
  const Vec3 under = shot.focal_mm + 120 * right + 60 * shot.up;
  const auto near = viewer::zoomed(shot, 0.5, 120, 60, height_px);
  CHECK(near.half_height_mm == Approx(200));
  const auto at = seen(near, under);
  CHECK(at.x() / (2 * near.half_height_mm / height_px) == Approx(120));
  CHECK(at.y() / (2 * near.half_height_mm / height_px) == Approx(60));
  const auto moved = seen(viewer::panned(shot, 15, -7, height_px), under);
  CHECK(moved.x() == Approx(120 + 15));
  CHECK(moved.y() == Approx(60 - 7));
}

#include "flow/entry_loss.hpp"

#include "flow/interpolation.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

// Idelchik, diagram 3-1, as reprinted in the ASHRAE handbook: wall / bore.
constexpr std::array<double, 3> kWall = {0, .02, .05};
constexpr std::array<double, 3> kWallLoss = {1.0, .72, .50};

// Idelchik, diagram 3-4: radius of the lip / bore.
constexpr std::array<double, 11> kLipInWall = {0, .01, .02, .03, .04, .05, .06, .08, .12, .16, .20};
constexpr std::array<double, 11> kLipInWallLoss = {.50, .43, .37, .31, .26, .22, .20, .15, .09, .06, .03};
constexpr std::array<double, 12> kLipFree = {0, .01, .02, .03, .04, .05, .06, .08, .10, .12, .16, .20};
constexpr std::array<double, 12> kLipFreeLoss = {1.0, .87, .74, .61, .51, .40, .32, .20, .15, .10, .06, .03};

// Idelchik, diagram 3-7, row of 60 degrees: length / bore.
constexpr std::array<double, 7> kConeLength = {0, .025, .05, .075, .10, .15, .60};
constexpr std::array<double, 7> kEntryConeLoss = {.50, .40, .30, .23, .18, .15, .12};

}  // namespace

double reentrant_entry_loss(double wall_ratio) {
  EXPECTS(wall_ratio >= 0);
  return linear(kWall, kWallLoss, wall_ratio);
}

double bellmouth_loss(double radius_ratio, bool in_wall) {
  EXPECTS(radius_ratio >= 0);
  return in_wall ? linear(kLipInWall, kLipInWallLoss, radius_ratio) : linear(kLipFree, kLipFreeLoss, radius_ratio);
}

std::optional<double> cone_entry_loss(double length_ratio, Angle full_angle) {
  EXPECTS(length_ratio >= 0);
  if (full_angle < degrees(50) || full_angle > degrees(70)) return std::nullopt;
  return linear(kConeLength, kEntryConeLoss, length_ratio);
}

}  // namespace baywright::flow

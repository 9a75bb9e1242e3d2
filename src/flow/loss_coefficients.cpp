#include "flow/loss_coefficients.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "flow/interpolation.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::flow {
namespace {

// SMACNA 1990, table 14-12A: K on the small end of a round contraction.
constexpr std::array<double, 9> kConeAngle_deg = {10, 15, 40, 50, 60, 90, 120, 150, 180};
constexpr std::array<double, 3> kConeAreaRatio = {2, 4, 10};
constexpr std::array<std::array<double, 3>, 9> kConeLoss = {{{.05, .05, .05},
                                                             {.05, .04, .05},
                                                             {.05, .04, .05},
                                                             {.06, .07, .08},
                                                             {.06, .07, .08},
                                                             {.12, .17, .19},
                                                             {.18, .27, .29},
                                                             {.24, .35, .37},
                                                             {.26, .41, .43}}};

// Miller's outlet-length factor C_o as digitised in the open library fluids 1.3.1: bend K against straight / bore.
constexpr std::array<double, 6> kOutletBendK = {.10, .15, .20, .25, .50, 1.0};
constexpr std::array<double, 9> kOutletLength = {0, .5, 1, 2, 4, 6, 10, 20, 30};
constexpr std::array<std::array<double, 9>, 6> kOutletFactor = {{{.62, .53, .49, .50, .56, .61, .68, .85, 1},
                                                                 {.87, .68, .60, .60, .66, .71, .77, .91, 1},
                                                                 {1.20, .84, .69, .67, .72, .76, .83, .96, 1},
                                                                 {2.71, 2.07, .80, .72, .78, .82, .88, 1, 1},
                                                                 {2.71, 2.15, 1.06, .81, .82, .85, .91, 1, 1},
                                                                 {2.71, 2.32, 1.58, .99, .90, .92, .96, 1, 1}}};

// Idelchik, diagram 6-5: factor of a single mitre over its angle.
constexpr std::array<double, 7> kMitreAngle_deg = {0, 20, 30, 45, 60, 75, 90};
constexpr std::array<double, 7> kMitreFactor = {2.5, 2.5, 2.22, 1.87, 1.5, 1.28, 1.2};
// SMACNA, table A-7C: the same over the Reynolds number.
constexpr std::array<double, 8> kMitreReynolds = {1e4, 2e4, 3e4, 4e4, 6e4, 8e4, 1e5, 1.4e5};
constexpr std::array<double, 8> kMitreReynoldsFactor = {1.40, 1.26, 1.19, 1.14, 1.09, 1.06, 1.04, 1.0};

// SMACNA, table A-7B: segmented bends of 90 degrees, radius / bore against pieces. The row of 0.5 is printed for three
// pieces alone; for more pieces it grows by the same factor over that of 0.75 (ours, no source).
constexpr std::array<double, 5> kSegmentRadius = {.5, .75, 1, 1.5, 2};
constexpr std::array<double, 3> kSegmentPieces = {3, 4, 5};
constexpr double kTightest = .98 / .54;
constexpr std::array<std::array<double, 3>, 5> kSegmentLoss = {
    {{.98, .50 * kTightest, .46 * kTightest}, {.54, .50, .46}, {.42, .37, .33}, {.34, .27, .24}, {.33, .24, .19}}};

// Idelchik, diagram 6-1 (SMACNA A-7A the same): factor of a bend over its angle against one of 90 degrees.
constexpr std::array<double, 11> kBendAngle_deg = {0, 20, 30, 45, 60, 75, 90, 110, 130, 150, 180};
constexpr std::array<double, 11> kBendAngleFactor = {0, .31, .45, .60, .78, .90, 1, 1.13, 1.20, 1.28, 1.40};

bool is_cone(double bore_ratio, Angle full_angle) {
  return bore_ratio > 0 && bore_ratio <= 1 && full_angle > radians(0) && full_angle <= degrees(180);
}

/// Wall friction of a cone on the velocity at its small end, f (1 - b^4) / (8 sin(theta / 2)).
double cone_friction(double b, Angle full_angle, double friction) {
  return friction * (1 - std::pow(b, 4)) / (8 * std::sin(full_angle.si() / 2));
}

}  // namespace

double friction_factor(double reynolds, double relative_roughness) {
  EXPECTS(reynolds > 0 && relative_roughness >= 0);
  const double a = std::pow(2.457 * std::log(1 / (std::pow(7 / reynolds, 0.9) + 0.27 * relative_roughness)), 16);
  const double b = std::pow(37530 / reynolds, 16);
  return 8 * std::pow(std::pow(8 / reynolds, 12) + std::pow(a + b, -1.5), 1.0 / 12);
}

double bend_loss(double radius_ratio, Angle angle, double friction) {
  EXPECTS(radius_ratio > 0 && friction >= 0 && angle >= radians(0) && angle <= degrees(180.0001));
  const double theta = angle.si();
  const double s = std::sin(theta / 2);
  return friction * theta * radius_ratio + (0.10 + 2.4 * friction) * s +
         6.6 * friction * (std::sqrt(s) + s) / std::pow(radius_ratio, 4 * theta / std::numbers::pi);
}

double contraction_loss_rennels(double b, Angle full_angle, double friction) {
  EXPECTS(is_cone(b, full_angle));
  const double s = std::sin(full_angle.si() / 2);
  const double lambda =
      1 + 0.622 * std::pow(full_angle.si() / std::numbers::pi, 0.8) * (1 - 0.215 * b * b - 0.785 * std::pow(b, 5));
  return cone_friction(b, full_angle, friction) + 0.0696 * s * (1 - std::pow(b, 5)) * lambda * lambda +
         std::pow(lambda - 1, 2);
}

double contraction_loss(double area_ratio, Angle full_angle, double friction) {
  EXPECTS(area_ratio >= 1);
  const double b = std::sqrt(1 / area_ratio);
  EXPECTS(is_cone(b, full_angle));
  const double angle_deg = to_degrees(full_angle);
  double k = bilinear(kConeAngle_deg, kConeAreaRatio, kConeLoss, angle_deg, area_ratio);
  if (area_ratio < kConeAreaRatio.front()) k *= (area_ratio - 1) / (kConeAreaRatio.front() - 1);
  if (area_ratio > kConeAreaRatio.back()) k = std::max(k, contraction_loss_rennels(b, full_angle, friction));
  if (angle_deg < kConeAngle_deg.front()) k = std::max(k, cone_friction(b, full_angle, friction));
  return k;
}

double diffuser_loss(double b, Angle full_angle, double friction) {
  EXPECTS(is_cone(b, full_angle));
  const double angle_deg = to_degrees(full_angle);
  const double expansion = std::pow(1 - b * b, 2);
  const double narrow = b < 0.5 ? 3.28 * (0.0625 - std::pow(b, 4)) : 0;  // further loss of large area ratios
  if (angle_deg <= 20) {
    return 8.30 * std::pow(std::tan(full_angle.si() / 2), 1.75) * expansion + cone_friction(b, full_angle, friction);
  }
  if (angle_deg <= 60) {
    const double k = 1.366 * std::sqrt(std::sin(2 * degrees(angle_deg - 15).si())) - 0.170 -
                     narrow * std::sqrt((angle_deg - 20) / 40);
    return k * expansion + cone_friction(b, full_angle, friction);
  }
  const double wide = std::sqrt((angle_deg - 60) / 120);
  if (b >= 0.5) return (1.205 - 0.20 * wide) * expansion;
  return (1.205 - narrow - 12.8 * std::pow(b, 6) * wide) * expansion;
}

double sudden_contraction_loss(double bore_ratio) { return 0.5 * (1 - bore_ratio * bore_ratio); }

double sudden_expansion_loss(double bore_ratio) { return std::pow(1 - bore_ratio * bore_ratio, 2); }

double joining_run_loss(double branch_share) { return 1.55 * branch_share - branch_share * branch_share; }

double bend_angle_factor(Angle angle) { return linear(kBendAngle_deg, kBendAngleFactor, to_degrees(angle)); }

double mitre_loss(Angle angle, double reynolds) {
  EXPECTS(angle >= radians(0) && angle <= degrees(180) && reynolds > 0);
  const double s2 = std::pow(std::sin(angle.si() / 2), 2);
  return linear(kMitreAngle_deg, kMitreFactor, to_degrees(angle)) * (0.95 * s2 + 2.05 * s2 * s2) *
         linear(kMitreReynolds, kMitreReynoldsFactor, reynolds);
}

double segmented_bend_loss(double radius_ratio, int pieces, Angle angle, double friction) {
  EXPECTS(radius_ratio > 0 && pieces >= 3 && friction >= 0 && angle >= radians(0) && angle <= degrees(180.0001));
  return bilinear(kSegmentRadius, kSegmentPieces, kSegmentLoss, radius_ratio, pieces) * bend_angle_factor(angle) +
         friction * angle.si() * radius_ratio;
}

double corrugated_friction(double bore_mm, double pitch_mm) {
  EXPECTS(bore_mm > 0 && pitch_mm > 0);
  const double ratio = bore_mm / (bore_mm + 0.438 * pitch_mm);
  return bore_mm / pitch_mm * std::pow(1 - ratio * ratio, 2);
}

double joining_branch_loss(double branch_share, double area_ratio, Angle angle) {
  EXPECTS(area_ratio > 0 && area_ratio <= 1 && branch_share >= 0 && branch_share <= 1);
  const double q = branch_share, in_branch = q / area_ratio;
  const double c = area_ratio <= 0.35 ? 1 : q <= 0.4 ? 0.9 * (1 - q) : 0.55;
  return c * (1 + in_branch * in_branch - 2 * (1 - q) * (1 - q) - 2 * std::cos(angle.si()) * q * in_branch);
}

double outlet_factor(double bend_k, double outlet_ratio) {
  return bilinear(kOutletBendK, kOutletLength, kOutletFactor, bend_k, outlet_ratio);
}

}  // namespace baywright::flow

#include "bay/mark_fit.hpp"

#include <algorithm>

#include <Eigen/SVD>

#include "geometry/base/expects.hpp"

namespace baywright::bay {
namespace {

Vec3 mean(const std::array<Vec3, 3>& p) { return (p[0] + p[1] + p[2]) / 3.0; }

}  // namespace

double flatness(const std::array<Vec3, 3>& points) {
  const Vec3 a = points[1] - points[0];
  const Vec3 b = points[2] - points[0];
  const double longest = std::max({a.norm(), b.norm(), (a - b).norm()});
  if (longest <= 0) return 0;
  return a.cross(b).norm() / longest / longest;
}

MarkFit fit_marks(const std::array<Vec3, 3>& rest, const std::array<Vec3, 3>& moved) {
  EXPECTS(flatness(rest) > 0);
  MarkFit fit;
  fit.centroid = mean(rest);
  const Vec3 moved_centroid = mean(moved);
  fit.shift = moved_centroid - fit.centroid;

  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  for (std::size_t i = 0; i < 3; ++i) {
    covariance += (rest[i] - fit.centroid) * (moved[i] - moved_centroid).transpose();
  }
  const Eigen::JacobiSVD<Eigen::Matrix3d> svd(covariance, Eigen::ComputeFullU | Eigen::ComputeFullV);
  Eigen::Matrix3d handed = Eigen::Matrix3d::Identity();
  if ((svd.matrixV() * svd.matrixU().transpose()).determinant() < 0) handed(2, 2) = -1;
  const Eigen::Matrix3d rotation = svd.matrixV() * handed * svd.matrixU().transpose();

  const Eigen::AngleAxisd turn{Eigen::Quaterniond(rotation)};
  fit.axis = turn.axis().normalized();
  fit.angle_rad = turn.angle();
  const Pose pose = fit.pose();
  for (std::size_t i = 0; i < 3; ++i) {
    fit.residual_mm = std::max(fit.residual_mm, (pose * rest[i] - moved[i]).norm());
  }
  return fit;
}

}  // namespace baywright::bay

#include "routing/angle_steps.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Dense>

namespace baywright::routing {
namespace {

/// Change of the angles by each coordinate, by differences.
Eigen::MatrixXd slopes(const Course& course, const Freedom& freedom) {
  constexpr double kDifference_mm = 0.01;
  const int count = freedom.count();
  const std::vector<double> here = shape_of(course).angles_rad();
  Eigen::MatrixXd J(static_cast<Eigen::Index>(here.size()), count);
  for (int k = 0; k < count; ++k) {
    const Eigen::VectorXd dx = kDifference_mm * Eigen::VectorXd::Unit(count, k);
    const std::vector<double> there = shape_of(freedom.moved(course, dx)).angles_rad();
    for (std::size_t i = 0; i < here.size(); ++i)
      J(static_cast<Eigen::Index>(i), k) = (there[i] - here[i]) / kDifference_mm;
  }
  return J;
}

Eigen::VectorXd misses(const Course& course, const std::vector<double>& wanted) {
  const std::vector<double> angles = shape_of(course).angles_rad();
  Eigen::VectorXd out(static_cast<Eigen::Index>(angles.size()));
  for (std::size_t i = 0; i < angles.size(); ++i) out[static_cast<Eigen::Index>(i)] = wanted[i] - angles[i];
  return out;
}

/// Moves with less effect than this share of the greatest are none: angles that no coordinate changes.
constexpr double kNoEffect = 1e-6;

}  // namespace

std::vector<std::vector<double>> angles_on_steps(const std::vector<double>& angles_rad, double step_rad) {
  std::vector<double> nearest;
  std::vector<std::pair<double, std::vector<double>>> beside;  // by how far the bend lies from its other step
  const auto possible = [](double angle) { return angle < duct::kReversalAngle.si(); };
  for (const double angle : angles_rad) nearest.push_back(std::max(std::round(angle / step_rad), 1.0) * step_rad);
  for (std::size_t i = 0; i < angles_rad.size(); ++i) {
    const double other = nearest[i] + (angles_rad[i] < nearest[i] ? -step_rad : step_rad);
    if (other < 0.5 * step_rad || !possible(other)) continue;
    std::vector<double> changed = nearest;
    changed[i] = other;
    beside.emplace_back(std::abs(angles_rad[i] - other), std::move(changed));
  }
  std::stable_sort(beside.begin(), beside.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<std::vector<double>> out;
  if (std::all_of(nearest.begin(), nearest.end(), possible)) out.push_back(std::move(nearest));
  for (auto& [far, angles] : beside) out.push_back(std::move(angles));
  return out;
}

std::optional<Course> with_angles(const Course& course, const Freedom& freedom, const std::vector<double>& angles_rad) {
  constexpr int kSteps = 15;
  constexpr double kReached_rad = 1e-8, kLongestStep_mm = 60;
  Course at = course;
  for (int step = 0; step < kSteps; ++step) {
    const Eigen::VectorXd miss = misses(at, angles_rad);
    const double worst = miss.size() > 0 ? miss.cwiseAbs().maxCoeff() : 0;
    if (worst < kReached_rad) return at;
    if (freedom.count() == 0) return worst < 0.5 * kStepOpen.si() ? std::optional(at) : std::nullopt;
    Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> solver(slopes(at, freedom));
    Eigen::VectorXd dx = solver.solve(miss);
    const double longest = dx.cwiseAbs().maxCoeff();
    if (!std::isfinite(longest)) return std::nullopt;
    if (longest > kLongestStep_mm) dx *= kLongestStep_mm / longest;
    at = freedom.on_axes(freedom.moved(at, dx), 1);
  }
  return std::nullopt;
}

Eigen::MatrixXd moves_that_keep_angles(const Course& course, const Freedom& freedom) {
  const Eigen::MatrixXd J = slopes(course, freedom);
  const Eigen::Index count = J.cols();
  if (count == 0 || J.rows() == 0) return Eigen::MatrixXd::Identity(count, count);
  Eigen::JacobiSVD<Eigen::MatrixXd> svd(J, Eigen::ComputeThinV);
  Eigen::MatrixXd kept = Eigen::MatrixXd::Identity(count, count);
  for (Eigen::Index i = 0; i < svd.singularValues().size(); ++i) {
    if (svd.singularValues()[i] <= kNoEffect * svd.singularValues()[0]) continue;
    kept -= svd.matrixV().col(i) * svd.matrixV().col(i).transpose();
  }
  return kept;
}

bool on_steps(const duct::Layout& route, Angle step) {
  if (step.si() <= 0) return true;
  return std::all_of(route.bends.begin(), route.bends.end(), [&](const duct::Bend& bend) {
    const double turns = bend.angle.si() / step.si();
    return std::abs(turns - std::round(turns)) * step.si() <= kStepOpen.si();
  });
}

}  // namespace baywright::routing

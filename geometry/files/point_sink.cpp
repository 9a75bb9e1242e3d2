#include "geometry/files/point_sink.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <limits>

namespace baywright {
namespace {

constexpr double kNear_mm = 16'384;      // float32 steps by 2^-10 mm just below
constexpr double kImpossible_mm = 1e11;  // beyond any map grid or earth-centred frame in use
constexpr std::size_t kFirst = 4096;

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

bool PointSink::add(double x, double y, double z) {
  const Vec3 p = mm_per_unit_ * Vec3(x, y, z);
  const bool good = p.cwiseAbs().maxCoeff() < kImpossible_mm && std::isfinite(p.sum());
  if (!good) ++bad_;
  const Vec3 kept = good ? p : Vec3::Constant(std::numeric_limits<double>::quiet_NaN());
  if (chosen_) {
    keep(kept);
  } else {
    first_.push_back(kept);
    if (first_.size() == kFirst) choose_origin();
  }
  return good;
}

void PointSink::choose_origin() {
  chosen_ = true;
  std::array<std::vector<double>, 3> c;
  double farthest = 0;
  for (const Vec3& p : first_) {
    if (std::isnan(p.x())) continue;
    farthest = std::max(farthest, p.cwiseAbs().maxCoeff());
    for (std::size_t k = 0; k < 3; ++k) c[k].push_back(p[static_cast<Eigen::Index>(k)]);
  }
  if (farthest > kNear_mm) {
    for (std::size_t k = 0; k < 3; ++k) origin_mm_[static_cast<Eigen::Index>(k)] = std::round(median(std::move(c[k])));
  }
  for (const Vec3& p : first_) keep(p);
  first_ = {};
}

void PointSink::keep(const Vec3& p) {
  const Vec3 exact = p - origin_mm_;
  points_.emplace_back(exact.cast<float>());
  // NaN compares false and leaves the loss as it is.
  const double loss = (points_.back().cast<double>() - exact).cwiseAbs().maxCoeff();
  if (loss > rounding_mm_) rounding_mm_ = loss;
}

PointSink::Points PointSink::finish() {
  if (!chosen_) choose_origin();
  return {origin_mm_, std::move(points_), bad_, rounding_mm_};
}

std::string rounding_doubt(double rounding_mm) {
  if (rounding_mm <= 0.01) return {};
  std::array<char, 160> text{};
  std::snprintf(text.data(), text.size(),
                "coordinates lie so far apart that some are kept only to %.3g mm; cut the file down to the bay",
                rounding_mm);
  return text.data();
}

}  // namespace baywright

#include "geometry/point_cloud.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <numbers>
#include <random>

using namespace baywright;

namespace {

float brute_spacing(const PointCloud& cloud, std::size_t i) {
  std::vector<float> d;
  for (std::size_t k = 0; k < cloud.points.size(); ++k) {
    if (k != i) d.push_back((cloud.points[k] - cloud.points[i]).norm());
  }
  if (d.empty()) return 0;
  const std::size_t k = std::min<std::size_t>(8, d.size());
  std::nth_element(d.begin(), d.begin() + static_cast<std::ptrdiff_t>(k - 1), d.end());
  return d[k - 1] / std::sqrt(static_cast<float>(k) / std::numbers::pi_v<float>);
}

}  // namespace

TEST_CASE("no point, one point, equal points") {
  PointCloud cloud;
  CHECK(bounds(cloud).empty());
  CHECK(local_spacing_mm(cloud).empty());
  cloud.points = {{1, 2, 3}};
  CHECK(local_spacing_mm(cloud) == std::vector<float>{0});
  cloud.points.assign(50, Vec3f(1, 2, 3));
  CHECK(local_spacing_mm(cloud) == std::vector<float>(50, 0.0F));
}

TEST_CASE("spacing of an even sheet is near its pitch") {
  PointCloud sheet;
  sheet.origin_mm = {1e6, 0, 0};
  for (int i = 0; i < 60; ++i) {
    for (int k = 0; k < 60; ++k)
      sheet.points.emplace_back(2.5F * static_cast<float>(i), 2.5F * static_cast<float>(k), 0.0F);
  }
  const std::vector<float> spacing = local_spacing_mm(sheet);
  // Inside a square grid the eighth neighbour is the diagonal one: sqrt(2) pitch / sqrt(8 / pi).
  CHECK(spacing[60 * 30 + 30] == Approx(2.5 * std::sqrt(2.0) / std::sqrt(8 / std::numbers::pi)).epsilon(1e-5));
  CHECK(bounds(sheet).hi.x() == 1e6 + 2.5 * 59);
}

TEST_CASE("spacing agrees with brute force on uneven clouds") {
  std::mt19937 random(11);
  std::normal_distribution<float> normal(0, 100);
  for (const std::size_t n : {2U, 5U, 9U, 13U, 100U, 777U}) {
    PointCloud cloud;
    for (std::size_t i = 0; i < n; ++i) {
      // Every fifth point doubles the one before.
      cloud.points.push_back(i % 5 == 4 ? cloud.points.back()
                                        : Vec3f(normal(random), 0.1F * normal(random), normal(random)));
    }
    const std::vector<float> spacing = local_spacing_mm(cloud);
    for (std::size_t i = 0; i < n; ++i)
      REQUIRE(spacing[i] == Approx(brute_spacing(cloud, i)).epsilon(1e-5).margin(1e-6));
  }
}

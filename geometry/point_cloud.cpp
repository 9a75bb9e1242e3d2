#include "geometry/point_cloud.hpp"

#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <numeric>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

constexpr std::size_t kNeighbours = 8;  // common practice for surface density, no source
constexpr std::size_t kLeafSize = 12;   // measured flat optimum between 8 and 16

/// Balanced tree over points: every node splits its range at the median of its widest side.
class PointTree {
 public:
  explicit PointTree(const std::vector<Vec3f>& points) : order_(points.size()) {
    EXPECTS(points.size() < std::numeric_limits<std::uint32_t>::max());
    std::iota(order_.begin(), order_.end(), 0U);
    split_.resize(std::size_t{2} << levels(points.size()));
    build(points, 0, order_.size(), 1);
    // Points in tree order: a leaf is one run of memory.
    sorted_.reserve(points.size());
    for (const std::uint32_t i : order_) sorted_.push_back(points[i]);
  }

  std::uint32_t source(std::size_t i) const { return order_[i]; }

  /// Squared distance from sorted point i to its k-th nearest other point, k = kNeighbours or, in smaller clouds, as
  /// many as there are; {0, 0} when it is alone.
  struct Kth {
    float squared = 0;
    std::size_t k = 0;
  };
  Kth kth_neighbour(std::size_t i) const {
    Best best;
    visit(0, sorted_.size(), 1, i, best);
    return best.count == 0 ? Kth{} : Kth{best.squared[best.count - 1], best.count};
  }

 private:
  struct Split {
    float at = 0;
    std::uint8_t side = 0;
  };
  struct Best {
    std::array<float, kNeighbours> squared{};  // ascending
    std::size_t count = 0;
    float limit() const {
      return count < kNeighbours ? std::numeric_limits<float>::infinity() : squared[kNeighbours - 1];
    }
    void offer(float d) {
      if (!(d < limit())) return;
      std::size_t at = count < kNeighbours ? count++ : kNeighbours - 1;
      for (; at > 0 && squared[at - 1] > d; --at) squared[at] = squared[at - 1];
      squared[at] = d;
    }
  };

  static unsigned levels(std::size_t n) {
    unsigned depth = 0;
    for (; n > kLeafSize; n = (n + 1) / 2) ++depth;
    return depth;
  }

  void build(const std::vector<Vec3f>& points, std::size_t from, std::size_t to, std::size_t node) {
    if (to - from <= kLeafSize) return;
    Vec3f lo = points[order_[from]];
    Vec3f hi = lo;
    for (std::size_t i = from; i < to; ++i) {
      lo = lo.cwiseMin(points[order_[i]]);
      hi = hi.cwiseMax(points[order_[i]]);
    }
    Eigen::Index side = 0;
    (hi - lo).maxCoeff(&side);
    const std::size_t middle = from + (to - from) / 2;
    std::nth_element(order_.begin() + static_cast<std::ptrdiff_t>(from),
                     order_.begin() + static_cast<std::ptrdiff_t>(middle),
                     order_.begin() + static_cast<std::ptrdiff_t>(to),
                     [&](std::uint32_t a, std::uint32_t b) { return points[a][side] < points[b][side]; });
    split_[node] = {points[order_[middle]][side], static_cast<std::uint8_t>(side)};
    build(points, from, middle, 2 * node);
    build(points, middle, to, 2 * node + 1);
  }

  void visit(std::size_t from, std::size_t to, std::size_t node, std::size_t self, Best& best) const {
    if (to - from <= kLeafSize) {
      for (std::size_t i = from; i < to; ++i) {
        if (i != self) best.offer((sorted_[i] - sorted_[self]).squaredNorm());
      }
      return;
    }
    const std::size_t middle = from + (to - from) / 2;
    const float beyond = sorted_[self][split_[node].side] - split_[node].at;
    const bool left_first = beyond < 0;
    if (left_first) {
      visit(from, middle, 2 * node, self, best);
    } else {
      visit(middle, to, 2 * node + 1, self, best);
    }
    if (beyond * beyond > best.limit()) return;
    if (left_first) {
      visit(middle, to, 2 * node + 1, self, best);
    } else {
      visit(from, middle, 2 * node, self, best);
    }
  }

  std::vector<std::uint32_t> order_;
  std::vector<Vec3f> sorted_;
  std::vector<Split> split_;  // heap order, root 1
};

}  // namespace

Aabb bounds(const PointCloud& cloud) {
  if (cloud.points.empty()) return {};
  Vec3f lo = cloud.points.front();
  Vec3f hi = lo;
  for (const Vec3f& p : cloud.points) {
    lo = lo.cwiseMin(p);
    hi = hi.cwiseMax(p);
  }
  return {cloud.origin_mm + lo.cast<double>(), cloud.origin_mm + hi.cast<double>()};
}

std::vector<float> local_spacing_mm(const PointCloud& cloud) {
  std::vector<float> spacing(cloud.points.size());
  if (spacing.empty()) return spacing;
  const PointTree tree(cloud.points);
  tbb::parallel_for(tbb::blocked_range<std::size_t>(0, spacing.size(), 2048), [&](const auto& range) {
    for (std::size_t i = range.begin(); i != range.end(); ++i) {
      const PointTree::Kth kth = tree.kth_neighbour(i);
      spacing[tree.source(i)] =
          kth.k == 0 ? 0.0F : std::sqrt(kth.squared / (static_cast<float>(kth.k) / std::numbers::pi_v<float>));
    }
  });
  return spacing;
}

}  // namespace baywright

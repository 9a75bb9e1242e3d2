#include "geometry/clearance/tri_tree_items.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

constexpr float kGreatestCoordinate_mm = 1e6F;
constexpr float kSlab_mm = 80;  // 40 mm cost memory and gained nothing
constexpr int kMostSlabs = 64;
constexpr std::size_t kWidenings = 16;  // slabs of 80 mm to 80 * 2^15 mm, more than the longest triangle
constexpr std::size_t kBlock = 65'536;
/// Slabs a tree may have whatever its size, 4 MB: parts of a few thousand long facets, as modellers make them, are
/// small.
constexpr std::size_t kFreeSlabs = 131'072;

std::size_t blocks_of(std::size_t count) { return (count + kBlock - 1) / kBlock; }

template <class F>
void for_blocks(std::size_t count, const F& f) {
  tbb::parallel_for(tbb::blocked_range<std::size_t>(0, blocks_of(count), 1), [&](const auto& range) {
    for (std::size_t b = range.begin(); b < range.end(); ++b) f(b, b * kBlock, std::min(count, (b + 1) * kBlock));
  });
}

bool near_enough(const Vec3f& p) { return p.cwiseAbs().maxCoeff() <= kGreatestCoordinate_mm; }

std::size_t slabs_of(float side_mm, float slab_mm) {
  return static_cast<std::size_t>(std::clamp(static_cast<int>(std::ceil(side_mm / slab_mm)), 1, kMostSlabs));
}

struct Extent {
  Vec3f lo, hi;
  float side() const { return (hi - lo).maxCoeff(); }
};

Extent extent_of(const TriMesh& mesh, std::size_t i) {
  const auto& t = mesh.triangles[i];
  const Vec3f &a = mesh.vertices[t[0]], &b = mesh.vertices[t[1]], &c = mesh.vertices[t[2]];
  return {a.cwiseMin(b).cwiseMin(c), a.cwiseMax(b).cwiseMax(c)};
}

/// Part of a triangle between two planes across `axis`: box of the clipped polygon.
Aabb clipped_box(const std::array<Vec3, 3>& v, int axis, double from, double to) {
  Aabb box;
  for (std::size_t i = 0; i < 3; ++i) {
    const Vec3 &a = v[i], &b = v[(i + 1) % 3];
    if (a[axis] >= from && a[axis] <= to) box.grow(a);
    for (const double plane : {from, to}) {
      if ((a[axis] < plane) == (b[axis] < plane)) continue;
      box.grow(Vec3(a + (plane - a[axis]) / (b[axis] - a[axis]) * (b - a)));
    }
  }
  return box;
}

}  // namespace

struct BuildItems::Block {
  TriTree::Report report;
  std::size_t whole = 0;                           ///< with slabs of 80 mm
  std::array<std::size_t, kWidenings> slabs_if{};  ///< slabs of its long triangles, were a slab 80 * 2^i mm
};

BuildItems::Block BuildItems::look_at(std::size_t begin, std::size_t end) {
  Block out;
  for (std::size_t i = begin; i < end; ++i) {
    const auto& t = mesh_->triangles[i];
    for (const auto v : t) EXPECTS(v < mesh_->vertices.size());
    const Vec3f &a = mesh_->vertices[t[0]], &b = mesh_->vertices[t[1]], &c = mesh_->vertices[t[2]];
    kind_[i] = Kind::left_out;
    if (!a.allFinite() || !b.allFinite() || !c.allFinite()) {
      ++out.report.not_finite;
      continue;
    }
    if (!near_enough(a) || !near_enough(b) || !near_enough(c)) {
      ++out.report.too_far;
      continue;
    }
    const bool ab = a == b, ac = a == c;
    if (ab && ac) {
      ++out.report.points;
    } else if (ab || ac || b == c || (b - a).cast<double>().cross((c - a).cast<double>()).squaredNorm() == 0) {
      ++out.report.segments;
    }
    ++out.report.kept;
    const float side = extent_of(*mesh_, i).side();
    kind_[i] = side > kSlab_mm ? Kind::in_slabs : Kind::whole;
    if (side <= kSlab_mm) {
      ++out.whole;
      continue;
    }
    ++out.report.long_ones;
    float slab_mm = kSlab_mm;
    for (auto& slabs : out.slabs_if) {
      slabs += slabs_of(side, slab_mm);
      slab_mm *= 2;
    }
  }
  return out;
}

BuildItems::BuildItems(const TriMesh& mesh)
    : mesh_(&mesh), sources_(static_cast<std::uint32_t>(mesh.triangles.size())) {
  EXPECTS(mesh.triangles.size() < 0x0FFFFFFFu / 2);
  kind_.resize(mesh.triangles.size());
  std::vector<Block> blocks(blocks_of(sources_));
  for_blocks(sources_, [&](std::size_t b, std::size_t begin, std::size_t end) { blocks[b] = look_at(begin, end); });
  std::array<std::size_t, kWidenings> slabs{};
  for (const Block& b : blocks) {
    kept_ += b.whole;
    report_ += b.report;
    for (std::size_t i = 0; i < kWidenings; ++i) slabs[i] += b.slabs_if[i];
  }
  if (report_.long_ones == 0) return;
  // A file full of huge triangles must not multiply its memory: widen the slabs until they add at most a quarter
  // beyond what is free.
  std::size_t widening = 0;
  while (widening + 1 < kWidenings && slabs[widening] > report_.long_ones + report_.kept / 4 + kFreeSlabs) ++widening;
  slab_mm_ = std::ldexp(kSlab_mm, static_cast<int>(widening));
  slabs_.resize(slabs[widening]);
  std::vector<std::size_t> first(blocks.size(), 0);
  for (std::size_t b = 1; b < blocks.size(); ++b) first[b] = first[b - 1] + blocks[b - 1].slabs_if[widening];
  for_blocks(sources_, [&](std::size_t b, std::size_t begin, std::size_t end) {
    cut_long_ones(begin, end, slabs_.data() + first[b]);
  });
}

void BuildItems::cut_long_ones(std::size_t begin, std::size_t end, Slab* out) const {
  for (std::size_t i = begin; i < end; ++i) {
    if (kind_[i] != Kind::in_slabs) continue;
    const Extent whole = extent_of(*mesh_, i);
    const auto& t = mesh_->triangles[i];
    std::array<Vec3, 3> v;
    for (std::size_t k = 0; k < 3; ++k) v[k] = mesh_->vertices[t[k]].cast<double>();
    int axis = 0;
    (whole.hi - whole.lo).maxCoeff(&axis);
    const std::size_t count = slabs_of(whole.side(), slab_mm_);
    const double from = whole.lo[axis], to = whole.hi[axis], step = (to - from) / static_cast<double>(count);
    // Clipping rounds at 1e-16 of the coordinate, the cast to float at 6e-8 of it: 1e-3 mm plus 2e-7 covers both.
    const float grow = 1e-3F + 2e-7F * whole.lo.cwiseAbs().cwiseMax(whole.hi.cwiseAbs()).maxCoeff();
    for (std::size_t s = 0; s < count; ++s) {
      const double a = from + static_cast<double>(s) * step;
      const Aabb box = clipped_box(v, axis, a, s + 1 == count ? to : from + static_cast<double>(s + 1) * step);
      EXPECTS(!box.empty());  // the triangle spans the slab
      const Vec3f lo = (box.lo.cast<float>().array() - grow).matrix().cwiseMax(whole.lo);
      const Vec3f hi = (box.hi.cast<float>().array() + grow).matrix().cwiseMin(whole.hi);
      *out++ = {lo, hi, static_cast<std::uint32_t>(i)};
    }
  }
}

BuildItems::BuildItems(const PointCloud& cloud, const std::vector<float>& radius_mm)
    : cloud_(&cloud), radius_(&radius_mm), sources_(static_cast<std::uint32_t>(cloud.points.size())) {
  EXPECTS(radius_mm.size() == cloud.points.size());
  EXPECTS(cloud.points.size() < 0x0FFFFFFFu);
  kind_.resize(cloud.points.size());
  for (std::size_t i = 0; i < cloud.points.size(); ++i) {
    kind_[i] = Kind::left_out;
    const float r = radius_mm[i];
    if (!cloud.points[i].allFinite() || !std::isfinite(r) || r < 0) {
      ++report_.not_finite;
    } else if (!near_enough(cloud.points[i]) || r > kGreatestCoordinate_mm) {
      ++report_.too_far;
    } else {
      kind_[i] = Kind::whole;
      ++report_.kept;
    }
  }
  kept_ = report_.kept;
}

void BuildItems::list(std::vector<std::uint64_t>& keys) const {
  for (std::uint32_t i = 0; i < sources_; ++i) {
    if (kind_[i] == Kind::whole) keys.push_back(i);
  }
  for (std::uint32_t i = 0; i < slabs_.size(); ++i) keys.push_back(sources_ + i);
}

void BuildItems::box(std::uint32_t item, BuildRef& out) const {
  Extent e;
  if (item >= sources_) {
    e = {slabs_[item - sources_].lo, slabs_[item - sources_].hi};
  } else if (mesh_) {
    e = extent_of(*mesh_, item);
  } else {
    const Vec3f& p = cloud_->points[item];
    const float r = (*radius_)[item];
    const float outward = r + 2e-7F * (p.cwiseAbs().maxCoeff() + r);  // the sums below round
    e = {p.array() - outward, p.array() + outward};
  }
  for (int k = 0; k < 3; ++k) {
    out.lo[k] = e.lo[k];
    out.hi[k] = e.hi[k];
  }
  out.id = item;
  out.weight = 1;
}

}  // namespace baywright

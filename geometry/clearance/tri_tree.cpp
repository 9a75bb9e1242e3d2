#include "geometry/clearance/tri_tree.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>
#include <Eigen/Geometry>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/tree_kernels.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"
#include "geometry/triangle_kernels.hpp"

namespace baywright {
namespace {

using Impl = TriTree::Impl;

struct Entry {
  double bound;
  std::uint32_t code;
};

/// Children with their bounds, nearest last, so that popping a stack visits the nearest first.
struct Opened {
  Entry entry[Impl::kWidth];
  int count = 0;
  void add(double bound, std::uint32_t code) {
    int i = count++;
    for (; i > 0 && entry[i - 1].bound < bound; --i) entry[i] = entry[i - 1];
    entry[i] = {bound, code};
  }
};

/// Ray prepared for the watertight test of Woop, Benthin and Wald (2013): shear so that the ray is +z; an edge shared
/// by two triangles gives exactly opposite edge functions, so no ray slips between them.
struct Ray {
  Vec3 origin, direction, inverse;
  int kx = 0, ky = 1, kz = 2;
  double sx = 0, sy = 0, sz = 1;

  Ray(const Vec3& o, const Vec3& d) : origin(o), direction(d) {
    d.cwiseAbs().maxCoeff(&kz);
    kx = (kz + 1) % 3;
    ky = (kx + 1) % 3;
    if (d[kz] < 0) std::swap(kx, ky);
    sx = d[kx] / d[kz];
    sy = d[ky] / d[kz];
    sz = 1.0 / d[kz];
    for (int k = 0; k < 3; ++k) inverse[k] = std::abs(d[k]) > 1e-30 ? 1.0 / d[k] : 1e30;
  }
};

std::optional<double> hit_triangle(const Ray& ray, const Vec3& v0, const Vec3& v1, const Vec3& v2) {
  const Vec3 a = v0 - ray.origin, b = v1 - ray.origin, c = v2 - ray.origin;
  const double ax = a[ray.kx] - ray.sx * a[ray.kz], ay = a[ray.ky] - ray.sy * a[ray.kz];
  const double bx = b[ray.kx] - ray.sx * b[ray.kz], by = b[ray.ky] - ray.sy * b[ray.kz];
  const double cx = c[ray.kx] - ray.sx * c[ray.kz], cy = c[ray.ky] - ray.sy * c[ray.kz];
  const double u = cx * by - cy * bx, v = ax * cy - ay * cx, w = bx * ay - by * ax;
  if ((u < 0 || v < 0 || w < 0) && (u > 0 || v > 0 || w > 0)) return std::nullopt;
  const double det = u + v + w;
  if (det == 0) return std::nullopt;  // edge-on: the neighbours are hit
  return ray.sz * (u * a[ray.kz] + v * b[ray.kz] + w * c[ray.kz]) / det;
}

std::optional<double> hit_ball(const Ray& ray, const Vec3& center, double radius) {
  const Vec3 to = center - ray.origin;
  const double along = to.dot(ray.direction);
  const double across2 = (to - along * ray.direction).squaredNorm();
  if (across2 > radius * radius) return std::nullopt;
  const double half = std::sqrt(radius * radius - across2);
  if (along + half < 0) return std::nullopt;
  return std::max(0.0, along - half);
}

double solid_angle(const Vec3& a, const Vec3& b, const Vec3& c) {  // Van Oosterom and Strackee (1983)
  const double la = a.norm(), lb = b.norm(), lc = c.norm();
  const double top = a.dot(b.cross(c));
  const double bottom = la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb;
  if (top == 0 && bottom == 0) return 0;
  return 2 * std::atan2(top, bottom);
}

}  // namespace

TriTree::TriTree() : impl_(std::make_shared<Impl>()) {}

TriTree TriTree::of(std::shared_ptr<const Impl> impl) {
  EXPECTS(impl != nullptr);
  TriTree tree;
  tree.impl_ = std::move(impl);
  return tree;
}

bool TriTree::empty() const { return impl_->nodes.empty(); }
const TriTree::Report& TriTree::report() const { return impl_->report; }

TriTree::Report& TriTree::Report::operator+=(const Report& o) {
  kept += o.kept;
  not_finite += o.not_finite;
  too_far += o.too_far;
  points += o.points;
  segments += o.segments;
  long_ones += o.long_ones;
  return *this;
}

std::size_t TriTree::bytes() const {
  const Impl& t = *impl_;
  return sizeof(Impl) + t.nodes.capacity() * sizeof(Impl::Node) + t.corner.capacity() * sizeof(t.corner[0]) +
         (t.source.capacity() + t.where.capacity()) * sizeof(std::uint32_t) + t.vertices.capacity() * sizeof(Vec3f) +
         (t.clusters.capacity() + t.groups.capacity()) * sizeof(Impl::Cluster) + t.radius.capacity() * sizeof(float);
}

Aabb TriTree::bounds() const {
  Aabb box;
  if (empty()) return box;
  box.lo = impl_->origin + impl_->box.lo;
  box.hi = impl_->origin + impl_->box.hi;
  return box;
}

TriTree::Corners TriTree::corners(std::uint32_t id) const {
  EXPECTS(id < impl_->where.size() && impl_->where[id] != Impl::kNone);
  const std::uint32_t ref = impl_->where[id];
  const Vec3& o = impl_->origin;
  return {o + impl_->vertex(ref, 0), o + impl_->vertex(ref, 1), o + impl_->vertex(ref, 2), impl_->radius_of(ref)};
}

std::optional<TriTree::Hit> TriTree::first_hit(const Vec3& origin, const Vec3& direction, double range_mm) const {
  EXPECTS(std::abs(direction.squaredNorm() - 1) < 1e-6);
  if (empty()) return std::nullopt;
  const Impl& t = *impl_;
  const Ray ray(origin - t.origin, direction);
  const double widen = 1e-12 * (t.extent_mm + ray.origin.cwiseAbs().maxCoeff()) + 1e-9;
  std::optional<Hit> best;
  double limit = range_mm;
  Entry stack[Impl::kStack];
  int top = 0;
  stack[top++] = {0, 0};
  while (top > 0) {
    const Entry entry = stack[--top];
    if (entry.bound > limit) continue;
    if (Impl::is_leaf(entry.code)) {
      const std::uint32_t begin = Impl::leaf_begin(entry.code), end = begin + Impl::leaf_count(entry.code);
      for (std::uint32_t ref = begin; ref < end; ++ref) {
        const auto d = t.radius.empty() ? hit_triangle(ray, t.vertex(ref, 0), t.vertex(ref, 1), t.vertex(ref, 2))
                                        : hit_ball(ray, t.vertex(ref, 0), t.radius_of(ref));
        if (!d || *d < 0 || *d > limit) continue;
        if (best && *d == best->distance_mm && t.source[ref] >= best->triangle) continue;
        best = Hit{*d, t.source[ref]};
        limit = *d;
      }
      continue;
    }
    const Impl::Node& node = t.nodes[entry.code];
    double near[Impl::kWidth], far[Impl::kWidth];
    for (int i = 0; i < Impl::kWidth; ++i) near[i] = 0, far[i] = limit;
    for (int k = 0; k < 3; ++k) {
      const double o = ray.origin[k], inv = ray.inverse[k];
      for (int i = 0; i < Impl::kWidth; ++i) {
        const double a = (static_cast<double>(node.lo[k][i]) - widen - o) * inv;
        const double b = (static_cast<double>(node.hi[k][i]) + widen - o) * inv;
        near[i] = std::max(near[i], std::min(a, b));
        far[i] = std::min(far[i], std::max(a, b));
      }
    }
    Opened open;
    for (int i = 0; i < Impl::kWidth; ++i) {
      if (node.child[i] != Impl::kNone && near[i] <= far[i] * (1 + 1e-12) + widen) open.add(near[i], node.child[i]);
    }
    for (int i = 0; i < open.count; ++i) stack[top++] = open.entry[i];
  }
  return best;
}

namespace {

/// Nearest point of one reference to q, relative to the tree's origin.
TriTree::Nearest nearest_of(const Impl& t, std::uint32_t ref, const Vec3& q) {
  const Vec3 a = t.vertex(ref, 0);
  Vec3 at = t.radius.empty() ? nearest_on_triangle(q, {a, t.vertex(ref, 1), t.vertex(ref, 2)}) : a;
  double d = (at - q).norm();
  if (!t.radius.empty()) {
    const double r = t.radius_of(ref);
    at = d > r ? Vec3(q + (at - q) * ((d - r) / d)) : q;
    d = std::max(0.0, d - r);
  }
  return {d, at, t.source[ref]};
}

}  // namespace

std::optional<TriTree::Nearest> TriTree::nearest_with(const TreeKernels& kernels, const Vec3& p, double range_mm,
                                                      std::optional<std::uint32_t> hint) const {
  if (empty()) return std::nullopt;
  const Impl& t = *impl_;
  const Vec3 q = p - t.origin;
  const double slack = t.slack(q.cwiseAbs().maxCoeff());
  double limit = range_mm;
  if (hint) {
    EXPECTS(*hint < t.where.size() && t.where[*hint] != Impl::kNone);
    limit = std::min(limit, nearest_of(t, t.where[*hint], q).distance_mm);
  }
  struct Looking {
    const Impl& tree;
    const Vec3& q;
    std::optional<Nearest> best;
  } looking{t, q, {}};
  const KernelVisit visit = [](void* context, std::uint32_t ref, double now) {
    auto& at = *static_cast<Looking*>(context);
    const Nearest found = nearest_of(at.tree, ref, at.q);
    if (found.distance_mm > now) return now;
    if (at.best && found.distance_mm == at.best->distance_mm && found.triangle >= at.best->triangle) return now;
    at.best = found;
    return found.distance_mm;
  };
  const Vec3f p4 = q.cast<float>();
  kernels.near_point(kernel_view(t), p4.data(), slack, limit, visit, &looking);
  if (looking.best) looking.best->point += t.origin;
  return looking.best;
}

std::optional<TriTree::Nearest> TriTree::nearest(const Vec3& p, double range_mm,
                                                 std::optional<std::uint32_t> hint) const {
  return nearest_with(tree_kernels(), p, range_mm, hint);
}

std::vector<std::optional<TriTree::Nearest>> TriTree::nearest_to_each(std::span<const Vec3> points,
                                                                      double range_mm) const {
  constexpr std::size_t kTogether = 512;
  std::vector<std::optional<Nearest>> out(points.size());
  tbb::parallel_for(tbb::blocked_range<std::size_t>(0, points.size(), kTogether), [&](const auto& range) {
    std::optional<std::uint32_t> hint;
    for (std::size_t i = range.begin(); i < range.end(); ++i) {
      out[i] = nearest(points[i], range_mm, hint);
      if (out[i]) hint = out[i]->triangle;
    }
  });
  return out;
}

// After Barill et al. 2018: from afar a group of triangles is one dipole, its summed area at its centre. Large groups
// first, then their clusters, then triangles.
double TriTree::winding_number(const Vec3& p) const {
  constexpr double kFar = 6;  // times the cluster's radius: the next term of the expansion is below 1/36 of this one
  const Impl& t = *impl_;
  const Vec3 q = p - t.origin;
  const auto count = static_cast<std::uint32_t>(t.source.size());
  double sum = 0;
  const auto from_afar = [&](const Impl::Cluster& cluster) {
    const Vec3 to = cluster.center.cast<double>() - q;
    const double d2 = to.squaredNorm(), near = kFar * static_cast<double>(cluster.radius);
    if (!(d2 > near * near)) return false;
    sum += cluster.area.cast<double>().dot(to) / (d2 * std::sqrt(d2));
    return true;
  };
  const auto clusters = static_cast<std::uint32_t>(t.clusters.size());
  for (std::uint32_t g = 0; g < t.groups.size(); ++g) {
    if (from_afar(t.groups[g])) continue;
    const std::uint32_t first = g * Impl::Cluster::kGroup, last = std::min(clusters, first + Impl::Cluster::kGroup);
    for (std::uint32_t i = first; i < last; ++i) {
      if (from_afar(t.clusters[i])) continue;
      const std::uint32_t begin = i * Impl::Cluster::kSize, end = std::min(count, begin + Impl::Cluster::kSize);
      for (std::uint32_t ref = begin; ref < end; ++ref) {
        if (!t.counts(ref)) continue;
        sum += solid_angle(t.vertex(ref, 0) - q, t.vertex(ref, 1) - q, t.vertex(ref, 2) - q);
      }
    }
  }
  return sum / (4 * std::numbers::pi);
}

}  // namespace baywright

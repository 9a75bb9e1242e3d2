#include <algorithm>
#include <cmath>
#include <numeric>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/tri_tree.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"

namespace baywright {
namespace {

using Impl = TriTree::Impl;

constexpr double kGreatestCoordinate_mm = 1e6;
constexpr double kSlab_mm = 80;  // long triangles are referred to slab by slab; 40 mm cost memory and gained nothing
constexpr int kMostSlabs = 64;
constexpr int kBins = 16;
constexpr std::uint32_t kLeafSize = 8;
constexpr std::size_t kOneAxisAbove = 200'000;
constexpr int kSahDepth = 56;  // deeper splits are medians, which bounds the depth of the tree

struct Ref {
  Vec3f lo, hi;
  std::uint32_t id;
};

struct Box {
  Vec3f lo = Vec3f::Constant(std::numeric_limits<float>::infinity());
  Vec3f hi = Vec3f::Constant(-std::numeric_limits<float>::infinity());
  void grow(const Vec3f& a, const Vec3f& b) {
    lo = lo.cwiseMin(a);
    hi = hi.cwiseMax(b);
  }
  double half_area() const {
    const Vec3 s = (hi - lo).cast<double>().cwiseMax(0.0);
    return s.x() * s.y() + s.y() * s.z() + s.z() * s.x();
  }
};

struct Range {
  std::size_t begin = 0, end = 0;
  Box box;
  int depth = 0;
  std::size_t size() const { return end - begin; }
};

double blocks(std::size_t n) { return static_cast<double>((n + kLeafSize - 1) / kLeafSize); }

float center2(const Ref& r, int axis) { return r.lo[axis] + r.hi[axis]; }

class Builder {
 public:
  Builder(Impl& out, std::vector<Ref>& refs, const std::vector<TriMesh::Triangle>* triangles)
      : out_(out), refs_(refs), triangles_(triangles) {}

  void run() {
    if (refs_.empty()) return;
    Range all{0, refs_.size(), box_of(0, refs_.size()), 0};
    out_.box.lo = all.box.lo.cast<double>();
    out_.box.hi = all.box.hi.cast<double>();
    out_.extent_mm = std::max(out_.box.lo.cwiseAbs().maxCoeff(), out_.box.hi.cwiseAbs().maxCoeff());
    out_.nodes.emplace_back();
    fill(0, all);
  }

 private:
  Box box_of(std::size_t begin, std::size_t end) const {
    Box box;
    for (std::size_t i = begin; i < end; ++i) box.grow(refs_[i].lo, refs_[i].hi);
    return box;
  }

  /// Opens `range` until it has eight parts or only leaves, and writes them as the children of node `at`.
  void fill(std::size_t at, const Range& range) {
    std::array<Range, Impl::kWidth> part;
    int count = 1;
    part[0] = range;
    while (count < Impl::kWidth) {
      int widest = -1;
      double area = -1;
      for (int i = 0; i < count; ++i) {
        const auto& p = part[static_cast<std::size_t>(i)];
        if (p.size() > kLeafSize && p.box.half_area() > area) {
          area = p.box.half_area();
          widest = i;
        }
      }
      if (widest < 0) break;
      auto& p = part[static_cast<std::size_t>(widest)];
      auto [left, right] = split(p);
      p = left;
      part[static_cast<std::size_t>(count++)] = right;
    }
    for (int i = 0; i < Impl::kWidth; ++i) {
      for (int k = 0; k < 3; ++k) {
        out_.nodes[at].lo[k][i] = i < count ? part[static_cast<std::size_t>(i)].box.lo[k] : Impl::kEmptyBound;
        out_.nodes[at].hi[k][i] = i < count ? part[static_cast<std::size_t>(i)].box.hi[k] : Impl::kEmptyBound;
      }
      std::uint32_t code = Impl::kNone;
      if (i < count) code = child(part[static_cast<std::size_t>(i)]);
      out_.nodes[at].child[i] = code;  // after child(): it may have moved the nodes
    }
  }

  std::uint32_t child(const Range& range) {
    if (range.size() <= kLeafSize) return leaf(range);
    const std::size_t at = out_.nodes.size();
    out_.nodes.emplace_back();
    fill(at, range);
    return static_cast<std::uint32_t>(at);
  }

  std::uint32_t leaf(const Range& range) {
    const auto first = static_cast<std::uint32_t>(out_.source.size());
    std::sort(refs_.begin() + static_cast<std::ptrdiff_t>(range.begin),
              refs_.begin() + static_cast<std::ptrdiff_t>(range.end),
              [](const Ref& a, const Ref& b) { return a.id < b.id; });
    for (std::size_t i = range.begin; i < range.end; ++i) {
      const std::uint32_t id = refs_[i].id;
      out_.where[id] = static_cast<std::uint32_t>(out_.source.size());
      out_.source.push_back(id);
      out_.corner.push_back(triangles_ ? (*triangles_)[id] : TriMesh::Triangle{id, id, id});
    }
    return Impl::kLeafBit | (static_cast<std::uint32_t>(range.size() - 1) << 28) | first;
  }

  std::pair<Range, Range> split(const Range& range) {
    const std::size_t middle = range.depth < kSahDepth ? partition_by_area(range) : 0;
    if (middle > range.begin && middle < range.end) return parts(range, middle);
    // All centres coincide, or too deep: halves by order along the longest side.
    const Vec3f size = range.box.hi - range.box.lo;
    int axis = 0;
    size.maxCoeff(&axis);
    const std::size_t half = range.begin + range.size() / 2;
    std::nth_element(refs_.begin() + static_cast<std::ptrdiff_t>(range.begin),
                     refs_.begin() + static_cast<std::ptrdiff_t>(half),
                     refs_.begin() + static_cast<std::ptrdiff_t>(range.end), [axis](const Ref& a, const Ref& b) {
                       const float ca = center2(a, axis), cb = center2(b, axis);
                       return ca != cb ? ca < cb : a.id < b.id;
                     });
    return parts(range, half);
  }

  std::pair<Range, Range> parts(const Range& range, std::size_t middle) const {
    return {Range{range.begin, middle, box_of(range.begin, middle), range.depth + 1},
            Range{middle, range.end, box_of(middle, range.end), range.depth + 1}};
  }

  /// Binned surface-area heuristic; returns where the second part begins, or 0 when no plane separates anything.
  std::size_t partition_by_area(const Range& range) {
    Vec3f lo = Vec3f::Constant(std::numeric_limits<float>::infinity()), hi = -lo;
    for (std::size_t i = range.begin; i < range.end; ++i) {
      const Vec3f c = refs_[i].lo + refs_[i].hi;
      lo = lo.cwiseMin(c);
      hi = hi.cwiseMax(c);
    }
    int widest = 0;
    (hi - lo).maxCoeff(&widest);
    double best = std::numeric_limits<double>::infinity();
    int best_axis = -1, best_bin = 0;
    for (int axis = 0; axis < 3; ++axis) {
      if (!(hi[axis] > lo[axis])) continue;
      if (range.size() > kOneAxisAbove && axis != widest) continue;
      const auto [cost, bin] = cheapest_plane(range, axis, lo[axis], hi[axis]);
      if (cost < best) {
        best = cost;
        best_axis = axis;
        best_bin = bin;
      }
    }
    if (best_axis < 0) return 0;
    const float from = lo[best_axis], scale = kBins / (hi[best_axis] - lo[best_axis]);
    const auto middle = std::partition(refs_.begin() + static_cast<std::ptrdiff_t>(range.begin),
                                       refs_.begin() + static_cast<std::ptrdiff_t>(range.end), [=](const Ref& r) {
                                         return bin_of(center2(r, best_axis), from, scale) <= best_bin;
                                       });
    return static_cast<std::size_t>(middle - refs_.begin());
  }

  static int bin_of(float c, float from, float scale) {
    return std::clamp(static_cast<int>((c - from) * scale), 0, kBins - 1);
  }

  std::pair<double, int> cheapest_plane(const Range& range, int axis, float from, float to) const {
    std::array<Box, kBins> box;
    std::array<std::size_t, kBins> count{};
    const float scale = kBins / (to - from);
    for (std::size_t i = range.begin; i < range.end; ++i) {
      const auto b = static_cast<std::size_t>(bin_of(center2(refs_[i], axis), from, scale));
      box[b].grow(refs_[i].lo, refs_[i].hi);
      ++count[b];
    }
    std::array<double, kBins> right_cost{};
    Box sum;
    std::size_t n = 0;
    for (std::size_t b = kBins - 1; b > 0; --b) {
      if (count[b] > 0) sum.grow(box[b].lo, box[b].hi);
      n += count[b];
      right_cost[b] = n == 0 ? 0 : sum.half_area() * blocks(n);
    }
    double best = std::numeric_limits<double>::infinity();
    int best_bin = 0;
    sum = Box{};
    n = 0;
    for (std::size_t b = 0; b + 1 < kBins; ++b) {
      if (count[b] > 0) sum.grow(box[b].lo, box[b].hi);
      n += count[b];
      if (n == 0 || n == range.size()) continue;
      const double cost = sum.half_area() * blocks(n) + right_cost[b + 1];
      if (cost < best) {
        best = cost;
        best_bin = static_cast<int>(b);
      }
    }
    return {best, best_bin};
  }

  Impl& out_;
  std::vector<Ref>& refs_;
  const std::vector<TriMesh::Triangle>* triangles_;
};

bool usable(const Vec3f& p) { return p.allFinite() && p.cwiseAbs().maxCoeff() <= kGreatestCoordinate_mm; }

int slabs_of(const Vec3f& size, double slab_mm) {
  return std::clamp(static_cast<int>(std::ceil(static_cast<double>(size.maxCoeff()) / slab_mm)), 1, kMostSlabs);
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

void append_slabs(std::vector<Ref>& refs, std::uint32_t id, const std::array<Vec3f, 3>& v, const Box& whole,
                  int slabs) {
  int axis = 0;
  const Vec3f size = whole.hi - whole.lo;
  size.maxCoeff(&axis);
  const std::array<Vec3, 3> w = {v[0].cast<double>(), v[1].cast<double>(), v[2].cast<double>()};
  const double from = whole.lo[axis], step = static_cast<double>(size[axis]) / slabs;
  // Clipping rounds at 1e-16 of the coordinate, the cast to float at 6e-8 of it: 1e-3 mm plus 2e-7 covers both.
  const auto grow = static_cast<float>(1e-3 + 2e-7 * whole.lo.cwiseAbs().cwiseMax(whole.hi.cwiseAbs()).maxCoeff());
  for (int s = 0; s < slabs; ++s) {
    const Aabb box = clipped_box(w, axis, from + s * step, s + 1 == slabs ? whole.hi[axis] : from + (s + 1) * step);
    if (box.empty()) continue;
    const Vec3f lo = (box.lo.cast<float>().array() - grow).matrix().cwiseMax(whole.lo);
    const Vec3f hi = (box.hi.cast<float>().array() + grow).matrix().cwiseMin(whole.hi);
    refs.push_back({lo, hi, id});
  }
}

/// Vertices in order of first use, so that a leaf's corners lie close together in memory.
void renumber(Impl& tree, const std::vector<Vec3f>& vertices, const std::vector<float>* radius) {
  std::vector<std::uint32_t> to(vertices.size(), Impl::kNone);
  for (auto& corner : tree.corner) {
    for (auto& v : corner) {
      if (to[v] == Impl::kNone) {
        to[v] = static_cast<std::uint32_t>(tree.vertices.size());
        tree.vertices.push_back(vertices[v]);
        if (radius) tree.radius.push_back((*radius)[v]);
      }
      v = to[v];
    }
  }
  tree.vertices.shrink_to_fit();
  tree.nodes.shrink_to_fit();
}

void add_clusters(Impl& tree) {
  const auto count = static_cast<std::uint32_t>(tree.source.size());
  for (std::uint32_t begin = 0; begin < count; begin += Impl::Cluster::kSize) {
    const std::uint32_t end = std::min(count, begin + Impl::Cluster::kSize);
    Vec3 area = Vec3::Zero(), moment = Vec3::Zero();
    double weight = 0;
    Aabb box;
    for (std::uint32_t ref = begin; ref < end; ++ref) {
      if (!tree.counts(ref)) continue;
      const Vec3 a = tree.vertex(ref, 0), b = tree.vertex(ref, 1), c = tree.vertex(ref, 2);
      const Vec3 n = 0.5 * (b - a).cross(c - a);
      area += n;
      moment += n.norm() / 3.0 * (a + b + c);
      weight += n.norm();
      for (const Vec3& v : {a, b, c}) box.grow(v);
    }
    Impl::Cluster cluster;
    if (!box.empty()) {
      const Vec3 center = weight > 0 ? Vec3(moment / weight) : box.center();
      const Vec3 reach = (box.hi - center).cwiseAbs().cwiseMax((center - box.lo).cwiseAbs());
      cluster = {area.cast<float>(), center.cast<float>(), static_cast<float>(reach.norm())};
    }
    tree.clusters.push_back(cluster);
  }
}

}  // namespace

TriTree TriTree::over(const TriMesh& mesh) {
  EXPECTS(mesh.triangles.size() < 0x0FFFFFFFu / 2);
  auto tree = std::make_shared<Impl>();
  tree->origin = mesh.origin_mm;
  tree->where.assign(mesh.triangles.size(), Impl::kNone);

  const auto box_of = [&](const TriMesh::Triangle& t) {
    Box box;
    for (const auto v : t) box.grow(mesh.vertices[v], mesh.vertices[v]);
    return box;
  };
  std::vector<std::uint32_t> kept;
  kept.reserve(mesh.triangles.size());
  for (std::uint32_t i = 0; i < mesh.triangles.size(); ++i) {
    for (const auto v : mesh.triangles[i]) EXPECTS(v < mesh.vertices.size());
    const auto& t = mesh.triangles[i];
    if (usable(mesh.vertices[t[0]]) && usable(mesh.vertices[t[1]]) && usable(mesh.vertices[t[2]])) kept.push_back(i);
  }
  tree->triangle_count = kept.size();
  tree->dropped = mesh.triangles.size() - kept.size();

  // A file full of huge triangles must not multiply its memory: widen the slabs until they add at most a quarter.
  double slab_mm = kSlab_mm;
  std::size_t total = 0;
  for (;; slab_mm *= 2) {
    total = 0;
    for (const auto i : kept) {
      const Box box = box_of(mesh.triangles[i]);
      total += static_cast<std::size_t>(slabs_of(box.hi - box.lo, slab_mm));
    }
    if (total <= kept.size() + kept.size() / 4 + 4096) break;
  }
  std::vector<Ref> refs;
  refs.reserve(total);
  for (const auto i : kept) {
    const auto& t = mesh.triangles[i];
    const Box box = box_of(t);
    const int slabs = slabs_of(box.hi - box.lo, slab_mm);
    if (slabs == 1) {
      refs.push_back({box.lo, box.hi, i});
    } else {
      append_slabs(refs, i, {mesh.vertices[t[0]], mesh.vertices[t[1]], mesh.vertices[t[2]]}, box, slabs);
    }
  }
  tree->corner.reserve(refs.size());
  tree->source.reserve(refs.size());
  Builder(*tree, refs, &mesh.triangles).run();
  renumber(*tree, mesh.vertices, nullptr);
  add_clusters(*tree);
  TriTree out;
  out.impl_ = std::move(tree);
  return out;
}

TriTree TriTree::over(const PointCloud& cloud, const std::vector<float>& radius_mm) {
  EXPECTS(radius_mm.size() == cloud.points.size());
  EXPECTS(cloud.points.size() < 0x0FFFFFFFu);
  auto tree = std::make_shared<Impl>();
  tree->origin = cloud.origin_mm;
  tree->where.assign(cloud.points.size(), Impl::kNone);
  std::vector<Ref> refs;
  refs.reserve(cloud.points.size());
  for (std::uint32_t i = 0; i < cloud.points.size(); ++i) {
    const Vec3f& p = cloud.points[i];
    const float r = radius_mm[i];
    if (!usable(p) || !(r >= 0) || !(r <= kGreatestCoordinate_mm)) continue;
    const float outward = r + 2e-7f * (p.cwiseAbs().maxCoeff() + r);  // the sums below round
    refs.push_back({p.array() - outward, p.array() + outward, i});
  }
  tree->triangle_count = refs.size();
  tree->dropped = cloud.points.size() - refs.size();
  tree->corner.reserve(refs.size());
  tree->source.reserve(refs.size());
  Builder(*tree, refs, nullptr).run();
  renumber(*tree, cloud.points, &radius_mm);
  TriTree out;
  out.impl_ = std::move(tree);
  return out;
}

}  // namespace baywright

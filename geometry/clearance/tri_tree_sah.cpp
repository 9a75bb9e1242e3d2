#include "geometry/clearance/tri_tree_sah.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <limits>
#include <tuple>
#include <utility>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

using Impl = TriTree::Impl;

constexpr std::uint32_t kMostBins = 16;
constexpr std::uint32_t kLeaf = 8;    // triangles that a query tests at a time
constexpr int kSahDepth = 40;         // deeper splits are medians, which bounds the depth of the tree
constexpr float kSamePlace = 1e-30F;  // mm; what is divided by less could overflow
constexpr float kFar = std::numeric_limits<float>::infinity();

/// Four floats: x, y, z and one that nobody reads.
#if defined(__SSE2__)
struct F4 {
  __m128 v;
  static F4 of(float s) { return {_mm_set1_ps(s)}; }
  static F4 load(const float* p) { return {_mm_load_ps(p)}; }
  void store(float* p) const { _mm_store_ps(p, v); }
  friend F4 operator+(F4 a, F4 b) { return {_mm_add_ps(a.v, b.v)}; }
  friend F4 operator-(F4 a, F4 b) { return {_mm_sub_ps(a.v, b.v)}; }
  friend F4 operator*(F4 a, F4 b) { return {_mm_mul_ps(a.v, b.v)}; }
};
F4 least(F4 a, F4 b) { return {_mm_min_ps(a.v, b.v)}; }
F4 greatest(F4 a, F4 b) { return {_mm_max_ps(a.v, b.v)}; }
void whole(F4 a, std::int32_t* out) { _mm_store_si128(reinterpret_cast<__m128i*>(out), _mm_cvttps_epi32(a.v)); }
int below(F4 a, F4 b) { return _mm_movemask_ps(_mm_cmplt_ps(a.v, b.v)); }
#else
struct F4 {
  float v[4];
  static F4 of(float s) { return {{s, s, s, s}}; }
  static F4 load(const float* p) { return {{p[0], p[1], p[2], p[3]}}; }
  void store(float* p) const { std::copy(v, v + 4, p); }
  template <class F>
  static F4 each(const F4& a, const F4& b, const F& f) {
    return {{f(a.v[0], b.v[0]), f(a.v[1], b.v[1]), f(a.v[2], b.v[2]), f(a.v[3], b.v[3])}};
  }
  friend F4 operator+(F4 a, F4 b) {
    return each(a, b, [](float x, float y) { return x + y; });
  }
  friend F4 operator-(F4 a, F4 b) {
    return each(a, b, [](float x, float y) { return x - y; });
  }
  friend F4 operator*(F4 a, F4 b) {
    return each(a, b, [](float x, float y) { return x * y; });
  }
};
F4 least(F4 a, F4 b) {
  return F4::each(a, b, [](float x, float y) { return x < y ? x : y; });
}
F4 greatest(F4 a, F4 b) {
  return F4::each(a, b, [](float x, float y) { return x > y ? x : y; });
}
void whole(F4 a, std::int32_t* out) {
  for (int i = 0; i < 3; ++i) out[i] = static_cast<std::int32_t>(a.v[i]);
}
int below(F4 a, F4 b) {
  int mask = 0;
  for (int i = 0; i < 4; ++i) mask |= (a.v[i] < b.v[i] ? 1 : 0) << i;
  return mask;
}
#endif

// The fourth number is an integer, which read as a float may be denormal (slow) or not a number.
#if defined(__SSE2__)
F4 three(const float* p) { return {_mm_and_ps(_mm_load_ps(p), _mm_castsi128_ps(_mm_set_epi32(0, -1, -1, -1)))}; }
#else
F4 three(const float* p) { return {{p[0], p[1], p[2], 0}}; }
#endif
F4 lo_of(const BuildRef& r) { return three(r.lo); }
F4 hi_of(const BuildRef& r) { return three(r.hi); }

struct Box {
  F4 lo = F4::of(kFar), hi = F4::of(-kFar);
  void grow(F4 a, F4 b) {
    lo = least(lo, a);
    hi = greatest(hi, b);
  }
  /// mm2, 0 for an empty one; with a share of the sides, so that pieces of a line have a size too.
  float half_area() const {
    constexpr float kThin_mm = 1e-3F;
    alignas(16) float s[4];
    greatest(hi - lo, F4::of(0)).store(s);
    return s[0] * (s[1] + s[2] + kThin_mm) + s[1] * (s[2] + kThin_mm) + kThin_mm * s[2];
  }
};

struct Range {
  BuildRef* refs = nullptr;   ///< where its boxes are now
  BuildRef* other = nullptr;  ///< as much room, where they may go
  std::uint32_t size = 0;
  std::uint32_t weight = 0;
  int depth = 0;
  Box box;
};

/// Work of a query in a part: leaves are tested as a whole.
float blocks(std::uint32_t weight) {
  const std::uint32_t whole = (weight + kLeaf - 1) / kLeaf;
  return static_cast<float>(whole);
}

struct Bin {
  Box box;
  std::uint32_t weight = 0;
};

struct Plane {
  float cost = kFar;
  int axis = -1;
  std::uint32_t bin = 0;
};

/// Where the centres of a range lie among its bins.
struct Binning {
  F4 from, scale;
  std::uint32_t bins;
  alignas(16) float extent[4];

  explicit Binning(const Range& range) {
    Box centers;
    for (std::uint32_t i = 0; i < range.size; ++i) {
      const F4 c = lo_of(range.refs[i]) + hi_of(range.refs[i]);
      centers.grow(c, c);
    }
    bins = std::min(kMostBins, 4 + range.size / 8);
    from = centers.lo;
    (centers.hi - centers.lo).store(extent);
    alignas(16) float s[4] = {0, 0, 0, 0};
    for (int k = 0; k < 3; ++k) {
      if (!(extent[k] > kSamePlace)) extent[k] = 0;
      s[k] = extent[k] > 0 ? 0.9999F * static_cast<float>(bins) / extent[k] : 0;
    }
    scale = F4::load(s);
  }
  F4 place(const BuildRef& r) const { return (lo_of(r) + hi_of(r) - from) * scale; }
};

Plane cheapest(const std::array<Bin, kMostBins>& bin, std::uint32_t bins, std::uint32_t weight, int axis) {
  std::array<float, kMostBins> right_cost;
  Box sum;
  std::uint32_t n = 0;
  for (std::uint32_t b = bins - 1; b > 0; --b) {
    sum.grow(bin[b].box.lo, bin[b].box.hi);
    n += bin[b].weight;
    right_cost[b] = n == 0 ? 0 : sum.half_area() * blocks(n);
  }
  Plane best;
  sum = Box{};
  n = 0;
  for (std::uint32_t b = 0; b + 1 < bins; ++b) {
    sum.grow(bin[b].box.lo, bin[b].box.hi);
    n += bin[b].weight;
    if (n == 0 || n == weight) continue;
    const float cost = sum.half_area() * blocks(n) + right_cost[b + 1];
    if (cost < best.cost) best = {cost, axis, b};
  }
  return best;
}

/// Part of a tree of twos: a leaf, or two others that come before it.
struct Twig {
  Box box;
  std::uint32_t code = Impl::kNone;  ///< of a leaf
  std::uint32_t left = 0, right = 0;
};

class Builder {
 public:
  Builder(std::vector<Twig>& twigs, std::uint32_t leaf_size, std::uint32_t first, std::uint32_t* order)
      : twigs_(twigs), leaf_size_(leaf_size), first_(first), order_(order) {}

  std::uint32_t grow(const Range& range) {
    Twig twig;
    twig.box = range.box;
    if (range.size <= leaf_size_) {
      twig.code = Impl::kLeafBit | ((range.size - 1) << 28) | (first_ + placed_);
      for (std::uint32_t i = 0; i < range.size; ++i) order_[placed_++] = range.refs[i].id;
    } else {
      const auto [left, right] = split(range);
      twig.left = grow(left);
      twig.right = grow(right);
    }
    twigs_.push_back(twig);
    return static_cast<std::uint32_t>(twigs_.size() - 1);
  }

 private:
  static std::pair<Range, Range> split(const Range& range) {
    if (range.depth < kSahDepth) {
      const Binning binning(range);
      const Plane plane = best_plane(range, binning);
      if (plane.axis >= 0) return separate(range, binning, plane);
    }
    return halve(range);
  }

  static Plane best_plane(const Range& range, const Binning& binning) {
    std::array<std::array<Bin, kMostBins>, 3> bin;
    const auto n = static_cast<std::size_t>(binning.bins);
    for (auto& axis : bin) std::fill(axis.begin(), axis.begin() + static_cast<std::ptrdiff_t>(n), Bin{});
    for (std::uint32_t i = 0; i < range.size; ++i) {
      const BuildRef& r = range.refs[i];
      alignas(16) std::int32_t at[4];
      whole(binning.place(r), at);
      const F4 lo = lo_of(r), hi = hi_of(r);
      for (std::size_t k = 0; k < 3; ++k) {
        Bin& b = bin[k][static_cast<std::size_t>(at[k])];
        b.box.grow(lo, hi);
        b.weight += r.weight;
      }
    }
    Plane best;
    for (int k = 0; k < 3; ++k) {
      if (!(binning.extent[k] > 0)) continue;
      const Plane plane = cheapest(bin[static_cast<std::size_t>(k)], binning.bins, range.weight, k);
      if (plane.cost < best.cost) best = plane;
    }
    return best;
  }

  /// Every box is written to both sides and the side it belongs to keeps it: no branch to guess wrong.
  static std::pair<Range, Range> separate(const Range& range, const Binning& binning, const Plane& plane) {
    const F4 end = F4::of(static_cast<float>(plane.bin + 1));
    std::uint32_t left = 0, right = range.size, left_weight = 0;
    for (std::uint32_t i = 0; i < range.size; ++i) {
      const BuildRef r = range.refs[i];
      const auto is_left = static_cast<std::uint32_t>(below(binning.place(r), end) >> plane.axis) & 1U;
      range.other[left] = r;
      range.other[right - 1] = r;
      left += is_left;
      right -= 1U - is_left;
      left_weight += r.weight & (0U - is_left);
    }
    return parts(range, range.other, range.refs, left, left_weight);
  }

  /// All centres coincide, or too deep: halves by order along the longest side.
  static std::pair<Range, Range> halve(const Range& range) {
    alignas(16) float side[4];
    (range.box.hi - range.box.lo).store(side);
    const auto axis = std::max_element(side, side + 3) - side;
    const std::uint32_t half = range.size / 2;
    std::nth_element(range.refs, range.refs + half, range.refs + range.size,
                     [axis](const BuildRef& a, const BuildRef& b) {
                       const float ca = a.lo[axis] + a.hi[axis], cb = b.lo[axis] + b.hi[axis];
                       return ca != cb ? ca < cb : a.id < b.id;
                     });
    std::uint32_t weight = 0;
    for (std::uint32_t i = 0; i < half; ++i) weight += range.refs[i].weight;
    return parts(range, range.refs, range.other, half, weight);
  }

  static std::pair<Range, Range> parts(const Range& range, BuildRef* refs, BuildRef* other, std::uint32_t left,
                                       std::uint32_t left_weight) {
    std::pair<Range, Range> out;
    out.first = {refs, other, left, left_weight, range.depth + 1, {}};
    out.second = {refs + left, other + left, range.size - left, range.weight - left_weight, range.depth + 1, {}};
    for (Range* part : {&out.first, &out.second}) {
      for (std::uint32_t i = 0; i < part->size; ++i) part->box.grow(lo_of(part->refs[i]), hi_of(part->refs[i]));
    }
    return out;
  }

  std::vector<Twig>& twigs_;
  const std::uint32_t leaf_size_, first_;
  std::uint32_t* order_;
  std::uint32_t placed_ = 0;
};

/// Which twigs become nodes of eight and which dissolve into their parents: the choice with the least area of nodes,
/// that is the fewest expected visits, by dynamic programming over "this twig in at most k places of its parent".
class Collapse {
 public:
  Collapse(const std::vector<Twig>& twigs, std::vector<Impl::Node>& nodes) : twigs_(twigs), nodes_(nodes) {
    plans_.resize(twigs.size());
    for (std::size_t i = 0; i < twigs.size(); ++i) {
      if (twigs[i].code == Impl::kNone) plans_[i] = plan(twigs[i]);
    }
  }

  void write_root() {
    nodes_.emplace_back();
    write(0, static_cast<std::uint32_t>(twigs_.size() - 1));
  }

 private:
  struct Plan {
    std::array<float, Impl::kWidth> cost{};         ///< with at most k + 1 places
    std::array<std::uint8_t, Impl::kWidth> left{};  ///< of those, how many are for the left twig; 0: a node in one
    std::uint8_t left_of_node = 0;                  ///< the same inside its own node
  };

  Plan plan(const Twig& twig) const {
    const auto &a = plans_[twig.left].cost, &b = plans_[twig.right].cost;
    Plan out;
    std::array<float, Impl::kWidth> opened;
    for (std::size_t k = 1; k < Impl::kWidth; ++k) {
      opened[k] = a[0] + b[k - 1];
      out.left[k] = 1;
      for (std::size_t l = 1; l < k; ++l) {
        if (const float cost = a[l] + b[k - 1 - l]; cost < opened[k]) {
          opened[k] = cost;
          out.left[k] = static_cast<std::uint8_t>(l + 1);
        }
      }
    }
    out.left_of_node = out.left[Impl::kWidth - 1];
    out.cost[0] = twig.box.half_area() + opened[Impl::kWidth - 1];
    for (std::size_t k = 1; k < Impl::kWidth; ++k) {
      out.cost[k] = std::min(opened[k], out.cost[0]);
      if (out.cost[0] < opened[k]) out.left[k] = 0;
    }
    return out;
  }

  struct Children {
    std::array<std::uint32_t, Impl::kWidth> twig;
    std::size_t count = 0;
  };
  void gather(std::uint32_t i, std::size_t places, Children& out) const {
    const Twig& twig = twigs_[i];
    const std::size_t left = plans_[i].left[places - 1];
    if (twig.code != Impl::kNone || left == 0) {
      out.twig[out.count++] = i;
      return;
    }
    gather(twig.left, left, out);
    gather(twig.right, places - left, out);
  }

  void write(std::size_t at, std::uint32_t i) {
    Children children;
    if (const Twig& twig = twigs_[i]; twig.code != Impl::kNone) {
      children.twig[children.count++] = i;
    } else {
      gather(twig.left, plans_[i].left_of_node, children);
      gather(twig.right, Impl::kWidth - plans_[i].left_of_node, children);
    }
    for (std::size_t c = 0; c < Impl::kWidth; ++c) {
      if (c >= children.count) {
        for (int k = 0; k < 3; ++k) nodes_[at].lo[k][c] = nodes_[at].hi[k][c] = Impl::kEmptyBound;
        nodes_[at].child[c] = Impl::kNone;
        continue;
      }
      const Twig& twig = twigs_[children.twig[c]];
      alignas(16) float lo[4], hi[4];
      twig.box.lo.store(lo);
      twig.box.hi.store(hi);
      for (int k = 0; k < 3; ++k) {
        nodes_[at].lo[k][c] = lo[k];
        nodes_[at].hi[k][c] = hi[k];
      }
      std::uint32_t code = twig.code;
      if (code == Impl::kNone) {
        code = static_cast<std::uint32_t>(nodes_.size());
        nodes_.emplace_back();
        write(code, children.twig[c]);
      }
      nodes_[at].child[c] = code;
    }
  }

  const std::vector<Twig>& twigs_;
  std::vector<Impl::Node>& nodes_;
  std::vector<Plan> plans_;
};

}  // namespace

SahTree build_sah(SahScratch& scratch, std::uint32_t leaf_size, std::uint32_t first, std::span<std::uint32_t> order) {
  EXPECTS(!scratch.refs.empty() && order.size() == scratch.refs.size());
  EXPECTS(leaf_size >= 1 && leaf_size <= kLeaf);
  if (scratch.other.size() < scratch.refs.size()) scratch.other.resize(scratch.refs.size());
  Range all;
  all.refs = scratch.refs.data();
  all.other = scratch.other.data();
  all.size = static_cast<std::uint32_t>(scratch.refs.size());
  for (const BuildRef& r : scratch.refs) {
    all.box.grow(lo_of(r), hi_of(r));
    all.weight += r.weight;
  }
  SahTree out;
  std::vector<Twig> twigs;
  twigs.reserve(scratch.refs.size() / 2 + 1);
  Builder(twigs, leaf_size, first, order.data()).grow(all);
  out.nodes.reserve(twigs.size() / Impl::kWidth + 1);
  Collapse(twigs, out.nodes).write_root();
  alignas(16) float lo[4], hi[4];
  all.box.lo.store(lo);
  all.box.hi.store(hi);
  std::copy(lo, lo + 3, out.lo);
  std::copy(hi, hi + 3, out.hi);
  return out;
}

int deepest_sah(std::size_t count) { return kSahDepth + static_cast<int>(std::bit_width(count)); }

}  // namespace baywright

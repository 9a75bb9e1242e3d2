// Shapes at rest against a tree: bounds by the vector kernels, what they leave by the exact ones.
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "geometry/clearance/flexible_gap.hpp"
#include "geometry/clearance/tree_kernels.hpp"
#include "geometry/clearance/tree_search.hpp"

namespace baywright {
namespace {

using Impl = TriTree::Impl;

void put(const Vec3& from, float (&to)[3]) {
  for (int k = 0; k < 3; ++k) to[k] = static_cast<float>(from[k]);
}

/// Limit of a search that has found enough.
constexpr double kEnough = -std::numeric_limits<double>::infinity();

/// A part of a shape that the kernels take: whole, or an arc of at most 45 degrees.
struct Part {
  PlacedShape exact;
  KernelShape kernel;
  bool flat = false;
  double radius_mm = 0;  ///< of a tube; of a curve with what it may leave the kernel's chord
  double reach_mm = 0;   ///< greatest coordinate of what the kernel is given

  /// Greatest gap of something that may be nearer than the limit.
  double gap_for(double limit_mm) const {
    if (limit_mm == kEnough) return kEnough;
    return flat ? std::max(limit_mm, 0.0) : limit_mm + radius_mm;
  }
};

Part part_of(const Cylinder& s) {
  Part out;
  out.exact = s;
  put(s.a, out.kernel.a);
  put(s.b, out.kernel.b);
  out.radius_mm = s.radius_mm;
  out.reach_mm = std::max(s.a.cwiseAbs().maxCoeff(), s.b.cwiseAbs().maxCoeff());
  return out;
}

Part part_of(const Cone& s) {
  Part out;
  out.exact = s;
  out.flat = true;
  out.kernel.kind = KernelShape::Kind::discs;
  put(s.a, out.kernel.a);
  put(s.b, out.kernel.b);
  put((s.b - s.a).normalized(), out.kernel.n);
  out.kernel.radius_a = static_cast<float>(s.radius_a_mm);
  out.kernel.radius_b = static_cast<float>(s.radius_b_mm);
  out.reach_mm = std::max(s.a.cwiseAbs().maxCoeff(), s.b.cwiseAbs().maxCoeff()) + s.radius_a_mm + s.radius_b_mm;
  return out;
}

Part part_of(const SweptArc& s) {
  Part out;
  out.exact = s;
  out.kernel.kind = KernelShape::Kind::arc;
  put(s.axis_point(0), out.kernel.a);
  put(s.axis_point(s.angle_rad), out.kernel.b);
  put(s.center, out.kernel.center);
  put(s.u, out.kernel.u);
  put(s.v, out.kernel.v);
  out.kernel.cosine = static_cast<float>(std::cos(s.angle_rad));
  out.kernel.sine = static_cast<float>(std::sin(s.angle_rad));
  out.kernel.half_cosine = static_cast<float>(std::cos(0.5 * s.angle_rad));
  out.kernel.half_sine = static_cast<float>(std::sin(0.5 * s.angle_rad));
  out.radius_mm = s.radius_mm;
  out.reach_mm = s.center.cwiseAbs().maxCoeff() + s.u.norm() + s.v.norm();
  return out;
}

Part part_of(const Box& s) {
  Part out;
  out.exact = s;
  out.flat = true;
  out.kernel.kind = KernelShape::Kind::box;
  put(s.center, out.kernel.center);
  put(s.axes.col(0), out.kernel.u);
  put(s.axes.col(1), out.kernel.v);
  put(s.axes.col(2), out.kernel.n);
  put(s.half_mm, out.kernel.half);
  out.reach_mm = s.center.cwiseAbs().maxCoeff() + s.half_mm.sum();
  return out;
}

/// The kernel takes the chord.
Part part_of(const SweptCubic& s) {
  Part out = part_of(Cylinder{s.p[0], s.p[3], s.radius_mm});
  out.exact = s;
  out.radius_mm += s.deviation_mm();
  return out;
}

/// The part of a curve between two parameters.
SweptCubic part_between(const SweptCubic& s, double from, double to) {
  const auto rows = cubic_part(from, to);
  SweptCubic out;
  out.radius_mm = s.radius_mm;
  for (std::size_t i = 0; i < 4; ++i) {
    out.p[i].setZero();
    for (std::size_t k = 0; k < 4; ++k) out.p[i] += rows[i][k] * s.p[k];
  }
  return out;
}

/// Values that are asked for up to a limit are exact a little beyond it: equal ones are told apart by their number.
constexpr double kAbove_mm = 1e-4;

/// Calls f(part) for the parts of a shape.
template <class F>
void for_parts(const PlacedShape& shape, const F& f) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return f(part_of(*s));
  if (const auto* s = std::get_if<Cone>(&shape)) return f(part_of(*s));
  if (const auto* s = std::get_if<Box>(&shape)) return f(part_of(*s));
  if (const auto* s = std::get_if<SweptCubic>(&shape)) {
    // A chord is missed by the square of its share: parts that keep to theirs within a quarter of a millimetre.
    constexpr double kMiss_mm = 0.25;
    constexpr double kMostParts = 8;
    const int count = static_cast<int>(std::clamp(std::ceil(std::sqrt(s->deviation_mm() / kMiss_mm)), 1.0, kMostParts));
    for (int i = 0; i < count; ++i) {
      f(part_of(count == 1 ? *s
                           : part_between(*s, static_cast<double>(i) / count, static_cast<double>(i + 1) / count)));
    }
    return;
  }
  const auto& arc = std::get<SweptArc>(shape);
  const int count = 1 + static_cast<int>(arc.angle_rad / (0.25 * std::numbers::pi));
  for (int i = 0; i < count; ++i) {
    const double from = arc.angle_rad * i / count;
    SweptArc part = arc;
    part.u = std::cos(from) * arc.u + std::sin(from) * arc.v;
    part.v = std::cos(from) * arc.v - std::sin(from) * arc.u;
    part.angle_rad = arc.angle_rad / count;
    f(part_of(part));
  }
}

/// Visits what may be within the limit that `visit(part, ref, limit)` keeps.
template <class Visit>
void search_part(const Impl& tree, const TreeKernels& kernels, const Part& part, double& limit_mm, const Visit& visit) {
  if (tree.nodes.empty()) return;
  struct Context {
    const Part& part;
    const Visit& visit;
    double& limit_mm;
  } context{part, visit, limit_mm};
  const KernelVisit call = [](void* at, std::uint32_t ref, double) {
    const auto& c = *static_cast<Context*>(at);
    c.visit(ref);
    return c.part.gap_for(c.limit_mm);
  };
  kernels.near_shape(kernel_view(tree), part.kernel, tree.slack(part.reach_mm), part.gap_for(limit_mm), call, &context);
}

/// Triangles looked at lately. A long one has many references, and what it was the first time it is every time.
class Seen {
 public:
  Seen() { place_.fill(Impl::kNone); }
  bool again(std::uint32_t source) {
    std::uint32_t& last = place_[source % kPlaces];
    if (last == source) return true;
    last = source;
    return false;
  }

 private:
  static constexpr std::uint32_t kPlaces = 128;
  std::array<std::uint32_t, kPlaces> place_;
};

}  // namespace

std::optional<Nearby> nearest_to(const Impl& tree, const PlacedShape& shape, double limit_mm, double enough_near_mm) {
  return nearest_with(tree_kernels(), tree, shape, limit_mm, enough_near_mm);
}

std::optional<Nearby> nearest_with(const TreeKernels& kernels, const Impl& tree, const PlacedShape& shape,
                                   double limit_mm, double enough_near_mm) {
  std::optional<Nearby> best;
  double limit = limit_mm;
  for_parts(shape, [&](const Part& part) {
    Seen seen;
    search_part(tree, kernels, part, limit, [&](std::uint32_t ref) {
      if (seen.again(tree.source[ref])) return;
      const Nearby found = value_of(tree, part.exact, ref, limit + kAbove_mm);
      if (!(found.distance_mm <= limit)) return;
      if (best && found.distance_mm == best->distance_mm && found.source >= best->source) return;
      best = found;
      limit = found.distance_mm <= enough_near_mm ? kEnough : found.distance_mm;
    });
  });
  return best;
}

double some_distance(const Impl& tree, const PlacedShape& shape, double limit_mm) {
  double least = limit_mm;
  for_parts(shape, [&](const Part& part) {
    double limit = least;
    search_part(tree, tree_kernels(), part, limit, [&](std::uint32_t ref) {
      least = std::min(least, value_of(tree, part.exact, ref).distance_mm);
      limit = kEnough;  // the first is enough
    });
  });
  return least;
}

void collect_two(const Impl& tree, const PlacedShape& shape, double limit_mm, std::vector<std::uint32_t>& sources) {
  for_parts(shape, [&](const Part& part) {
    double limit = limit_mm;
    search_part(tree, tree_kernels(), part, limit, [&](std::uint32_t ref) {
      const std::uint32_t source = tree.source[ref];
      if (sources.size() >= 2 || (!sources.empty() && sources.front() == source)) return;
      if (value_of(tree, part.exact, ref, limit_mm + kAbove_mm).distance_mm > limit_mm) return;
      sources.push_back(source);
      if (sources.size() >= 2) limit = kEnough;
    });
  });
}

}  // namespace baywright

#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

#include "geometry/base/result.hpp"
#include "geometry/clearance/tri_tree_impl.hpp"

namespace baywright {

/// What the kernels see of a tree: plain arrays.
struct KernelTree {
  const TriTree::Impl::Node* nodes;
  const std::uint32_t* corner;  ///< three per reference
  const float* vertices;        ///< three per vertex
  const float* radius;          ///< per vertex, nullptr for a mesh
};

/// A solid at rest as the kernels see it, relative to the tree's origin.
struct KernelShape {
  enum class Kind { segment, arc, discs, box };
  Kind kind = Kind::segment;
  float a[3], b[3];  ///< ends of the axis
  float center[3];   ///< arcs: center + cos(t) u + sin(t) v for t in 0..angle, angle at most 45 degrees
  float u[3], v[3];
  float cosine, sine, half_cosine, half_sine;  ///< of the angle and of half of it
  float n[3];                                  ///< discs: unit vector along the axis
  float half[3];                               ///< boxes: half lengths along the unit vectors u, v, n from the center
  float radius_a, radius_b;
};

/// A solid that moves over a cell as the kernels see it, relative to the tree's origin: hull of up to four points,
/// each a centre, generators and pairs of parameters (forms.hpp), or two discs across a turning axis
/// (FlatSolid::reach).
struct KernelMoving {
  static constexpr int kMostPoints = 4, kMostPlanes = 3, kMostParameters = 32, kMostTerms = 560;
  int points = 0, parameters = 0, pairs = 0;
  const std::uint8_t* pair = nullptr;  ///< k and l of every pair that is not zero at all points
  /// Per point `parameters` generators, then `pairs` pairs, three floats each; discs: then those of the axis.
  const float* terms = nullptr;
  float center[kMostPoints][3];
  float lo[3], hi[3];  ///< box of it all
  bool discs = false;
  float axis[3];  ///< discs: unit vector at the middle of the cell
  float axis_size = 0, axis_rest = 0;
  // These may be changed by a visit.
  float radius[2] = {0, 0}, inward = 0;  ///< discs: at the depth that matters
  int planes = 0;                        ///< nothing lies beyond plane . x = plane_reach
  float plane[kMostPlanes][3], plane_reach[kMostPlanes];
};

/// Looks at one reference exactly; returns the limit from there on, minus infinity to end the search.
using KernelVisit = double (*)(void* context, std::uint32_t reference, double limit_mm);

/// The inner loops of searches, made for one instruction set. All of them call `visit` for every reference that may be
/// nearer than the limit, and for few others, nearest boxes first. Bounds are float32 and taken with `slack_mm` to the
/// safe side; what is not a number is looked at.
struct TreeKernels {
  const char* name;
  /// References within `limit_mm` of p (three floats).
  void (*near_point)(const KernelTree& tree, const float* p, double slack_mm, double limit_mm, KernelVisit visit,
                     void* context);
  /// References whose gap to the shape's axis (discs and boxes: to the solid) is at most the limit.
  void (*near_shape)(const KernelTree& tree, const KernelShape& shape, double slack_mm, double limit_mm,
                     KernelVisit visit, void* context);
  /// References whose gap to the hull (discs: to the solid) is at most the limit.
  void (*near_moving)(const KernelTree& tree, const KernelMoving& moving, double slack_mm, double limit_mm,
                      KernelVisit visit, void* context);
};

/// By name: "sse2" (on other processors than x86-64 "plain", the same source in plain C++) or "avx2".
/// Error: unknown, or not possible on this processor.
Result<const TreeKernels*> tree_kernels_named(std::string_view name);
/// The best this processor can do, or what the environment variable BAYWRIGHT_KERNELS names; chosen once. An impossible
/// choice is a bug here: programs ask chosen_tree_kernels() first.
const TreeKernels& tree_kernels();
Result<const TreeKernels*> chosen_tree_kernels();

KernelTree kernel_view(const TriTree::Impl& tree);

}  // namespace baywright

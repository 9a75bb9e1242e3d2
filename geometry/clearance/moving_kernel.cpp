#include "geometry/clearance/moving_kernel.hpp"

#include <algorithm>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

static_assert(KernelMoving::kMostParameters == kMostParameters &&
              KernelMoving::kMostTerms == kMostParameters + pair_count(kMostParameters));

void put(const Vec3& from, float (&to)[3]) {
  for (int k = 0; k < 3; ++k) to[k] = static_cast<float>(from[k]);
}

}  // namespace

MovingKernel::MovingKernel(const Enclosure& enclosure) : enclosure_(enclosure) {
  const MovingPoints& points = enclosure.axis();
  std::vector<const MovingPoints*> all = {&points};
  if (enclosure.flat()) all.push_back(&enclosure.solid().along());
  const int n = points.parameters();
  EXPECTS(points.count() <= KernelMoving::kMostPoints && n <= 255);
  for (const ParameterPair& pair : points.pairs()) {
    pairs_.push_back(pair.k);
    pairs_.push_back(pair.l);
  }
  view_.points = static_cast<int>(points.count());
  view_.parameters = n;
  view_.pairs = static_cast<int>(pairs_.size() / 2);
  double size = 0;
  for (const MovingPoints* p : all) {
    for (std::size_t i = 0; i < p->count(); ++i) {
      double sum = 0;
      const auto add = [&](int j) {
        const Vec3 term = p->term(i, j);
        for (int k = 0; k < 3; ++k) terms_.push_back(static_cast<float>(term[k]));
        sum += term.norm();
      };
      for (int j = 0; j < p->terms(); ++j) add(j);
      if (p == &points) size = std::max(size, sum);
    }
  }
  for (std::size_t i = 0; i < points.count(); ++i) {
    put(points.center(i), view_.center[i]);
    reach_mm_ = std::max(reach_mm_, points.center(i).cwiseAbs().maxCoeff());
  }
  put(enclosure.box().lo, view_.lo);
  put(enclosure.box().hi, view_.hi);
  reach_mm_ += size;
  if (enclosure.flat()) {
    view_.discs = true;
    put(enclosure.solid().along().center(0), view_.axis);
    view_.axis_size = static_cast<float>(enclosure.solid().along_size());
    view_.axis_rest = static_cast<float>(enclosure.solid().along_rest());
    count_from_depth(0);
    // What turns and swells is at most the radius each, and its factors are known to a few parts in ten million.
    const double radius = std::max(view_.radius[0], view_.radius[1]);
    reach_mm_ += 3 * radius;
    size += 2 * radius;
  }
  // Every term is projected within 3e-7 of its length and then added to the others.
  rounding_mm_ = 1.2e-7 * (n + view_.pairs + 8) * size;
  view_.terms = terms_.data();
  view_.pair = pairs_.data();
}

void MovingKernel::count_from_depth(double depth_mm) {
  depth_mm_ = depth_mm;
  if (!enclosure_.flat()) return;
  const auto core = enclosure_.solid().core(depth_mm);
  view_.inward = static_cast<float>(depth_mm);
  view_.radius[0] = static_cast<float>(core ? std::max(core->radius_a_mm, 0.0) : 0.0);
  view_.radius[1] = static_cast<float>(core ? std::max(core->radius_b_mm, 0.0) : 0.0);
}

void MovingKernel::add_plane(const Vec3& w) {
  if (!(w.squaredNorm() > 0.5)) return;
  newest_ = w;
  newest_reach_mm_ = enclosure_.reach(w, depth_mm_);
  put(w, view_.plane[next_plane_]);
  view_.plane_reach[next_plane_] = static_cast<float>(newest_reach_mm_);
  next_plane_ = (next_plane_ + 1) % KernelMoving::kMostPlanes;
  view_.planes = std::min(view_.planes + 1, KernelMoving::kMostPlanes);
}

}  // namespace baywright

#include "viewer/scene/label_place.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace baywright::viewer {

namespace {

/// Space left between labels, pixels.
constexpr double kGap = 4;

double overlap(const Box2& a, const Box2& b) {
  const Pixel lo = a.lo.cwiseMax(b.lo), hi = a.hi.cwiseMin(b.hi);
  return std::max(0.0, hi.x() - lo.x()) * std::max(0.0, hi.y() - lo.y());
}

Box2 around(const Pixel& center, const Pixel& size) { return {center - size / 2, center + size / 2}; }

}  // namespace

Box2 free_place(const Box2& page, const Pixel& size, const Pixel& wanted, const Pixel& push,
                const std::vector<Box2>& taken) {
  constexpr double kRing = 12;  // pixels between the rings of places that are tried
  constexpr int kPlaces = 24;   // on a ring
  const Pixel first = push.norm() > 1e-9 ? Pixel(push.normalized()) : Pixel(1, 0);
  const Pixel aside(-first.y(), first.x());
  const Pixel lo = page.lo + size / 2, hi = (page.hi - size / 2).cwiseMax(lo);
  const double farthest = (page.hi - page.lo).norm() + (wanted - page.center()).norm();
  Box2 best = around(wanted.cwiseMax(lo).cwiseMin(hi), size);
  double least = std::numeric_limits<double>::infinity();
  for (double ring = 0; ring <= farthest; ring += kRing) {
    for (int i = 0; i < (ring > 0 ? kPlaces : 1); ++i) {
      // From the pushed direction outwards to both sides.
      const int step = (i + 1) / 2, half = kPlaces / 2;
      const double turn = std::numbers::pi * step / half * (i % 2 == 0 ? 1 : -1);
      const Pixel at = wanted + ring * (std::cos(turn) * first + std::sin(turn) * aside);
      const Box2 box = around(at.cwiseMax(lo).cwiseMin(hi), size);
      const Box2 wide{box.lo - Pixel(kGap, kGap), box.hi + Pixel(kGap, kGap)};
      double covered = 0;
      for (const auto& one : taken) covered += overlap(wide, one);
      if (covered >= least) continue;
      least = covered;
      best = box;
      if (covered <= 0) return best;
    }
  }
  return best;
}

std::vector<Box2> boxes_along(const Pixel& a, const Pixel& b, double width) {
  const int count = std::max(1, static_cast<int>(std::ceil((b - a).norm() / std::max(1.0, width))));
  std::vector<Box2> boxes;
  for (int i = 0; i <= count; ++i) boxes.push_back(around(a + (b - a) * i / count, Pixel(width, width)));
  return boxes;
}

}  // namespace baywright::viewer

#include "viewer/scene/mark_parts.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "viewer/scene/label_place.hpp"

namespace baywright::viewer {

void arrowhead(Overlay& overlay, const Pixel& tip, const Pixel& along, double length, const Rgb& color) {
  const Pixel side(-along.y(), along.x());
  overlay.triangle(tip, tip - length * along + 0.36 * length * side, tip - length * along - 0.36 * length * side,
                   color);
}

void haloed(Overlay& overlay, const Pixel& a, const Pixel& b, double width, const Rgb& color) {
  overlay.line(a, b, width + 2.6, kWhite);
  overlay.line(a, b, width, color);
}

void dashed(Overlay& overlay, const Pixel& a, const Pixel& b, double width, const Rgb& color) {
  constexpr double kDash_px = 7, kGap_px = 5;
  const double length = (b - a).norm();
  if (length < 1) return;
  const Pixel along = (b - a) / length;
  for (double at = 0; at < length; at += kDash_px + kGap_px)
    haloed(overlay, a + at * along, a + std::min(at + kDash_px, length) * along, width, color);
}

Pixel label_size(const Overlay& overlay, const std::vector<LabelLine>& lines) {
  Pixel size(0, 0);
  for (const auto& line : lines) {
    size.x() = std::max(size.x(), overlay.extent(line.text, line.font).x());
    size.y() += line.font.size * kLeading;
  }
  return size + Pixel(2 * kLabelPad, 1.5 * kLabelPad);
}

Box2 place_box(const Overlay& overlay, const std::vector<LabelLine>& lines, const Pixel& wanted, const Pixel& push,
               const Box2& page, std::vector<Box2>& taken) {
  const Box2 box = free_place(page, label_size(overlay, lines), wanted, push, taken);
  taken.push_back(box);
  return box;
}

void draw_box(Overlay& overlay, const Box2& box, const std::vector<LabelLine>& lines, const Rgb& border) {
  overlay.box(box, kWhite, border, 1.6);
  double y = box.hi.y() - 6;
  for (const auto& line : lines) {
    y -= line.font.size * kLeading;
    overlay.text({box.lo.x() + kLabelPad, y + 2}, line.text, line.font);
  }
}

void leader(Overlay& overlay, const Box2& box, const Pixel& to, const Rgb& color) {
  const Pixel from = to.cwiseMax(box.lo).cwiseMin(box.hi);
  haloed(overlay, from, to, 1.4, color);
}

void dot(Overlay& overlay, const Pixel& at, double radius, const Rgb& color) {
  constexpr int kSides = 16;
  for (int i = 0; i < kSides; ++i) {
    const double t = 2 * std::numbers::pi * i / kSides, u = 2 * std::numbers::pi * (i + 1) / kSides;
    overlay.triangle(at, at + radius * Pixel(std::cos(t), std::sin(t)), at + radius * Pixel(std::cos(u), std::sin(u)),
                     color);
  }
}

void haloed_head(Overlay& overlay, const Pixel& tip, const Pixel& along, double length, const Rgb& color) {
  arrowhead(overlay, tip + 3.5 * along, along, length + 7, kWhite);
  arrowhead(overlay, tip, along, length, color);
}

void dimension(Overlay& overlay, const Pixel& a, const Pixel& b, const Rgb& color) {
  constexpr double kHead = 15, kTail = 34, kRoom = 56, kWide = 3.2, kTick = 13;
  const double length = (b - a).norm();
  const Pixel along = length > 1e-6 ? Pixel((b - a) / length) : Pixel(1, 0);
  const Pixel across(-along.y(), along.x());
  const auto ticks = [&] {
    for (const Pixel& end : {a, b}) haloed(overlay, end - kTick * across, end + kTick * across, 2.2, color);
  };
  if (length > kRoom) {
    haloed(overlay, a, b, kWide, color);
    ticks();
    haloed_head(overlay, a, -along, kHead, color);
    haloed_head(overlay, b, along, kHead, color);
    return;
  }
  haloed(overlay, a - (kHead + kTail) * along, a - kHead * along, kWide, color);
  haloed(overlay, b + kHead * along, b + (kHead + kTail) * along, kWide, color);
  haloed(overlay, a, b, 2.2, color);
  ticks();
  haloed_head(overlay, a, along, kHead, color);
  haloed_head(overlay, b, -along, kHead, color);
}

}  // namespace baywright::viewer

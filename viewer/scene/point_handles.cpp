#include "viewer/scene/point_handles.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include "viewer/scene/mark_parts.hpp"
#include "viewer/scene/palette.hpp"

namespace baywright::viewer {

namespace {

using Kind = session::PointFreedom::Kind;

constexpr double kPlain_px = 7, kPointed_px = 10, kFixed_px = 4.5;

void diamond(Overlay& overlay, const Pixel& at, double radius, const Rgb& color) {
  const Pixel x(radius, 0), y(0, radius);
  overlay.triangle(at + x, at + y, at - x, color);
  overlay.triangle(at + x, at - y, at - x, color);
}

void ring(Overlay& overlay, const Pixel& at, double radius, double width, const Rgb& color) {
  constexpr int kSides = 28;
  for (int i = 0; i < kSides; ++i) {
    const double t = 2 * std::numbers::pi * i / kSides, u = 2 * std::numbers::pi * (i + 1) / kSides;
    overlay.line(at + radius * Pixel(std::cos(t), std::sin(t)), at + radius * Pixel(std::cos(u), std::sin(u)), width,
                 color);
  }
}

/// Arrows to both sides along a point's line.
void arrows(Overlay& overlay, const PointHandle& handle, double radius, const Rgb& color) {
  const Pixel at = overlay.project(handle.p_mm);
  const Pixel way = overlay.project(handle.p_mm + handle.freedom.axis) - at;
  const double px_per_mm = way.norm();
  if (px_per_mm < 1e-6) return;
  const Pixel along = way / px_per_mm;
  for (const double sign : {-1.0, 1.0}) haloed_head(overlay, at + sign * (radius + 12) * along, sign * along, 9, color);
}

void sign(Overlay& overlay, const PointHandle& handle, double radius, const Rgb& color) {
  const Pixel at = overlay.project(handle.p_mm);
  if (handle.freedom.kind == Kind::fixed) {
    const double r = radius * kFixed_px / kPlain_px;
    overlay.box({at - Pixel(r, r), at + Pixel(r, r)}, kWhite, kInk, 1.6);
    return;
  }
  if (handle.freedom.kind == Kind::line) arrows(overlay, handle, radius, kInk);
  diamond(overlay, at, radius + 3.2, kWhite);
  diamond(overlay, at, radius + 1.6, kInk);
  diamond(overlay, at, radius - 0.6, color);
}

void legs(Overlay& overlay, const PointHandle& handle, const Rgb& color) {
  const Pixel at = overlay.project(handle.p_mm);
  for (const auto& other : {handle.before_mm, handle.after_mm})
    if (other) dashed(overlay, overlay.project(*other), at, 1.6, color);
}

}  // namespace

std::string place_text(const Vec3& p_mm, const DisplayUnits& units) {
  const auto number = [&](double v) { return format_number(v, Unit::mm, units); };
  return "x " + number(p_mm.x()) + "  y " + number(p_mm.y()) + "  z " + number(p_mm.z()) + " " +
         std::string(symbol(Unit::mm, units));
}

std::vector<PointHandle> handles_of(const duct::Duct& duct, int index) {
  std::vector<PointHandle> out;
  const auto& points = duct.spec.route.points;
  for (std::size_t i = 0; i < points.size(); ++i) {
    PointHandle handle{index, points[i].id, points[i].p_mm, {}, {}, session::freedom_of(duct.spec, points[i].id)};
    if (i > 0) handle.before_mm = points[i - 1].p_mm;
    if (i + 1 < points.size()) handle.after_mm = points[i + 1].p_mm;
    out.push_back(std::move(handle));
  }
  return out;
}

int handle_at(const Overlay& overlay, const std::vector<PointHandle>& handles, const Pixel& at) {
  int best = -1;
  bool best_moves = false;
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < handles.size(); ++i) {
    const double distance = (overlay.project(handles[i].p_mm) - at).norm();
    const bool moves = handles[i].freedom.kind != Kind::fixed;
    if (distance > kHandleReach_px || (best_moves && !moves) || (best_moves == moves && distance >= nearest)) continue;
    best = static_cast<int>(i);
    best_moves = moves;
    nearest = distance;
  }
  return best;
}

namespace {

void draw_ringed(Overlay& overlay, const PointHandle& handle) {
  const Pixel at = overlay.project(handle.p_mm);
  ring(overlay, at, kPointed_px + 6, 5.2, kWhite);
  ring(overlay, at, kPointed_px + 6, 2.2, kInk);
  sign(overlay, handle, kPointed_px, kHighlight);
}

}  // namespace

void draw_handles(Overlay& overlay, const std::vector<PointHandle>& handles, const HandleLooks& looks) {
  for (std::size_t i = 0; i < handles.size(); ++i) {
    const int index = static_cast<int>(i);
    if (index != looks.pointed && index != looks.chosen) sign(overlay, handles[i], kPlain_px, kTube);
  }
  const bool chosen = looks.chosen >= 0 && static_cast<std::size_t>(looks.chosen) < handles.size();
  if (chosen && looks.chosen != looks.pointed) draw_ringed(overlay, handles[static_cast<std::size_t>(looks.chosen)]);
}

std::vector<Box2> boxes_of(const Overlay& overlay, const std::vector<PointHandle>& handles) {
  const Pixel around(kPlain_px + 4, kPlain_px + 4);
  std::vector<Box2> boxes;
  for (const PointHandle& handle : handles) {
    const Pixel at = overlay.project(handle.p_mm);
    boxes.push_back({at - around, at + around});
  }
  return boxes;
}

void draw_pointed_handle(Overlay& overlay, const PointHandle& handle, const DisplayUnits& units, const Box2& page,
                         const std::vector<Box2>& keep_off) {
  const Pixel at = overlay.project(handle.p_mm);
  legs(overlay, handle, kInk);
  std::vector<LabelLine> lines = {{handle.point.value + "   " + place_text(handle.p_mm, units), {14, true, kInk}}};
  if (!handle.freedom.why.empty()) lines.push_back({handle.freedom.why, {13, false, kInk}});
  std::vector<Box2> taken = keep_off;
  taken.push_back({at - Pixel(24, 24), at + Pixel(24, 24)});
  const Box2 box = place_box(overlay, lines, at + Pixel(0, 54), {0, 1}, page, taken);
  leader(overlay, box, at, kInk);
  draw_box(overlay, box, lines, kInk);
  draw_ringed(overlay, handle);
}

void draw_held_handle(Overlay& overlay, const PointHandle& handle, const Rgb& color) {
  const Pixel at = overlay.project(handle.p_mm);
  legs(overlay, handle, color);
  ring(overlay, at, kPointed_px + 6, 5.2, kWhite);
  ring(overlay, at, kPointed_px + 6, 2.6, color);
  sign(overlay, handle, kPointed_px, color);
}

}  // namespace baywright::viewer

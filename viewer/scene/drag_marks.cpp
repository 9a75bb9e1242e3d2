#include "viewer/scene/drag_marks.hpp"

#include <algorithm>
#include <cmath>

#include "session/point_reading.hpp"
#include "viewer/scene/label_place.hpp"
#include "viewer/scene/mark_parts.hpp"
#include "viewer/scene/palette.hpp"

namespace baywright::viewer {

namespace {

/// Broken at words into lines of about `most` characters.
std::vector<std::string> broken(const std::string& text, std::size_t most) {
  std::vector<std::string> lines;
  std::string rest = text;
  while (rest.size() > most) {
    std::size_t at = rest.rfind(' ', most);
    if (at == std::string::npos) at = rest.find(' ');
    if (at == std::string::npos) break;
    lines.push_back(rest.substr(0, at));
    rest.erase(0, at + 1);
  }
  lines.push_back(rest);
  return lines;
}

Rgb color_of(const std::optional<session::Tightest>& tightest) {
  return tightest && tightest->limit ? text_color(tightest->verdict) : kInk;
}

std::vector<LabelLine> label_of(const job::Installation& installation, const HeldPoint& held) {
  constexpr std::size_t kWide = 48;
  const auto& units = installation.job.units;
  std::vector<LabelLine> lines;
  if (!held.refusal.empty()) {
    lines.push_back({held.handle.point.value + "   " + place_text(held.refused_mm, units), {14, true, kInk}});
    const Rgb color = text_color(checks::Verdict::not_met);
    lines.push_back({"cannot be made:", {14, true, color}});
    for (const std::string& line : broken(held.refusal, kWide)) lines.push_back({line, {13, false, color}});
    if (held.step) lines.push_back({"faded: the duct as it was possible last", {12, false, kInk}});
  } else if (held.step) {
    const auto& step = *held.step;
    const auto& points = step.duct.spec.route.points;
    const auto at =
        std::find_if(points.begin(), points.end(), [&](const auto& p) { return p.id == held.handle.point; });
    lines.push_back({held.handle.point.value + "   " + place_text(at->p_mm, units), {14, true, kInk}});
    lines.push_back({legs_text(step.duct, held.handle.point, units), {13, false, kInk}});
    const auto add = [&](const std::optional<session::Tightest>& tightest, const std::string& when) {
      const auto text = tightest_text(installation, step.duct, tightest, when);
      lines.push_back({text.value, {13, true, color_of(tightest)}});
      for (const std::string& line : broken(text.place, kWide)) lines.push_back({line, {12, false, kInk}});
      if (tightest && !tightest->pair.value.pose_name.empty() && tightest->pair.value.pose_name != "at rest")
        for (const std::string& line : broken(tightest->pair.value.pose_name, kWide))
          lines.push_back({line, {12, false, kInk}});
    };
    add(step.tightest_at_rest, "at rest");
    add(step.tightest_over_motion, "over motion");
    if (held.measuring) lines.push_back({"measuring where the point is now ...", {12, false, kInk}});
  } else {
    lines.push_back({held.handle.point.value + "   " + place_text(held.handle.p_mm, units), {14, true, kInk}});
    if (held.measuring) lines.push_back({"measuring ...", {12, false, kInk}});
  }
  if (!held.lock.empty()) lines.push_back({held.lock, {12, false, kInk}});
  return lines;
}

/// A long line through the point along the axis it is held to.
void draw_lock(Overlay& overlay, const Vec3& p_mm, const Vec3& axis) {
  constexpr double kLong_px = 260;
  const Pixel at = overlay.project(p_mm), way = overlay.project(p_mm + axis) - at;
  if (way.norm() < 1e-6) return;
  const Pixel along = way.normalized();
  dashed(overlay, at - kLong_px * along, at + kLong_px * along, 1.4, kHighlight);
}

}  // namespace

std::string legs_text(const duct::Duct& duct, const duct::PointId& point, const DisplayUnits& units) {
  const auto at = session::reading_of(duct, point);
  const auto number = [&](double mm) { return format_number(mm, Unit::mm, units); };
  std::string text;
  if (at.leg_before_mm) text += "leg before " + number(*at.leg_before_mm);
  if (at.leg_after_mm) text.append(text.empty() ? "leg after " : ", after ").append(number(*at.leg_after_mm));
  text.append(" ").append(symbol(Unit::mm, units));
  if (at.bend) text += ", bend " + format(to_degrees(*at.bend), Unit::degree, units) + ", R " + number(at.radius_mm);
  return text;
}

std::string step_text(const job::Installation& installation, const duct::PointId& point,
                      const session::DragStep& step) {
  const auto& units = installation.job.units;
  const auto at = session::reading_of(step.duct, point);
  std::string text = point.value + "  " + place_text(at.p_mm, units) + "; " + legs_text(step.duct, point, units);
  for (const bool moving : {false, true}) {
    const auto& tightest = moving ? step.tightest_over_motion : step.tightest_at_rest;
    const auto said = tightest_text(installation, step.duct, tightest, moving ? "over motion" : "at rest");
    text.append("; ").append(said.value);
    if (!said.place.empty()) text.append(" (").append(said.place).append(")");
  }
  return text;
}

TightestText tightest_text(const job::Installation& installation, const duct::Duct& duct,
                           const std::optional<session::Tightest>& tightest, const std::string& when) {
  const auto& units = installation.job.units;
  if (!tightest) return {when + ": nothing within the range looked at", ""};
  const auto& pair = tightest->pair;
  const auto& part = installation.bay.parts[static_cast<std::size_t>(pair.part)];
  const auto& piece = duct.layout.pieces[static_cast<std::size_t>(pair.piece)];
  TightestText out;
  out.value = when + " ";
  if (pair.inside) {
    out.value += "inside";
  } else {
    const std::string lo = format_number(pair.value.lo, Unit::mm, units),
                      hi = format_number(pair.value.hi, Unit::mm, units);
    out.value += (lo == hi ? hi : lo + " to " + hi) + " " + std::string(symbol(Unit::mm, units));
  }
  if (tightest->limit)
    out.value += ": " + std::string(checks::name(tightest->verdict)) + ", needs " +
                 format(tightest->limit->value, Unit::mm, units);
  out.place = piece.name + " - " + (part.name.empty() ? part.id.value : part.name);
  return out;
}

Box2 room_of(const Overlay& overlay, const HeldPoint& held) {
  const Pixel at = overlay.project(held.handle.p_mm), around(40, 40);
  return {at - around, at + around};
}

Box2 board_of(Overlay& overlay, const job::Installation& installation, const HeldPoint& held, const Box2& page,
              const std::vector<Box2>& keep_off) {
  constexpr double kAbove_px = 64;  // the bar of lengths stands in the lower right corner
  const Pixel size = label_size(overlay, label_of(installation, held));
  const Box2 handle = room_of(overlay, held);
  const Pixel right(page.hi - size), below(page.hi.x() - size.x(), page.lo.y() + kAbove_px),
      left(page.lo.x(), page.hi.y() - size.y());
  for (const Pixel& corner : {right, below, left}) {
    const Box2 box{corner, corner + size};
    const auto covers = [&](const Box2& b) { return b.overlaps(box); };
    if (!covers(handle) && std::none_of(keep_off.begin(), keep_off.end(), covers)) return box;
  }
  return {right, right + size};
}

void draw_held_point(Overlay& overlay, const job::Installation& installation, const HeldPoint& held, const Box2& board,
                     const Box2& page, const std::vector<Box2>& keep_off) {
  const bool refused = !held.refusal.empty();
  const Pixel at = overlay.project(held.handle.p_mm);
  std::vector<Box2> taken = keep_off;
  taken.push_back({at - Pixel(30, 30), at + Pixel(30, 30)});
  taken.push_back(board);
  if (held.lock_mm) draw_lock(overlay, held.handle.p_mm, *held.lock_mm);
  if (held.step && held.step->tightest_at_rest && held.step->tightest_at_rest->pair.value.witness && !refused) {
    const auto& tightest = *held.step->tightest_at_rest;
    const Pixel a = overlay.project(tightest.pair.value.witness->on_duct_mm);
    const Pixel b = overlay.project(tightest.pair.value.witness->on_other_mm);
    dimension(overlay, a, b, color_of(tightest));
    const std::vector<LabelLine> lines = {
        {format(tightest.pair.value.hi, Unit::mm, installation.job.units), {16, true, color_of(tightest)}}};
    for (const auto& box : boxes_along(a, b, 20)) taken.push_back(box);
    const Box2 box = place_box(overlay, lines, 0.5 * (a + b) + Pixel(70, 0), {1, 0}, page, taken);
    leader(overlay, box, 0.5 * (a + b), color_of(tightest));
    draw_box(overlay, box, lines, color_of(tightest));
  }
  draw_held_handle(overlay, held.handle, refused ? text_color(checks::Verdict::not_met) : kHighlight);
  draw_box(overlay, board, label_of(installation, held), refused ? text_color(checks::Verdict::not_met) : kInk);
}

}  // namespace baywright::viewer

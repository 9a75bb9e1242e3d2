#include "viewer/scene/marks.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <functional>
#include <numbers>

#include <Eigen/Geometry>

#include "viewer/scene/label_place.hpp"
#include "viewer/scene/mark_parts.hpp"
#include "viewer/scene/palette.hpp"
#include "viewer/scene/round_steps.hpp"

namespace baywright::viewer {

namespace {

/// "20": a limit is a round number and should look like one.
std::string round_limit(const checks::Limit& limit, const DisplayUnits& units) {
  std::string number = format_number(limit.value, limit.unit, units);
  if (number.find('.') == std::string::npos) return number;
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') number.pop_back();
  return number;
}

/// "undecided, known to 5.0 mm", "not met: they overlap".
std::string verdict_text(const checks::Finding& finding, const Place& place, const DisplayUnits& units) {
  std::string text(checks::name(finding.verdict));
  if (place.interferes) text += ": they overlap";
  const auto& measured = std::get<measure::Measured>(finding.outcome);
  const double spread = std::max(measured.band.low(), measured.band.high());
  if (spread > 0) text += ", known to " + format(spread, measured.unit, units);
  return text;
}

std::string part_title(const bay::Part& part) { return part.name.empty() ? part.id.value : part.name; }

std::string piece_title(const job::Installation& installation, const PieceRef& ref) {
  const auto& duct = installation.ducts[static_cast<std::size_t>(ref.duct)];
  const std::string name = duct.spec.name.empty() ? duct.spec.id.value : duct.spec.name;
  if (ref.piece < 0) return name;
  return name + ": " + duct.layout.pieces[static_cast<std::size_t>(ref.piece)].name;
}

}  // namespace

std::string limit_text(const checks::Finding& finding, const DisplayUnits& units) {
  if (!finding.limit) return "";
  const auto& limit = *finding.limit;
  return std::string(name(limit.comparison)) + " " + format(limit.value, limit.unit, units);
}

std::string value_text(const checks::Finding& finding, const DisplayUnits& units) {
  const auto* measured = std::get_if<measure::Measured>(&finding.outcome);
  if (measured == nullptr) return "not assessed";
  std::string text = std::isfinite(measured->hi) ? format(measured->hi, measured->unit, units)
                                                 : "> " + format(measured->lo, measured->unit, units);
  if (finding.limit) text += " (limit " + round_limit(*finding.limit, units) + ")";
  return text;
}

void draw_axes(Overlay& overlay, const Vec3& right, const Vec3& up, const Pixel& center, double length_px) {
  struct Axis {
    const char* name;
    Pixel seen;
  };
  const auto seen = [&](const Vec3& direction) { return Pixel(right.dot(direction), up.dot(direction)); };
  std::array<Axis, 3> axes = {Axis{"front", seen(Vec3::UnitX())}, Axis{"left", seen(Vec3::UnitY())},
                              Axis{"up", seen(Vec3::UnitZ())}};
  std::stable_sort(axes.begin(), axes.end(),
                   [](const Axis& a, const Axis& b) { return a.seen.norm() > b.seen.norm(); });
  const Overlay::Font font{14, true, kInk};
  struct Arrow {
    const Axis* axis;
    Box2 label;
  };
  std::vector<Arrow> arrows;
  Box2 all{center, center};
  for (const auto& axis : axes) {
    if (axis.seen.norm() < 0.2) continue;
    const Pixel along = axis.seen.normalized();
    const Pixel extent = overlay.extent(axis.name, font);
    const Pixel middle =
        center + length_px * axis.seen + 10 * along + Pixel(along.x() * extent.x() / 2, along.y() * extent.y() / 2);
    const Box2 label{middle - extent / 2, middle + extent / 2};
    if (std::any_of(arrows.begin(), arrows.end(), [&](const Arrow& a) { return a.label.overlaps(label); })) continue;
    arrows.push_back({&axis, label});
    all = {all.lo.cwiseMin(label.lo), all.hi.cwiseMax(label.hi)};
  }
  overlay.box({all.lo - Pixel(8, 6), all.hi + Pixel(8, 6)}, kWhite, kInk, 0);
  for (const auto& arrow : arrows) {
    const Pixel along = arrow.axis->seen.normalized(), tip = center + length_px * arrow.axis->seen;
    haloed(overlay, center, tip, 2, kInk);
    arrowhead(overlay, tip + 4 * along, along, 11, kInk);
    overlay.text(arrow.label.lo, arrow.axis->name, font);
  }
  dot(overlay, center, 3.2, kInk);
}

void draw_scale_bar(Overlay& overlay, double half_height_mm, const DisplayUnits& units, double bottom_px) {
  const Pixel page = overlay.size();
  const double px_per_mm = page.y() / (2 * half_height_mm);
  const double length_mm = round_step_down_mm(150 / px_per_mm, units);
  const double length_px = length_mm * px_per_mm;
  const Pixel b(page.x() - 24, bottom_px), a = b - Pixel(length_px, 0);
  overlay.box({a - Pixel(10, 12), b + Pixel(10, 28)}, kWhite, kInk, 0);
  haloed(overlay, a, b, 2, kInk);
  haloed(overlay, a - Pixel(0, 5), a + Pixel(0, 5), 2, kInk);
  haloed(overlay, b - Pixel(0, 5), b + Pixel(0, 5), 2, kInk);
  const std::string label = scale_text(length_mm, units);
  const Overlay::Font font{14, false, kInk};
  const Pixel extent = overlay.extent(label, font);
  overlay.text((a + b) / 2 + Pixel(-extent.x() / 2, 7), label, font);
}

void draw_caption(Overlay& overlay, const std::string& first, const std::string& second) {
  const Pixel page = overlay.size();
  overlay.box({{0, 0}, {page.x(), kCaptionHeight_px}}, {0.945F, 0.95F, 0.955F}, kInk, 0);
  overlay.line({0, kCaptionHeight_px}, {page.x(), kCaptionHeight_px}, 1, {0.75F, 0.77F, 0.79F});
  const auto put = [&](const std::string& text, double y, const Overlay::Font& font) {
    std::string shown = text;
    while (!shown.empty() && overlay.extent(shown, font).x() > page.x() - 28) {
      const auto space = shown.find_last_of(' ', shown.size() - 5);
      shown = space == std::string::npos ? "" : shown.substr(0, space) + " ...";
    }
    overlay.text({14, y}, shown, font);
  };
  put(first, second.empty() ? 16 : 26, {14, true, kInk});
  if (!second.empty()) put(second, 7, {13, false, kInk});
}

void draw_stations(Overlay& overlay, const job::Installation& installation, int duct, const Sight& sight,
                   const Vec3& toward, const std::function<bool(int)>& hides, const std::vector<Box2>& keep_off) {
  const auto& one = installation.ducts[static_cast<std::size_t>(duct)];
  const Overlay::Font font{12, true, kInk};
  const auto& units = installation.job.units;
  constexpr double kLeastStep_mm = 100;
  const double step_mm = round_step_up_mm(kLeastStep_mm, units);
  std::vector<Box2> taken;
  for (int i = 0; i * step_mm <= one.layout.length_mm; ++i) {
    const double s = i * step_mm;
    const Vec3 axis = posed_station(installation, one, s, sight.state());
    const double radius_mm = one.layout.tube_at(s).outer_diameter_mm / 2;
    const Vec3 outside = axis + (1.6 * radius_mm) * toward;
    if (sight.duct_hit(outside, toward)) continue;
    const auto before = sight.parts_hit(outside, toward);
    if (std::any_of(before.begin(), before.end(), hides)) continue;
    const Pixel at = overlay.project(axis);
    const bool numbered = i % 2 == 0;
    const std::string label = i == 0 ? scale_text(s, units) : scale_number(s, units);
    const Pixel extent = overlay.extent(label, font);
    const Box2 dot_box{at - Pixel(4, 4), at + Pixel(4, 4)};
    const auto covered = [&](const Box2& b) {
      return std::any_of(taken.begin(), taken.end(), [&](const Box2& t) { return t.overlaps(b); });
    };
    const auto kept_off = [&](const Box2& b) {
      return std::any_of(keep_off.begin(), keep_off.end(), [&](const Box2& t) { return t.overlaps(b); });
    };
    if (covered(dot_box)) continue;
    taken.push_back(dot_box);
    dot(overlay, at, numbered ? 4.6 : 3.4, kBlack);
    dot(overlay, at, numbered ? 3.4 : 2.2, kWhite);
    if (!numbered) continue;
    const Pixel size(6 + extent.x(), 16);
    for (const Pixel& lo : {Pixel(at + Pixel(8, -8)), Pixel(at + Pixel(-8 - size.x(), -8)),
                            Pixel(at + Pixel(-size.x() / 2, 8)), Pixel(at + Pixel(-size.x() / 2, -8 - size.y()))}) {
      const Box2 box{lo, lo + size};
      if (covered(box) || kept_off(box)) continue;
      taken.push_back(box);
      overlay.box(box, kWhite, kInk, 0);
      overlay.text(box.lo + Pixel(3, 2), label, font);
      break;
    }
  }
}

void draw_inset(Overlay& overlay, const Box2& area, const Shot& shot, const Vec3& p) {
  const double px_per_mm = (area.hi.y() - area.lo.y()) / (2 * shot.half_height_mm);
  const Vec3 off = p - shot.focal_mm;
  const Pixel at = area.center() + px_per_mm * Pixel(off.dot(shot.up.cross(shot.toward)), off.dot(shot.up));
  overlay.line(area.lo, {area.hi.x(), area.lo.y()}, 1.2, kInk);
  overlay.line({area.hi.x(), area.lo.y()}, area.hi, 1.2, kInk);
  overlay.line(area.hi, {area.lo.x(), area.hi.y()}, 1.2, kInk);
  overlay.line({area.lo.x(), area.hi.y()}, area.lo, 1.2, kInk);
  const auto ring = [&](double radius, double width, const Rgb& color) {
    constexpr int kSides = 40;
    for (int i = 0; i < kSides; ++i) {
      const double t = 2 * std::numbers::pi * i / kSides, u = 2 * std::numbers::pi * (i + 1) / kSides;
      overlay.line(at + radius * Pixel(std::cos(t), std::sin(t)), at + radius * Pixel(std::cos(u), std::sin(u)), width,
                   color);
    }
  };
  ring(11, 5.5, kWhite);
  ring(11, 2.8, kInk);
}

void draw_station_mark(Overlay& overlay, const job::Installation& installation, int duct, double station_mm,
                       const PosedState& state, const Box2& page) {
  const auto& one = installation.ducts[static_cast<std::size_t>(duct)];
  const Pixel at = overlay.project(posed_station(installation, one, station_mm, state));
  dot(overlay, at, 8, kBlack);
  dot(overlay, at, 6.4, kHighlight);
  const std::string label = "station " + format(station_mm, Unit::mm, installation.job.units);
  std::vector<Box2> taken = {{at - Pixel(10, 10), at + Pixel(10, 10)}};
  const std::vector<LabelLine> lines = {{label, {13, true, kInk}}};
  const Box2 box = place_box(overlay, lines, at + Pixel(90, 34), {0, 1}, page, taken);
  leader(overlay, box, at, kInk);
  draw_box(overlay, box, lines, kInk);
}

namespace {

/// What the value's label says.
std::vector<LabelLine> value_lines(const job::Installation& installation, const checks::Finding& finding,
                                   const PosedFinding& posed, const Rgb& color) {
  const auto& units = installation.job.units;
  const std::string own = value_text(finding, units);
  std::vector<LabelLine> lines;
  if (!posed.place.on_other_mm) lines.push_back({finding.title, {14, true, kInk}});
  if (posed.own_pose) {
    lines.push_back({own, {19, true, color}});
    lines.push_back({verdict_text(finding, posed.place, units), {14, false, color}});
    return lines;
  }
  const std::string worst = own + ", " + std::string(checks::name(finding.verdict));
  if (posed.here) lines.push_back({format(posed.here->hi, posed.here->unit, units) + " here", {19, true, kInk}});
  lines.push_back({posed.here ? "worst: " + worst : worst, {14, !posed.here, color}});
  return lines;
}

/// A label, the point it belongs to, and the place it would like.
struct Label {
  std::vector<LabelLine> lines;
  Pixel to, wanted, push;
  Rgb border, leader;
  bool dotted = false;
};

}  // namespace

void draw_finding(Overlay& overlay, const job::Installation& installation, const checks::Finding& finding,
                  const PosedFinding& posed, const Box2& page, const std::vector<Box2>& keep_off) {
  const Place& place = posed.place;
  const Rgb color = posed.own_pose ? text_color(finding.verdict) : kInk;
  const Pixel focus = overlay.project(place.focus_mm);
  const bool has_line = place.on_duct_mm && place.on_other_mm;
  const Pixel a = has_line ? overlay.project(*place.on_duct_mm) : focus;
  const Pixel b = has_line ? overlay.project(*place.on_other_mm) : focus;
  const Pixel along = (b - a).norm() > 1e-6 ? Pixel((b - a).normalized()) : Pixel(0, -1);
  Pixel side(-along.y(), along.x());
  if (side.x() < 0 || (side.x() == 0 && side.y() < 0)) side = -side;
  // Witnesses of an overlap run backwards: the duct's surface lies beyond the other's.
  const Pixel outward = place.interferes ? Pixel(-along) : along;

  constexpr double kTails = 60;  // arrows outside a short dimension
  const double half = (b - a).norm() / 2;
  std::vector<Box2> taken = keep_off;
  for (const auto& box : boxes_along(a - kTails * along, b + kTails * along, 24)) taken.push_back(box);
  taken.push_back({focus - Pixel(30, 30), focus + Pixel(30, 30)});
  std::vector<Label> labels;
  labels.push_back({value_lines(installation, finding, posed, text_color(finding.verdict)), focus, focus + 190 * side,
                    side, color, color, false});
  const double away = half + 150;
  if (place.part >= 0)
    labels.push_back({{{part_title(installation.bay.parts[static_cast<std::size_t>(place.part)]), {15, true, kInk}}},
                      b + 26 * outward,
                      b + away * outward - 60 * side,
                      outward,
                      kHighlight,
                      kInk,
                      true});
  if (place.piece.duct >= 0)
    labels.push_back({{{piece_title(installation, place.piece), {15, true, kInk}}},
                      a - 26 * outward,
                      a - away * outward - 60 * side,
                      -outward,
                      kTube,
                      kInk,
                      true});
  std::vector<Box2> boxes;
  boxes.reserve(labels.size());
  for (const auto& label : labels)
    boxes.push_back(place_box(overlay, label.lines, label.wanted, label.push, page, taken));
  for (std::size_t i = 0; i < labels.size(); ++i) {
    if (!has_line && i == 0 && !posed.own_pose) continue;
    leader(overlay, boxes[i], labels[i].to, labels[i].leader);
    if (labels[i].dotted) dot(overlay, labels[i].to, 3.5, labels[i].leader);
  }
  if (has_line)
    dimension(overlay, a, b, color);
  else
    dot(overlay, focus, 6, color);
  for (std::size_t i = 0; i < labels.size(); ++i) draw_box(overlay, boxes[i], labels[i].lines, labels[i].border);
}

}  // namespace baywright::viewer

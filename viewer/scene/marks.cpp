#include "viewer/scene/marks.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <functional>
#include <numbers>

#include <Eigen/Geometry>

#include "viewer/scene/palette.hpp"

namespace baywright::viewer {

namespace {

constexpr Rgb kWhite = {1, 1, 1};
constexpr Rgb kBlack = {0, 0, 0};

void arrowhead(Overlay& overlay, const Pixel& tip, const Pixel& along, double length, const Rgb& color) {
  const Pixel side(-along.y(), along.x());
  overlay.triangle(tip, tip - length * along + 0.36 * length * side, tip - length * along - 0.36 * length * side,
                   color);
}

/// Line on a white halo, so that it reads on light and dark.
void haloed(Overlay& overlay, const Pixel& a, const Pixel& b, double width, const Rgb& color) {
  overlay.line(a, b, width + 2.6, kWhite);
  overlay.line(a, b, width, color);
}

struct LabelLine {
  std::string text;
  Overlay::Font font;
};

/// Box for lines of text around a centre, kept inside the picture and off the boxes already placed.
Box2 place_box(const Overlay& overlay, const std::vector<LabelLine>& lines, const Pixel& wanted, const Pixel& push,
               std::vector<Box2>& taken) {
  constexpr double kPad = 8, kLeading = 1.32;
  Pixel size(0, 0);
  for (const auto& line : lines) {
    size.x() = std::max(size.x(), overlay.extent(line.text, line.font).x());
    size.y() += line.font.size * kLeading;
  }
  size += Pixel(2 * kPad, 1.5 * kPad);
  const Pixel page = overlay.size();
  Pixel center = wanted;
  Box2 box;
  for (int tries = 0; tries < 40; ++tries) {
    const Pixel lo(6, kCaptionHeight_px + 6), hi(page.x() - 6, page.y() - 6);
    center = center.cwiseMax(lo + size / 2).cwiseMin(hi - size / 2);
    box = {center - size / 2, center + size / 2};
    const bool clear = std::none_of(taken.begin(), taken.end(), [&](const Box2& b) { return b.overlaps(box); });
    if (clear) break;
    center += 14 * push + Pixel(0, tries > 20 ? 9 : 0);
  }
  taken.push_back(box);
  return box;
}

void draw_box(Overlay& overlay, const Box2& box, const std::vector<LabelLine>& lines, const Rgb& border) {
  overlay.box(box, kWhite, border, 1.6);
  double y = box.hi.y() - 6;
  for (const auto& line : lines) {
    y -= line.font.size * 1.32;
    overlay.text({box.lo.x() + 8, y + 2}, line.text, line.font);
  }
}

/// Leader from a label box to a point: to the nearest point of the box.
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

/// Dimension between two pixels: arrows inside when there is room, else outside pointing in.
void dimension(Overlay& overlay, const Pixel& a, const Pixel& b, const Rgb& color) {
  constexpr double kHead = 13, kTail = 34, kRoom = 46;
  const double length = (b - a).norm();
  const Pixel along = length > 1e-6 ? Pixel((b - a) / length) : Pixel(1, 0);
  if (length > kRoom) {
    haloed(overlay, a, b, 2.4, color);
    arrowhead(overlay, a, -along, kHead, color);
    arrowhead(overlay, b, along, kHead, color);
    return;
  }
  haloed(overlay, a - (kHead + kTail) * along, a, 2.4, color);
  haloed(overlay, b, b + (kHead + kTail) * along, 2.4, color);
  overlay.line(a, b, 1.6, color);
  arrowhead(overlay, a, along, kHead, color);
  arrowhead(overlay, b, -along, kHead, color);
}

/// "20.0" -> "20": a limit is a round number and should look like one.
std::string without_zeros(std::string number) {
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
  std::string text = format(measured->hi, measured->unit, units);
  if (finding.limit)
    text += " (limit " + without_zeros(format_number(finding.limit->value, finding.limit->unit, units)) + ")";
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
  const Pixel half(length_px + 50, length_px + 28);
  overlay.box({center - half, center + half}, kWhite, kInk, 0);
  std::vector<Box2> taken;
  for (const auto& axis : axes) {
    if (axis.seen.norm() < 0.2) continue;
    const Pixel along = axis.seen.normalized();
    const Pixel tip = center + length_px * axis.seen;
    const Pixel extent = overlay.extent(axis.name, font);
    const Pixel middle = tip + 10 * along + Pixel(along.x() * extent.x() / 2, along.y() * extent.y() / 2);
    const Box2 label{middle - extent / 2, middle + extent / 2};
    if (std::any_of(taken.begin(), taken.end(), [&](const Box2& b) { return b.overlaps(label); })) continue;
    taken.push_back(label);
    haloed(overlay, center, tip, 2, kInk);
    arrowhead(overlay, tip + 4 * along, along, 11, kInk);
    overlay.text(label.lo, axis.name, font);
  }
  dot(overlay, center, 3.2, kInk);
}

void draw_scale_bar(Overlay& overlay, double half_height_mm, const DisplayUnits& units, double bottom_px) {
  const Pixel page = overlay.size();
  const double px_per_mm = page.y() / (2 * half_height_mm);
  const double unit_mm = units.length == LengthUnit::inch ? kMillimetresPerInch : 1.0;
  const double target = 150 / px_per_mm / unit_mm;
  double round_length = std::pow(10, std::floor(std::log10(target)));
  if (5 * round_length <= target)
    round_length *= 5;
  else if (2 * round_length <= target)
    round_length *= 2;
  const double length_px = round_length * unit_mm * px_per_mm;
  const Pixel b(page.x() - 24, bottom_px), a = b - Pixel(length_px, 0);
  overlay.box({a - Pixel(10, 12), b + Pixel(10, 28)}, kWhite, kInk, 0);
  haloed(overlay, a, b, 2, kInk);
  haloed(overlay, a - Pixel(0, 5), a + Pixel(0, 5), 2, kInk);
  haloed(overlay, b - Pixel(0, 5), b + Pixel(0, 5), 2, kInk);
  char number[32];
  std::snprintf(number, sizeof number, "%g ", round_length);
  const std::string label = number + std::string(symbol(Unit::mm, units));
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
                   const Vec3& toward) {
  const auto& one = installation.ducts[static_cast<std::size_t>(duct)];
  const Overlay::Font font{12, true, kInk};
  std::vector<Box2> taken;
  for (int s = 0; s <= static_cast<int>(one.layout.length_mm); s += 100) {
    const Vec3 axis = posed_station(installation, one, s, sight.state());
    const double radius_mm = one.layout.tube_at(s).outer_diameter_mm / 2;
    if (sight.duct_hit(axis + (1.6 * radius_mm) * toward, toward)) continue;
    const Pixel at = overlay.project(axis);
    const bool numbered = s % 200 == 0;
    const std::string label = std::to_string(s);
    const Pixel extent = overlay.extent(label, font);
    const Box2 dot_box{at - Pixel(4, 4), at + Pixel(4, 4)};
    const Box2 box{at + Pixel(8, -8), at + Pixel(14 + extent.x(), 8)};
    const auto covered = [&](const Box2& b) {
      return std::any_of(taken.begin(), taken.end(), [&](const Box2& t) { return t.overlaps(b); });
    };
    if (covered(dot_box)) continue;
    taken.push_back(dot_box);
    dot(overlay, at, numbered ? 4.6 : 3.4, kBlack);
    dot(overlay, at, numbered ? 3.4 : 2.2, kWhite);
    if (!numbered || covered(box)) continue;
    taken.push_back(box);
    overlay.box(box, kWhite, kInk, 0);
    overlay.text(box.lo + Pixel(3, 2), label, font);
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
                       const PosedState& state) {
  const auto& one = installation.ducts[static_cast<std::size_t>(duct)];
  const Pixel at = overlay.project(posed_station(installation, one, station_mm, state));
  dot(overlay, at, 8, kBlack);
  dot(overlay, at, 6.4, kHighlight);
  const std::string label = "station " + format(station_mm, Unit::mm, installation.job.units);
  std::vector<Box2> taken;
  const std::vector<LabelLine> lines = {{label, {13, true, kInk}}};
  const Box2 box = place_box(overlay, lines, at + Pixel(90, 34), {0, 1}, taken);
  leader(overlay, box, at, kInk);
  draw_box(overlay, box, lines, kInk);
}

void draw_finding(Overlay& overlay, const job::Installation& installation, const checks::Finding& finding,
                  const Place& place, const std::vector<Box2>& keep_off) {
  const Rgb color = text_color(finding.verdict);
  const Pixel focus = overlay.project(place.focus_mm);
  const bool has_line = place.on_duct_mm && place.on_other_mm;
  const Pixel a = has_line ? overlay.project(*place.on_duct_mm) : focus;
  const Pixel b = has_line ? overlay.project(*place.on_other_mm) : focus;
  Pixel along = (b - a).norm() > 1e-6 ? Pixel((b - a).normalized()) : Pixel(0, -1);
  Pixel side(-along.y(), along.x());
  if (side.x() < 0 || (side.x() == 0 && side.y() < 0)) side = -side;
  // Witnesses of an overlap run backwards: the duct's surface lies beyond the other's.
  const Pixel outward = place.interferes ? Pixel(-along) : along;

  std::vector<LabelLine> value;
  if (!has_line) value.push_back({finding.title, {14, true, kInk}});
  value.push_back({value_text(finding, installation.job.units), {19, true, color}});
  value.push_back({verdict_text(finding, place, installation.job.units), {14, false, color}});
  const double half = (b - a).norm() / 2;
  std::vector<Box2> taken = keep_off;
  taken.push_back({focus - Pixel(30, 30), focus + Pixel(30, 30)});
  const Box2 value_box = place_box(overlay, value, focus + 190 * side, side, taken);
  std::vector<LabelLine> other, own;
  if (place.part >= 0)
    other = {{part_title(installation.bay.parts[static_cast<std::size_t>(place.part)]), {15, true, kInk}}};
  if (place.piece.duct >= 0) own = {{piece_title(installation, place.piece), {15, true, kInk}}};
  const double away = half + 150;
  if (!other.empty()) {
    const Box2 box = place_box(overlay, other, b + away * outward - 60 * side, outward, taken);
    leader(overlay, box, b + 26 * outward, kInk);
    dot(overlay, b + 26 * outward, 3.5, kInk);
    draw_box(overlay, box, other, kHighlight);
  }
  if (!own.empty()) {
    const Box2 box = place_box(overlay, own, a - away * outward - 60 * side, -outward, taken);
    leader(overlay, box, a - 26 * outward, kInk);
    dot(overlay, a - 26 * outward, 3.5, kInk);
    draw_box(overlay, box, own, kTube);
  }
  leader(overlay, value_box, focus, color);
  if (has_line)
    dimension(overlay, a, b, color);
  else
    dot(overlay, focus, 6, color);
  draw_box(overlay, value_box, value, color);
}

}  // namespace baywright::viewer

#include <cmath>
#include <map>
#include <numbers>

#include "access/clamp_access.hpp"
#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

using access::ClampAccess;
using access::PositionAt;
using access::Reach;
using access::ToolAt;

// Sizes in units of the drawing: two clocks of 300 side by side.
constexpr double kClock = 300, kRadius = 112, kHub = 34;

std::string reach_words(const ClampAccess& clamp) {
  switch (clamp.best.reach) {
    case Reach::seen:
      return "reachable, in sight";
    case Reach::by_feel:
      return "reachable by feel";
    case Reach::special_tool:
      return std::string("reachable only with a special tool, ") + (clamp.best.seen ? "in sight" : "by feel");
    case Reach::not_found:
      return "no way in found, straight or with one corner; other ways not searched";
    case Reach::ways_unknown:
      return "a tool fits the screw; no opening is stated, so the way in is not known";
    case Reach::unreachable:
      break;
  }
  return clamp.chart.tools.empty() ? "no tool of the table suits the screw"
                                   : "not reachable with any tool of the table";
}

/// Point at a clock angle: 0 is up, clockwise.
std::pair<double, double> at_clock(double x, double y, double radius, double angle_rad) {
  return {x + radius * std::sin(angle_rad), y - radius * std::cos(angle_rad)};
}

/// Ring's part between two clock angles.
Markup arc(double x, double y, double radius, double from_rad, double to_rad, const Markup& css_class, double width) {
  const double middle = 0.5 * (from_rad + to_rad);
  const auto [x0, y0] = at_clock(x, y, radius, from_rad);
  const auto [xm, ym] = at_clock(x, y, radius, middle);
  const auto [x1, y1] = at_clock(x, y, radius, to_rad);
  const Markup r = coordinate(radius);
  // In two halves: an arc that ends where it begins would vanish.
  return "<path class=\""_h + css_class + "\" stroke-width=\""_h + coordinate(width) + "\" d=\"M"_h + coordinate(x0) +
         " "_h + coordinate(y0) + "A"_h + r + " "_h + r + " 0 0 1 "_h + coordinate(xm) + " "_h + coordinate(ym) +
         "A"_h + r + " "_h + r + " 0 0 1 "_h + coordinate(x1) + " "_h + coordinate(y1) + "\"/>"_h;
}

Markup label(double x, double y, const char* css_class, const std::string& what) {
  return "<text class=\""_h + text(css_class) + "\" text-anchor=\"middle\" x=\""_h + coordinate(x) + "\" y=\""_h +
         coordinate(y) + "\">"_h + text(what) + "</text>"_h;
}

/// Positions of one side in the order of the clock; none where the chart holds the declared ones only.
std::vector<const PositionAt*> round_the_clock(const ClampAccess& clamp, access::Side side) {
  std::vector<const PositionAt*> out;
  for (std::size_t i = 0; i < clamp.declared_from; ++i) {
    if (clamp.chart.positions[i].position.side == side) out.push_back(&clamp.chart.positions[i]);
  }
  return out;
}

constexpr double kStep = 2 * std::numbers::pi / access::kClockSteps;

/// One ring: runs of positions at which `shade` gives the same class.
template <class Shade>
Markup ring(double x, double y, double radius, double width, const std::vector<const PositionAt*>& clock,
            const Shade& shade) {
  Markup out;
  for (std::size_t i = 0; i < clock.size();) {
    std::size_t end = i + 1;
    const char* css = shade(*clock[i]);
    while (end < clock.size() && shade(*clock[end]) == css) ++end;
    out += arc(x, y, radius, (static_cast<double>(i) - 0.5) * kStep, (static_cast<double>(end) - 0.5) * kStep,
               text(css), width);
    i = end;
  }
  return out;
}

Markup one_clock(const ClampAccess& clamp, access::Side side, double x) {
  const double y = 0.5 * kClock + 12;
  const auto clock = round_the_clock(clamp, side);
  Markup out =
      label(x, 12, "b", clamp.site.type.has_screw() ? "head facing " + std::string(duct::name(side)) : "tangs");
  const auto count = static_cast<double>(std::max<std::size_t>(1, clamp.chart.tools.size()));
  const double step = (kRadius - kHub) / count;
  for (std::size_t tool = 0; tool < clamp.chart.tools.size(); ++tool) {
    const auto shade = [tool](const PositionAt& p) {
      return !p.tools[tool].usable() ? "shut" : p.seen ? "open" : "feel";
    };
    const double radius = kRadius - (static_cast<double>(tool) + 0.5) * step;
    out += "<g><title>"_h + text(clamp.chart.tools[tool].name) + "</title>"_h +
           ring(x, y, radius, 0.82 * step, clock, shade) + "</g>"_h;
  }
  for (int hour = 1; hour <= 12; ++hour) {
    const auto [tx, ty] = at_clock(x, y, kRadius + 15, hour * std::numbers::pi / 6);
    out += label(tx, ty + 4, "q", std::to_string(hour));
  }
  if (clamp.best.position >= 0) {
    const access::ScrewPosition& p = clamp.chart.positions[static_cast<std::size_t>(clamp.best.position)].position;
    if (p.side == side) {
      const auto [ax, ay] = at_clock(x, y, kHub - 2, p.clock.si());
      const auto [bx, by] = at_clock(x, y, kRadius + 5, p.clock.si());
      out += "<line class=\"hand\" x1=\""_h + coordinate(ax) + "\" y1=\""_h + coordinate(ay) + "\" x2=\""_h +
             coordinate(bx) + "\" y2=\""_h + coordinate(by) + "\"/>"_h;
    }
  }
  return out;
}

/// What hinders a tool most often at the positions [from, to); "" where it was tried at none of them.
std::string most_often(const ClampAccess& clamp, std::size_t tool, std::size_t from, std::size_t to) {
  std::map<std::pair<access::Hindrance, int>, int> hindered;
  for (std::size_t i = from; i < to; ++i) {
    const ToolAt& t = clamp.chart.positions[i].tools[tool];
    if (!t.usable() && t.hindrance != access::Hindrance::not_tried) ++hindered[{t.hindrance, t.obstacle}];
  }
  std::string most;
  int count = 0;
  for (const auto& [what, n] : hindered) {
    if (n <= count) continue;
    count = n;
    most = std::string(access::name(what.first));
    if (what.second >= 0) most += ": " + clamp.obstacles[static_cast<std::size_t>(what.second)];
    most += " (" + std::to_string(n) + ")";
  }
  return most;
}

/// "65°, 6 strokes a turn".
std::string arc_words(const access::Arc& arc) {
  const int strokes = access::strokes(1, arc.width());
  return std::to_string(static_cast<int>(to_degrees(arc.width()))) + "°, " +
         (strokes == 1 ? "a turn in one" : std::to_string(strokes) + " strokes a turn");
}

/// What a tool does at the position that is taken.
std::string at_taken(const ClampAccess& clamp, std::size_t tool) {
  if (clamp.best.position < 0) return "–";
  const ToolAt& at = clamp.chart.positions[static_cast<std::size_t>(clamp.best.position)].tools[tool];
  if (at.usable()) return clamp.chart.tools[tool].swing ? arc_words(at.arc) : "usable";
  if (at.hindrance == access::Hindrance::not_tried) return "not tried";
  std::string words = "no: " + std::string(access::name(at.hindrance));
  if (at.obstacle >= 0) words += ", " + clamp.obstacles[static_cast<std::size_t>(at.obstacle)];
  return words;
}

std::string widest_words(const ClampAccess& clamp, std::size_t tool) {
  const auto widest = access::widest_arc(clamp.chart, tool);
  if (!widest) return "–";
  const PositionAt& at = clamp.chart.positions[*widest];
  std::string words = arc_words(at.tools[tool].arc);
  words += ", at " + std::to_string(std::lround(to_degrees(at.position.clock))) + "°";
  if (clamp.site.type.has_screw()) words += ", facing " + std::string(duct::name(at.position.side));
  return words;
}

/// Of one tool over all positions: how many it can be used at, and what hinders it most often. A tool that bends is
/// tried at the declared position alone.
Markup tool_row(const ClampAccess& clamp, std::size_t tool, std::size_t ring) {
  std::map<access::Side, int> usable;
  bool tried = false;
  const std::size_t all = clamp.chart.positions.size();
  const std::size_t to = clamp.declared_from > 0 ? clamp.declared_from : all;
  for (std::size_t i = 0; i < to; ++i) {
    const PositionAt& at = clamp.chart.positions[i];
    if (at.tools[tool].usable()) ++usable[at.position.side];
    tried = tried || at.tools[tool].hindrance != access::Hindrance::not_tried;
  }
  std::string most = most_often(clamp, tool, 0, to);
  if (!tried) {
    const std::string there = most_often(clamp, tool, to, all);
    most = "tried at the declared position only" + (there.empty() ? ", where it serves" : ": " + there);
  }
  const auto places = [&](access::Side side) { return number_cell(tried ? text(usable[side]) : "–"_h); };
  return tag("tr", number_cell(text(static_cast<int>(ring))) + cell(text(clamp.chart.tools[tool].name)) +
                       places(access::Side::clockwise) + places(access::Side::counter_clockwise) +
                       cell(text(at_taken(clamp, tool))) + cell(text(widest_words(clamp, tool))) + cell(text(most)));
}

/// Where another position than the declared one is to be had: the recommended one of all.
std::string elsewhere(const ClampAccess& clamp, const std::string& worked) {
  if (clamp.declared_from == 0 || clamp.declared_from == clamp.chart.positions.size()) return "";
  if (clamp.anywhere.position < 0) return "";
  const auto& positions = clamp.chart.positions;
  const access::ScrewPosition& of_all = positions[static_cast<std::size_t>(clamp.anywhere.position)].position;
  if (clamp.best.position >= 0 && positions[static_cast<std::size_t>(clamp.best.position)].position == of_all)
    return "";
  const std::string where = worked + " at " + access::position_words(clamp.site, of_all) + ".";
  if (clamp.best.position < 0) return " Elsewhere it is usable: " + where;
  return " In the middle of the widest stretch that serves: " + where;
}

Markup one_clamp(const ClampAccess& clamp) {
  Markup out = tag("h3", text("Clamp on " + clamp.site.name));
  const std::string worked = access::worked_part(clamp.site);
  std::string line = clamp.site.type.name;
  if (clamp.site.type.has_screw()) line += ", hexagon " + hexagon_text(clamp.site.type.hexagon_mm);
  line += ": " + reach_words(clamp) + ".";
  if (access::is_reached_when_freed(clamp)) {
    line += " Only with parts removed (" + std::to_string(clamp.removed.size()) + "):";
    for (const bay::PartId& id : clamp.removed) line += " " + id.value;
    line += ".";
  }
  const bool is_declared =
      clamp.clock.has_value() && (clamp.declared_from < clamp.chart.positions.size() || clamp.declared_from == 0);
  if (clamp.best.position >= 0) {
    const PositionAt& at = clamp.chart.positions[static_cast<std::size_t>(clamp.best.position)];
    const ToolAt& tool = at.tools[static_cast<std::size_t>(clamp.best.tool)];
    line += std::string(is_declared ? " As declared, " + worked + " at " : " Best with the " + worked + " at ") +
            access::position_words(clamp.site, at.position) + ", with " +
            clamp.chart.tools[static_cast<std::size_t>(clamp.best.tool)].name;
    if (clamp.chart.tools[static_cast<std::size_t>(clamp.best.tool)].swing) {
      line += ", free arc " + std::to_string(static_cast<int>(to_degrees(tool.arc.width()))) + "°";
    }
    if (tool.bent.by.si() > 0) {
      line += ", bent by " + std::to_string(std::lround(to_degrees(tool.bent.by))) + "°";
    }
    if (tool.has_corner()) line += ", on a way in with one corner";
    line += ".";
  }
  line += elsewhere(clamp, worked);
  out += tag("p", text(line));
  if (clamp.declared_from > 0 && !clamp.chart.tools.empty()) {
    out +=
        "<svg class=\"clock\" viewBox=\"0 0 640 324\" role=\"img\" aria-label=\"Usable positions of the screw round the hose, one ring for each tool\">"_h +
        one_clock(clamp, access::Side::clockwise, 160) +
        (clamp.site.type.has_screw() ? one_clock(clamp, access::Side::counter_clockwise, 480) : Markup()) +
        "</svg>\n"_h;
  }
  Markup rows;
  for (std::size_t i = 0; i < clamp.chart.tools.size(); ++i) rows += tool_row(clamp, i, i + 1);
  if (!rows.empty()) {
    out += table("tools",
                 {">Ring", "Tool", ">Clockwise, of 72", ">Counter-clockwise, of 72", "At the position taken",
                  "Widest free arc of its handle", "What hinders it most often"},
                 rows);
  }
  return "<div class=\"clamp\">"_h + out + "</div>\n"_h;
}

}  // namespace

Markup clamp_section(const Page& page) {
  Markup out = section_heading(6, "clamps", "Clamps");
  std::vector<std::string> notes;
  bool any = false;
  Markup clamps;
  for (const duct::Duct& d : page.installation.ducts) {
    const checks::Evaluation::DuctResult* result = page.result_of(d.spec.id);
    if (!result || result->measures.clamps.empty()) continue;
    any = true;
    notes = result->measures.clamps.front().notes;
    if (page.installation.ducts.size() > 1) clamps += tag("h3", text("Duct " + d.spec.id.value));
    for (const ClampAccess& clamp : result->measures.clamps) clamps += one_clamp(clamp);
  }
  if (!any) return out + tag("p", "lede", "No hose clamps are stated, so nothing is known of how they are reached."_h);
  out += tag(
      "p", "lede",
      "Every position of the screw, seen along the flow with 12 up, against every tool that suits it; the outermost "
      "ring is tool 1. Dark: usable, the screw in sight. Pale: usable by feel. Grey: not usable. The line is the "
      "position to take, or the declared one; the tool for it stands above the clocks. The tables count the positions, "
      "one each 5 degrees and 72 each way round, at which a tool can be used. Dimensions of tools and clamps are those "
      "of the table the job names; the built-in ones are typical, from memory. Free ways are proven, with "_h +
          text(page.figures.value(access::kToolRoom_mm, Unit::mm)) +
          " to spare; ways in are straight ones. Only where the clamp cannot be worked so, ways with one corner were "
          "looked for, "
          "and after that tools that bend; other ways were not searched."_h);
  return out + bullets(notes) + clamps;
}

}  // namespace baywright::report

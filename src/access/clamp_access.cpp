#include "access/clamp_access.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>

#include "geometry/base/expects.hpp"

namespace baywright::access {
namespace {

/// Tools usable at a position: one that tells the torque before others.
int usable_tool(const ClampChart& chart, const PositionAt& at) {
  int found = -1;
  for (std::size_t i = 0; i < at.tools.size(); ++i) {
    if (!at.tools[i].usable()) continue;
    if (chart.tools[i].torque) return static_cast<int>(i);
    if (found < 0) found = static_cast<int>(i);
  }
  return found;
}

bool with_torque(const ClampChart& chart, const PositionAt& at) {
  const int tool = usable_tool(chart, at);
  return tool >= 0 && chart.tools[static_cast<std::size_t>(tool)].torque;
}

double from_opening(const ClampChart& chart, std::size_t position, std::span<const OpeningView> openings) {
  const Vec3 head = grip_at(chart.site, chart.positions[position].position).head;
  double least = std::numeric_limits<double>::infinity();
  for (const OpeningView& opening : openings) least = std::min(least, -opening.outside_mm(head));
  return least;
}

/// A run round the clock on one side: the middle of it, and how long it is.
struct Run {
  std::size_t middle = 0, length = 0;
};

/// Runs of positions [from, to) that are good; all of them belong to one side. Only a full clock closes.
std::vector<Run> runs_of(std::size_t from, std::size_t to, const std::function<bool(std::size_t)>& good) {
  const std::size_t n = to - from;
  std::vector<Run> runs;
  std::size_t start = 0;
  const bool closes = n == kClockSteps;
  if (closes) {
    while (start < n && good(from + start)) ++start;
    if (start == n) return {{from, n}};
  }
  for (std::size_t i = 0; i < n;) {
    const std::size_t first = start + i;
    if (!good(from + first % n)) {
      ++i;
      continue;
    }
    std::size_t length = 1;
    while (i + length < n && good(from + (first + length) % n)) ++length;
    runs.push_back({from + (first + (length - 1) / 2) % n, length});
    i += length;
  }
  return runs;
}

Reach reach_without(const ClampChart& chart, std::size_t from, std::size_t to) {
  for (std::size_t i = from; i < to; ++i) {
    for (const ToolAt& tool : chart.positions[i].tools) {
      if (tool.hindrance == Hindrance::way_in || tool.hindrance == Hindrance::arm) return Reach::not_found;
    }
  }
  return Reach::unreachable;
}

/// Those a clamp of the type can stand at: a spring band is the same both ways round.
std::vector<ScrewPosition> positions_of(const catalog::ClampType& type) {
  std::vector<ScrewPosition> out = all_positions();
  if (!type.has_screw()) std::erase_if(out, [](const ScrewPosition& p) { return p.side != kSides.front(); });
  return out;
}

/// What the job declares of the position, as positions to be asked beside all others.
std::vector<ScrewPosition> declared(const duct::HoseClamp& clamp, const catalog::ClampType& type) {
  std::vector<ScrewPosition> out;
  if (!type.has_screw()) {
    if (clamp.screw_clock) out.push_back({*clamp.screw_clock, kSides.front()});
    return out;
  }
  for (const Side side : kSides) {
    if (clamp.screw_side && *clamp.screw_side != side) continue;
    if (clamp.screw_clock) {
      out.push_back({*clamp.screw_clock, side});
    } else if (clamp.screw_side) {
      for (const ScrewPosition& p : all_positions()) {
        if (p.side == side) out.push_back(p);
      }
    }
  }
  return out;
}

}  // namespace

Choice choose(const ClampChart& chart, std::size_t from, std::size_t to, std::span<const OpeningView> openings) {
  Choice choice;
  const std::function<bool(const PositionAt&)> grades[] = {
      [&](const PositionAt& p) { return p.seen && with_torque(chart, p); },
      [](const PositionAt& p) { return p.seen && p.usable(); }, [](const PositionAt& p) { return p.usable(); }};
  for (const auto& grade : grades) {
    Run best;
    double best_away = 0;
    for (std::size_t first = from; first < to;) {
      std::size_t last = first;  // one side at a time
      while (last < to && chart.positions[last].position.side == chart.positions[first].position.side) ++last;
      for (const Run& run : runs_of(first, last, [&](std::size_t i) { return grade(chart.positions[i]); })) {
        const double away = from_opening(chart, run.middle, openings);
        if (run.length < best.length || (run.length == best.length && away >= best_away)) continue;
        best = run;
        best_away = away;
      }
      first = last;
    }
    if (best.length == 0) continue;
    const PositionAt& at = chart.positions[best.middle];
    choice.position = static_cast<int>(best.middle);
    choice.tool = usable_tool(chart, at);
    choice.torque = with_torque(chart, at);
    choice.seen = at.seen;
    const bool special = chart.tools[static_cast<std::size_t>(choice.tool)].bend.has_value();
    choice.reach = !chart.with_openings ? Reach::ways_unknown
                   : special            ? Reach::special_tool
                   : at.seen            ? Reach::seen
                                        : Reach::by_feel;
    return choice;
  }
  choice.reach = reach_without(chart, from, to);
  return choice;
}

std::vector<ClampAccess> clamp_access(const AccessInputs& inputs, const duct::Duct& duct, const Progress& progress) {
  std::vector<ClampAccess> out;
  std::optional<Scene> scene, without;
  std::vector<OpeningView> openings;
  std::vector<bay::PartId> removed;
  for (const bay::Part& part : inputs.bay.parts) {
    if (part.removed_first) removed.push_back(part.id);
  }
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler) continue;
    for (const duct::HoseClamp& clamp : coupler->clamps) {
      const catalog::ClampType* type = catalog::find_clamp(inputs.workshop.clamps, clamp.type);
      if (!type) continue;
      if (!scene) {
        scene = make_scene(inputs.bay, inputs.ducts, {{}, inputs.workshop.clamps});
        for (const bay::AccessOpening& opening : inputs.bay.openings) {
          openings.emplace_back(opening, middle_of(inputs.ducts));
        }
      }
      ClampAccess access;
      access.site = site_of(duct, fitting.id, clamp, *type);
      access.clock = clamp.screw_clock;
      access.side = clamp.screw_side;
      access.notes = scene->notes;
      for (const Obstacle& o : scene->obstacles) access.obstacles.push_back(o.name);
      const std::vector<ScrewPosition> stated = declared(clamp, *type);
      std::vector<ScrewPosition> positions = positions_of(*type);
      const auto charted = [&](std::size_t asked_from) {
        return chart_of(access.site, {*scene, openings, inputs.workshop.tools, positions, asked_from}, progress);
      };
      std::optional<ClampChart> chart;
      if (!inputs.whole_charts && !stated.empty()) {
        positions = stated;
        chart = charted(positions.size());
        if (!chart) return {};
        const Choice choice = choose(*chart, 0, stated.size(), openings);
        if (choice.reach != Reach::seen || (type->has_screw() && !choice.torque)) {
          chart.reset();
          positions = positions_of(*type);
        }
      }
      const std::size_t all = chart ? 0 : positions.size();
      if (!chart) {
        positions.insert(positions.end(), stated.begin(), stated.end());
        chart = charted(stated.empty() ? 0 : all);
      }
      if (!chart) return {};
      access.chart = *chart;
      access.declared_from = all;
      const std::size_t from = stated.empty() ? 0 : all;
      access.anywhere = choose(access.chart, 0, all > 0 ? all : positions.size(), openings);
      access.best = choose(access.chart, from, positions.size(), openings);
      access.removed = removed;
      if (!is_reached(access.best.reach) && access.best.reach != Reach::ways_unknown && !removed.empty()) {
        if (!without) without = make_scene(inputs.bay, inputs.ducts, {removed, inputs.workshop.clamps});
        const auto asked = std::span(positions).subspan(from);
        const auto freed = chart_of(access.site, {*without, openings, inputs.workshop.tools, asked}, progress);
        if (!freed) return {};
        access.when_removed = choose(*freed, 0, asked.size(), openings);
        if (access.when_removed->position >= 0) access.when_removed->position += static_cast<int>(from);
      }
      out.push_back(std::move(access));
    }
  }
  return out;
}

int strokes(double turns, Angle arc) {
  EXPECTS(arc.si() > 0);
  // An arc that divides the turns evenly needs no stroke more.
  constexpr double kEven = 1e-9;
  return static_cast<int>(std::ceil(turns * degrees(360) / arc - kEven));
}

std::optional<std::size_t> widest_arc(const ClampChart& chart, std::size_t tool) {
  if (!chart.tools[tool].swing) return std::nullopt;
  std::optional<std::size_t> widest;
  for (std::size_t i = 0; i < chart.positions.size(); ++i) {
    const ToolAt& at = chart.positions[i].tools[tool];
    if (!at.usable()) continue;
    if (!widest || at.arc.width() > chart.positions[*widest].tools[tool].arc.width()) widest = i;
  }
  return widest;
}

std::string clock_hour(Angle clock) {
  const double turn = std::fmod(std::fmod(to_degrees(clock), 360) + 360, 360);
  const int halves = static_cast<int>(std::lround(turn / 15)) % 24, hour = halves / 2 == 0 ? 12 : halves / 2;
  std::string text = halves % 2 ? "half past " : "";
  text += std::to_string(hour);
  if (halves % 2 == 0) text += " o'clock";
  return text;
}

namespace {
std::string clock_words(Angle clock) {
  const double turns = to_degrees(clock) / 360;
  const long degrees_shown = std::lround(360 * (turns - std::floor(turns))) % 360;
  return clock_hour(clock) + " (" + std::to_string(degrees_shown) + "\u00B0)";
}
}  // namespace

std::string position_words(const ScrewPosition& position) {
  return clock_words(position.clock) + ", head facing " + std::string(duct::name(position.side));
}

std::string position_words(const ClampSite& site, const ScrewPosition& position) {
  return site.type.has_screw() ? position_words(position) : clock_words(position.clock);
}

std::string worked_part(const ClampSite& site) { return site.type.has_screw() ? "screw" : "tangs"; }

std::string hindrances(const ClampAccess& clamp, std::size_t from, std::size_t to) {
  std::map<std::pair<Hindrance, int>, int> count;
  for (std::size_t i = from; i < to; ++i) {
    // Of the tool that gets farthest.
    const ToolAt* farthest = nullptr;
    for (const ToolAt& tool : clamp.chart.positions[i].tools) {
      if (!farthest || tool.hindrance > farthest->hindrance) farthest = &tool;
    }
    if (farthest && !clamp.chart.positions[i].usable()) ++count[{farthest->hindrance, farthest->obstacle}];
  }
  std::vector<std::pair<int, std::pair<Hindrance, int>>> order;
  for (const auto& [what, n] : count) order.emplace_back(-n, what);
  std::sort(order.begin(), order.end());
  constexpr std::size_t kMost = 3;
  std::string text;
  for (std::size_t i = 0; i < std::min(kMost, order.size()); ++i) {
    if (i > 0) text += ", ";
    text += name(order[i].second.first);
    const int obstacle = order[i].second.second;
    if (obstacle >= 0) {
      text += " (";
      text += clamp.obstacles[static_cast<std::size_t>(obstacle)];
      text += ")";
    }
    text += " at ";
    text += std::to_string(-order[i].first);
  }
  if (!text.empty()) {
    text += " of ";
    text += std::to_string(to - from);
    text += " positions";
  }
  return text;
}

}  // namespace baywright::access

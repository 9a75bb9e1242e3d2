#include "access/chart.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <numbers>

#include <tbb/parallel_for.h>

#include "access/arm.hpp"
#include "access/tool_shapes.hpp"
#include "access/travel_up_to.hpp"

namespace baywright::access {
namespace {

constexpr double kFullTurn = 2 * std::numbers::pi;
/// Farther than this a query of room need not look: it proves 15 degrees of the longest handles' swing at once.
constexpr double kSwingLook_mm = 32;
constexpr double kWayLook_mm = 60;
/// Room is looked at up to this where only yes or no counts.
constexpr double kAnyRoom_mm = 1e-6;
/// How far from a clamp the room is kept cell by cell: tools, arms and the first part of their way.
constexpr double kField_mm = 800;
/// Fewer positions ask too little of it.
constexpr std::size_t kWorthField = 8;
/// A handle is put on at the middle of its arc, then this much beside it and so on.
const Angle kHandleStep = degrees(30);

/// One tool at one position, question by question.
class Trial {
 public:
  /// `near`: what the tool can meet on the screw; `everything`: on its way.
  Trial(const ToolOnScrew& tool, const Around& near, const Around& everything, std::span<const OpeningView> openings)
      : tool_(tool), near_(near), everything_(everything), openings_(openings) {}

  ToolAt run() {
    if (!fits(tool_.axial(0))) return hindered(Hindrance::seated);
    if (tool_.tool.approach == catalog::Approach::axial && !fits(tool_.axial(tool_.off_mm())))
      return hindered(Hindrance::lift_off);
    if (!tool_.tool.swing) {
      out_.arc = {Angle(), radians(kFullTurn)};
      reached_ = Hindrance::lift_off;
      if (in_at(Angle())) return out_;
      return hindered(reached_);
    }
    return swung();
  }

 private:
  ToolAt hindered(Hindrance h) {
    out_.hindrance = h;
    out_.obstacle = obstacle_;
    return out_;
  }

  bool fits(const std::vector<StandingShape>& shapes) {
    const RoomLeft left = near_.room_left(shapes, Asking::tool, kAnyRoom_mm);
    if (left.room_mm <= 0) obstacle_ = left.obstacle;
    return left.room_mm > 0;
  }

  ToolAt swung() {
    const double least = tool_.tool.swing->least.si();
    std::vector<Arc> arcs;
    const StandingShape round = tool_.swung_round();
    if (near_.room_left({&round, 1}, Asking::tool, kAnyRoom_mm).room_mm > 0) {
      arcs.push_back({Angle(), radians(kFullTurn)});
    } else {
      const auto room = [&](double angle, double enough_mm) {
        const RoomLeft left =
            near_.room_left(tool_.swinging(radians(angle)), Asking::tool, std::min(enough_mm, kSwingLook_mm));
        if (left.room_mm <= 0) obstacle_ = left.obstacle;
        return left.room_mm;
      };
      arcs = free_arcs(room, tool_.reach_mm());
    }
    std::stable_sort(arcs.begin(), arcs.end(), [](const Arc& a, const Arc& b) { return a.width() > b.width(); });
    if (!arcs.empty()) out_.arc = arcs.front();
    std::erase_if(arcs, [&](const Arc& a) { return a.width().si() < least; });
    if (arcs.empty()) return hindered(Hindrance::swing);
    reached_ = Hindrance::lift_off;
    for (const Arc& arc : arcs) {
      out_.arc = arc;
      if (in_at(arc.middle())) return out_;
      for (double step = kHandleStep.si(); 2 * step < arc.width().si(); step += kHandleStep.si()) {
        if (in_at(arc.middle() + radians(step)) || in_at(arc.middle() - radians(step))) return out_;
      }
    }
    out_.arc = arcs.front();
    return hindered(reached_);
  }

  /// Whether the whole tool comes off the screw and out through an opening with the handle at this angle, and an arm
  /// reaches it there. Notes how far it got.
  bool in_at(Angle handle) {
    const std::vector<StandingShape> tool = tool_.whole(handle);
    const Vec3 off = tool_.off(handle);
    if (!free_along(near_, tool, off, tool_.off_mm())) return false;
    if (openings_.empty()) {
      out_.handle = handle;
      return true;
    }
    if (reached_ == Hindrance::lift_off) got_to(Hindrance::way_in);
    std::vector<StandingShape> lifted;
    for (const StandingShape& shape : tool) lifted.push_back(moved(shape, Pose::translation(tool_.off_mm() * off)));
    const Vec3 hand = tool_.hand(handle);
    for (std::size_t i = 0; i < openings_.size(); ++i) {
      if (!has_way_out(lifted, hand + tool_.off_mm() * off, openings_[i])) continue;
      if (!arm_reaches(everything_, hand, openings_[i])) {
        got_to(Hindrance::arm);
        continue;
      }
      out_.handle = handle;
      out_.opening = static_cast<int>(i);
      return true;
    }
    return false;
  }
  /// What hinders there is not one thing: every way that was tried met something.
  void got_to(Hindrance h) {
    reached_ = h;
    obstacle_ = -1;
  }

  bool free_along(const Around& around, const std::vector<StandingShape>& shapes, const Vec3& direction,
                  double length_mm) {
    for (const StandingShape& shape : shapes) {
      const auto room = [&](double way, double enough_mm) {
        const StandingShape there = moved(shape, Pose::translation(way * direction));
        const RoomLeft left = around.room_left({&there, 1}, Asking::tool, std::min(enough_mm, kWayLook_mm));
        if (left.room_mm <= 0 && reached_ == Hindrance::lift_off) obstacle_ = left.obstacle;
        return left.room_mm;
      };
      if (!free_way(room, length_mm)) return false;
    }
    return true;
  }

  bool has_way_out(const std::vector<StandingShape>& lifted, const Vec3& hand, const OpeningView& opening) {
    for (const Vec3& direction : ways_to(opening, hand, tool_.screw.axis)) {
      const auto length = opening.way_out(lifted, direction);
      if (!length) continue;
      // The ball in the middle of the hand alone tells of most ways that they are none.
      const StandingShape core = Cylinder{hand, hand + *length * direction, tool_.hand_core_mm()};
      if (!everything_.has_room({&core, 1}, Asking::tool)) continue;
      if (free_along(everything_, lifted, direction, *length)) return true;
    }
    return false;
  }

  const ToolOnScrew& tool_;
  const Around &near_, &everything_;
  std::span<const OpeningView> openings_;
  ToolAt out_;
  Hindrance reached_ = Hindrance::lift_off;
  int obstacle_ = -1;
};

/// How far from the clamp's middle anything of a tool gets, seated or lifted off.
double reach_of(const ClampSite& site, const catalog::Tool& tool) {
  const double away = site.hose_radius_mm + site.type.body_height_mm + site.type.body_length_mm;
  const double wide = tool.hand ? tool.hand->diameter_mm : 60;
  double reach = catalog::length_mm(tool) + catalog::lift_off_mm(tool, site.type.stud_mm) + wide;
  if (tool.swing) reach += tool.swing->length_mm + tool.swing->hand.across_mm;
  return away + reach;
}

class Charting {
 public:
  Charting(const ClampSite& site, const ChartInputs& inputs)
      : site_(site),
        inputs_(inputs),
        everything_(surroundings(Around(inputs.scene, site.duct, site.coupler), site, inputs.positions.size())) {}

  PositionAt at(const ScrewPosition& position, const std::vector<catalog::Tool>& tools, const Around& near) const {
    PositionAt out;
    out.position = position;
    const Screw screw = screw_at(site_, position);
    const ToolAt all = before_tools(position, screw, near);
    for (const catalog::Tool& tool : tools) {
      if (!all.usable()) {
        out.tools.push_back(all);
        continue;
      }
      const ToolOnScrew on_screw{tool, site_.type.hexagon_mm, site_.type.stud_mm, screw};
      out.tools.push_back(Trial(on_screw, near, everything_, inputs_.openings).run());
    }
    if (all.usable()) {
      out.seen = std::any_of(inputs_.openings.begin(), inputs_.openings.end(),
                             [&](const OpeningView& opening) { return is_seen(everything_, screw, opening); });
    }
    return out;
  }

  Around near(const std::vector<catalog::Tool>& tools) const {
    double reach = 0;
    for (const catalog::Tool& tool : tools) reach = std::max(reach, reach_of(site_, tool));
    return everything_.within(site_.center, reach + kBodyRoomSoft_mm + kSwingLook_mm);
  }

 private:
  static Around surroundings(const Around& around, const ClampSite& site, std::size_t positions) {
    return positions < kWorthField ? around : around.with_field(site.center, kField_mm);
  }
  /// What no tool can help.
  ToolAt before_tools(const ScrewPosition& position, const Screw& screw, const Around& near) const {
    ToolAt out;
    if (const auto holding = near.holding(screw.head)) {
      out.hindrance = Hindrance::inside;
      out.obstacle = *holding;
      return out;
    }
    const StandingShape body = body_at(site_, position, kBodyRoom_mm);
    const RoomLeft left = near.room_left({&body, 1}, Asking::body, kAnyRoom_mm);
    if (left.room_mm > 0) return out;
    out.hindrance = Hindrance::body;
    out.obstacle = left.obstacle;
    return out;
  }

  const ClampSite& site_;
  const ChartInputs& inputs_;
  const Around everything_;
};

}  // namespace

std::string_view name(Hindrance h) {
  switch (h) {
    case Hindrance::none:
      return "usable";
    case Hindrance::inside:
      return "screw inside a part";
    case Hindrance::body:
      return "clamp's body";
    case Hindrance::seated:
      return "tool on the screw";
    case Hindrance::lift_off:
      return "putting the tool on";
    case Hindrance::swing:
      return "swing of the handle";
    case Hindrance::way_in:
      return "no straight way in";
    case Hindrance::arm:
      return "arm";
  }
  return "";
}

bool PositionAt::usable() const {
  return std::any_of(tools.begin(), tools.end(), [](const ToolAt& t) { return t.usable(); });
}

std::vector<ScrewPosition> all_positions() {
  std::vector<ScrewPosition> out;
  for (const Side side : kSides) {
    for (int i = 0; i < kClockSteps; ++i) out.push_back({degrees(360.0 * i / kClockSteps), side});
  }
  return out;
}

std::optional<ClampChart> chart_of(const ClampSite& site, const ChartInputs& inputs, const Progress& progress) {
  ClampChart chart;
  chart.site = site;
  chart.with_openings = !inputs.openings.empty();
  for (const catalog::Tool& tool : inputs.table) {
    if (catalog::suits(tool, site.type.hexagon_mm, site.type.stud_mm)) chart.tools.push_back(tool);
  }
  const Charting charting(site, inputs);
  const Around near = charting.near(chart.tools);
  chart.positions.resize(inputs.positions.size());
  std::atomic<std::size_t> done{0};
  tbb::parallel_for(std::size_t{0}, inputs.positions.size(), [&](std::size_t i) {
    if (progress.cancelled()) return;
    chart.positions[i] = charting.at(inputs.positions[i], chart.tools, near);
    progress.report("clamp " + site.name, static_cast<double>(++done) / static_cast<double>(inputs.positions.size()));
  });
  if (progress.cancelled()) return std::nullopt;
  return chart;
}

}  // namespace baywright::access

#include "access/chart.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <numbers>

#include <tbb/parallel_for.h>

#include "access/arm.hpp"
#include "access/corners.hpp"
#include "access/tool_shapes.hpp"
#include "access/travel_up_to.hpp"
#include "geometry/base/expects.hpp"

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
/// As much more of it where each angle costs the search of a way with a corner.
const Angle kHandleStepCorners = degrees(60);

/// One tool at one position, question by question.
class Trial {
 public:
  /// `near`: what the tool can meet on the screw; `everything`: on its way.
  /// `corners`: not straight ways but those with one corner are looked for; nullptr: straight ones.
  Trial(const ToolOnScrew& tool, const Around& near, const Around& everything, std::span<const OpeningView> openings,
        const Corners* corners)
      : tool_(tool), near_(near), everything_(everything), openings_(openings), corners_(corners) {
    out_.bent = tool.bent;
  }

  ToolAt run() {
    if (!fits(tool_.axial(0))) return hindered(Hindrance::seated);
    if (tool_.tool.approach == catalog::Approach::axial && !fits(tool_.axial(tool_.off_mm())))
      return hindered(Hindrance::lift_off);
    if (!fits(tool_.beyond_bend())) return hindered(Hindrance::seated);
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
      const double apart = (corners_ ? kHandleStepCorners : kHandleStep).si();
      for (double step = apart; 2 * step < arc.width().si(); step += apart) {
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
      if (!has_way_out(lifted, hand + tool_.off_mm() * off, i)) continue;
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

  bool has_way_out(const std::vector<StandingShape>& lifted, const Vec3& hand, std::size_t opening) {
    if (corners_) return has_way_round(lifted, hand, opening);
    for (const Vec3& direction : ways_to(openings_[opening], hand, tool_.screw.axis)) {
      const auto length = openings_[opening].way_out(lifted, direction);
      if (!length || !free_leg(lifted, hand, direction, *length)) continue;
      out_.leg_mm = *length * direction;
      out_.second_leg_mm.setZero();
      return true;
    }
    return false;
  }

  bool free_leg(const std::vector<StandingShape>& tool, const Vec3& hand, const Vec3& direction, double length_mm) {
    // The ball in the middle of the hand alone tells of most ways that they are none.
    const StandingShape core = Cylinder{hand, hand + length_mm * direction, tool_.hand_core_mm()};
    return everything_.has_room({&core, 1}, Asking::tool) && free_along(everything_, tool, direction, length_mm);
  }

  /// On two straight legs with a corner between them.
  bool has_way_round(const std::vector<StandingShape>& lifted, const Vec3& hand, std::size_t opening) {
    for (const Corners::Corner* corner : corners_->near(hand, opening)) {
      const Vec3 leg = corner->p - hand;
      std::vector<StandingShape> turned;  // the tool at the corner
      for (const StandingShape& shape : lifted) turned.push_back(moved(shape, Pose::translation(leg)));
      if (!everything_.has_room(turned, Asking::tool) || !free_leg(lifted, hand, leg.normalized(), leg.norm()))
        continue;
      for (const Vec3& direction : corner->out) {
        const auto length = openings_[opening].way_out(turned, direction);
        if (!length || !free_leg(turned, corner->p, direction, *length)) continue;
        out_.leg_mm = leg;
        out_.second_leg_mm = *length * direction;
        return true;
      }
    }
    return false;
  }

  const ToolOnScrew& tool_;
  const Around &near_, &everything_;
  std::span<const OpeningView> openings_;
  const Corners* corners_;
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
  if (tool.pliers) reach += tool.pliers->hand.across_mm + tool.pliers->hand.axial_mm;
  return away + reach;
}

class Charting {
 public:
  Charting(const ClampSite& site, const ChartInputs& inputs)
      : site_(site),
        inputs_(inputs),
        all_(inputs.scene, site.duct, site.coupler, site.end),
        everything_(surroundings(all_, site, inputs.positions.size())) {}

  PositionAt at(const ScrewPosition& position, const std::vector<catalog::Tool>& tools, const Around& near) const {
    PositionAt out;
    out.position = position;
    const Screw screw = grip_at(site_, position);
    const ToolAt all = before_tools(position, screw, near);
    for (const catalog::Tool& tool : tools) {
      if (!all.usable()) {
        out.tools.push_back(all);
        continue;
      }
      const ToolOnScrew on_screw{tool, site_.type.hexagon_mm, site_.type.stud_mm, screw};
      out.tools.push_back(tried(on_screw, near, nullptr));
    }
    if (all.usable()) {
      out.seen = std::any_of(inputs_.openings.begin(), inputs_.openings.end(),
                             [&](const OpeningView& opening) { return is_seen(everything_, screw, opening); });
    }
    return out;
  }

  /// Looks once more at what had no way in but straight ones, for ways with a corner. True: now there is one.
  bool add_ways_round(PositionAt& at, const std::vector<catalog::Tool>& tools, std::size_t from_tool,
                      const Around& near, const Corners& corners) const {
    bool found = false;
    for (const bool torque : {true, false}) {  // a tool that tells the torque is worth more than any other
      for (std::size_t i = from_tool; i < tools.size() && !found; ++i) {
        ToolAt& tool = at.tools[i];
        if (tools[i].torque != torque) continue;
        if (tool.hindrance != Hindrance::way_in && tool.hindrance != Hindrance::arm) continue;
        const ToolOnScrew on_screw{tools[i], site_.type.hexagon_mm, site_.type.stud_mm, grip_at(site_, at.position)};
        const ToolAt round = tried(on_screw, near, &corners);
        found = round.usable();
        if (found) tool = round;
      }
    }
    return found;
  }

  /// Tools that bend, behind those that are there already.
  void add_tools(PositionAt& at, const std::vector<catalog::Tool>& special, const Around& near) const {
    const Screw screw = grip_at(site_, at.position);
    const ToolAt all = before_tools(at.position, screw, near);
    for (const catalog::Tool& tool : special) {
      const ToolOnScrew on_screw{tool, site_.type.hexagon_mm, site_.type.stud_mm, screw};
      at.tools.push_back(all.usable() ? tried(on_screw, near, nullptr) : all);
    }
  }

  Corners corners(const std::vector<catalog::Tool>& tools) const {
    double core = kLargestCore_mm;
    for (const catalog::Tool& tool : tools) {
      core = std::min(core, ToolOnScrew{tool, site_.type.hexagon_mm, site_.type.stud_mm, {}}.hand_core_mm());
    }
    // Without the field, which it would fill far and wide.
    return {all_, site_.center, inputs_.openings, core};
  }

  Around near(const std::vector<catalog::Tool>& tools) const {
    double reach = 0;
    for (const catalog::Tool& tool : tools) reach = std::max(reach, reach_of(site_, tool));
    return everything_.within(site_.center, reach + kBodyRoomSoft_mm + kSwingLook_mm);
  }

 private:
  static constexpr double kLargestCore_mm = 50;

  /// Of a tool that bends the least bend at which it can be used, else the one with which it gets farthest.
  ToolAt tried(ToolOnScrew tool, const Around& near, const Corners* corners) const {
    const auto trial = [&] { return Trial(tool, near, everything_, inputs_.openings, corners).run(); };
    ToolAt best = trial();
    if (!tool.tool.bend || best.usable()) return best;
    // What lies on the screw's axis is there at every bend.
    for (const double along : {0.0, tool.off_mm()}) {
      if (!near.has_room(tool.axial(along), Asking::tool)) return best;
    }
    for (const Bent& bent : bends_of(tool.tool)) {
      tool.bent = bent;
      const ToolAt at = trial();
      if (at.usable()) return at;
      if (at.hindrance > best.hindrance) best = at;
    }
    return best;
  }

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
  const Around all_;  ///< without a field
  const Around everything_;
};

/// From the asked positions on: whether the clamp can be worked at any.
bool is_worked(const ClampChart& chart, std::size_t from) {
  return std::any_of(chart.positions.begin() + static_cast<std::ptrdiff_t>(from), chart.positions.end(),
                     [](const PositionAt& at) { return at.usable(); });
}

bool lacks_way(const ClampChart& chart, std::size_t from, std::size_t from_tool) {
  for (std::size_t i = from; i < chart.positions.size(); ++i) {
    const auto& tools = chart.positions[i].tools;
    const bool lacks =
        std::any_of(tools.begin() + static_cast<std::ptrdiff_t>(from_tool), tools.end(),
                    [](const ToolAt& t) { return t.hindrance == Hindrance::way_in || t.hindrance == Hindrance::arm; });
    if (lacks) return true;
  }
  return false;
}

}  // namespace

std::string_view name(Hindrance h) {
  switch (h) {
    case Hindrance::none:
      return "usable";
    case Hindrance::not_tried:
      return "not tried: a plain tool will do";
    case Hindrance::inside:
      return "screw or tangs inside a part";
    case Hindrance::body:
      return "clamp's body";
    case Hindrance::seated:
      return "tool in place";
    case Hindrance::lift_off:
      return "putting the tool on";
    case Hindrance::swing:
      return "swing of the handle";
    case Hindrance::way_in:
      return "no way in found";
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
  EXPECTS(inputs.asked_from <= inputs.positions.size());
  ClampChart chart;
  std::vector<catalog::Tool> special;
  chart.site = site;
  chart.with_openings = !inputs.openings.empty();
  for (const catalog::Tool& tool : inputs.table) {
    if (!catalog::suits(tool, site.type)) continue;
    (tool.bend ? special : chart.tools).push_back(tool);
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
  // What costs more is asked only where nobody would get at the clamp otherwise.
  const auto at_asked = [&](const auto& look) {
    tbb::parallel_for(inputs.asked_from, chart.positions.size(), [&](std::size_t i) {
      if (!progress.cancelled()) look(chart.positions[i]);
    });
  };
  const auto go_round = [&](std::size_t from_tool, const Around& beside) {
    if (!chart.with_openings || !lacks_way(chart, inputs.asked_from, from_tool)) return;
    const Corners corners = charting.corners(chart.tools);
    at_asked([&](PositionAt& at) { charting.add_ways_round(at, chart.tools, from_tool, beside, corners); });
  };
  const auto lacking = [&] {
    return !progress.cancelled() && inputs.asked_from < chart.positions.size() && !is_worked(chart, inputs.asked_from);
  };
  if (lacking()) go_round(0, near);
  if (lacking() && !special.empty()) {
    const Around about = charting.near(special);
    at_asked([&](PositionAt& at) { charting.add_tools(at, special, about); });
    ToolAt not_tried;
    not_tried.hindrance = Hindrance::not_tried;
    for (std::size_t i = 0; i < inputs.asked_from; ++i) {
      chart.positions[i].tools.resize(chart.tools.size() + special.size(), not_tried);
    }
    const std::size_t plain = chart.tools.size();
    chart.tools.insert(chart.tools.end(), special.begin(), special.end());
    if (lacking()) go_round(plain, about);
  }
  if (progress.cancelled()) return std::nullopt;
  return chart;
}

}  // namespace baywright::access

#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "access/clamp_site.hpp"
#include "access/opening_view.hpp"
#include "access/scene.hpp"
#include "access/tool_shapes.hpp"
#include "access/travel.hpp"
#include "catalog/tool.hpp"
#include "geometry/base/progress.hpp"

namespace baywright::access {

/// What first hinders a tool at one position of the screw, in the order in which it is asked.
enum class Hindrance {
  none,       ///< usable
  not_tried,  ///< a special tool where none is needed
  inside,     ///< the screw's head lies inside a closed part
  body,       ///< the clamp's body has no room
  seated,     ///< the tool on the screw, without its handle
  lift_off,   ///< the way on which it is put on and taken off
  swing,      ///< no arc of the handle with the hand on it is wide enough
  way_in,     ///< no way of the whole tool through an opening, among those tried
  arm,        ///< no room for the arm from the hand to an opening, among those tried
};
std::string_view name(Hindrance h);  ///< "tool on the screw", "swing of the handle"

/// One tool at one position of the screw.
struct ToolAt {
  Hindrance hindrance = Hindrance::none;
  int obstacle = -1;  ///< index into Scene::obstacles of what hinders; -1 where several do
  Arc arc;            ///< of the handle, proven free: the one it is used in, else the widest; a full turn for rolling
  Angle handle;       ///< angle of swing at which it was put on
  Bent bent;          ///< of a tool that bends
  int opening = -1;   ///< it comes in through; -1: none
  /// Its way out, from where it is off the screw: one straight leg, or two.
  Vec3 leg_mm = Vec3::Zero(), second_leg_mm = Vec3::Zero();
  bool usable() const { return hindrance == Hindrance::none; }
  bool has_corner() const { return second_leg_mm != Vec3::Zero(); }
};

struct PositionAt {
  ScrewPosition position;
  std::vector<ToolAt> tools;  ///< as ClampChart::tools
  bool seen = false;          ///< a straight look at the screw's head from beyond an opening
  bool usable() const;        ///< with any tool
};

/// Every screw position of a clamp against every suitable tool.
struct ClampChart {
  ClampSite site;
  std::vector<catalog::Tool> tools;  ///< those of the table that suit the screw; special ones where any was tried
  std::vector<PositionAt>
      positions;               ///< as asked: kClockSteps clock angles clockwise from 0 on one side, then the other
  bool with_openings = false;  ///< false: way in, arm and sight were not looked at, `seen` is never true
};

inline constexpr int kClockSteps = 72;  ///< five degrees
/// All of them: both sides.
std::vector<ScrewPosition> all_positions();

struct ChartInputs {
  const Scene& scene;
  std::span<const OpeningView> openings;
  std::span<const catalog::Tool> table;
  std::span<const ScrewPosition> positions;
  /// From here on a position is to be found at which the clamp can be worked. Only where plain tools on straight ways
  /// find none, these positions are looked at for ways in with one corner, and after that for tools that bend.
  std::size_t asked_from = 0;
};
/// What is claimed. Usable: tool on the screw, lift-off, swing and a way in, straight or with one corner, are proven
/// free, with kToolRoom_mm to spare, for every point of the way (the screw's end of the tool last); the arm has room as
/// one or two straight lengths of 100 mm diameter. Not usable: one of them has less room than that, within
/// kLeastRoom_mm on straight ways and 0.7 mm on swings of 120 mm; of ways in, of arms and of bends only those that were
/// tried are known, and a handle is put on at angles 30 degrees apart (60 for ways with a corner). The table may hold
/// tools that do not suit. Deterministic; on all cores. Cancelled: nullopt. Milliseconds to a second a clamp.
std::optional<ClampChart> chart_of(const ClampSite& site, const ChartInputs& inputs, const Progress& progress = {});

}  // namespace baywright::access

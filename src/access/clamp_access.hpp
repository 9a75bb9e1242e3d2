#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "access/chart.hpp"
#include "catalog/workshop.hpp"

namespace baywright::access {

/// How a clamp is reached, best first.
enum class Reach {
  seen,          ///< with a tool, the screw in sight
  by_feel,       ///< with a tool, the screw out of sight
  special_tool,  ///< with a tool that bends only: a flexible shaft, a universal joint
  not_found,     ///< a tool fits the screw, but none of the ways in, or of the arms, that were tried; others were not
  ways_unknown,  ///< a tool fits the screw; without an opening nobody knows how it gets there
  unreachable,   ///< at none of the positions does any tool fit the screw, come off it and turn it
};

/// The best of some positions, and which one to take.
struct Choice {
  Reach reach = Reach::unreachable;
  int position = -1;    ///< index into ClampChart::positions; -1: none is usable
  int tool = -1;        ///< index into ClampChart::tools: a usable one there, one that tells the torque first
  bool torque = false;  ///< at that position a tool that tells the torque is usable
  bool seen = false;    ///< at that position the screw is in sight
};
/// Of the positions [from, to). Of the usable ones those in sight that a torque tool reaches count first, then those in
/// sight, then any; the position is in the middle of the widest run of them round the clock on one side, of equal runs
/// the one whose screw is nearest to an opening.
Choice choose(const ClampChart& chart, std::size_t from, std::size_t to, std::span<const OpeningView> openings);

/// One clamp of a duct.
struct ClampAccess {
  ClampSite site;
  std::optional<Angle> clock;  ///< as the job declares them
  std::optional<Side> side;
  ClampChart chart;                    ///< everything in place
  std::size_t declared_from = 0;       ///< positions from here on are those declared; none where all are asked
  std::vector<std::string> obstacles;  ///< names of Scene::obstacles, for ToolAt::obstacle
  std::vector<std::string> notes;      ///< of the scene
  Choice best;                         ///< of the declared positions, else of all
  Choice anywhere;                     ///< of all positions
  std::vector<bay::PartId> removed;  ///< parts the job lets be taken out first; looked at where it is no good otherwise
  std::optional<Choice> when_removed;  ///< the same as `best` without them
};

/// Whether some tool gets there.
inline bool is_reached(Reach reach) {
  return reach == Reach::seen || reach == Reach::by_feel || reach == Reach::special_tool;
}
/// Whether a clamp is reached with the parts out that come out first.
inline bool is_reached_when_freed(const ClampAccess& clamp) {
  return clamp.when_removed && is_reached(clamp.when_removed->reach);
}

/// What a job says beside bay and ducts.
struct AccessInputs {
  const bay::Bay& bay;
  std::span<const duct::Duct> ducts;
  const catalog::Workshop& workshop;
  /// false: where the job declares positions and one of them is reached, in sight and with a torque tool, no others are
  /// looked at; `chart` then holds those alone.
  bool whole_charts = true;
};
/// All clamps of one of the ducts that are of a type the workshop knows. Cost: header of chart_of. Cancelled: empty.
std::vector<ClampAccess> clamp_access(const AccessInputs& inputs, const duct::Duct& duct,
                                      const Progress& progress = {});

/// Pulls of a handle over a free arc for so many turns. EXPECTS an arc above 0.
int strokes(double turns, Angle arc);
/// Index of the position at which a swung tool is usable over the widest arc, the first of equals; none: it rolls in
/// the hand, or is usable nowhere.
std::optional<std::size_t> widest_arc(const ClampChart& chart, std::size_t tool);

/// "4 o'clock", "half past 4": the nearest half hour.
std::string clock_hour(Angle clock);
/// "half past 9 (280°), head facing clockwise": the hour is only near, the angle is the position.
std::string position_words(const ScrewPosition& position);
/// The same of a clamp: without a side where it has no screw.
std::string position_words(const ClampSite& site, const ScrewPosition& position);
/// What stands at the position: "screw", "tangs".
std::string worked_part(const ClampSite& site);
/// What hinders most of the positions, most frequent first: "clamp's body (part battery) at 80 of 144".
std::string hindrances(const ClampAccess& clamp, std::size_t from, std::size_t to);

}  // namespace baywright::access

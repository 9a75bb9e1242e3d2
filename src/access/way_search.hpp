#pragma once

#include <functional>
#include <map>
#include <optional>
#include <span>
#include <vector>

#include "access/opening_view.hpp"
#include "access/sweep.hpp"

namespace baywright::access {

struct WaySearch {
  std::span<const Shape> shapes;  ///< of the rigid group, where it begins
  std::span<const InWay> in_way;
  std::span<const InWay> overhead;  ///< what may not stand over it where it is out: of `in_way`, all but what is opened
  std::span<const OpeningView> openings;
  Vec3 first = Vec3::UnitZ();  ///< unit: a way to try beside those towards the openings
  std::vector<Vec3> axes{};    ///< unit, of its ends where it begins: it is slid along and square to them too
  int most_sweeps = 400;
  std::function<bool()> stop;  ///< asked before every sweep
};

struct WayFound {
  std::vector<WayMove> moves;  ///< one after the other; the last carries all of it through the opening
  int opening = -1;            ///< -1: none was found
  int sweeps = 0;              ///< moves that were tried
  bool usable = false;         ///< some opening has all of the group inside where it begins (stays_inside)
  bool stopped = false;
  std::map<int, int> hindered;  ///< how many of the moves by whom, InWay::of
  bool found() const { return opening >= 0; }
};

/// Slides and turns from where the group is to beyond an opening, each proven free (sweep.hpp). First straight out,
/// then best first: slides along twenty-six directions and along and square to the group's own axes, turns of 15
/// degrees about the three axes through its middle, and after each of them straight out again, or turned by 30, 60 or
/// 90 degrees and then straight out; straight is towards the opening, or square to one of its own axes. Out: every
/// point of the group goes through the opening's outline on the last move, or is beyond its plane already, and from
/// there it could go on in the same direction by its own measure, and straight out of the opening past everything
/// overhead, both proven in the same way: a plane drawn too far in is no way out into what lies behind it. Until then
/// all of it stays inside (stays_inside). Deterministic while not stopped.
WayFound find_way(const WaySearch& search);

/// Whether all of it stays inside on the move, with a few millimetres to spare: on the inside of the opening's plane,
/// or, as far as it reaches beyond that, over its outline (seen square to the plane).
bool stays_inside(const OpeningView& opening, std::span<const Shape> shapes, const WayMove& move);

}  // namespace baywright::access

#pragma once

#include <optional>
#include <set>
#include <span>
#include <string>
#include <vector>

#include "access/sweep.hpp"
#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "geometry/base/progress.hpp"

namespace baywright::access {

// In which order, and how, the tubes and hoses of a job's ducts come out of the finished assembly, through its access
// openings. Turned round it is how they go in. A way that is reported is proven; where none is, none was found.

/// Room kept around what is carried out, beside all uncertainties (common practice, no source).
inline constexpr double kWayRoom_mm = 1;
/// A hose is slid no nearer than this to a bend, a boss or another size of its tube (common practice, no source).
inline constexpr double kBesideHose_mm = 5;
/// Half of what a bracket, and a tap or a drain, take along the tube where nobody says it (from memory).
inline constexpr double kHalfBracket_mm = 15, kHalfTap_mm = 10;

struct WayInputs {
  const bay::Bay& bay;
  std::span<const duct::Duct> ducts;
  std::vector<double> part_mm;  ///< per part: by how much it may stand nearer than drawn, chord error included
  std::vector<double> duct_mm;  ///< per duct: the same of its pieces
  std::span<const catalog::ClampType> clamps{};  ///< types of the clamps on its hoses
  std::set<duct::DuctId> stays{};                ///< ducts of which somebody said that their pieces do not come out
  int most_sweeps = 1500;                        ///< moves tried for each way of freeing a piece
  int most_for_one = 4000;  ///< moves tried for one piece in all; what is not found by then stays open
};

/// One move of one rigid group.
struct WayStep {
  enum class Kind {
    hose_slid,  ///< along the tube or spigot it sits on, which it touches, or turned there
    drawn_off,  ///< along the axis of what it sits on or in, which it touches until the move's end
    carried,    ///< clear of everything
  };
  Kind kind = Kind::carried;
  std::vector<std::string> moved;  ///< pieces; of another duct than the way's: "duct breather, coupler hose"
  std::vector<int> items;          ///< the same as indices of WaysOut::pieces
  std::vector<Shape> shapes;       ///< theirs, where the step begins
  WayMove move;
  std::vector<std::string> slides_on;  ///< pieces and parts that are touched: "tube 1", "part filter"
};

/// What became of one piece.
struct PieceWay {
  duct::DuctId duct;
  std::string piece;
  bool found = false;
  int order = 0;         ///< 1: the first that comes out; pieces that come out together share it
  std::string opening;   ///< name of that it comes out through
  std::string with;      ///< the tube it comes out on, for a hose; "" else
  std::string released;  ///< how it was freed: "hose-1 is slid onto tube 1 by 45 mm"; "" when nothing held it
  std::vector<WayStep> steps;
  std::string open;                  ///< why no way is known; "" when found
  std::vector<std::string> missing;  ///< inputs without which nobody can tell
};

struct WaysOut {
  std::vector<PieceWay> pieces;    ///< tubes and hoses of all ducts, in their order
  std::vector<std::string> notes;  ///< what was opened, left out or taken out first
};

/// Searches as long as something comes out: every piece not yet out against parts at rest (the bonnet open, those to be
/// removed first out, and nothing held on them) and all pieces not yet out. A piece counts as out when all of it has
/// gone through an opening's outline and lies beyond its plane, from where it could go on by its own measure and
/// straight out of the opening past all but what is opened; what reaches beyond an opening's plane as drawn, or on the
/// way, has to lie over its outline, else no way through that one is known. What ends on a branch port of a tube is
/// drawn off or slid like what holds its ends. Clamps are loosened and stay on their hoses. Hoses are rigid; straight
/// ones and humps slide along plain straight tube. Deterministic: what ends the search is a count of moves, not a
/// clock. Cancelled: nothing. Seconds.
std::optional<WaysOut> ways_out(const WayInputs& inputs, const Progress& progress = {});

}  // namespace baywright::access

#pragma once

#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "measure/clearance_pairs.hpp"

namespace baywright::measure {

/// Clearance of one duct while it is edited: measures again only what an edit moved, and starts where the last answer
/// lay. Brackets are as true and as narrow as those of measure_clearance.
///
/// What is spared: pieces that lie and move as before; of the others the shapes that stand where they stood; pairs that
/// were proven farther apart than the shapes have moved since; and, for the rest, the search for a first upper end.
/// Not thread-safe; works on all cores by itself. `bay` must outlive it.
class LiveClearance {
 public:
  /// @param start  the duct that both reports were measured of, with the same options
  LiveClearance(const bay::Bay& bay, duct::Duct start, const ClearanceReport& at_rest,
                const ClearanceReport& over_motion, const ClearanceOptions& options);

  LiveClearance(const LiveClearance&) = delete;
  LiveClearance& operator=(const LiveClearance&) = delete;

  struct Work {
    std::size_t pairs = 0;     ///< of the pieces that moved
    std::size_t far = 0;       ///< left out: proven far away without a search
    std::size_t searches = 0;  ///< certified searches that were made
  };
  struct Step {
    std::vector<int> pieces;                  ///< that lie or move otherwise than at the start
    std::vector<std::pair<int, int>> shapes;  ///< (piece, shape) that stand elsewhere than at the start
    ClearanceReport at_rest, over_motion;     ///< of these pieces against every part
    Work work;
  };
  /// Measures `now`, an edit of the start. Cost: milliseconds where a few shapes moved. nullopt: cancelled; the next
  /// call is not harmed.
  std::optional<Step> measure(const duct::Duct& now, const Progress& progress = {});

  /// The whole duct: `step` for the pieces that it measured, the start's values for the others.
  /// EXPECTS a step of this object.
  std::pair<ClearanceReport, ClearanceReport> whole(const Step& step) const;

 private:
  using Key = std::pair<int, int>;  ///< piece, part
  /// What is known of one pair, at rest or over the motion.
  struct Known {
    std::optional<ClearanceHint> hint;
    std::optional<Bracket> still;   ///< of the shapes that stand where they stood
    std::vector<int> still_shapes;  ///< which these are, as indices at the start
    std::vector<Primitive> anchor;  ///< moved shapes for which `anchor_lo_mm` was proven
    Carriage anchor_carriage;
    double anchor_lo_mm = 0;
  };
  struct Start {
    std::vector<Primitive> shapes;
    const PairClearance *at_rest = nullptr, *over_motion = nullptr;
    Known rest, motion;
  };
  struct Measuring;

  struct Answer {
    PairClearance at_rest, over_motion;
    Work work;
  };

  std::vector<bool> compare(const duct::Duct& now, Step& step) const;
  bool measure_pair(const duct::Duct& now, const PairTask& task, bool same_carriage, const Progress& progress,
                    Start& start, Answer& out) const;
  void remember_witness(const PairClearance& pair, Known& known) const;
  std::optional<Bracket> bracket_of(const Measuring& m, const PairClearance* start, Known& known, Work& work) const;
  Bracket still_bracket(const Measuring& m, const PairClearance* start, Known& known, Work& work) const;
  bool far(const Measuring& m, const PairClearance* start, Known& known, Work& work) const;

  const bay::Bay& bay_;
  const duct::Duct start_;
  const ClearanceOptions options_;
  const Kinematics kinematics_;
  ClearanceReport rest_, motion_;
  std::map<Key, Start> pairs_;
};

}  // namespace baywright::measure

#pragma once

#include <optional>
#include <span>
#include <vector>

#include "measure/clearance_measure.hpp"

namespace baywright::measure {

// The steps of measure_clearance, for measures that take them in another order: slice by slice, edit by edit.

/// One piece against one part, with the piece's shapes as far as they are not excepted.
struct PairTask {
  int piece = 0;
  int part = 0;
  std::vector<Primitive> shapes;
  double from_mm = 0, to_mm = 0;  ///< stations of what is left of the piece
  bool cut_from = false, cut_to = false;
};

/// Every piece against every part that has a surface, in order of piece, then part; what is excepted or cannot be
/// measured is noted in `report`.
std::vector<PairTask> pair_tasks(const bay::Bay& bay, const duct::Duct& duct, ClearanceReport& report);

/// How a pair moves.
struct PairSetting {
  const Carriage& carriage;
  const bay::Part& part;
  bool same_carrier = false;
  std::vector<BodyIndex> moving;  ///< bodies whose motion counts; empty: the pair is measured at rest
};
/// References into `bay` and `duct`, which must outlive it.
PairSetting pair_setting(const bay::Bay& bay, const Kinematics& kinematics, const duct::Duct& duct,
                         const PairTask& task, bool over_motion);

/// Bracket of some of the piece's shapes; at rest where nothing of the pair moves.
Bracket pair_bracket(const Kinematics& kinematics, const PairSetting& setting, std::span<const Primitive> shapes,
                     const ClearanceOptions& options, const Progress& progress = {},
                     const ClearanceHint* hint = nullptr);

/// What is said of a pair once its bracket is known; `bracket.primitive` is an index into the task's shapes.
PairClearance pair_clearance(const bay::Bay& bay, const Kinematics& kinematics, const duct::Duct& duct,
                             const PairTask& task, const PairSetting& setting, const Bracket& bracket);
/// The same of what does not lie about the centreline of its piece: `point` is one of its own, at rest.
PairClearance pair_clearance(const bay::Bay& bay, const Kinematics& kinematics, const duct::Duct& duct,
                             const PairTask& task, const PairSetting& setting, const Bracket& bracket,
                             const Vec3& point);

/// What making a piece leaves open of its surface, into `band`: bend by bend at the station and in the direction
/// `toward` (unit) where the job says what the bender holds, else as one figure.
void add_making(const duct::Duct& duct, const duct::Piece& piece, std::optional<double> station_mm,
                const std::optional<Vec3>& toward, Band& band);
/// By how much any piece may lie nearer than drawn to anything, from how it is made: the greatest over all pieces and
/// places, mm.
double nearer_by_making_mm(const duct::Duct& duct);
/// Misfit of the measured motions of these bodies, into `band`.
void add_misfit(const bay::Bay& bay, std::span<const BodyIndex> moving, Band& band);
/// Bodies that a carriage rides on, each once, those that never move left out.
std::vector<BodyIndex> moving_bodies(const Kinematics& kinematics, const Carriage& carriage);

}  // namespace baywright::measure

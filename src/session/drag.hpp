#pragma once

#include <memory>
#include <mutex>
#include <optional>
#include <vector>

#include "checks/evaluation.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"
#include "measure/live_clearance.hpp"
#include "measure/surface_map.hpp"
#include "session/edit.hpp"
#include "session/tightest.hpp"

namespace baywright::session {

struct DragOptions {
  double step_spacing_mm = 14;    ///< of the map while dragging; 0: no map
  double release_spacing_mm = 5;  ///< of the map on release; 0: no map
  double map_range_mm = 50;       ///< the greatest clearance that the colours tell apart
};

/// What is known after one move of the pointer.
struct DragStep {
  duct::Duct duct;                                                 ///< as edited
  measure::LiveClearance::Step clearance;                          ///< of the pieces that the edit moved
  measure::SurfaceMap map;                                         ///< at rest, of the shapes that moved, coarse
  std::optional<Tightest> tightest_at_rest, tightest_over_motion;  ///< of the whole duct
};

/// What is known when the button is let go.
struct DragRelease {
  MovePoint edit;  ///< what was done, for the history
  duct::Duct duct;
  measure::ClearanceReport at_rest, over_motion;  ///< of the whole duct, as measure_clearance gives them
  measure::SurfaceMap map;                        ///< at rest, of the whole duct, fine
};

/// A point of one duct on the pointer: measured after every move. Calls may come from several threads; a new one stops
/// the one that runs, which then fails as cancelled: the newest edit wins. Other ducts that end on this one are not
/// laid out again until the edit is applied to the job.
class DragSession {
 public:
  /// `evaluation` must be of `installation`. Fails with bad_value when the duct is not in both.
  static Result<std::unique_ptr<DragSession>> begin(std::shared_ptr<const job::Installation> installation,
                                                    const checks::Evaluation& evaluation, const duct::DuctId& duct,
                                                    const DragOptions& options = {});

  /// Moves an intersection point. Fails: no such point; the route cannot be laid out (as lay_out says it); cancelled
  /// through `stop` or by a newer call. After a failure the duct is where the last good move put it. Cost: header of
  /// measure::LiveClearance, and of measure::surface_map for the shapes that moved.
  Result<DragStep> move_point(const duct::PointId& point, const Vec3& to_mm, const Progress& stop = {});

  /// Completes the last good move: every piece, and the map at full density. Fails: nothing was moved; cancelled.
  Result<DragRelease> release(const Progress& stop = {});

 private:
  DragSession(std::shared_ptr<const job::Installation> installation, const checks::Evaluation::DuctResult& result,
              std::size_t duct, const DragOptions& options);
  /// Stops what runs and waits for it.
  std::unique_lock<std::mutex> take_over(const Progress& stop);

  const std::shared_ptr<const job::Installation> installation_;
  const DragOptions options_;
  std::vector<duct::Duct> others_;
  duct::DuctSpec spec_;  ///< after the last good move
  measure::LiveClearance clearance_;
  measure::SurfaceMap map_;  ///< of the last good move
  std::optional<DragStep> last_;
  std::optional<MovePoint> edit_;
  std::mutex working_, announcing_;
  Progress running_;  ///< of the newest call
};

}  // namespace baywright::session

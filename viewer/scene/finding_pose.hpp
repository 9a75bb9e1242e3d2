#pragma once

#include <optional>

#include "viewer/scene/views.hpp"

namespace baywright::viewer {

/// A finding's place in any pose of the bay.
struct PosedFinding {
  Place place;  ///< its state is the pose asked for; the witness is the one there
  bool own_pose = true;
  /// A clearance: the distance of the same two things in the pose asked for. Nothing in the finding's own pose, for
  /// other findings, and where the two are farther apart than what was looked at.
  std::optional<measure::Measured> here;
};

/// `own` is the finding's place as place_of found it.
PosedFinding finding_at(const job::Installation& installation, const checks::Finding& finding, const Place& own,
                        const PosedState& state);

}  // namespace baywright::viewer

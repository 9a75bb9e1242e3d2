#pragma once

#include <optional>
#include <string>
#include <vector>

#include "checks/finding.hpp"
#include "job/assemble.hpp"
#include "report/report.hpp"
#include "viewer/scene/posed.hpp"

namespace baywright::viewer {

/// A part cut open so that what lies behind is seen: what lies on the normal's side of the plane stays.
struct Cut {
  int part = 0;
  Vec3 point_mm = Vec3::Zero();
  Vec3 normal = Vec3::UnitX();
};

/// Parallel-projection camera plus what is taken out of its way. Vehicle frame.
struct Shot {
  Vec3 focal_mm = Vec3::Zero();
  Vec3 toward = Vec3::UnitY();  ///< unit, from the focal point to the eye
  Vec3 up = Vec3::UnitZ();
  double half_height_mm = 500;
  std::vector<int> outlined;  ///< parts drawn only as their edges
  std::vector<Cut> cuts;
  std::string direction;  ///< "from the left", "from above, front left"
};

/// What a finding points at, in its own pose.
struct Place {
  PosedState state;
  Vec3 focus_mm = Vec3::Zero();
  std::optional<Vec3> on_duct_mm, on_other_mm;  ///< ends of the witness line
  bool interferes = false;                      ///< the two overlap: witnesses lie inside each other's solids
  int part = -1;
  PieceRef piece{-1, -1};
};
/// Nothing when the finding names no place (a count, a missing input).
std::optional<Place> place_of(const job::Installation& installation, const checks::Finding& finding);

/// The usual views, framed on the ducts. From the sides and above, parts that would hide much of a duct are outlined
/// and scans are cut; the oblique one, from the front and above, shows the bay as it is without its bonnet.
Shot standard_view(const job::Installation& installation, report::PictureRequest::View view, double aspect,
                   const PosedState& state);
/// View along `toward` of everything (ducts and parts), nothing taken away.
Shot whole_bay(const job::Installation& installation, const Vec3& toward, double aspect);
/// The ducts along `toward`, nothing taken away; the whole bay when there are none.
Shot ducts_framed(const job::Installation& installation, const Vec3& toward, double aspect, const PosedState& state);
/// Parts that hide more than a little of the ducts from an eye far along `toward`, bonnets always.
std::vector<int> covering_parts(const job::Installation& installation, const Vec3& toward, const PosedState& state);
/// Camera from which the place is seen: witness line nearly across the line of sight, nothing in front. Directions are
/// tried all round and tested with rays; what still hides the place is outlined or cut.
Shot close_up(const job::Installation& installation, const Place& place, double aspect);

/// "from above, front left".
std::string direction_words(const Vec3& toward);

}  // namespace baywright::viewer

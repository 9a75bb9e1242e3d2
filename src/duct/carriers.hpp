#pragma once

#include <optional>
#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "duct/trouble.hpp"

namespace baywright::duct {

/// Rigid tube between two gaps; of no length where a coupler sits on a port's own spigot.
struct Stretch {
  double from_mm = 0, to_mm = 0;
};
/// A soft joint. Joint i lies between stretch i and stretch i + 1.
struct SoftJoint {
  std::string name;
  Vec3 middle_mm;          ///< of its gap
  bool separates = false;  ///< in: by its shape; out: also a straight coupler that has to part two holders
  /// From tube end to tube end, where a flexible joint's hose and clamps may be told apart; none: of no length.
  std::optional<Gap> gap = std::nullopt;
  bool bends_as_curve =
      false;  ///< its hose is straight over the gap and of one size: it bends as a flexible joint does
};
struct Carried {
  Carriage carriage;
  std::vector<bay::BodyId> held_by;  ///< empty: floats
  std::string note;
};
struct Carriers {
  std::vector<Carried> stretches;
  std::vector<Carried> joints;
  std::vector<Carriage> clamps;  ///< per joint: each band on its own tube where those are two
};

/// How every stretch and joint moves.
///
/// Joints that do not separate join the stretches on both sides into one rigid group. A group moves with what holds it;
/// where different holders sit on different stretches with no separating joint between, the joints between them become
/// separating. A group held twice may follow any mixture of the two. A group held by nothing floats: a link between the
/// middles of the gaps on both sides when its neighbours are each fixed to one body; fixed when both are fixed to the
/// same one; else (a neighbour that floats itself or is held twice) any mixture of what the nearest held groups do.
/// A separating joint between two sides of one motion each bends as a flexible joint (geometry's Carriage::gap) where
/// its hose is straight and of one size; over a bend, with a step, of no length or beside a side of two motions it
/// follows any mixture of its two sides.
///
/// @param holds in order of station, the first at the first stretch, the last at the last one.
/// Adds an error where more than two motions would have to be mixed.
Carriers carry(const std::vector<Stretch>& stretches, std::vector<SoftJoint>& joints, const std::vector<Hold>& holds,
               Trouble& trouble);

}  // namespace baywright::duct

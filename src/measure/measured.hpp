#pragma once

#include <limits>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "bay/ids.hpp"
#include "duct/route.hpp"
#include "geometry/base/band.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/clearance/motion.hpp"
#include "geometry/vec.hpp"

namespace baywright::measure {

inline constexpr double kInfinity = std::numeric_limits<double>::infinity();

/// A measure could not be taken: a value, never an error and never a pass.
struct NotAssessed {
  std::string reason;                ///< one line: what is missing or why it cannot be computed
  std::vector<std::string> missing;  ///< inputs as the job names them: "flow", "ducts/intake/fittings: sensor tube"
};

/// Two points whose distance was measured, vehicle frame at `pose`.
struct Witness {
  Vec3 on_duct_mm = Vec3::Zero();
  Vec3 on_other_mm = Vec3::Zero();
};

/// A second way to take a value that people on the vehicle use. Shown beside the value, never judged.
struct Aside {
  std::string what;  ///< how it is taken: "to the edge of the boss"
  double value = 0;
  Unit unit = Unit::none;
};

/// One number with what is known about it. Stored in `unit`; `lo` and `hi` bracket it (equal when computed exactly);
/// `band` is the uncertainty of the inputs, kept apart from the bracket until the verdict.
struct Measured {
  double lo = 0;
  double hi = 0;
  Unit unit = Unit::none;
  Band band;
  std::optional<double> station_mm;
  std::optional<Vec3> at_mm;
  std::optional<Witness> witness;
  std::optional<PosedState> pose;
  std::string pose_name;        ///< "at rest", "engine: forward torque at 100 %"; "" when no pose matters
  bool assumed_motion = false;  ///< rests on a motion nobody measured
  std::string note;             ///< anything a reader must know, one line
  std::vector<Aside> asides;

  static Measured exact(double value, Unit unit) {
    Measured m;
    m.lo = m.hi = value;
    m.unit = unit;
    return m;
  }
  /// Interval in which the true value lies: bracket widened by the band.
  double lowest() const { return lo - band.low(); }
  double highest() const { return hi + band.high(); }
};

using Outcome = std::variant<Measured, NotAssessed>;

/// What stands before `lo` where `hi` has no bound: nothing nearer was found within the range of a clearance; or so
/// much pressure is lost when the flow stops passing.
inline const char* open_end_words(const Measured& m) { return m.unit == Unit::pascal ? "chokes after" : "over"; }

}  // namespace baywright::measure

#pragma once

#include <string>

#include "checks/check.hpp"

namespace baywright::checks {

/// What would help a piece that is too near to a part, one line: how far to move it, which way, and how far the tube
/// can go that way at this place before it meets another part. Lengths in the bay's display units. `limit` as it stands
/// in the sheet.
std::string clearance_hint(const Context& context, const measure::PairClearance& pair, const Limit& limit);

/// How far a ball of `radius_mm` around `from_mm` can go along the unit vector `way` before it meets a part, everything
/// at rest. Parts it touches from the start, `leave_out` and parts whose size is in doubt do not count.
struct FreeWay {
  double length_mm = 0;             ///< never more than `range_mm`
  const bay::Part* next = nullptr;  ///< the part it meets; null: none within the range
  bool known = false;               ///< false: there is no other part to meet
};
FreeWay free_way(const bay::Bay& bay, int leave_out, const Vec3& from_mm, double radius_mm, const Vec3& way,
                 double range_mm);

}  // namespace baywright::checks

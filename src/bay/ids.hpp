#pragma once

#include "geometry/base/id.hpp"

namespace baywright::bay {

using BodyId = Id<struct BodyTag>;
using PartId = Id<struct PartTag>;
using PortId = Id<struct PortTag>;
using OpeningId = Id<struct OpeningTag>;
using MarkId = Id<struct MarkTag>;

/// The reference body: always there, never moves, index 0.
inline const BodyId kVehicle{"vehicle"};

}  // namespace baywright::bay

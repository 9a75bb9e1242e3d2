#pragma once

#include "geometry/base/id.hpp"

namespace baywright::bay {

using BodyId = Id<struct BodyTag>;
using PartId = Id<struct PartTag>;
using PortId = Id<struct PortTag>;
using OpeningId = Id<struct OpeningTag>;
using MarkId = Id<struct MarkTag>;

}  // namespace baywright::bay

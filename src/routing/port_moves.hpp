#pragma once

#include "duct/layout.hpp"
#include "geometry/base/result.hpp"
#include "geometry/pose.hpp"
#include "job/assemble.hpp"

namespace baywright::routing {

/// Why an end of a duct cannot be moved with what it belongs to; "" when it can. Another duct that ends on the same
/// port or part would lose its end; a cloud of points is not moved; nor is a part that is not known.
std::string why_port_stays(const job::Installation& installation, const duct::DuctId& duct, const bay::PortId& port);

/// The installation with that port moved, and the part it belongs to with it. Its ducts are those it had: a search lays
/// out its own. EXPECTS that it can be moved.
job::Installation with_port_moved(const job::Installation& installation, const bay::PortId& port, const Pose& by);

}  // namespace baywright::routing

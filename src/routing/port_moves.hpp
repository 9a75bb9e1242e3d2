#pragma once

#include <string>
#include <vector>

#include "duct/layout.hpp"
#include "geometry/base/result.hpp"
#include "geometry/pose.hpp"
#include "job/assemble.hpp"

namespace baywright::routing {

/// Parts, with all ports that belong to them, and ports that belong to none, put elsewhere as one.
struct PartMove {
  std::vector<bay::PartId> parts;
  std::vector<bay::PortId> ports;  ///< that belong to no part
  Pose by;                         ///< of the vehicle frame at rest: from the place as given to the new one
  std::string text = {};           ///< "filter housing moved by 30.0 mm along +x"
  std::string place = {};          ///< name of the place it was put at; "": it slid or turned
};

/// Why parts and ports cannot be moved for a duct; "" when they can. Another duct that ends on one of them would lose
/// its end; a cloud of points is not moved; nor is a part that is not known.
std::string why_it_stays(const job::Installation& installation, const duct::DuctId& duct, const PartMove& move);
/// The same of an end of the duct with the part it belongs to.
std::string why_port_stays(const job::Installation& installation, const duct::DuctId& duct, const bay::PortId& port);

/// The installation with something of it moved, and its job likewise: ports with their hoods, parts with their
/// alignment, filter elements with their housing. Its ducts are those it had: a search lays out its own. Places are
/// rounded to 1e-6 mm, so that the job's text reads as they are. EXPECTS that it can be moved.
job::Installation with_moved(const job::Installation& installation, const PartMove& move);
/// Of an end of a duct with the part it belongs to.
job::Installation with_port_moved(const job::Installation& installation, const bay::PortId& port, const Pose& by);

/// The job alone. What it says of moving just these (routing.may_move) is taken out: it is counted from where they
/// stood.
job::Job with_moved(job::Job job, const PartMove& move);

}  // namespace baywright::routing

#pragma once

#include "bay/bay.hpp"
#include "job/job.hpp"

namespace baywright::job {

/// A port as the job states it, among the bodies of the bay. A body that is not there counts as the vehicle.
bay::Port port_of(const PortSpec& spec, const bay::Bay& bay);

}  // namespace baywright::job

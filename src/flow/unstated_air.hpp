#pragma once

#include <string>
#include <vector>

#include "flow/flow_model.hpp"

namespace baywright::flow {

/// What is lacking of rated flow and outside air, as the job names it, each key once: an engine's flow hangs on the
/// outside air too.
std::vector<std::string> unstated_air(const FlowInputs& inputs);

}  // namespace baywright::flow

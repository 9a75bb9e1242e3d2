#pragma once

#include <string>

namespace baywright::app {

/// The job file of models/start, which is part of the program.
std::string start_job_text();

}  // namespace baywright::app

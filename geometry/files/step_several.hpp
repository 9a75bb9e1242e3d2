#pragma once

#include <filesystem>
#include <vector>

#include "geometry/files/step_file.hpp"

namespace baywright {

/// read_step() for several files at the same time, one process each and as many as there are cores; the same outcomes
/// in the order of the paths. All processes are started by the calling thread before anything else is done.
std::vector<Result<StepModel>> read_steps(const std::vector<std::filesystem::path>& paths,
                                          const Progress& progress = {});

}  // namespace baywright

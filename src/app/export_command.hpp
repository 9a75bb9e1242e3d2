#pragma once

#include <string>

#include "job/assemble.hpp"

namespace baywright::app {

struct ExportOptions {
  std::string job;
  std::string out;
  job::ReadOptions read;
};

/// Writes every duct of a job as `duct-ID.step`. Returns the exit code.
int run_export(const ExportOptions& options);

}  // namespace baywright::app

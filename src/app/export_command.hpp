#pragma once

#include <string>

namespace baywright::app {

struct ExportOptions {
  std::string job;
  std::string out;
};

/// Writes every duct of a job as `duct-ID.step`. Returns the exit code.
int run_export(const ExportOptions& options);

}  // namespace baywright::app

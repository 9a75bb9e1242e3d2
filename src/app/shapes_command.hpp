#pragma once

#include <string>
#include <vector>

namespace baywright::app {

struct ShapesOptions {
  std::string file;
  std::string unit;      ///< of the file's numbers where the format states none, and of sizes shown; "": not said
  bool entries = false;  ///< print entries for the job's list of parts instead of a table
};

/// The words `unit` may be.
std::vector<std::string> shape_units();

/// Lists what a model, mesh or cloud holds and how a job names it. Returns the exit code.
int run_shapes(const ShapesOptions& options);

}  // namespace baywright::app

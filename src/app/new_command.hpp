#pragma once

#include <string>

namespace baywright::app {

struct NewOptions {
  std::string folder;
  bool inches = false;  ///< show results in inches, inches of water and degrees Fahrenheit
};

/// Writes a small complete job to start from into a folder: job.json, sheet.json, frame.stl, engine.step, README.md.
/// Never writes over a file. Returns the exit code.
/// @param program path this program was started as, for the lines that say what to do next.
int run_new(const NewOptions& options, const std::string& program);

}  // namespace baywright::app

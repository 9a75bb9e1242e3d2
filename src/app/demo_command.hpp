#pragma once

#include <string>

#include "job/assemble.hpp"

namespace baywright::app {

struct DemoOptions {
  std::string out = "baywright-demo";
  job::ReadOptions read;
  bool no_pictures = false;
};

/// Copies the demo's jobs into a folder of the user's, makes their STEP files and scan there, checks all of them and
/// writes their reports. What the user changed in that folder is kept. Returns 0 when both checks ran.
/// @param program path this program was started as: its files are found from there.
int run_demo(const DemoOptions& options, const std::string& program);

}  // namespace baywright::app

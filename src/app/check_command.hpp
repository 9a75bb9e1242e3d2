#pragma once

#include <string>

#include "job/assemble.hpp"

namespace baywright::app {

struct CheckOptions {
  std::string job;
  std::string out;  ///< "": print only
  job::ReadOptions read;
  bool brief = false;
  bool no_pictures = false;
};

/// Reads, measures, prints, and writes findings.json and report.html. Returns the exit code.
int run_check(const CheckOptions& options);

}  // namespace baywright::app

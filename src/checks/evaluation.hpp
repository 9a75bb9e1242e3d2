#pragma once

#include <vector>

#include "checks/check.hpp"
#include "checks/finding.hpp"

namespace baywright::checks {

/// Everything measured about one job. The command line, the window, the reports and the tests all get their numbers
/// here.
struct Evaluation {
  struct DuctResult {
    duct::DuctId duct;
    DuctMeasures measures;
    std::vector<Finding> findings;
  };
  std::vector<DuctResult> ducts;
  std::vector<Finding> findings;  ///< of all ducts, worst first
  Summary summary;
};

/// 0 all met; 1 something not met; 3 nothing failed but something undecided or not checked, or nothing was checked at
/// all: an empty job is no pass.
int exit_code(const Summary& summary);

}  // namespace baywright::checks

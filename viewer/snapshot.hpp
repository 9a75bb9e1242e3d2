#pragma once

#include <string>

#include "checks/evaluation.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"
#include "report/report.hpp"

namespace baywright::viewer {

/// PNG of a bay with its ducts, drawn without a display. Same input on one machine: same bytes.
/// Fails: not_supported when no off-screen graphics can be had (says what was tried).
Result<std::string> snapshot_png(const job::Installation& installation, const checks::Evaluation& evaluation,
                                 const report::PictureRequest& request);

}  // namespace baywright::viewer

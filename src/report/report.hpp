#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "checks/evaluation.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"

namespace baywright::report {

/// A picture the report wants: what to look at and from where.
struct PictureRequest {
  enum class View { from_left, from_top, from_front, oblique, close_up };
  View view = View::from_left;
  const checks::Finding* finding = nullptr;  ///< close-ups: its witness line is drawn, its pose is set
  int width_px = 1200;
  int height_px = 800;
};
/// PNG bytes, or why there is none. Supplied by the application (viewer) so that reports need no 3-D library.
using PictureSource =
    std::function<Result<std::string>(const job::Installation&, const checks::Evaluation&, const PictureRequest&)>;

/// findings.json: every value with unit, uncertainty, limit, origin, verdict, station, witness points, pose.
std::string findings_json(const job::Installation& installation, const checks::Evaluation& evaluation);
/// JSON Schema of findings.json.
std::string findings_schema();

/// One self-contained HTML file. Same input, same build: same bytes (no time of day).
std::string report_html(const job::Installation& installation, const checks::Evaluation& evaluation,
                        const PictureSource& pictures);

/// The cautions printed in every report (trade practice), in the product's own words.
const std::vector<std::string>& cautions();

}  // namespace baywright::report

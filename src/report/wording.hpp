#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "checks/evaluation.hpp"
#include "duct/layout.hpp"
#include "job/assemble.hpp"

namespace baywright::report {

// Sentences and selections that findings.json and the report share, so that they cannot disagree.

/// Verdict on the whole job: the worst of its findings; not checked when there are none.
checks::Verdict job_verdict(const checks::Summary& summary);
/// The same as one sentence with counts.
std::string job_sentence(const checks::Evaluation& evaluation);

/// How a verdict follows from a number, two sentences.
std::string_view decision_rule();
/// The frame all coordinates are in, one sentence.
std::string_view frame_text();
/// What no version of these measures looks at, one line each.
const std::vector<std::string>& not_modelled();

/// Name of a body for reading: its name, else its id.
std::string body_name(const bay::Bay& bay, BodyIndex body);
std::string body_name(const bay::Bay& bay, const bay::BodyId& body);
/// "moves with engine", "floats between vehicle and engine", "flexes between vehicle and engine".
std::string carrier_text(const bay::Bay& bay, const duct::Piece& piece);

/// "8 mm", "5/16 in": a size of hexagon as it is stamped on the tool, whatever the job's lengths are shown in.
std::string hexagon_text(double hexagon_mm);

/// Whether it is the clearance of a pair, at rest or over the motion.
bool is_clearance(const checks::Finding& finding);
/// Bodies whose motion nobody measured, by name.
std::vector<std::string> assumed_motions(const bay::Bay& bay);
/// Keys of the job whose absence put a stand-in into the band of a finding; sorted, each once.
std::vector<std::string> unstated_inputs(const checks::Evaluation& evaluation);
/// Number of findings whose value rests on such a motion.
int count_on_assumed_motion(const checks::Evaluation& evaluation);
/// Clearance findings with witness points at distinct places, worst first as the evaluation lists them, at most
/// `count`. Two findings are one place when their witnesses on the same part are closer than 100 mm, or on any part
/// closer than 25 mm.
std::vector<const checks::Finding*> tightest_places(const checks::Evaluation& evaluation, std::size_t count);

}  // namespace baywright::report

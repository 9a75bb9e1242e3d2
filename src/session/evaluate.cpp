#include "session/evaluate.hpp"

#include <algorithm>

namespace baywright::session {
namespace {

const checks::Evaluation::DuctResult* find_result(const checks::Evaluation* evaluation, const duct::DuctId& id) {
  if (!evaluation) return nullptr;
  const auto same = [&id](const checks::Evaluation::DuctResult& r) { return r.duct == id; };
  const auto it = std::find_if(evaluation->ducts.begin(), evaluation->ducts.end(), same);
  return it == evaluation->ducts.end() ? nullptr : &*it;
}

}  // namespace

Result<checks::Evaluation> evaluate(const job::Installation& installation, const checks::Evaluation* previous,
                                    const std::set<std::string>& changed, const Progress& progress, bool whole_charts) {
  checks::Evaluation evaluation;
  const ClearanceOptions options{
      .width_mm = installation.job.clearance_width_mm,
      .range_mm = checks::search_range_mm(installation.sheet, installation.job.clearance_range_mm)};
  for (const duct::Duct& duct : installation.ducts) {
    const auto* known = changed.contains(duct.spec.id.value) ? nullptr : find_result(previous, duct.spec.id);
    // What clamps have around them are the other ducts too.
    const bool same_clamps = known && (changed.empty() || known->measures.clamps.empty());
    if (known && same_clamps) {
      evaluation.ducts.push_back(*known);
    } else {
      progress.report("measuring duct " + duct.spec.id.value);
      checks::Evaluation::DuctResult result;
      result.duct = duct.spec.id;
      result.measures = known ? known->measures
                              : checks::measure_duct(installation.bay, duct, installation.job.flow, installation.sheet,
                                                     options, progress);
      result.measures.clamps = access::clamp_access(
          {installation.bay, installation.ducts, installation.workshop, whole_charts}, duct, progress);
      if (progress.cancelled()) return fail(ErrorCode::cancelled, "", "measuring was cancelled; nothing was judged");
      result.findings = checks::run_checks(installation.judged(), duct, result.measures);
      evaluation.ducts.push_back(std::move(result));
    }
    const auto& findings = evaluation.ducts.back().findings;
    evaluation.findings.insert(evaluation.findings.end(), findings.begin(), findings.end());
  }
  const auto between = checks::duct_pair_findings(installation.ducts);
  evaluation.findings.insert(evaluation.findings.end(), between.begin(), between.end());
  const auto of_job = checks::run_job_checks(installation.judged(), evaluation.findings);
  evaluation.findings.insert(evaluation.findings.end(), of_job.begin(), of_job.end());
  checks::sort_worst_first(evaluation.findings);
  evaluation.summary = checks::summarize(evaluation.findings);
  return evaluation;
}

}  // namespace baywright::session

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

/// The ducts between which a duct's own measures keep the clearance: itself and those behind it. `known`: measures that
/// still hold for pairs without a change.
void measure_between(const job::Installation& installation, std::size_t duct, const checks::DuctMeasures* known,
                     const std::set<std::string>& changed, const ClearanceOptions& options, const Progress& progress,
                     checks::DuctMeasures& measures) {
  const auto& ducts = installation.ducts;
  std::vector<measure::DuctPairReport> between;
  for (std::size_t k = duct; k < ducts.size(); ++k) {
    const duct::DuctId& id = ducts[k].spec.id;
    const auto same = [&id](const measure::DuctPairReport& r) { return r.other == id; };
    if (known && !changed.contains(id.value)) {
      const auto held = std::find_if(known->between.begin(), known->between.end(), same);
      if (held != known->between.end()) {
        between.push_back(*held);
        continue;
      }
    }
    between.push_back(k == duct ? measure::measure_against_itself(installation.bay, ducts[duct], options, progress)
                                : measure::measure_between(installation.bay, ducts[duct], ducts[k], options, progress));
  }
  measures.between = std::move(between);
}

/// Whether what is known of a duct's clearance to itself and the ducts behind it is all there and unchanged.
bool between_holds(const job::Installation& installation, std::size_t duct, const checks::DuctMeasures& known,
                   const std::set<std::string>& changed) {
  const auto& ducts = installation.ducts;
  if (known.between.size() != ducts.size() - duct) return false;
  for (std::size_t k = duct; k < ducts.size(); ++k) {
    const duct::DuctId& id = ducts[k].spec.id;
    if (changed.contains(id.value) || known.between[k - duct].other != id) return false;
  }
  return true;
}

}  // namespace

Result<checks::Evaluation> evaluate(const job::Installation& installation, const checks::Evaluation* previous,
                                    const std::set<std::string>& changed, const Progress& progress,
                                    const Extent& extent) {
  checks::Evaluation evaluation;
  const ClearanceOptions options{
      .width_mm = installation.job.clearance_width_mm,
      .range_mm = checks::search_range_mm(installation.sheet, installation.job.clearance_range_mm)};
  // Ways out hang on all ducts; while one is dragged about nobody waits for them.
  std::shared_ptr<const access::WaysOut> ways;
  if (previous && changed.empty() && !previous->ducts.empty()) ways = previous->ducts.front().measures.ways;
  const bool found_now = !ways && extent.ways_out;
  if (found_now) ways = checks::measure_ways(installation.judged(), progress);
  for (std::size_t i = 0; i < installation.ducts.size(); ++i) {
    const duct::Duct& duct = installation.ducts[i];
    const auto* known = changed.contains(duct.spec.id.value) ? nullptr : find_result(previous, duct.spec.id);
    // What clamps have around them are the other ducts too.
    const bool same_clamps = known && (changed.empty() || known->measures.clamps.empty());
    if (known && same_clamps && between_holds(installation, i, known->measures, changed)) {
      evaluation.ducts.push_back(*known);
      // Its measures hold; what was judged may hang on a duct that changed, as charge air does on the intake.
      if (!changed.empty() || found_now) {
        auto& result = evaluation.ducts.back();
        result.measures.ways = ways;
        // So does what is lost ahead of the filter, on the raw air duct.
        checks::measure_restriction(duct, installation.ducts, installation.job.flow, result.measures);
        result.findings = checks::run_checks(installation.judged(), duct, result.measures);
      }
    } else {
      progress.report("measuring duct " + duct.spec.id.value);
      checks::Evaluation::DuctResult result;
      result.duct = duct.spec.id;
      result.measures = known ? known->measures : checks::measure_duct(installation.judged(), duct, options, progress);
      if (known) checks::measure_restriction(duct, installation.ducts, installation.job.flow, result.measures);
      result.measures.ways = ways;
      measure_between(installation, i, known ? &known->measures : nullptr, changed, options, progress, result.measures);
      if (!same_clamps) {
        result.measures.clamps = access::clamp_access(
            {installation.bay, installation.ducts, installation.workshop, extent.whole_charts}, duct, progress);
      }
      if (progress.cancelled()) return fail(ErrorCode::cancelled, "", "measuring was cancelled; nothing was judged");
      result.findings = checks::run_checks(installation.judged(), duct, result.measures);
      evaluation.ducts.push_back(std::move(result));
    }
    const auto& findings = evaluation.ducts.back().findings;
    evaluation.findings.insert(evaluation.findings.end(), findings.begin(), findings.end());
  }
  const auto of_job = checks::run_job_checks(installation.judged(), evaluation.findings);
  evaluation.findings.insert(evaluation.findings.end(), of_job.begin(), of_job.end());
  checks::sort_worst_first(evaluation.findings);
  evaluation.summary = checks::summarize(evaluation.findings);
  return evaluation;
}

}  // namespace baywright::session

#include "checks/check_groups.hpp"

namespace baywright::checks {
namespace {

/// Open findings may turn out either way, so none to all of them are not met in the end: a bracket.
std::vector<Subject> measure_open(const Judged& job, std::span<const Finding> so_far) {
  if (job.ducts.empty()) return {};
  const Summary found = summarize({so_far.begin(), so_far.end()});
  measure::Measured m = measure::Measured::exact(0, Unit::count);
  m.hi = static_cast<double>(found.undecided + found.not_checked);
  if (m.hi > 0) {
    m.note = std::to_string(found.undecided) + " undecided, " + std::to_string(found.not_checked) + " not checked";
  }
  Subject s;
  s.subject = "the whole job";
  s.outcome = std::move(m);
  return {s};
}

CheckDef open_findings() {
  CheckDef c;
  c.id = "dt.undecided";
  c.title = "Nothing left open";
  c.question = "Is every requirement decided?";
  c.definition =
      "How many of the findings that are undecided or not checked may turn out not met: none to all of them, so it is "
      "undecided itself while there are any. Those of weight info are told and not counted. Nothing is released for "
      "making before it is met.";
  c.unit = Unit::count;
  c.comparison = Comparison::at_most;
  c.severity = Severity::info;
  c.inputs = {"ducts"};
  c.hint = "measure what is undecided more closely, and state what is missing: the findings say which";
  c.measure_job = measure_open;
  return c;
}

}  // namespace

std::vector<CheckDef> job_checks() { return {open_findings()}; }

}  // namespace baywright::checks

#include <algorithm>

#include "checks/check.hpp"
#include "geometry/base/words.hpp"

namespace baywright::checks {
namespace {

/// Keys of the job whose absence put a stand-in into a band, each once.
std::vector<std::string> unstated_inputs(const Band& band) {
  std::vector<std::string> keys;
  for (const Contribution& c : band.contributions()) {
    if (!c.missing.empty() && std::find(keys.begin(), keys.end(), c.missing) == keys.end()) keys.push_back(c.missing);
  }
  return keys;
}

/// `duct`: empty for a check of the whole job.
Finding blank(const CheckDef& check, const duct::DuctId& duct) {
  Finding f;
  f.check = check.id;
  f.title = check.title;
  f.severity = check.severity;
  f.duct = duct;
  return f;
}

Finding not_applicable(const CheckDef& check, const duct::DuctId& duct, std::string reason) {
  Finding f = blank(check, duct);
  f.verdict = Verdict::not_applicable;
  f.outcome = measure::NotAssessed{std::move(reason), {}};
  return f;
}

/// What would help: nothing when met; what is missing when not checked; else the subject's own line or the check's.
std::string hint_of(const CheckDef& check, const Subject& subject, Verdict verdict, bool has_limit) {
  if (verdict == Verdict::met) return "";
  if (const auto* refused = std::get_if<measure::NotAssessed>(&subject.outcome)) {
    return refused->missing.empty() ? refused->reason : "give " + joined(refused->missing);
  }
  if (!has_limit && subject.hint.empty())
    return "the sheet has no limit for this check (sheet/limits/" + check.id + ")";
  std::string hint = subject.hint.empty() ? check.hint : subject.hint;
  if (verdict != Verdict::undecided) return hint;
  const std::vector<std::string> unstated = unstated_inputs(std::get<measure::Measured>(subject.outcome).band);
  return unstated.empty() ? hint : "state " + joined(unstated) + ", for which a usual figure was taken; or " + hint;
}

Finding judged(const CheckDef& check, const Sheet& sheet, const duct::DuctId& duct, const Subject& subject) {
  Finding f = blank(check, duct);
  f.subject = subject.subject;
  f.part = subject.part;
  f.pair = subject.pair;
  f.over_motion = subject.over_motion;
  f.severity = subject.severity.value_or(check.severity);
  f.outcome = subject.outcome;
  f.limit = subject.limit;
  if (!f.limit && check.limits == LimitPlace::by_id) {
    const auto limit = sheet.limits.find(check.id);
    if (limit != sheet.limits.end()) f.limit = limit->second;
  }
  f.verdict = subject.fails ? Verdict::not_met : decide(f.outcome, f.limit);
  f.hint = hint_of(check, subject, f.verdict, f.limit.has_value());
  return f;
}

/// Findings of one check from its subjects; none at all: it has nothing to look at.
void add_findings(const CheckDef& check, const Sheet& sheet, const duct::DuctId& duct,
                  const std::vector<Subject>& subjects, std::vector<Finding>& findings) {
  if (subjects.empty()) {
    findings.push_back(not_applicable(
        check, duct, std::string(duct.empty() ? "the job" : "the duct") + " has nothing that it looks at"));
  }
  for (const Subject& subject : subjects) {
    findings.push_back(subject.left_out.empty() ? judged(check, sheet, duct, subject)
                                                : not_applicable(check, duct, subject.left_out));
  }
}

/// The sheet says that this check is not asked for: its finding, where it does.
std::optional<Finding> waived(const CheckDef& check, const Sheet& sheet, const duct::DuctId& duct) {
  const auto reason = sheet.not_required.find(check.id);
  if (reason == sheet.not_required.end()) return std::nullopt;
  return not_applicable(check, duct, "the sheet does not require it: " + reason->second);
}

bool applies(const CheckDef& check, duct::Service service) {
  return std::find(check.services.begin(), check.services.end(), service) != check.services.end();
}

/// Findings of every check of ducts that `asked` names, in the registry's order.
template <class Asked>
std::vector<Finding> run_checks_if(const Judged& job, const duct::Duct& duct, const DuctMeasures& measures,
                                   const Asked& asked) {
  const Context context{job.bay,   duct,         job.flow,    job.sheet,       measures,
                        job.ducts, job.workshop, job.answers, job.surroundings};
  std::vector<Finding> findings;
  for (const CheckDef& check : registry()) {
    if (check.services.empty() || !asked(check)) continue;
    if (!applies(check, duct.spec.service)) {
      findings.push_back(not_applicable(check, duct.spec.id,
                                        "does not concern a duct for " + std::string(duct::name(duct.spec.service))));
      continue;
    }
    if (auto finding = waived(check, job.sheet, duct.spec.id)) {
      findings.push_back(*std::move(finding));
    } else {
      add_findings(check, job.sheet, duct.spec.id, check.measure(context), findings);
    }
  }
  sort_worst_first(findings);
  return findings;
}

}  // namespace

std::vector<Finding> run_checks(const Judged& job, const duct::Duct& duct, const DuctMeasures& measures) {
  return run_checks_if(job, duct, measures, [](const CheckDef&) { return true; });
}

std::vector<Finding> run_checks(const Judged& job, const duct::Duct& duct, const DuctMeasures& measures,
                                std::span<const std::string_view> only) {
  return run_checks_if(job, duct, measures, [only](const CheckDef& check) {
    return std::find(only.begin(), only.end(), check.id) != only.end();
  });
}

std::vector<Finding> run_job_checks(const Judged& job, std::span<const Finding> of_ducts) {
  std::vector<Finding> findings, so_far(of_ducts.begin(), of_ducts.end());
  for (const CheckDef& check : registry()) {
    if (!check.services.empty()) continue;
    std::vector<Finding> found;
    if (auto finding = waived(check, job.sheet, {})) {
      found.push_back(*std::move(finding));
    } else {
      add_findings(check, job.sheet, {}, check.measure_job(job, so_far), found);
    }
    so_far.insert(so_far.end(), found.begin(), found.end());
    findings.insert(findings.end(), found.begin(), found.end());
  }
  sort_worst_first(findings);
  return findings;
}

}  // namespace baywright::checks

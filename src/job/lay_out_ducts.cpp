#include "job/lay_out_ducts.hpp"

#include <set>

#include "geometry/base/expects.hpp"
#include "job/job_problems.hpp"

namespace baywright::job {
namespace {

Error error_at(const std::string& pointer, std::string message) {
  return {ErrorCode::bad_value, "job.json: " + pointer, std::move(message)};
}

}  // namespace

ResultAll<std::vector<duct::Duct>> lay_out_ducts(const std::vector<duct::DuctSpec>& specs, const bay::Bay& bay,
                                                 const std::set<duct::DuctId>& leave_out) {
  std::vector<duct::Duct> done;
  std::vector<Error> errors;
  std::set<duct::DuctId> left;
  std::set<duct::DuctId> failed = leave_out;
  for (const duct::DuctSpec& spec : specs) left.insert(spec.id);
  const auto waits = [&](const duct::PortRef& ref) { return !ref.duct.empty() && left.contains(ref.duct); };
  const auto ends_nowhere = [&](const duct::PortRef& ref) { return !ref.duct.empty() && failed.contains(ref.duct); };
  for (bool any = true; any;) {
    any = false;
    for (const duct::DuctSpec& spec : specs) {
      const bool out = failed.contains(spec.id) || ends_nowhere(spec.from) || ends_nowhere(spec.to);
      if (!left.contains(spec.id) || (!out && (waits(spec.from) || waits(spec.to)))) continue;
      left.erase(spec.id);
      any = true;
      // What ends on a duct that could not be laid out has no place to end; one complaint is enough.
      if (out) {
        failed.insert(spec.id);
        continue;
      }
      auto layout = duct::lay_out(spec, bay, done);
      if (layout) {
        done.push_back({spec, std::move(*layout)});
      } else {
        failed.insert(spec.id);
        errors.insert(errors.end(), layout.error().begin(), layout.error().end());
      }
    }
  }
  std::vector<duct::Duct> in_order;
  for (std::size_t i = 0; i < specs.size(); ++i) {
    if (left.contains(specs[i].id)) {
      errors.push_back(error_at("/ducts/" + std::to_string(i),
                                "ends on a duct that ends on this one; one of them must start at a port"));
    }
    for (duct::Duct& duct : done) {
      if (duct.spec.id == specs[i].id) in_order.push_back(std::move(duct));
    }
  }
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  return in_order;
}

ResultAll<Installation> with_ducts_of(const Installation& installation, const Job& job) {
  Job same = job;
  same.ducts = installation.job.ducts;
  EXPECTS(same == installation.job);
  std::vector<Error> errors;
  for (const JobProblem& problem : problems_of(job)) errors.push_back(error_at(problem.pointer, problem.message));
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  auto ducts = lay_out_ducts(job.ducts, installation.bay);
  if (!ducts) return tl::unexpected(std::move(ducts.error()));
  Installation out = installation;
  out.job = job;
  out.ducts = std::move(*ducts);
  return out;
}

}  // namespace baywright::job

#include "measure/clearance_measure.hpp"

#include <tbb/parallel_for.h>

#include <mutex>

#include "measure/clearance_pairs.hpp"

namespace baywright::measure {

ClearanceReport measure_clearance(const bay::Bay& bay, const duct::Duct& duct, bool over_motion,
                                  const ClearanceOptions& options, const Progress& progress) {
  const Kinematics kinematics = running_kinematics(bay);
  ClearanceReport report;
  report.width_mm = options.width_mm;
  const std::vector<PairTask> tasks = pair_tasks(bay, duct, report);
  report.pairs.resize(tasks.size());
  const char* step = over_motion ? "clearance over motion" : "clearance at rest";
  std::mutex reporting;
  std::size_t done = 0;
  tbb::parallel_for(std::size_t{0}, tasks.size(), [&](std::size_t i) {
    if (progress.cancelled()) return;
    const PairSetting setting = pair_setting(bay, kinematics, duct, tasks[i], over_motion);
    const Bracket bracket = pair_bracket(kinematics, setting, tasks[i].shapes, options, progress);
    report.pairs[i] = pair_clearance(bay, kinematics, duct, tasks[i], setting, bracket);
    const std::lock_guard lock(reporting);
    progress.report(step, static_cast<double>(++done) / static_cast<double>(tasks.size()));
  });
  if (progress.cancelled()) return {};
  return report;
}

}  // namespace baywright::measure

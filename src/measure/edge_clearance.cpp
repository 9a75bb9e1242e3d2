#include "measure/edge_clearance.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <map>
#include <utility>

#include "measure/clearance_pairs.hpp"

namespace baywright::measure {

std::optional<bay::Part> edges_of(const bay::Part& part, const EdgeRule& rule) {
  if (part.scanned() || !part.mesh) return std::nullopt;
  TriTree tree = TriTree::over(sharp_edges(*part.mesh, rule).mesh);
  if (tree.empty()) return std::nullopt;
  bay::Part edges = part;
  edges.tree = std::move(tree);
  return edges;
}

EdgeClearance measure_edge_clearance(const bay::Bay& bay, const duct::Duct& duct, const ClearanceReport& surface,
                                     bool over_motion, double need_mm, const ClearanceOptions& options,
                                     const std::function<bool(const bay::Part&)>& counts, const EdgeRule& rule) {
  EdgeClearance out;
  std::map<int, std::optional<bay::Part>> parts;  // near ones, with their edges
  std::vector<std::pair<int, int>> near;          // piece, part
  for (const PairClearance& pair : surface.pairs) {
    const bay::Part& part = bay.parts[static_cast<std::size_t>(pair.part)];
    if (!counts(part) || pair.value.lowest() >= need_mm) continue;
    parts.emplace(pair.part, std::nullopt);
    near.emplace_back(pair.piece, pair.part);
  }
  for (auto& [index, edges] : parts) {
    const bay::Part& part = bay.parts[static_cast<std::size_t>(index)];
    if (part.scanned() || !part.mesh) {
      out.scanned.push_back(index);
      continue;
    }
    edges = edges_of(part, rule);
    if (!edges) out.edgeless.push_back(index);
  }
  ClearanceReport exceptions;
  std::vector<PairTask> tasks = pair_tasks(bay, duct, exceptions);
  std::erase_if(tasks, [&](const PairTask& task) {
    const auto part = parts.find(task.part);
    return part == parts.end() || !part->second ||
           std::find(near.begin(), near.end(), std::pair(task.piece, task.part)) == near.end();
  });
  const Kinematics kinematics = running_kinematics(bay);
  out.pairs.resize(tasks.size());
  tbb::parallel_for(std::size_t{0}, tasks.size(), [&](std::size_t i) {
    const PairSetting of_surface = pair_setting(bay, kinematics, duct, tasks[i], over_motion);
    const PairSetting setting{of_surface.carriage, *parts.at(tasks[i].part), of_surface.same_carrier,
                              of_surface.moving};
    const Bracket bracket = pair_bracket(kinematics, setting, tasks[i].shapes, options);
    out.pairs[i] = pair_clearance(bay, kinematics, duct, tasks[i], setting, bracket);
  });
  return out;
}

}  // namespace baywright::measure

#include "measure/box_clearance.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "measure/clearance_pairs.hpp"
#include "measure/tolerances.hpp"

namespace baywright::measure {
namespace {

/// Cylinders along the longest way of a box, one in the middle of each cell of a grid across it.
struct BoxFilling {
  std::vector<Primitive> shapes;
  double left_mm = 0;  ///< no point of the box is farther from them
};

BoxFilling filling_of(const Box& box, double station_mm, double fineness_mm) {
  Eigen::Index long_way = 0;
  box.half_mm.maxCoeff(&long_way);
  const std::array across{(long_way + 1) % 3, (long_way + 2) % 3};
  std::array<int, 2> count{1, 1};
  std::array<double, 2> cell{2 * box.half_mm[across[0]], 2 * box.half_mm[across[1]]};
  BoxFilling out;
  // A circle leaves the corners of its cell: of a square (sqrt 2 - 1) / 2 of its side.
  const auto left_mm = [&] { return 0.5 * (std::hypot(cell[0], cell[1]) - std::min(cell[0], cell[1])); };
  while (left_mm() > fineness_mm) {
    const std::size_t wider = cell[0] < cell[1] ? 1 : 0;
    ++count[wider];
    cell[wider] = 2 * box.half_mm[across[wider]] / count[wider];
  }
  out.left_mm = left_mm();
  const double radius = 0.5 * std::min(cell[0], cell[1]);
  const Vec3 half = box.half_mm[long_way] * box.axes.col(long_way);
  for (int i = 0; i < count[0]; ++i) {
    for (int k = 0; k < count[1]; ++k) {
      const Vec3 middle = box.center + ((i + 0.5) * cell[0] - box.half_mm[across[0]]) * box.axes.col(across[0]) +
                          ((k + 0.5) * cell[1] - box.half_mm[across[1]]) * box.axes.col(across[1]);
      Primitive p;
      p.shape = Collar{middle - half, middle + half, radius};
      p.station_from_mm = p.station_to_mm = station_mm;
      out.shapes.push_back(std::move(p));
    }
  }
  return out;
}

PairSetting setting_of(const bay::Bay& bay, const Kinematics& kinematics, const RidingBox& riding, int part_index,
                       bool over_motion) {
  const bay::Part& part = bay.parts[static_cast<std::size_t>(part_index)];
  PairSetting setting{riding.carriage, part, riding.carriage == Carriage::on(part.body), {}};
  if (!over_motion || setting.same_carrier) return setting;
  setting.moving = moving_bodies(kinematics, riding.carriage);
  const bool moves = kinematics.bodies[static_cast<std::size_t>(part.body)].moves();
  const auto at = std::lower_bound(setting.moving.begin(), setting.moving.end(), part.body);
  if (moves && (at == setting.moving.end() || *at != part.body)) setting.moving.insert(at, part.body);
  return setting;
}

PairClearance one_clearance(const bay::Bay& bay, const Kinematics& kinematics, const duct::Duct& duct,
                            const BoxTask& task, double width_mm) {
  const RidingBox& riding = task.riding;
  const PairSetting setting = setting_of(bay, kinematics, riding, task.part, task.over_motion);
  // Far away one cylinder tells: what it leaves of the box is taken off all the same.
  BoxFilling filling = filling_of(riding.box, riding.station_mm, riding.box.half_mm.maxCoeff());
  Bracket bracket = pair_bracket(kinematics, setting, filling.shapes, {width_mm, task.range_mm + filling.left_mm});
  if (!bracket.beyond_range) {
    filling = filling_of(riding.box, riding.station_mm, kBoxFineness_mm);
    bracket = pair_bracket(kinematics, setting, filling.shapes, {width_mm, task.range_mm + filling.left_mm});
  }
  const PairTask pair_task{riding.piece, task.part, filling.shapes, riding.station_mm, riding.station_mm, false, false};
  PairClearance pair = pair_clearance(bay, kinematics, duct, pair_task, setting, bracket, riding.box.center);
  pair.value.lo -= filling.left_mm;
  if (pair.value.hi < 0) pair.value.lo = std::min(pair.value.hi, -riding.box.half_mm.minCoeff());
  pair.value.band.add(fitting_tolerance(duct.spec, "where it is put on", duct.layout.units));
  return pair;
}

}  // namespace

std::vector<PairClearance> box_clearance(const bay::Bay& bay, const duct::Duct& duct, std::span<const BoxTask> tasks,
                                         double width_mm) {
  const Kinematics kinematics = running_kinematics(bay);
  std::vector<PairClearance> out(tasks.size());
  tbb::parallel_for(std::size_t{0}, tasks.size(),
                    [&](std::size_t i) { out[i] = one_clearance(bay, kinematics, duct, tasks[i], width_mm); });
  return out;
}

}  // namespace baywright::measure

#include "measure/clearance_profile.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <limits>
#include <map>

#include "duct/slices.hpp"
#include "geometry/aabb_gap.hpp"
#include "geometry/base/expects.hpp"
#include "measure/clearance_pairs.hpp"

namespace baywright::measure {
namespace {

/// Slices that follow one another on one thread, each helped by the one before; fixed, so that the answer does not
/// depend on the number of threads.
constexpr std::size_t kSlicesTogether = 8;

/// A piece against one part that is near enough to matter.
struct NearPart {
  const PairClearance* pair = nullptr;
  PairSetting setting;
  std::optional<double> need_mm;
  std::vector<std::vector<Primitive>> slices;
  std::vector<double> least_mm;  ///< per slice, a lower bound that costs nothing
};

/// Where nothing moves the boxes of slice and part bound their distance.
std::vector<double> least_of(const NearPart& near) {
  std::vector<double> least;
  const Aabb part = near.setting.part.tree.bounds();
  for (const auto& shapes : near.slices) {
    Aabb box;
    for (const Primitive& p : shapes) box.grow(bounds(p.shape));
    double apart = near.setting.moving.empty() && !shapes.empty() ? box_gap_mm(box, part) : 0;
    if (apart == 0) apart = -kInfinity;  // boxes that meet say nothing
    least.push_back(shapes.empty() ? kInfinity : std::max(near.pair->value.lo, apart));
  }
  return least;
}

class PieceProfile {
 public:
  PieceProfile(const Kinematics& kinematics, const ClearanceOptions& options, const Progress& progress,
               std::vector<NearPart> parts)
      : kinematics_(kinematics), options_(options), progress_(progress), parts_(std::move(parts)) {}

  /// Slices from `begin` to `end`, one after the other.
  void measure(std::size_t begin, std::size_t end, std::span<ProfileSlice> out) const {
    std::vector<std::optional<ClearanceHint>> hints(parts_.size());
    for (std::size_t i = begin; i < end && !progress_.cancelled(); ++i) one(i, hints, out[i]);
  }

 private:
  void one(std::size_t i, std::vector<std::optional<ClearanceHint>>& hints, ProfileSlice& slice) const {
    std::vector<std::size_t> order(parts_.size());
    for (std::size_t k = 0; k < order.size(); ++k) order[k] = k;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return parts_[a].least_mm[i] < parts_[b].least_mm[i]; });
    slice.nearest = {-1, options_.range_mm, kInfinity};
    for (const std::size_t k : order) {
      const NearPart& near = parts_[k];
      const double range = worth_following(slice, near);
      if (near.slices[i].empty() || near.least_mm[i] >= range) continue;
      const ClearanceOptions options{options_.width_mm, range};
      const Bracket bracket =
          pair_bracket(kinematics_, near.setting, near.slices[i], options, progress_, hints[k] ? &*hints[k] : nullptr);
      slice.nearest.lo_mm = std::min(slice.nearest.lo_mm, std::max(bracket.lo_mm, near.least_mm[i]));
      if (bracket.beyond_range) continue;
      hints[k] = ClearanceHint{bracket.state, bracket.triangle};
      keep(near, bracket, slice);
    }
    // A piece's lower end is that of its nearest slice: rounding may put it a hair above what this one attains.
    slice.nearest.lo_mm = std::min(slice.nearest.lo_mm, slice.nearest.hi_mm);
  }

  /// How far away a part may be and still be the nearest or the tightest one.
  double worth_following(const ProfileSlice& slice, const NearPart& near) const {
    double range = std::min(options_.range_mm, slice.nearest.hi_mm);
    if (near.need_mm && slice.tightest) {
      range = std::max(range, slice.tightest->hi_mm - slice.tightest->need_mm + *near.need_mm);
    } else if (near.need_mm) {
      range = options_.range_mm;
    }
    return std::clamp(range, 0.0, options_.range_mm);
  }

  static void keep(const NearPart& near, const Bracket& bracket, ProfileSlice& slice) {
    const int part = near.pair->part;
    const double lo = std::max(bracket.lo_mm, std::min(near.pair->value.lo, bracket.hi_mm));
    if (bracket.hi_mm < slice.nearest.hi_mm) {
      slice.nearest.part = part;
      slice.nearest.hi_mm = bracket.hi_mm;
    }
    if (!near.need_mm) return;
    const auto& tightest = slice.tightest;
    if (tightest && !(bracket.hi_mm - *near.need_mm < tightest->hi_mm - tightest->need_mm)) return;
    slice.tightest = SliceTightest{part, lo, bracket.hi_mm, *near.need_mm};
  }

  const Kinematics& kinematics_;
  const ClearanceOptions& options_;
  const Progress& progress_;
  std::vector<NearPart> parts_;
};

/// Eight slices or fewer of one piece.
struct Block {
  std::size_t piece = 0, begin = 0, end = 0;
};

/// All that is to be measured, laid out.
class Plan {
 public:
  Plan(const bay::Bay& bay, const duct::Duct& duct, const ClearanceReport& report, bool over_motion,
       const ClearanceNeedOf& need)
      : bay_(bay),
        duct_(duct),
        over_motion_(over_motion),
        need_(need),
        kinematics_(running_kinematics(bay)),
        tasks_(pair_tasks(bay, duct, exceptions_)) {
    for (const PairClearance& pair : report.pairs) known_[{pair.piece, pair.part}] = &pair;
  }

  ClearanceProfile measure(const ClearanceOptions& options, const Progress& progress) const {
    ClearanceProfile profile;
    profile.range_mm = options.range_mm;
    std::vector<PieceProfile> pieces;
    std::vector<std::size_t> first;
    std::vector<Block> blocks;
    for (std::size_t i = 0; i < duct_.layout.pieces.size(); ++i) {
      const std::vector<double> stations = duct::slice_stations(duct_.layout, duct_.layout.pieces[i]);
      const std::size_t count = stations.size() - 1;
      first.push_back(profile.slices.size());
      for (std::size_t k = 0; k < count; ++k) profile.slices.push_back(blank(i, stations[k], stations[k + 1]));
      for (std::size_t k = 0; k < count; k += kSlicesTogether)
        blocks.push_back({i, k, std::min(k + kSlicesTogether, count)});
      pieces.emplace_back(kinematics_, options, progress, near_parts(i, stations));
    }
    tbb::parallel_for(std::size_t{0}, blocks.size(), [&](std::size_t b) {
      const Block& block = blocks[b];
      pieces[block.piece].measure(block.begin, block.end, std::span(profile.slices).subspan(first[block.piece]));
    });
    return profile;
  }

 private:
  ProfileSlice blank(std::size_t piece, double from_mm, double to_mm) const {
    ProfileSlice slice;
    slice.piece = static_cast<int>(piece);
    slice.station_from_mm = from_mm;
    slice.station_to_mm = to_mm;
    for (const ContactException& e : exceptions_.exceptions) {
      if (e.piece != slice.piece) continue;
      const auto same = [&](const PairTask& task) { return task.piece == e.piece && task.part == e.part; };
      const auto task = std::find_if(tasks_.begin(), tasks_.end(), same);
      if (task == tasks_.end() || to_mm <= task->from_mm || from_mm >= task->to_mm) slice.excepted = true;
    }
    return slice;
  }

  std::vector<NearPart> near_parts(std::size_t piece, const std::vector<double>& stations) const {
    std::vector<NearPart> near;
    for (const PairTask& task : tasks_) {
      if (task.piece != static_cast<int>(piece)) continue;
      const auto pair = known_.find({task.piece, task.part});
      EXPECTS(pair != known_.end());
      if (pair->second->beyond_range) continue;
      NearPart part{pair->second,
                    pair_setting(bay_, kinematics_, duct_, task, over_motion_),
                    need_ ? need_(*pair->second) : std::nullopt,
                    duct::cut_into_slices(task.shapes, stations, duct_.layout.pieces[piece].carriage),
                    {}};
      part.least_mm = least_of(part);
      near.push_back(std::move(part));
    }
    return near;
  }

  const bay::Bay& bay_;
  const duct::Duct& duct_;
  const bool over_motion_;
  const ClearanceNeedOf& need_;
  const Kinematics kinematics_;
  ClearanceReport exceptions_;
  std::vector<PairTask> tasks_;
  std::map<std::pair<int, int>, const PairClearance*> known_;
};

}  // namespace

ClearanceProfile measure_clearance_profile(const bay::Bay& bay, const duct::Duct& duct, const ClearanceReport& report,
                                           bool over_motion, const ClearanceNeedOf& need,
                                           const ClearanceOptions& options, const Progress& progress) {
  ClearanceProfile profile = Plan(bay, duct, report, over_motion, need).measure(options, progress);
  if (progress.cancelled()) return {};
  return profile;
}

}  // namespace baywright::measure

#include "routing/corridor.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <queue>
#include <unordered_map>

namespace baywright::routing {
namespace {

/// Room to spare from which a way counts at its plain length.
constexpr double kEasy_mm = 30;
/// A way without room to spare counts as this many times as long.
constexpr double kNarrowFactor = 3;
/// Where room is lacking a way counts once more its length for every so much that is lacking, mm.
constexpr double kDear_mm = 3;
/// So many radii of the tube beside a port's axis it may come by again: it is as thick itself, and keeps a distance.
constexpr double kBesidePort = 3.2;
/// How far along a port's axis a corridor may leave it, mm.
constexpr double kLongestEnd_mm = 800;

using Cell = std::array<std::int64_t, 3>;

std::uint64_t key_of(const Cell& c) {
  constexpr std::int64_t kHalf = 1 << 20;
  return static_cast<std::uint64_t>(((c[0] + kHalf) << 42) | ((c[1] + kHalf) << 21) | (c[2] + kHalf));
}

class Search {
 public:
  Search(Room& room, const std::vector<Corridor>& used, const CorridorOptions& options)
      : room_(room), options_(options) {
    box_ = room.neighbourhood();
    for (const Corridor& corridor : used) {
      for (const Vec3& p : corridor) mark_used(p);
    }
    from_ = axis_cells(room.from());
    to_ = axis_cells(room.to());
    for (std::size_t i = 0; i < to_.size(); ++i) goals_.emplace(key_of(to_[i].cell), i);
  }

  Corridor run(const Progress& progress) {
    for (const AxisCell& start : from_) offer(start.cell, start.cost, key_of(start.cell));
    std::size_t looked_at = 0;
    while (!open_.empty() && looked_at < options_.most_cells && !progress.cancelled()) {
      const Entry top = open_.top();
      open_.pop();
      if (top.key == kArrived) return way_to(best_goal_);
      Node& node = nodes_[top.key];
      if (node.closed) continue;
      node.closed = true;
      ++looked_at;
      if (const auto goal = goals_.find(top.key); goal != goals_.end()) arrive(top.key, node.cost, goal->second);
      spread(node);
    }
    return {};
  }

 private:
  /// Stands for the port itself among the keys of cells.
  static constexpr std::uint64_t kArrived = std::numeric_limits<std::uint64_t>::max();

  /// A cell on a port's axis and what the way along it from the port costs.
  struct AxisCell {
    Cell cell{};
    double cost = 0;
  };
  struct Node {
    Cell cell{};
    double cost = std::numeric_limits<double>::infinity();
    std::uint64_t before = 0;
    bool closed = false;
  };
  struct Entry {
    double estimate = 0;
    std::uint64_t key = 0;
    bool operator>(const Entry& o) const { return estimate != o.estimate ? estimate > o.estimate : key > o.key; }
  };

  Cell cell_of(const Vec3& p) const {
    Cell c;
    for (int k = 0; k < 3; ++k) c[static_cast<std::size_t>(k)] = std::llround(p[k] / options_.step_mm);
    return c;
  }
  Vec3 center(const Cell& c) const {
    return options_.step_mm * Vec3(static_cast<double>(c[0]), static_cast<double>(c[1]), static_cast<double>(c[2]));
  }

  /// Cells along a port's axis as far as there is room, first outward of the port; the first radius of it has none by
  /// nature.
  std::vector<AxisCell> axis_cells(const CourseEnd& end) {
    std::vector<AxisCell> cells;
    double cost = 0;
    for (double s = 0; s <= kLongestEnd_mm; s += options_.step_mm) {
      const Vec3 p = end.center + s * end.axis;
      const bool in_port = s <= room_.tube_radius_mm();
      const double spare = in_port ? kEasy_mm : room_.near(p);
      if (spare < options_.accept_mm) break;
      cells.push_back({cell_of(p), cost});
      cost += factor(spare) * options_.step_mm;
    }
    return cells;
  }

  /// What a length counts with that much room to spare.
  static double factor(double spare_mm) {
    const double narrow = std::clamp((kEasy_mm - spare_mm) / kEasy_mm, 0.0, 1.0);
    return 1 + (kNarrowFactor - 1) * narrow + std::max(-spare_mm, 0.0) / kDear_mm;
  }

  void mark_used(const Vec3& p) {
    const int reach = static_cast<int>(std::ceil(options_.avoid_within_mm / coarse()));
    for (int i = -reach; i <= reach; ++i) {
      for (int j = -reach; j <= reach; ++j) {
        for (int k = -reach; k <= reach; ++k) {
          const Vec3 q = p + coarse() * Vec3(i, j, k);
          if ((q - p).norm() <= options_.avoid_within_mm) used_.emplace(coarse_key(q), true);
        }
      }
    }
  }
  /// Whether no tube bent at that radius comes here straight from a port: the ring of bends that leave the port's axis
  /// at once, and what lies behind the port. Farther beside the port the duct may pass on its way from elsewhere.
  bool too_tight(const Vec3& p, const CourseEnd& end) const {
    constexpr double kSlack_mm = 15;  // the search's cells are coarse, and a corridor is no centreline yet
    const double radius = options_.bend_radius_mm;
    const Vec3 way = p - end.center;
    const double along = way.dot(end.axis), beside = (way - along * end.axis).norm();
    if (beside > kBesidePort * room_.tube_radius_mm()) return false;
    if (along < -0.5 * options_.step_mm) return beside < 2 * radius - kSlack_mm && along > -2 * radius;
    return beside > kSlack_mm && std::hypot(beside - radius, along) < radius - kSlack_mm;
  }

  double coarse() const { return 2 * options_.step_mm; }
  std::uint64_t coarse_key(const Vec3& p) const {
    Cell c;
    for (int k = 0; k < 3; ++k) c[static_cast<std::size_t>(k)] = std::llround(p[k] / coarse());
    return key_of(c);
  }

  double estimate(const Vec3& p) const { return options_.haste * (p - room_.to().center).norm(); }

  /// From a cell on the other port's axis the rest is the way along it.
  void arrive(std::uint64_t key, double cost, std::size_t place) {
    const double whole = cost + to_[place].cost;
    if (whole >= best_whole_) return;
    best_whole_ = whole;
    best_goal_ = key;
    open_.push({cost + options_.haste * (whole - cost), kArrived});
  }

  void offer(const Cell& cell, double cost, std::uint64_t before) {
    const std::uint64_t key = key_of(cell);
    Node& node = nodes_[key];
    if (node.closed || cost >= node.cost) return;
    node.cell = cell;
    node.cost = cost;
    node.before = before;
    open_.push({cost + estimate(center(cell)), key});
  }

  void spread(const Node& node) {
    const Cell at = node.cell;
    const double cost = node.cost;
    const std::uint64_t own = key_of(at);
    for (int i = -1; i <= 1; ++i) {
      for (int j = -1; j <= 1; ++j) {
        for (int k = -1; k <= 1; ++k) {
          if (i == 0 && j == 0 && k == 0) continue;
          const Cell next = {at[0] + i, at[1] + j, at[2] + k};
          const Vec3 p = center(next);
          if ((p.array() < box_.lo.array()).any() || (p.array() > box_.hi.array()).any()) continue;
          if (too_tight(p, room_.from()) || too_tight(p, room_.to())) continue;
          const double spare = room_.near(p);
          if (spare < options_.accept_mm) continue;
          const double again = used_.contains(coarse_key(p)) ? options_.avoid_factor : 1;
          offer(next, cost + again * factor(spare) * (p - center(at)).norm(), own);
        }
      }
    }
  }

  Corridor way_to(std::uint64_t key) const {
    Corridor way;
    const std::size_t goal = goals_.at(key);
    for (std::uint64_t at = key;;) {
      const Node& node = nodes_.at(at);
      way.push_back(center(node.cell));
      if (node.before == at) break;
      at = node.before;
    }
    std::reverse(way.begin(), way.end());
    Corridor out;
    const double out_of = (way.front() - room_.from().center).dot(room_.from().axis);
    for (double s = 0; s < out_of; s += options_.step_mm) out.push_back(room_.from().center + s * room_.from().axis);
    out.insert(out.end(), way.begin(), way.end());
    for (std::size_t i = goal; i-- > 0;) {
      out.push_back(room_.to().center + static_cast<double>(i) * options_.step_mm * room_.to().axis);
    }
    return out;
  }

  Room& room_;
  const CorridorOptions options_;
  Aabb box_;
  std::vector<AxisCell> from_, to_;
  std::unordered_map<std::uint64_t, std::size_t> goals_;
  double best_whole_ = std::numeric_limits<double>::infinity();
  std::uint64_t best_goal_ = 0;
  std::unordered_map<std::uint64_t, bool> used_;
  std::unordered_map<std::uint64_t, Node> nodes_;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open_;
};

/// Moves the inner points towards the middle of the room and smooths the way.
void center_in_room(const Room& room, Corridor& way) {
  constexpr int kPasses = 12;
  constexpr double kStep_mm = 3;
  for (int pass = 0; pass < kPasses; ++pass) {
    Corridor next = way;
    for (std::size_t i = 2; i + 2 < way.size(); ++i) {
      next[i] = 0.5 * way[i] + 0.25 * (way[i - 1] + way[i + 1]);
      const Room::Spot spot = room.at(next[i]);
      if (spot.part < 0 || spot.spare_mm > kEasy_mm) continue;
      const Vec3 away = next[i] - spot.nearest;
      if (away.norm() > 1e-6) next[i] += kStep_mm * (1 - std::max(spot.spare_mm, 0.0) / kEasy_mm) * away.normalized();
    }
    way = std::move(next);
  }
}

}  // namespace

Corridor find_corridor(Room& room, const std::vector<Corridor>& used, const CorridorOptions& options,
                       const Progress& progress) {
  Corridor way = Search(room, used, options).run(progress);
  if (!way.empty()) center_in_room(room, way);
  return way;
}

}  // namespace baywright::routing

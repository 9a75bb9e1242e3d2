#include "access/travel.hpp"

#include <algorithm>
#include <numbers>

#include "access/travel_up_to.hpp"
#include "geometry/base/expects.hpp"

namespace baywright::access {
namespace {

constexpr double kFullTurn_rad = 2 * std::numbers::pi;
constexpr double kSlice = kFullTurn_rad / 72;  // five degrees
/// What is enough is asked for with this to spare, so that rounding takes none of it away.
constexpr double kRounding = 1 + 1e-9;

/// Proves a turn slice by slice.
class Turn {
 public:
  Turn(const RoomUpTo& room, double reach_mm) : room_(room), reach_mm_(reach_mm) {}

  std::vector<Arc> run() {
    constexpr int kSlices = 72, kFirst = 24;
    for (int i = 0; i < kFirst; ++i) look(i * kSlices / kFirst, (i + 1) * kSlices / kFirst);
    for (int i = 0; i < kSlices; ++i) {
      if (free_[i]) continue;
      // Only what adjoins something free can make it longer.
      const double lo = i * kSlice, hi = lo + kSlice;
      if (free_[(i + kSlices - 1) % kSlices]) add(lo, edge(lo, hi));
      if (free_[(i + 1) % kSlices]) add(edge(hi, lo), hi);
    }
    for (int i = 0; i < kSlices; ++i) {
      if (free_[i]) add(i * kSlice, (i + 1) * kSlice);
    }
    return joined();
  }

 private:
  double room_at(double angle, double half) const { return room_(angle, half * reach_mm_ * kRounding); }
  /// Half the angle around a pose with this room that is proven.
  double proven(double room_mm) const { return room_mm / reach_mm_; }

  /// Slices first..last: a pose in the middle settles all of them, or they are halved.
  void look(int first, int last) {
    const double lo = first * kSlice, hi = last * kSlice, half = 0.5 * (hi - lo);
    const double room = room_at(lo + half, half);
    if (room > 0 && proven(room) >= half) {
      std::fill(free_.begin() + first, free_.begin() + last, true);
    } else if (last - first > 1) {
      const int middle = (first + last) / 2;
      look(first, middle);
      look(middle, last);
    } else if (room > 0) {
      free_[first] = halves_free(lo, hi);
    }
  }

  bool halves_free(double lo, double hi) const {
    if (hi - lo <= kLeastTurn.si()) return false;
    const double middle = 0.5 * (lo + hi);
    return all_free(lo, middle) && all_free(middle, hi);
  }
  bool all_free(double lo, double hi) const {
    const double half = 0.5 * (hi - lo), room = room_at(lo + half, half);
    if (!(room > 0)) return false;
    return proven(room) >= half || halves_free(lo, hi);
  }

  /// How far it is free from `from` towards `to`, where it is not free all the way.
  double edge(double from, double to) const {
    double at = from, ahead = to;
    while (std::abs(ahead - at) > 0.5 * kLeastTurn.si()) {
      const double middle = 0.5 * (at + ahead);
      (all_free(std::min(at, middle), std::max(at, middle)) ? at : ahead) = middle;
    }
    return at;
  }

  void add(double from, double to) {
    if (to > from) arcs_.push_back({radians(from), radians(to)});
  }

  std::vector<Arc> joined() {
    std::sort(arcs_.begin(), arcs_.end(), [](const Arc& a, const Arc& b) { return a.from < b.from; });
    std::vector<Arc> out;
    constexpr double kSame = 1e-9;
    for (const Arc& arc : arcs_) {
      if (!out.empty() && arc.from.si() <= out.back().to.si() + kSame) {
        out.back().to = std::max(out.back().to, arc.to);
      } else {
        out.push_back(arc);
      }
    }
    if (out.size() > 1 && out.front().from.si() <= kSame && out.back().to.si() >= kFullTurn_rad - kSame) {
      out.back().to = out.front().to + radians(kFullTurn_rad);
      out.erase(out.begin());
    }
    return out;
  }

  const RoomUpTo& room_;
  const double reach_mm_;
  std::vector<bool> free_ = std::vector<bool>(72, false);
  std::vector<Arc> arcs_;
};

bool free_between(const RoomUpTo& room, double lo, double hi) {
  const double half = 0.5 * (hi - lo), left = room(lo + half, std::max(half, kLeastRoom_mm) * kRounding);
  if (!(left > 0)) return false;
  if (left >= half) return true;
  if (hi - lo <= kLeastRoom_mm) return false;
  return free_between(room, lo, lo + half) && free_between(room, lo + half, hi);
}

}  // namespace

bool free_way(const RoomUpTo& room, double length_mm) {
  EXPECTS(length_mm >= 0);
  return free_between(room, 0, length_mm);
}

std::vector<Arc> free_arcs(const RoomUpTo& room, double reach_mm) {
  EXPECTS(reach_mm > 0);
  return Turn(room, reach_mm).run();
}

bool free_way(const RoomAlong& room, double length_mm) {
  return free_way([&room](double at, double) { return room(at); }, length_mm);
}

std::vector<Arc> free_arcs(const RoomAlong& room, double reach_mm) {
  return free_arcs([&room](double at, double) { return room(at); }, reach_mm);
}

}  // namespace baywright::access

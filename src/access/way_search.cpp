#include "access/way_search.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <queue>
#include <set>

#include "access/arm.hpp"
#include "geometry/shape_kernels.hpp"

namespace baywright::access {
namespace {

constexpr double kStep_mm = 60, kSmallStep_mm = 20;
constexpr Angle kTurnStep = degrees(15);
/// Places nearer to each other than this, turned alike, are one.
constexpr double kSamePlace_mm = 10, kSameTurn = 0.06;
/// What a move costs beside the distance to the opening that is left.
constexpr double kPerMove_mm = 10;
/// Directions square to an axis of its own that it is slid along: what stands close before a tube's end hinders all
/// others.
constexpr int kSquareWays = 8;
constexpr double kSameAxis = 0.9999;
/// Distance between places of a move at which it is looked at whether all is still inside.
constexpr double kLook_mm = 8;
/// A last move ends this far beyond the opening's plane; carried on straight out, it is this far past what stands
/// there.
constexpr double kBeyond_mm = 1;

struct Node {
  Pose X;
  int parent = -1;
  WayMove by;
  std::vector<bool> inside;  ///< per opening: all of the group was inside it so far
  double left_mm = 0;
  int depth = 0;
};

struct Candidate {
  double cost = 0;
  int node = 0, number = 0;
  WayMove move;
  bool operator<(const Candidate& o) const { return cost != o.cost ? cost > o.cost : number > o.number; }
};

/// Whether a ball is inside the opening's plane, or over its outline as far as it reaches beyond.
bool holds(const OpeningView& opening, const Vec3& center, double radius_mm) {
  return opening.outside_mm(center) + radius_mm <= 0 ||
         opening.inside_where_crossing_mm(center, opening.outward()) >= radius_mm;
}

bool all_stay_inside(const OpeningView& opening, const std::vector<Ball>& balls, const Pose& from,
                     const WayMove& move) {
  return std::all_of(balls.begin(), balls.end(), [&](const Ball& ball) {
    const Vec3 begin = from * ball.center;
    const double arm = move.turns ? (begin - move.point).cross(move.along).norm() : 1;
    // Between two places looked at nothing is farther than half their distance from one of them.
    const double length = arm * move.amount;
    const int count = static_cast<int>(std::ceil(length / kLook_mm));
    const double between = count > 0 ? 0.5 * length / count : 0;
    for (int i = 0; i <= count; ++i) {
      const Vec3 here = count > 0 ? Vec3(move.at(static_cast<double>(i) / count) * begin) : begin;
      if (!holds(opening, here, ball.radius_mm + between)) return false;
    }
    return true;
  });
}

class Searching {
 public:
  explicit Searching(const WaySearch& search) : search_(search), balls_(balls_around(search.shapes)) {
    Aabb box;
    for (const Ball& ball : balls_) box.grow(ball.center);
    middle_ = box.center();
    for (const Vec3& axis : search.axes) {
      const auto is_along = [&](const Vec3& other) { return std::abs(other.dot(axis)) > kSameAxis; };
      if (std::any_of(axes_.begin(), axes_.end(), is_along)) continue;
      axes_.push_back(axis);
      // From the one that rises most: the sides of a level tube are then level too.
      const Vec3 up = Vec3::UnitZ() - Vec3::UnitZ().dot(axis) * axis;
      const Vec3 first = up.norm() > 0.1 ? Vec3(up.normalized()) : any_perpendicular(axis);
      for (int i = 0; i < kSquareWays; ++i) {
        const double a = 2 * std::numbers::pi * i / kSquareWays;
        square_.emplace_back(std::cos(a) * first + std::sin(a) * axis.cross(first));
      }
    }
  }

  WayFound run() {
    Node start;
    for (const OpeningView& opening : search_.openings) {
      start.inside.push_back(stays_inside(opening, Pose(), WayMove()));
      result_.usable = result_.usable || start.inside.back();
    }
    if (!result_.usable) return result_;
    start.left_mm = left(start);
    nodes_.push_back(start);
    been_.insert(key(start.X));
    if (goes_out(0)) return result_;
    offer(0);
    while (!waiting_.empty() && may_go_on()) {
      const Candidate candidate = waiting_.top();
      waiting_.pop();
      if (take(candidate)) break;
    }
    return result_;
  }

 private:
  bool may_go_on() {
    result_.stopped = result_.stopped || (search_.stop && search_.stop());
    return !result_.stopped && result_.sweeps < search_.most_sweeps;
  }

  bool is_free(const Pose& from, const WayMove& move) { return is_free(from, move, search_.in_way); }
  bool is_free(const Pose& from, const WayMove& move, std::span<const InWay> in_way) {
    if (!may_go_on()) return false;
    ++result_.sweeps;
    const auto by = hindered(search_.shapes, from, move, in_way);
    if (by) ++result_.hindered[*by];
    return !by;
  }

  bool stays_inside(const OpeningView& opening, const Pose& from, const WayMove& move) const {
    return all_stay_inside(opening, balls_, from, move);
  }

  double left(const Node& node) const {
    double least = 1e9;
    const Vec3 p = node.X * middle_;
    for (std::size_t i = 0; i < search_.openings.size(); ++i) {
      if (!node.inside[i]) continue;
      for (const Vec3& target : search_.openings[i].targets(0, 3)) least = std::min(least, (target - p).norm());
    }
    return least;
  }

  /// The slide that carries all of the group through an opening, where a straight one along `d` does.
  std::optional<WayMove> slide_out(const OpeningView& opening, const Pose& X, const Vec3& d) const {
    const double rise = opening.outward().dot(d);
    if (rise < kLeastRise) return std::nullopt;
    double way = 0;
    for (const Ball& ball : balls_) {
      const Vec3 c = X * ball.center;
      const double outside = opening.outside_mm(c);
      if (outside >= ball.radius_mm) continue;  // out already
      // A ball that moves aslant through the plane leaves an ellipse there.
      if (opening.inside_where_crossing_mm(c, d) < ball.radius_mm / rise) return std::nullopt;
      way = std::max(way, (ball.radius_mm - outside) / rise);
    }
    return WayMove{false, d, Vec3::Zero(), way + kBeyond_mm};
  }

  /// Whether from a place beyond an opening it is out for good: by its own measure it goes on the same way, past the
  /// opened bonnet too, and straight out of the opening past all else.
  bool out_for_good(const OpeningView& opening, const Pose& X, const Vec3& d) {
    double least = 1e9, most = -1e9;
    for (const Ball& ball : balls_) {
      const double along = d.dot(X * ball.center);
      least = std::min(least, along - ball.radius_mm);
      most = std::max(most, along + ball.radius_mm);
    }
    return is_free(X, {false, d, Vec3::Zero(), most - least}) && nothing_overhead(opening, X);
  }
  /// Whether it could be carried straight out of the opening past all that is overhead.
  bool nothing_overhead(const OpeningView& opening, const Pose& X) {
    double lowest = 1e9;
    for (const Ball& ball : balls_) lowest = std::min(lowest, opening.outside_mm(X * ball.center) - ball.radius_mm);
    double highest = lowest;
    for (const InWay& w : search_.overhead) {
      if (w.tree.empty()) continue;
      const Aabb box = w.tree.bounds();
      const Vec3 outward = w.X.R.conjugate() * opening.outward();
      const double half = 0.5 * box.size().dot(outward.cwiseAbs());
      highest = std::max(highest, opening.outside_mm(w.X * box.center()) + half + w.room_mm);
    }
    return is_free(X, {false, opening.outward(), Vec3::Zero(), highest - lowest + kBeyond_mm}, search_.overhead);
  }

  /// Straight out, or turned once and then straight out.
  bool goes_out(int index) {
    const Node node = nodes_[static_cast<std::size_t>(index)];
    for (std::size_t i = 0; i < search_.openings.size(); ++i) {
      if (!node.inside[i]) continue;
      if (const auto out = free_slide_out(i, node.X)) return note_out(index, i, {*out});
      for (const WayMove& turn : whole_turns(node.X * middle_)) {
        const Pose turned = turn.whole() * node.X;
        if (!any_slide_out(i, turned) || !stays_inside(search_.openings[i], node.X, turn)) continue;
        if (!is_free(node.X, turn)) continue;
        if (const auto out = free_slide_out(i, turned)) return note_out(index, i, {turn, *out});
      }
    }
    return false;
  }

  static std::vector<WayMove> whole_turns(const Vec3& about) {
    std::vector<WayMove> out;
    for (const double amount : {30.0, 60.0, 90.0}) {
      for (int k = 0; k < 3; ++k) {
        for (const double sign : {1.0, -1.0}) out.push_back({true, sign * Vec3::Unit(k), about, degrees(amount).si()});
      }
    }
    return out;
  }
  /// Straight out: towards the opening, then square to its own axes.
  std::vector<Vec3> straight_out(std::size_t opening, const Pose& X) const {
    std::vector<Vec3> ways = ways_to(search_.openings[opening], X * middle_, search_.first);
    for (const Vec3& d : square_) ways.emplace_back(X.R * d);
    return ways;
  }
  bool any_slide_out(std::size_t opening, const Pose& X) const {
    const std::vector<Vec3> ways = straight_out(opening, X);
    return std::any_of(ways.begin(), ways.end(),
                       [&](const Vec3& d) { return slide_out(search_.openings[opening], X, d).has_value(); });
  }
  std::optional<WayMove> free_slide_out(std::size_t opening, const Pose& X) {
    for (const Vec3& d : straight_out(opening, X)) {
      const auto move = slide_out(search_.openings[opening], X, d);
      if (!move || !is_free(X, *move)) continue;
      if (out_for_good(search_.openings[opening], move->whole() * X, d)) return move;
    }
    return std::nullopt;
  }
  bool note_out(int index, std::size_t opening, std::vector<WayMove> last) {
    result_.opening = static_cast<int>(opening);
    result_.moves = std::move(last);
    for (int at = index; at > 0; at = nodes_[static_cast<std::size_t>(at)].parent) {
      result_.moves.insert(result_.moves.begin(), nodes_[static_cast<std::size_t>(at)].by);
    }
    return true;
  }

  void offer(int index) {
    const Node node = nodes_[static_cast<std::size_t>(index)];
    static const std::vector<Vec3> ways = all_round();
    for (const Vec3& d : ways) offer(index, {false, d, Vec3::Zero(), kStep_mm});
    const Eigen::Quaterniond turned = node.X.R;
    for (const Vec3& d : square_) offer(index, {false, turned * d, Vec3::Zero(), kStep_mm});
    for (const Vec3& axis : axes_) {
      for (const double sign : {1.0, -1.0}) offer(index, {false, sign * (turned * axis), Vec3::Zero(), kStep_mm});
    }
    for (int k = 0; k < 3; ++k) {
      for (const double sign : {1.0, -1.0})
        offer(index, {true, sign * Vec3::Unit(k), node.X * middle_, kTurnStep.si()});
    }
  }

  void offer(int index, const WayMove& move) {
    const Node& node = nodes_[static_cast<std::size_t>(index)];
    Node next = node;
    next.X = move.whole() * node.X;
    waiting_.push({left(next) + kPerMove_mm * (node.depth + 1), index, number_++, move});
  }

  bool take(const Candidate& candidate) {
    const Node from = nodes_[static_cast<std::size_t>(candidate.node)];
    Node next;
    next.X = candidate.move.whole() * from.X;
    next.X.R.normalize();
    next.parent = candidate.node;
    next.by = candidate.move;
    next.depth = from.depth + 1;
    bool inside = false;
    for (std::size_t i = 0; i < search_.openings.size(); ++i) {
      next.inside.push_back(from.inside[i] && stays_inside(search_.openings[i], from.X, candidate.move));
      inside = inside || next.inside.back();
    }
    const bool been = been_.contains(key(next.X));
    if (been || !inside || !is_free(from.X, candidate.move)) {
      // A shorter step may go where a long one does not.
      const bool shorter = !been && !candidate.move.turns && candidate.move.amount > kSmallStep_mm;
      if (shorter) offer(candidate.node, {false, candidate.move.along, Vec3::Zero(), kSmallStep_mm});
      return false;
    }
    been_.insert(key(next.X));
    next.left_mm = left(next);
    nodes_.push_back(next);
    const int index = static_cast<int>(nodes_.size()) - 1;
    if (goes_out(index)) return true;
    offer(index);
    return false;
  }

  std::array<long, 7> key(const Pose& X) const {
    const Vec3 p = X * middle_;
    const double sign = X.R.w() < 0 ? -1 : 1;
    return {std::lround(p.x() / kSamePlace_mm),      std::lround(p.y() / kSamePlace_mm),
            std::lround(p.z() / kSamePlace_mm),      std::lround(sign * X.R.w() / kSameTurn),
            std::lround(sign * X.R.x() / kSameTurn), std::lround(sign * X.R.y() / kSameTurn),
            std::lround(sign * X.R.z() / kSameTurn)};
  }

  const WaySearch& search_;
  const std::vector<Ball> balls_;
  Vec3 middle_ = Vec3::Zero();
  std::vector<Vec3> axes_, square_;  ///< unit, where it begins: its own axes, and square to them
  std::vector<Node> nodes_;
  std::priority_queue<Candidate> waiting_;
  std::set<std::array<long, 7>> been_;
  int number_ = 0;
  WayFound result_;
};

}  // namespace

bool stays_inside(const OpeningView& opening, std::span<const Shape> shapes, const WayMove& move) {
  return all_stay_inside(opening, balls_around(shapes), Pose(), move);
}

WayFound find_way(const WaySearch& search) { return Searching(search).run(); }

}  // namespace baywright::access

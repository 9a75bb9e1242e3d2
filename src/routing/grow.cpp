#include "routing/grow.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <numbers>
#include <set>
#include <tuple>

namespace baywright::routing {
namespace {

constexpr double kLeastTurn_rad = 10 * std::numbers::pi / 180, kMostTurn_rad = 125 * std::numbers::pi / 180;
/// Places of bends along a straight are this far apart, mm.
constexpr double kPlace_mm = 20;
/// A bend counts as much as this length besides what it loses, mm.
constexpr double kBend_mm = 150;
/// Of the straights one leads to, so many are kept.
constexpr std::size_t kMostChildren = 150;
/// Courses whose points are all this near to those of a cheaper one are left to it, mm.
constexpr double kGrownApart_mm = 35;
/// Room from which a way counts no longer for being narrow, mm.
constexpr double kRoomy_mm = 12;
/// Directions whose components, times this, round to the same numbers go about the same way.
constexpr double kSameDirection = 4;

/// Of the straights that begin in one quarter (GrowOptions::quarter_mm) only so many are grown further.
constexpr int kMostInQuarter = 10;

/// A straight whose end is not decided yet.
struct Ray {
  Vec3 origin, direction;
  int bends = 0;
  double gone_mm = 0;  ///< length and what bends count, to the origin
  double turned_rad = 0;
  double straight_mm = 0;     ///< that it keeps before its next bend
  int before = -1;            ///< index of the ray it came from
  Vec3 point = Vec3::Zero();  ///< intersection point between both
  double estimate_mm = 0;
};

/// Points of a sphere, evenly spread on a spiral.
std::vector<Vec3> sphere(int count, unsigned turned) {
  const double golden = std::numbers::pi * (3 - std::sqrt(5.0));
  const Eigen::AngleAxisd turn(0.7 * turned, Vec3(1, 2, 3).normalized());
  std::vector<Vec3> out;
  for (int i = 0; i < count; ++i) {
    const double z = 1 - (2 * i + 1.0) / count, r = std::sqrt(1 - z * z);
    out.push_back(turn * Vec3(r * std::cos(golden * i), r * std::sin(golden * i), z));
  }
  return out;
}

class Growth {
 public:
  Growth(const RoomField& field, const WayLeft& way_left, const GrowOptions& options)
      : field_(field),
        left_(way_left),
        options_(options),
        radius_(options.seeds.radius_mm),
        accept_(options.seeds.accept_mm),
        directions_(sphere(options.directions, options.turned)) {
    to_free_ = field.open_axis(way_left.to(), accept_);
    Ray first;
    first.origin = way_left.from().center;
    first.direction = way_left.from().axis;
    first.straight_mm = options.backwards ? std::max(options.seeds.last_straight_mm, 1.0) : 1;
    first_free_ = field.open_axis(way_left.from(), accept_);
    rays_.push_back(std::move(first));
  }

  std::vector<Seed> run(const Progress& progress) {
    std::vector<int> level = {0};
    while (!level.empty() && !progress.cancelled()) {
      std::vector<Grown> results(level.size());
      tbb::parallel_for(std::size_t{0}, level.size(), [&](std::size_t i) {
        if (!progress.cancelled()) results[i] = grow(level[i]);
      });
      std::vector<Ray> next;
      for (Grown& one : results) {
        for (Seed& seed : one.courses) found_[seed.course.bends()].push_back(std::move(seed));
        for (Ray& ray : one.rays) next.push_back(std::move(ray));
      }
      level = keep(std::move(next));
    }
    std::vector<Seed> out;
    for (auto& [bends, seeds] : found_) {
      for (Seed& seed : best_of(std::move(seeds))) out.push_back(std::move(seed));
    }
    return out;
  }

 private:
  struct Grown {
    std::vector<Ray> rays;
    std::vector<Seed> courses;
  };

  /// The best straights of a level that differ, as indices into rays_.
  std::vector<int> keep(std::vector<Ray> rays) {
    std::stable_sort(rays.begin(), rays.end(),
                     [](const Ray& a, const Ray& b) { return a.estimate_mm < b.estimate_mm; });
    std::set<std::array<long, 6>> known;
    std::map<std::array<long, 3>, int> crowd;
    std::vector<int> kept;
    for (Ray& ray : rays) {
      if (kept.size() >= options_.kept) break;
      std::array<long, 6> key{};
      for (std::size_t k = 0; k < 3; ++k) {
        key[k] = std::lround(ray.origin[static_cast<int>(k)] / options_.same_mm);
        key[k + 3] = std::lround(ray.direction[static_cast<int>(k)] * kSameDirection);
      }
      if (!known.insert(key).second) continue;
      std::array<long, 3> quarter{};
      for (std::size_t k = 0; k < 3; ++k)
        quarter[k] = std::lround(ray.origin[static_cast<int>(k)] / options_.quarter_mm);
      if (++crowd[quarter] > kMostInQuarter) continue;
      kept.push_back(static_cast<int>(rays_.size()));
      rays_.push_back(std::move(ray));
    }
    return kept;
  }

  double set_back(double turn) const { return radius_ * std::tan(0.5 * turn); }

  /// Least room along an arc, as far as it is not below what is accepted.
  double arc_room(const Vec3& from, const Vec3& d, const Vec3& u, double turn) const {
    const Vec3 inward = (u - std::cos(turn) * d).normalized();
    const Vec3 center = from + radius_ * inward;
    return field_.least_along(radius_ * turn, accept_, [&](double s) {
      const double a = s / radius_;
      return Vec3(center - radius_ * std::cos(a) * inward + radius_ * std::sin(a) * d);
    });
  }

  double narrow_mm(double room) const { return options_.narrow * std::max(kRoomy_mm - room, 0.0); }

  double free_length(const Ray& ray) const {
    if (ray.before < 0) return first_free_;
    double free = 0;
    field_.straight_room(ray.origin, ray.direction, RoomField::kLongestEnd_mm, accept_, &free);
    return free;
  }

  double most_turning() const { return options_.seeds.most_turning_rad > 0 ? options_.seeds.most_turning_rad : 1e9; }

  Grown grow(int index) const {
    Grown out;
    const Ray ray = rays_[static_cast<std::size_t>(index)];
    const double free = free_length(ray);
    complete(ray, index, free, out.courses);
    if (ray.bends + 3 > options_.most_bends) return out;
    const double keep = options_.seeds.least_straight_mm;
    for (double t = ray.straight_mm + kPlace_mm; t <= free + 2 * radius_; t += kPlace_mm) {
      const Vec3 point = ray.origin + t * ray.direction;
      for (const Vec3& u : directions_) {
        const double turn = std::acos(std::clamp(u.dot(ray.direction), -1.0, 1.0));
        if (turn < kLeastTurn_rad || turn > kMostTurn_rad || ray.turned_rad + turn > most_turning()) continue;
        const double back = set_back(turn);
        if (t - back < ray.straight_mm || t - back > free) continue;
        const Vec3 start = point - back * ray.direction, end = point + back * u;
        // Cheapest first: the next straight's middle, then all of it, then the bend.
        if (field_.at(end + 0.5 * keep * u) < accept_) continue;
        const double left = left_.at(end + keep * u);
        if (!(left < 1e9)) continue;
        double room = field_.straight_room(end, u, keep, accept_);
        if (room < accept_) continue;
        room = std::min(room, arc_room(start, ray.direction, u, turn));
        if (room < accept_) continue;
        Ray next;
        next.origin = end;
        next.direction = u;
        next.bends = ray.bends + 1;
        next.turned_rad = ray.turned_rad + turn;
        next.gone_mm = ray.gone_mm + (t - back) + radius_ * turn + turning_mm(turn) + kBend_mm + narrow_mm(room);
        next.straight_mm = keep;
        next.before = index;
        next.point = point;
        next.estimate_mm = next.gone_mm + keep + options_.greed * left;
        out.rays.push_back(std::move(next));
      }
    }
    thin(out.rays);
    return out;
  }

  double turning_mm(double turn) const { return equivalent_of_turning_mm(turn, options_.seeds.diameter_mm); }

  /// The cheapest of those that begin near one another and go about the same way.
  void thin(std::vector<Ray>& rays) const {
    std::stable_sort(rays.begin(), rays.end(),
                     [](const Ray& a, const Ray& b) { return a.estimate_mm < b.estimate_mm; });
    std::vector<Ray> kept;
    for (Ray& ray : rays) {
      if (kept.size() >= kMostChildren) break;
      const bool same = std::any_of(kept.begin(), kept.end(), [&](const Ray& k) {
        return (k.origin - ray.origin).norm() < options_.same_mm && k.direction.dot(ray.direction) > 0.97;
      });
      if (!same) kept.push_back(std::move(ray));
    }
    rays = std::move(kept);
  }

  /// Two bends more, the second one's point on the other port's axis.
  void complete(const Ray& ray, int index, double free, std::vector<Seed>& out) const {
    if (ray.bends + 2 > options_.most_bends) return;
    const CourseEnd& to = left_.to();
    const SeedOptions& seeds = options_.seeds;
    const double last_straight = options_.backwards ? 1 : std::max(seeds.last_straight_mm, 1.0);
    std::vector<Seed> all;
    for (double t = ray.straight_mm + kPlace_mm; t <= free + 2 * radius_; t += kPlace_mm) {
      const Vec3 p = ray.origin + t * ray.direction;
      for (double b = kPlace_mm; b <= to_free_ + 2 * radius_; b += kPlace_mm) {
        const Vec3 q = to.center + b * to.axis;
        const double length = (q - p).norm();
        if (length < seeds.least_straight_mm) continue;
        const Vec3 u = (q - p) / length;
        const double turn1 = std::acos(std::clamp(u.dot(ray.direction), -1.0, 1.0));
        const double turn2 = std::acos(std::clamp(-u.dot(to.axis), -1.0, 1.0));
        if (std::min(turn1, turn2) < kLeastTurn_rad || std::max(turn1, turn2) > kMostTurn_rad) continue;
        if (ray.turned_rad + turn1 + turn2 > most_turning()) continue;
        const double back1 = set_back(turn1), back2 = set_back(turn2);
        if (t - back1 < ray.straight_mm || t - back1 > free) continue;
        if (b - back2 < last_straight || b - back2 > to_free_) continue;
        const double middle = length - back1 - back2;
        if (middle < seeds.least_straight_mm) continue;
        if (field_.at(0.5 * (p + q)) < accept_) continue;
        double room = field_.straight_room(p + back1 * u, u, middle, accept_);
        if (room < accept_) continue;
        room = std::min(room, arc_room(p - back1 * ray.direction, ray.direction, u, turn1));
        if (room < accept_) continue;
        room = std::min(room, arc_room(q - back2 * u, u, -to.axis, turn2));
        if (room < accept_) continue;
        const double cost = ray.gone_mm + t - back1 + middle + b - back2 + radius_ * (turn1 + turn2) +
                            turning_mm(turn1 + turn2) + 2 * kBend_mm + narrow_mm(room);
        all.push_back({course(index, p, q), cost});
      }
    }
    // Of one straight's many completions the cheapest that differ.
    constexpr std::size_t kOfOne = 6;
    std::stable_sort(all.begin(), all.end(), [](const Seed& a, const Seed& b) { return a.cost_mm < b.cost_mm; });
    for (Seed& seed : all) {
      if (out.size() >= kOfOne) break;
      if (!near_one(out, seed)) out.push_back(std::move(seed));
    }
  }

  Course course(int index, const Vec3& p, const Vec3& q) const {
    Course course;
    course.radius_mm = radius_;
    course.points = {left_.to().center, q, p};
    for (int i = index; rays_[static_cast<std::size_t>(i)].before >= 0; i = rays_[static_cast<std::size_t>(i)].before) {
      course.points.push_back(rays_[static_cast<std::size_t>(i)].point);
    }
    course.points.push_back(left_.from().center);
    if (!options_.backwards) std::reverse(course.points.begin(), course.points.end());
    return course;
  }

  static bool near_one(const std::vector<Seed>& known, const Seed& seed) {
    return std::any_of(known.begin(), known.end(), [&](const Seed& k) {
      for (std::size_t i = 0; i < seed.course.points.size(); ++i) {
        if ((k.course.points[i] - seed.course.points[i]).norm() > kGrownApart_mm) return false;
      }
      return true;
    });
  }

  std::vector<Seed> best_of(std::vector<Seed> all) const {
    std::stable_sort(all.begin(), all.end(), [](const Seed& a, const Seed& b) { return a.cost_mm < b.cost_mm; });
    std::vector<Seed> out;
    for (Seed& seed : all) {
      if (out.size() >= options_.seeds.most) break;
      if (!near_one(out, seed)) out.push_back(std::move(seed));
    }
    return out;
  }

  const RoomField& field_;
  const WayLeft& left_;
  const GrowOptions options_;
  const double radius_, accept_;
  const std::vector<Vec3> directions_;
  double first_free_ = 0, to_free_ = 0;
  std::vector<Ray> rays_;
  std::map<int, std::vector<Seed>> found_;
};

}  // namespace

std::vector<Seed> grown_seeds(const RoomField& field, const WayLeft& way_left, const GrowOptions& options,
                              const Progress& progress) {
  if (options.most_bends < 2) return {};
  return Growth(field, way_left, options).run(progress);
}

}  // namespace baywright::routing

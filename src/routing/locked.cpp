#include "routing/locked.hpp"

#include <algorithm>

namespace baywright::routing {
namespace {

constexpr std::size_t kMostOfAHalf = 16;
constexpr double kLockedApart_mm = 30;  ///< seeds that lie this near to a cheaper one are left to it

/// Points between one port and what is locked, seen from the port.
using Chain = std::vector<Vec3>;

bool near_known(const std::vector<Seed>& known, const Course& course) {
  return std::any_of(known.begin(), known.end(), [&](const Seed& k) {
    if (k.course.points.size() != course.points.size()) return false;
    for (std::size_t i = 0; i < course.points.size(); ++i) {
      if ((k.course.points[i] - course.points[i]).norm() > kLockedApart_mm) return false;
    }
    return true;
  });
}

class LockedSeeds {
 public:
  LockedSeeds(Room& room, const LockedRun& run, const LockedOptions& options, std::mt19937& random)
      : room_(room), run_(run), options_(options), random_(random) {}

  std::vector<Seed> run() {
    const std::vector<Chain> ups = half(room_.from(), false), downs = half(room_.to(), true);
    std::vector<Seed> all;
    for (const Chain& up : ups) {
      for (const Chain& down : downs) {
        Course course = course_of(&up, &down);
        if (course.bends() > options_.most_bends) continue;
        const CourseShape shape = shape_of(course);
        if (possible(shape, 1, options_.seeds.last_straight_mm))
          all.push_back({std::move(course), equivalent_length_mm(shape, options_.seeds.diameter_mm)});
      }
    }
    return with_room(std::move(all), options_.seeds.most);
  }

 private:
  double unit() { return static_cast<double>(random_()) / 4294967296.0; }

  /// Both halves, or one of them up to the second locked point.
  Course course_of(const Chain* up, const Chain* down) const {
    Course course;
    course.radius_mm = options_.seeds.radius_mm;
    const auto free = [&](const Vec3& p) {
      course.points.push_back(p);
      course.radii_mm.push_back(options_.seeds.radius_mm);
    };
    if (up) {
      course.points.push_back(room_.from().center);
      for (const Vec3& p : *up) free(p);
    }
    for (std::size_t i = 0; i < run_.points.size(); ++i) {
      course.points.push_back(run_.points[i]);
      course.radii_mm.push_back(run_.radii_mm[i]);
    }
    if (down) {
      for (auto p = down->rbegin(); p != down->rend(); ++p) free(*p);
      course.points.push_back(room_.to().center);
    }
    // A half begins or ends at a locked point, where nothing bends.
    if (!up) course.radii_mm.erase(course.radii_mm.begin());
    if (!down) course.radii_mm.pop_back();
    return course;
  }

  bool possible(const CourseShape& shape, double first_mm, double last_mm) const {
    for (std::size_t i = 0; i < shape.legs.size(); ++i) {
      double least = options_.seeds.least_straight_mm;
      if (i == 0) least = first_mm;
      if (i + 1 == shape.legs.size()) least = std::max(last_mm, 1.0);
      if (shape.legs[i].spare_mm < least) return false;
    }
    const double most = options_.seeds.most_turning_rad;
    return most <= 0 || shape.turning_rad() <= most;
  }

  std::vector<Seed> with_room(std::vector<Seed> all, std::size_t most) {
    std::stable_sort(all.begin(), all.end(), [](const Seed& a, const Seed& b) { return a.cost_mm < b.cost_mm; });
    std::vector<Seed> out;
    for (Seed& seed : all) {
      if (out.size() >= most) break;
      if (near_known(out, seed.course)) continue;
      const double accept = options_.seeds.accept_mm;
      if (room_.rough_margin(shape_of(seed.course), accept) < accept) continue;
      out.push_back(std::move(seed));
    }
    return out;
  }

  std::vector<Chain> chains(const CourseEnd& end, const Vec3& locked) {
    constexpr double kStep_mm = 20, kLongest_mm = 900, kOnAxis_mm = 0.05, kAround_mm = 250;
    std::vector<Chain> out;
    const double ahead = (locked - end.center).dot(end.axis);
    if (ahead > 0 && (locked - end.center - ahead * end.axis).norm() < kOnAxis_mm) out.emplace_back();
    double open = room_.tube_radius_mm();
    while (open < kLongest_mm && room_.near(end.center + open * end.axis) >= options_.seeds.accept_mm)
      open += Room::kGrid_mm;
    open += options_.seeds.radius_mm;
    for (double s = kStep_mm; s <= open; s += kStep_mm) out.push_back({end.center + s * end.axis});
    Aabb box;
    box.grow(end.center);
    box.grow(locked);
    box = box.inflated(kAround_mm);
    for (int i = 0; i < options_.tries; ++i) {
      const Vec3 on_axis = end.center + unit() * open * end.axis;
      Vec3 q;
      for (int k = 0; k < 3; ++k) q[k] = box.lo[k] + unit() * (box.hi[k] - box.lo[k]);
      out.push_back({on_axis, q});
    }
    return out;
  }

  /// The cheapest chains on one side that have room as far as the locked points go.
  std::vector<Chain> half(const CourseEnd& end, bool downstream) {
    std::vector<Seed> all;
    for (const Chain& chain : chains(end, downstream ? run_.points.back() : run_.points.front())) {
      Course course = course_of(downstream ? nullptr : &chain, downstream ? &chain : nullptr);
      if (course.points.size() < 2) continue;
      const CourseShape shape = shape_of(course);
      // What is open of the straight at the locked end is seen when both halves are put together.
      if (possible(shape, downstream ? 0 : 1, downstream ? options_.seeds.last_straight_mm : 0))
        all.push_back({std::move(course), equivalent_length_mm(shape, options_.seeds.diameter_mm)});
    }
    std::vector<Chain> out;
    for (const Seed& seed : with_room(std::move(all), kMostOfAHalf)) {
      const auto& p = seed.course.points;
      const auto locked = static_cast<std::ptrdiff_t>(run_.points.size());
      Chain chain = downstream ? Chain(p.begin() + locked, p.end() - 1) : Chain(p.begin() + 1, p.end() - locked);
      if (downstream) std::reverse(chain.begin(), chain.end());
      out.push_back(std::move(chain));
    }
    return out;
  }

  Room& room_;
  const LockedRun& run_;
  const LockedOptions& options_;
  std::mt19937& random_;
};

}  // namespace

bool LockedRun::has(const Vec3& p) const { return std::find(points.begin(), points.end(), p) != points.end(); }

bool LockedRun::is_in(const Course& course) const {
  return std::search(course.points.begin(), course.points.end(), points.begin(), points.end()) != course.points.end() ||
         points.empty();
}

LockedRun locked_run(const job::RoutingWishes& wishes, const duct::DuctSpec& duct) {
  LockedRun out;
  for (const job::LockedPoints& locked : wishes.locked) {
    if (locked.duct != duct.id) continue;
    for (const duct::RoutePoint& point : duct.route.points) {
      if (std::find(locked.points.begin(), locked.points.end(), point.id) == locked.points.end()) continue;
      out.points.push_back(point.p_mm);
      out.radii_mm.push_back(point.bend_radius_mm);
    }
  }
  return out;
}

std::vector<Seed> locked_seeds(Room& room, const LockedRun& run, const LockedOptions& options, std::mt19937& random) {
  return LockedSeeds(room, run, options, random).run();
}

}  // namespace baywright::routing

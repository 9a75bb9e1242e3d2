#include "routing/seeds.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace baywright::routing {
namespace {

constexpr double kLongestAxis_mm = 900;
/// Seeds of one family that lie this near to a cheaper one are left to it.
constexpr double kSeedsApart_mm = 45;

bool possible(const CourseShape& shape, const SeedOptions& options) {
  const std::size_t n = shape.legs.size();
  for (std::size_t i = 0; i < n; ++i) {
    const double least = i + 1 == n ? std::max(options.last_straight_mm, 1.0)
                         : i == 0   ? 1.0
                                    : options.least_straight_mm;
    if (shape.legs[i].spare_mm < least) return false;
  }
  return options.most_turning_rad <= 0 || shape.turning_rad() <= options.most_turning_rad;
}

bool near_one(const std::vector<Seed>& seeds, const Course& course) {
  return std::any_of(seeds.begin(), seeds.end(), [&](const Seed& s) {
    double farthest = 0;
    for (std::size_t i = 0; i < course.points.size(); ++i)
      farthest = std::max(farthest, (s.course.points[i] - course.points[i]).norm());
    return farthest < kSeedsApart_mm;
  });
}

/// The cheapest that have room, looked at in order of cost.
std::vector<Seed> with_room(Room& room, std::vector<Seed> all, const SeedOptions& options) {
  std::stable_sort(all.begin(), all.end(), [](const Seed& a, const Seed& b) { return a.cost_mm < b.cost_mm; });
  std::vector<Seed> out;
  for (Seed& seed : all) {
    if (out.size() >= options.most) break;
    if (near_one(out, seed.course)) continue;
    if (room.rough_margin(shape_of(seed.course), options.accept_mm) < options.accept_mm) continue;
    out.push_back(std::move(seed));
  }
  return out;
}

/// How far a port's axis has room, mm from its centre.
double open_axis(Room& room, const CourseEnd& end, double accept_mm) {
  double s = room.tube_radius_mm();
  while (s < kLongestAxis_mm && room.near(end.center + s * end.axis) >= accept_mm) s += Room::kGrid_mm;
  return s;
}

}  // namespace

double equivalent_length_mm(const CourseShape& shape, double diameter_mm) {
  return shape.length_mm() + equivalent_of_turning_mm(shape.turning_rad(), diameter_mm);
}

double equivalent_of_turning_mm(double turning_rad, double diameter_mm) {
  // A bend's K of about 0.2 a right angle over a friction factor of 0.016; for ranking alone (common practice, no
  // source).
  constexpr double kDiametersPerRadian = 8;
  return kDiametersPerRadian * diameter_mm * turning_rad;
}

std::vector<Seed> two_bend_seeds(Room& room, const SeedOptions& options) {
  constexpr double kStep_mm = 20;
  std::vector<Seed> all;
  // The point of a bend lies beyond the last place of its leg that needs room.
  const double from_end = open_axis(room, room.from(), options.accept_mm) + options.radius_mm;
  const double to_end = open_axis(room, room.to(), options.accept_mm) + options.radius_mm;
  for (double s = kStep_mm; s <= from_end; s += kStep_mm) {
    for (double t = kStep_mm; t <= to_end; t += kStep_mm) {
      Course course{{room.from().center, room.from().center + s * room.from().axis,
                     room.to().center + t * room.to().axis, room.to().center},
                    options.radius_mm};
      const CourseShape shape = shape_of(course);
      if (possible(shape, options))
        all.push_back({std::move(course), equivalent_length_mm(shape, options.diameter_mm)});
    }
  }
  return with_room(room, std::move(all), options);
}

std::vector<Seed> three_bend_seeds(Room& room, const SeedOptions& options, std::mt19937& random, int tries) {
  constexpr double kAround_mm = 250;
  Aabb box;
  box.grow(room.from().center);
  box.grow(room.to().center);
  const double from_end = open_axis(room, room.from(), options.accept_mm) + options.radius_mm;
  const double to_end = open_axis(room, room.to(), options.accept_mm) + options.radius_mm;
  box = box.inflated(kAround_mm);
  // Drawn from the engine's own numbers: the library's distributions differ from one to the next.
  const auto unit = [&random] { return static_cast<double>(random()) / 4294967296.0; };
  std::vector<Seed> all;
  for (int i = 0; i < tries; ++i) {
    const double s = unit() * from_end, t = unit() * to_end;
    Vec3 middle;
    for (int k = 0; k < 3; ++k) middle[k] = box.lo[k] + unit() * (box.hi[k] - box.lo[k]);
    Course course{{room.from().center, room.from().center + s * room.from().axis, middle,
                   room.to().center + t * room.to().axis, room.to().center},
                  options.radius_mm};
    const CourseShape shape = shape_of(course);
    if (possible(shape, options)) all.push_back({std::move(course), equivalent_length_mm(shape, options.diameter_mm)});
  }
  return with_room(room, std::move(all), options);
}

}  // namespace baywright::routing

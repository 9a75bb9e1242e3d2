#pragma once

#include <random>
#include <vector>

#include "duct/route.hpp"
#include "job/routing_wishes.hpp"
#include "routing/seeds.hpp"

namespace baywright::routing {

/// Points of a duct's route that stay, one behind the other, with their bends.
struct LockedRun {
  std::vector<Vec3> points;
  std::vector<double> radii_mm;
  bool empty() const { return points.empty(); }
  bool has(const Vec3& p) const;
  /// Whether a course runs through all of it, with nothing between.
  bool is_in(const Course& course) const;
};
LockedRun locked_run(const job::RoutingWishes& wishes, const duct::DuctSpec& duct);

struct LockedOptions {
  SeedOptions seeds;
  int most_bends = 6;
  int tries = 400;  ///< points scattered over the box of the ports on either side
};

/// Courses through what is locked: from either port to it straight on, over a bend on the port's axis, or over one more
/// point that is scattered. The cheapest that have room.
std::vector<Seed> locked_seeds(Room& room, const LockedRun& run, const LockedOptions& options, std::mt19937& random);

}  // namespace baywright::routing

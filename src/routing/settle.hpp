#pragma once

#include <functional>
#include <vector>

#include "geometry/base/progress.hpp"
#include "routing/course.hpp"
#include "routing/room.hpp"

namespace baywright::routing {

/// Where a course is too near, with everything whose margin is below the window.
using ContactsOf = std::function<std::vector<Contact>(const Course& course)>;

struct SettleOptions {
  double target_mm = 1;  ///< margin to reach
  double window_mm = 6;  ///< places with a margin up to this much above it are kept from becoming worse
  int steps = 20;
  std::vector<double> least_straight_mm = {};  ///< of each leg
  double angle_step_rad = 0;                   ///< every bend is a multiple of it; 0: any angle
};

struct Settled {
  Course course;
  double margin_mm = 0;  ///< least of all contacts and of what the straights have to spare, at most target + window
  std::vector<Contact> contacts;
};

/// Margin of a course whose bends cannot be brought to the steps of their angles.
inline constexpr double kNoAngles_mm = -1000;

/// Moves the points of a course until everything has its margin: each step solves the linearised margins for the least
/// move, in the least-squares sense. The best course met comes back, whether it has reached the target or not.
/// With a step of angles the bends are brought to it first, to the nearest multiples and then to others beside them,
/// and stay there to the last digit; where none do, the course comes back as it was, with kNoAngles_mm. Cost: steps
/// times `contacts_of`.
Settled settle(const Course& start, const Freedom& freedom, const ContactsOf& contacts_of, const SettleOptions& options,
               const Progress& progress = {});

}  // namespace baywright::routing

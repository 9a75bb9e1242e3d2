#pragma once

#include <optional>

#include "routing/corridor.hpp"
#include "routing/course.hpp"

namespace baywright::routing {

struct FitOptions {
  int bends = 2;
  double radius_mm = 0;
  double least_straight_mm = 0;  ///< between two bends
};

/// The course with that many bends that follows a corridor most closely, in the least-squares sense, on the axes of
/// both ports. It may leave the corridor by more than there is room: settling and the checks say so. None: the corridor
/// is too short for so many bends, or (fewer than two bends) the ports do not stand so. Cost: milliseconds.
std::optional<Course> fit_course(const Corridor& corridor, const CourseEnd& from, const CourseEnd& to,
                                 const FitOptions& options);

/// The course without a bend or with one: there is at most one of each, and only between ports whose axes meet. Ends
/// may be off their axes by no more than half of what a layout allows.
std::optional<Course> only_course(const CourseEnd& from, const CourseEnd& to, int bends, double radius_mm);

}  // namespace baywright::routing

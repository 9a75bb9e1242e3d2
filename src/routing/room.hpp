#pragma once

#include <cstdint>
#include <unordered_map>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "geometry/aabb.hpp"
#include "routing/course.hpp"
#include "routing/requirements.hpp"

namespace baywright::routing {

/// A place where a course is nearer to something than it may be, or nearly so.
struct Contact {
  int element = 0;  ///< of the course's shape
  double share = 0;
  Vec3 outward = Vec3::Zero();  ///< unit, from the duct to what it is near to
  double margin_mm = 0;         ///< clearance less what is needed
  int part = -1;                ///< index into Bay::parts
};

/// Room in the bay for a bare tube at rest, against what each part needs at least: at rest (or on one body, where an
/// end of the duct and the part ride on the same one). Hoses, fittings and the motion need more, never less, so what
/// has no room here has none at all; a port's own part does not count near the port.
///
/// near() and rough_margin() are not thread-safe: they remember what they were asked. `bay` must outlive it.
class Room {
 public:
  /// `range_mm`: more room than that is all the same.
  Room(const bay::Bay& bay, const duct::DuctSpec& spec, const Requirements& requirements, double range_mm = 60);

  const CourseEnd& from() const { return from_; }
  const CourseEnd& to() const { return to_; }
  double tube_radius_mm() const { return radius_; }
  /// What routes are looked for in: around both ports, as far as there are parts.
  Aabb neighbourhood() const;

  /// How much wider than the tube the room around a point is; at most the range. Below zero: no room.
  struct Spot {
    double spare_mm = 0;
    Vec3 nearest = Vec3::Zero();  ///< point of the nearest surface, for moving away from it
    int part = -1;                ///< -1: nothing within the range
  };
  Spot at(const Vec3& p) const;
  /// The same at the nearest point of a grid of kGrid_mm, remembered: within half a cell's diagonal.
  double near(const Vec3& p);
  static constexpr double kGrid_mm = 10;

  /// Least of near() along a course, as far as it is known not to be below `stop_below_mm`.
  double rough_margin(const CourseShape& shape, double stop_below_mm);
  /// Places of a course with a margin below `window_mm`, exact, one for each 60 mm and part.
  std::vector<Contact> contacts(const CourseShape& shape, double window_mm) const;

 private:
  struct Obstacle {
    int part = 0;
    double need_mm = 0;
    Aabb box;
    bool at_from = false, at_to = false;  ///< belongs to that port
  };
  bool excused(const Obstacle& obstacle, const Vec3& p) const;

  const bay::Bay& bay_;
  CourseEnd from_, to_;
  double from_contact_mm_ = 0, to_contact_mm_ = 0;
  double radius_ = 0, range_ = 0;
  std::vector<Obstacle> obstacles_;
  std::unordered_map<std::uint64_t, float> known_;
};

/// Least margin among contacts; `window_mm` where there is none.
double least_margin(const std::vector<Contact>& contacts, double window_mm);

}  // namespace baywright::routing

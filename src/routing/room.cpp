#include "routing/room.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/aabb_gap.hpp"
#include "geometry/clearance/clearance.hpp"
#include "geometry/primitive.hpp"

namespace baywright::routing {
namespace {

/// A course is looked at in stretches of about this length, so that each place where it is too near is found.
constexpr double kStretch_mm = 60;

double box_distance(const Aabb& box, const Vec3& p) { return (box.lo - p).cwiseMax(p - box.hi).cwiseMax(0.0).norm(); }

/// One stretch of a course.
struct Stretch {
  int element = 0;
  double share_from = 0, share_to = 0;
  double station_from_mm = 0, station_to_mm = 0;
};

/// An element of a course between two shares of it, as a solid.
Shape solid_between(const CourseShape& shape, int element, double from, double to, double radius) {
  if (element % 2 == 0) return Cylinder{shape.point(element, from), shape.point(element, to), radius};
  const CourseArc& arc = shape.arcs[static_cast<std::size_t>(element / 2)];
  const double t = from * arc.angle_rad;
  TorusSegment solid;
  solid.center = arc.center;
  solid.e0 = std::cos(t) * arc.e0 + std::sin(t) * arc.e1;
  solid.e1 = -std::sin(t) * arc.e0 + std::cos(t) * arc.e1;
  solid.bend_radius_mm = arc.radius_mm;
  solid.angle_rad = (to - from) * arc.angle_rad;
  solid.radius_mm = radius;
  return solid;
}

std::vector<Stretch> stretches_of(const CourseShape& shape, double radius) {
  std::vector<Stretch> out;
  double station = 0;
  for (int e = 0; e < shape.elements(); ++e) {
    const double length = shape.length_of(e);
    // Round ends reach past the ends of the duct: the first and last radius of it are left to its ports.
    const double from = e == 0 ? std::min(radius, 0.5 * length) : 0;
    const double to = e + 1 == shape.elements() ? std::max(length - radius, 0.5 * length) : length;
    if (to - from > 0.5) {
      const int count = std::max(1, static_cast<int>(std::ceil((to - from) / kStretch_mm)));
      for (int k = 0; k < count; ++k) {
        const double f = (from + (to - from) * k / count) / length, g = (from + (to - from) * (k + 1) / count) / length;
        out.push_back({e, f, g, station + f * length, station + g * length});
      }
    }
    station += length;
  }
  return out;
}

/// Share of the stretch's element that lies nearest to a point.
double share_of(const CourseShape& shape, const Stretch& s, const Vec3& p) {
  const auto i = static_cast<std::size_t>(s.element / 2);
  double share = s.share_from;
  if (s.element % 2 == 0) {
    share = (p - shape.legs[i].from).dot(shape.legs[i].direction) / shape.legs[i].spare_mm;
  } else {
    const Vec3 out = p - shape.arcs[i].center;
    share = std::atan2(out.dot(shape.arcs[i].e1), out.dot(shape.arcs[i].e0)) / shape.arcs[i].angle_rad;
  }
  return std::clamp(share, s.share_from, s.share_to);
}

CourseEnd end_of(const bay::Bay& bay, const duct::PortRef& ref) {
  const bay::Port& port = *bay.find_port(ref.port);
  return {port.center_mm, port.axis};
}

}  // namespace

Room::Room(const bay::Bay& bay, const duct::DuctSpec& spec, const Requirements& requirements, double range_mm)
    : bay_(bay),
      from_(end_of(bay, spec.from)),
      to_(end_of(bay, spec.to)),
      radius_(0.5 * requirements.outer_diameter_mm),
      range_(range_mm) {
  const bay::Port& from = *bay.find_port(spec.from.port);
  const bay::Port& to = *bay.find_port(spec.to.port);
  from_contact_mm_ = from.part ? from.contact_length_mm : 0;
  to_contact_mm_ = to.part ? to.contact_length_mm : 0;
  for (std::size_t i = 0; i < bay.parts.size(); ++i) {
    if (!requirements.of_part[i]) continue;
    const PartNeed& need = *requirements.of_part[i];
    const BodyIndex body = bay.parts[i].body;
    const bool may_ride_along = body == from.body || body == to.body;
    Obstacle obstacle;
    obstacle.part = static_cast<int>(i);
    obstacle.need_mm = std::max(need.at_rest_mm, need.over_motion_mm);
    if (may_ride_along) obstacle.need_mm = std::min(obstacle.need_mm, need.same_body_mm);
    obstacle.box = bay.parts[i].tree.bounds();
    obstacle.at_from = from.part == bay.parts[i].id;
    obstacle.at_to = to.part == bay.parts[i].id;
    obstacles_.push_back(obstacle);
  }
}

Aabb Room::neighbourhood() const {
  constexpr double kAround_mm = 1000;  // and a share of the ports' distance
  constexpr double kBeside_mm = 300;   // of the outermost parts
  Aabb box;
  box.grow(from_.center);
  box.grow(to_.center);
  Aabb parts = box;
  for (const Obstacle& obstacle : obstacles_) {
    parts.grow(obstacle.box.lo);
    parts.grow(obstacle.box.hi);
  }
  const Aabb around = box.inflated(kAround_mm + 0.25 * (to_.center - from_.center).norm());
  parts = parts.inflated(kBeside_mm);
  return {around.lo.cwiseMax(parts.lo), around.hi.cwiseMin(parts.hi)};
}

bool Room::excused(const Obstacle& obstacle, const Vec3& p) const {
  return (obstacle.at_from && (p - from_.center).norm() < from_contact_mm_ + radius_) ||
         (obstacle.at_to && (p - to_.center).norm() < to_contact_mm_ + radius_);
}

Room::Spot Room::at(const Vec3& p) const {
  Spot spot;
  spot.spare_mm = range_;
  for (const Obstacle& obstacle : obstacles_) {
    const double least = radius_ + obstacle.need_mm;
    const double limit = spot.spare_mm + least;  // farther than this changes nothing
    if (limit <= 0 || box_distance(obstacle.box, p) >= limit || excused(obstacle, p)) continue;
    const auto hit = bay_.parts[static_cast<std::size_t>(obstacle.part)].tree.nearest(p, limit);
    if (!hit || hit->distance_mm - least >= spot.spare_mm) continue;
    spot = {hit->distance_mm - least, hit->point, obstacle.part};
  }
  return spot;
}

double Room::near(const Vec3& p) {
  // Cells within +-10 m of the origin have a number of their own; a bay is smaller.
  constexpr std::int64_t kHalf = 1 << 20;
  const auto cell = [](double x) {
    return static_cast<std::int64_t>(std::llround(std::clamp(x / kGrid_mm, -1e6, 1e6)));
  };
  const std::int64_t i = cell(p.x()), j = cell(p.y()), k = cell(p.z());
  const auto key = static_cast<std::uint64_t>(((i + kHalf) << 42) | ((j + kHalf) << 21) | (k + kHalf));
  if (const auto it = known_.find(key); it != known_.end()) return it->second;
  const double spare =
      at(kGrid_mm * Vec3(static_cast<double>(i), static_cast<double>(j), static_cast<double>(k))).spare_mm;
  known_.emplace(key, static_cast<float>(spare));
  return spare;
}

double Room::rough_margin(const CourseShape& shape, double stop_below_mm) {
  double least = range_;
  const double length = shape.length_mm();
  for (double station = radius_; station < length - radius_;) {
    const double spare = near(shape.at(station).p);
    least = std::min(least, spare);
    if (least < stop_below_mm) return least;
    // A point with that much to spare speaks for its neighbours.
    station += std::max(2 * kGrid_mm, spare - stop_below_mm);
  }
  return least;
}

std::vector<Contact> Room::contacts(const CourseShape& shape, double window_mm) const {
  std::vector<Contact> out;
  const double length = shape.length_mm();
  for (const Stretch& s : stretches_of(shape, radius_)) {
    Primitive solid;
    solid.shape = solid_between(shape, s.element, s.share_from, s.share_to, radius_);
    const Aabb box = bounds(solid.shape);
    for (const Obstacle& obstacle : obstacles_) {
      if (box_gap_mm(obstacle.box, box) >= obstacle.need_mm + window_mm) continue;
      if (obstacle.at_from && s.station_from_mm < from_contact_mm_) continue;
      if (obstacle.at_to && s.station_to_mm > length - to_contact_mm_) continue;
      const ClearanceOptions options{.width_mm = 0.2, .range_mm = std::max(obstacle.need_mm + window_mm, 0.5)};
      const Bracket bracket =
          clearance_at_rest({&solid, 1}, bay_.parts[static_cast<std::size_t>(obstacle.part)].tree, options);
      if (bracket.beyond_range || bracket.hi_mm - obstacle.need_mm >= window_mm) continue;
      Contact contact;
      contact.element = s.element;
      contact.share = share_of(shape, s, bracket.on_surface);
      contact.margin_mm = bracket.hi_mm - obstacle.need_mm;
      contact.part = obstacle.part;
      const Vec3 way = bracket.on_surface - shape.point(contact.element, contact.share);
      contact.outward = way.norm() > 1e-6 ? Vec3(way.normalized()) : Vec3(Vec3::UnitZ());
      out.push_back(contact);
    }
  }
  return out;
}

double least_margin(const std::vector<Contact>& contacts, double window_mm) {
  double least = window_mm;
  for (const Contact& c : contacts) least = std::min(least, c.margin_mm);
  return least;
}

}  // namespace baywright::routing

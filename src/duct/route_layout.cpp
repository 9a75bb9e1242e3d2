#include "duct/route_layout.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "geometry/base/expects.hpp"

namespace baywright::duct {
namespace {

/// Points nearer than this are the same point.
constexpr double kSamePoint_mm = 1e-3;
/// Rounding that a leg used up exactly by its set-backs may show.
constexpr double kUsedUp_mm = 1e-6;

std::string place(const RoutePoint& point) { return "point " + point.id.value; }
std::string leg_name(const RoutePoint& from, const RoutePoint& to) {
  return "leg " + from.id.value + " - " + to.id.value;
}

void check_points(const Route& route, Trouble& trouble) {
  const auto& points = route.points;
  if (points.size() < 2) {
    trouble.add("route", "has " + std::to_string(points.size()) + " point(s); a route needs at least its two ends");
  }
  std::set<PointId> seen;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const RoutePoint& point = points[i];
    if (point.id.empty()) trouble.add("point " + std::to_string(i + 1), "has no id");
    if (!point.id.empty() && !seen.insert(point.id).second) {
      trouble.add(place(point), "this id is used twice; every point needs its own");
    }
    if (!point.p_mm.allFinite()) trouble.add(place(point), "its coordinates are not finite numbers");
    const bool inner = i > 0 && i + 1 < points.size();
    if (!std::isfinite(point.bend_radius_mm) || point.bend_radius_mm < 0) {
      trouble.add(place(point), "its bend radius must be a positive number");
    } else if (!inner && point.bend_radius_mm != 0) {
      trouble.add(place(point), "an end of the route has no bend; leave its bend radius out");
    }
    if (point.pieces && *point.pieces < 2) trouble.add(place(point), "a bend is welded of two pieces or more");
    if (point.pieces && !inner) trouble.add(place(point), "an end of the route has no bend; leave its pieces out");
  }
}

/// Directions of all legs; empty when a leg has no length.
std::vector<Vec3> leg_directions(const Route& route, Trouble& trouble) {
  std::vector<Vec3> directions;
  for (std::size_t i = 0; i + 1 < route.points.size(); ++i) {
    const Vec3 along = route.points[i + 1].p_mm - route.points[i].p_mm;
    if (along.norm() < kSamePoint_mm) {
      trouble.add(leg_name(route.points[i], route.points[i + 1]), "has no length; move or remove one of its points");
    }
    directions.push_back(along.normalized());
  }
  return directions;
}

Vec3 any_normal(const Vec3& direction) {
  const Vec3 axis = std::abs(direction.z()) < 0.9 ? Vec3::UnitZ() : Vec3::UnitX();
  return direction.cross(axis).normalized();
}

/// Bend at `point` from direction u to direction w, without stations.
Bend bend_at(const RoutePoint& point, const Vec3& u, const Vec3& w, Trouble& trouble) {
  Bend bend;
  bend.at = point.id;
  bend.radius_mm = point.bend_radius_mm;
  bend.pieces = point.pieces.value_or(0);
  const Vec3 across = u.cross(w);
  const double angle = std::atan2(across.norm(), u.dot(w));
  if (angle > kReversalAngle.si()) {
    trouble.add(place(point), "the route turns back on itself here (by " + degree_text(to_degrees(radians(angle))) +
                                  "); at most 175 degrees can be bent at one point, split the turn over two points");
  } else if (angle >= kStraightAngle.si() && point.bend_radius_mm <= 0) {
    trouble.add(place(point), "the route changes direction by " + degree_text(to_degrees(radians(angle))) +
                                  " here and the point has no bend radius");
  }
  const bool straight = angle < kStraightAngle.si();
  bend.angle = radians(straight ? 0.0 : angle);
  bend.normal = straight ? any_normal(u) : Vec3(across.normalized());
  bend.set_back_mm = bend.radius_mm * std::tan(0.5 * bend.angle.si());
  bend.e1 = u;
  bend.e0 = -bend.normal.cross(u);
  bend.center = point.p_mm - bend.set_back_mm * u - bend.radius_mm * bend.e0;
  return bend;
}

void check_room(const Route& route, const std::vector<Bend>& bends, Trouble& trouble) {
  const auto& points = route.points;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const double length = (points[i + 1].p_mm - points[i].p_mm).norm();
    const double before = i > 0 ? bends[i - 1].set_back_mm : 0;
    const double after = i < bends.size() ? bends[i].set_back_mm : 0;
    const double missing = before + after - length;
    if (missing <= kUsedUp_mm) continue;
    std::string message = "is " + trouble.length(length) + " long and its bends need ";
    if (before > 0) message += trouble.length(before) + " at " + points[i].id.value;
    if (before > 0 && after > 0) message += " and ";
    if (after > 0) message += trouble.length(after) + " at " + points[i + 1].id.value;
    trouble.add(leg_name(points[i], points[i + 1]), message + ": too short by " + trouble.length(missing) +
                                                        "; use a smaller bend radius or move the points apart");
  }
}

/// Angle from plane normal a to b, right-handed about u.
Angle rotation_between(const Vec3& a, const Vec3& b, const Vec3& u) {
  return radians(std::atan2(u.dot(a.cross(b)), a.dot(b)));
}

void set_rotations(std::vector<Bend>& bends, const std::vector<Vec3>& directions) {
  const Bend* previous = nullptr;
  for (std::size_t i = 0; i < bends.size(); ++i) {
    if (!bends[i].bends()) continue;
    if (previous) bends[i].rotation = rotation_between(previous->normal, bends[i].normal, directions[i]);
    previous = &bends[i];
  }
}

void set_stations(const Route& route, const std::vector<Vec3>& directions, Layout& layout) {
  const auto& points = route.points;
  double station = 0;
  for (std::size_t i = 0; i < directions.size(); ++i) {
    const double before = i > 0 ? layout.bends[i - 1].set_back_mm : 0;
    const double after = i < layout.bends.size() ? layout.bends[i].set_back_mm : 0;
    Leg leg;
    leg.from = points[i].id;
    leg.direction = directions[i];
    leg.start_mm = points[i].p_mm + before * directions[i];
    leg.end_mm = points[i + 1].p_mm - after * directions[i];
    leg.station_from_mm = station;
    const double length = (points[i + 1].p_mm - points[i].p_mm).norm() - before - after;
    leg.station_to_mm = station += std::max(length, 0.0);
    layout.legs.push_back(leg);
    if (i < layout.bends.size()) {
      Bend& bend = layout.bends[i];
      bend.station_from_mm = station;
      bend.station_to_mm = station += bend.radius_mm * bend.angle.si();
    }
  }
  layout.length_mm = station;
}

}  // namespace

Layout lay_out_legs(const Route& route, Trouble& trouble) {
  Layout layout;
  const std::size_t before = trouble.errors.size();
  check_points(route, trouble);
  const bool finite = std::all_of(route.points.begin(), route.points.end(), [](const RoutePoint& point) {
    return point.p_mm.allFinite() && std::isfinite(point.bend_radius_mm);
  });
  if (route.points.size() < 2 || !finite) return layout;
  const std::size_t unbroken = trouble.errors.size();
  const std::vector<Vec3> directions = leg_directions(route, trouble);
  if (trouble.errors.size() > unbroken) return layout;
  for (std::size_t i = 1; i + 1 < route.points.size(); ++i) {
    layout.bends.push_back(bend_at(route.points[i], directions[i - 1], directions[i], trouble));
  }
  if (trouble.errors.size() == unbroken) check_room(route, layout.bends, trouble);
  if (trouble.errors.size() > before) return layout;
  set_rotations(layout.bends, directions);
  set_stations(route, directions, layout);
  return layout;
}

ResultAll<Layout> lay_out_route(const Route& route) {
  Trouble trouble;
  Layout layout = lay_out_legs(route, trouble);
  if (!trouble.none()) return tl::unexpected(std::move(trouble.errors));
  return layout;
}

StationFrame Layout::at(double station_mm) const {
  EXPECTS(!legs.empty());
  EXPECTS(std::isfinite(station_mm));
  for (std::size_t i = 0; i < legs.size(); ++i) {
    const Leg& leg = legs[i];
    if (station_mm <= leg.station_to_mm || i == bends.size()) {
      return {leg.start_mm + (station_mm - leg.station_from_mm) * leg.direction, leg.direction};
    }
    const Bend& bend = bends[i];
    if (station_mm < bend.station_to_mm) {
      const double t = (station_mm - bend.station_from_mm) / bend.radius_mm;
      return {bend.center + bend.radius_mm * (std::cos(t) * bend.e0 + std::sin(t) * bend.e1),
              -std::sin(t) * bend.e0 + std::cos(t) * bend.e1};
    }
  }
  return {legs.back().end_mm, legs.back().direction};
}

const PlacedFitting* Layout::find(const FittingId& id) const {
  const auto found =
      std::find_if(fittings.begin(), fittings.end(), [&](const PlacedFitting& fitting) { return fitting.id == id; });
  return found == fittings.end() ? nullptr : &*found;
}

std::vector<Straight> Layout::straights() const {
  std::vector<Straight> found;
  for (std::size_t i = 0; i < legs.size(); ++i) {
    if (i > 0 && !bends[i - 1].bends()) {
      found.back().station_to_mm = legs[i].station_to_mm;
    } else {
      found.push_back({legs[i].station_from_mm, legs[i].station_to_mm});
    }
  }
  return found;
}

}  // namespace baywright::duct

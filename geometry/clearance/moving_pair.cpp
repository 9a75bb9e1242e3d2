#include "geometry/clearance/moving_pair.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/enclosure.hpp"
#include "geometry/shape_kernels.hpp"

namespace baywright {
namespace {

bool is_link(const RigidCarriage& c) { return c.kind == RigidCarriage::Kind::link && c.a != c.b; }

std::vector<RigidCarriage> rigid_ones(const Carriage& carriage) {
  std::vector<RigidCarriage> out = {carriage.first};
  if (carriage.second) out.push_back(*carriage.second);
  return out;
}

/// Which shares matter for one of the two.
struct Shares {
  bool link = false, mix = false;
};

Shares shares_of(const Carriage& carriage, const std::vector<std::pair<BodyIndex, int>>& movers) {
  const auto moves = [&](BodyIndex body) {
    return std::any_of(movers.begin(), movers.end(), [&](const auto& m) { return m.first == body; });
  };
  Shares out;
  for (const RigidCarriage& c : rigid_ones(carriage)) {
    const bool any = moves(c.a) || (is_link(c) && moves(c.b));
    out.link = out.link || (is_link(c) && any);
    out.mix = out.mix || (carriage.mixed() && any);
  }
  return out;
}

bool same_link(const Carriage& first, const Carriage& second) {
  for (const RigidCarriage& a : rigid_ones(first)) {
    for (const RigidCarriage& b : rigid_ones(second)) {
      if (is_link(a) && a == b) return true;
    }
  }
  return false;
}

PairScenario scenario_of(const Kinematics& kinematics, const Carriage& first, const Carriage& second,
                         const std::vector<std::pair<BodyIndex, int>>& movers) {
  Scenario s;
  const auto add = [&s](double from, double to) {
    s.from.push_back(from);
    s.to.push_back(to);
    return s.count() - 1;
  };
  for (const auto& [body, member] : movers) {
    const MotionMember& m =
        kinematics.bodies[static_cast<std::size_t>(body)].members()[static_cast<std::size_t>(member)];
    s.movers.push_back({body, member, s.count()});
    if (m.shape == MotionMember::Shape::path) {
      add(0, 1);
    } else {
      for (std::size_t i = 0; i < m.joints.size(); ++i) add(m.from[i], m.to[i]);
    }
  }
  PairScenario out;
  const Shares a = shares_of(first, movers), b = shares_of(second, movers);
  Scenario& one = out.first;
  Scenario& other = out.second;
  if (a.link) {
    one.axial = add(0, 1);
    one.spin = add(0, 1);
  }
  if (a.mix) one.mix = add(0, 1);
  if (b.link) {
    const bool shared = a.link && same_link(first, second);
    other.axial = shared ? one.axial : add(0, 1);
    other.spin = shared ? one.spin : add(0, 1);
  }
  if (b.mix) other.mix = a.mix && first == second ? one.mix : add(0, 1);
  for (Scenario* each : {&one, &other}) {
    each->movers = s.movers;
    each->from = s.from;
    each->to = s.to;
  }
  EXPECTS(s.count() <= kMostParameters);
  return out;
}

/// Moving bodies that either rides on; none where both ride on the same one.
std::vector<BodyIndex> moving_bodies(const Kinematics& kinematics, const Carriage& first, const Carriage& second) {
  std::vector<BodyIndex> bodies;
  for (const Carriage* carriage : {&first, &second}) {
    for (const RigidCarriage& c : rigid_ones(*carriage)) {
      bodies.push_back(c.a);
      if (is_link(c)) bodies.push_back(c.b);
    }
  }
  for (const BodyIndex body : bodies) {
    EXPECTS(body >= 0 && static_cast<std::size_t>(body) < kinematics.bodies.size());
  }
  std::sort(bodies.begin(), bodies.end());
  bodies.erase(std::unique(bodies.begin(), bodies.end()), bodies.end());
  if (bodies.size() == 1) return {};
  std::erase_if(bodies, [&](BodyIndex body) { return !kinematics.bodies[static_cast<std::size_t>(body)].moves(); });
  return bodies;
}

Cone as_cone(const Shape& shape) {
  if (const auto* cone = std::get_if<Cone>(&shape)) return *cone;
  const auto& collar = std::get<Collar>(shape);
  return {collar.a, collar.b, collar.radius_mm, collar.radius_mm};
}

bool is_flat(const Shape& shape) {
  return std::holds_alternative<Cone>(shape) || std::holds_alternative<Collar>(shape);
}

void keep(CarriedHull& hull, VectorForm p) {
  hull.rest_mm = p.rest >= 0 ? std::max(hull.rest_mm, p.rest) : std::numeric_limits<double>::infinity();
  hull.points.push_back(std::move(p));
}

/// A point on the rim of a flat-ended solid's section.
struct RimPoint {
  double share = 0;  ///< of the axis
  double turn = 0;
  double radius_mm = 0;
};

/// The points of the sector: on both faces the centre, the rim's ends and the crossing of its end tangents.
std::vector<RimPoint> sector_points(const Cone& cone, const ShapePart& part) {
  const double half = 0.5 * (part.turn_to - part.turn_from), middle = 0.5 * (part.turn_to + part.turn_from);
  std::vector<RimPoint> out;
  for (const double share : {part.from, part.to}) {
    const double radius = cone.radius_a_mm + share * (cone.radius_b_mm - cone.radius_a_mm);
    out.push_back({share, middle, 0});
    if (!(radius > 0)) continue;
    out.push_back({share, part.turn_from, radius});
    out.push_back({share, middle, radius / std::cos(half)});
    out.push_back({share, part.turn_to, radius});
  }
  return out;
}

CarriedHull flat_hull(const Cone& cone, const ShapePart& part, const CarriedForms& forms) {
  CarriedHull out;
  const Vec3 n = (cone.b - cone.a).normalized(), x = any_perpendicular(n), y = n.cross(x);
  const std::vector<RimPoint> rim = sector_points(cone, part);
  out.points.reserve(rim.size());
  if (!forms.mixed() && !forms.flexible()) {
    for (const RimPoint& r : rim) {
      keep(out, forms.point(cone.a + r.share * (cone.b - cone.a) +
                            r.radius_mm * (std::cos(r.turn) * x + std::sin(r.turn) * y)));
    }
  } else {
    // The turn counts from a direction that follows from the axis alone, or sectors of neighbouring cells would not
    // meet.
    const VectorForm a = forms.point(cone.a), b = forms.point(cone.b);
    const VectorForm between = b - a;
    const VectorForm axis = direction(between);
    const VectorForm ex = turned_between(VectorForm(forms.count(), x), n, axis);
    const VectorForm ey = turned_between(VectorForm(forms.count(), y), n, axis);
    for (const RimPoint& r : rim) {
      VectorForm p = a;
      add_scaled(p, r.share, between);
      add_scaled(p, r.radius_mm * std::cos(r.turn), ex);
      add_scaled(p, r.radius_mm * std::sin(r.turn), ey);
      keep(out, p);
    }
  }
  const double half = 0.5 * (part.turn_to - part.turn_from);
  const double radius = std::max(cone.radius_a_mm, cone.radius_b_mm);
  if (radius > 0) {
    // The crossing on the larger face, two places behind the face's centre.
    const std::size_t at = cone.radius_a_mm >= cone.radius_b_mm ? 2 : out.points.size() - 2;
    const Vec3 outward = out.points[at].c - out.points[at - 2].c;
    out.turn_bulge = radius * (1 / std::cos(half) - std::cos(half)) * outward.normalized();
  }
  out.axis_mm = (part.to - part.from) * (cone.b - cone.a).norm();
  out.turn_mm = 2 * half * radius;
  return out;
}

std::vector<Vec3> axis_hull(const Shape& shape, const ShapePart& part) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) {
    return {s->a + part.from * (s->b - s->a), s->a + part.to * (s->b - s->a)};
  }
  const auto& s = std::get<TorusSegment>(shape);
  const double from = part.from * s.angle_rad, to = part.to * s.angle_rad;
  const double half = 0.5 * (to - from), middle = 0.5 * (to + from);
  return {s.axis_point(from), s.center + (s.axis_point(middle) - s.center) / std::cos(half), s.axis_point(to)};
}

}  // namespace

std::vector<PairScenario> pair_scenarios(const Kinematics& kinematics, const Carriage& first, const Carriage& second) {
  const std::vector<BodyIndex> bodies = moving_bodies(kinematics, first, second);
  const auto members = [&](BodyIndex body) {
    return static_cast<int>(kinematics.bodies[static_cast<std::size_t>(body)].members().size());
  };
  std::vector<PairScenario> out = {scenario_of(kinematics, first, second, {})};
  if (!kinematics.product) {
    for (const BodyIndex body : bodies) {
      for (int m = 0; m < members(body); ++m) out.push_back(scenario_of(kinematics, first, second, {{body, m}}));
    }
    return out;
  }
  if (bodies.empty()) return out;
  std::vector<std::pair<BodyIndex, int>> chosen;
  const std::function<void(std::size_t)> choose = [&](std::size_t i) {
    if (i == bodies.size()) {
      out.push_back(scenario_of(kinematics, first, second, chosen));
      return;
    }
    for (int m = 0; m < members(bodies[i]); ++m) {
      chosen.emplace_back(bodies[i], m);
      choose(i + 1);
      chosen.pop_back();
    }
  };
  choose(0);
  return out;
}

std::vector<ShapePart> first_shape_parts(const Shape& shape) {
  std::vector<ShapePart> out;
  if (is_flat(shape)) {
    constexpr double kQuarter = 0.5 * std::numbers::pi;
    for (int k = 0; k < 4; ++k) out.push_back({0, 1, k * kQuarter, (k + 1) * kQuarter});
    return out;
  }
  const int parts = first_parts(shape);
  for (int k = 0; k < parts; ++k) {
    out.push_back({static_cast<double>(k) / parts, static_cast<double>(k + 1) / parts, 0, 0});
  }
  return out;
}

CarriedHull carried_hull(const Shape& shape, const ShapePart& part, const Carriage& carriage,
                         const CarriedForms& forms) {
  if (is_flat(shape)) return flat_hull(as_cone(shape), part, forms);
  CarriedHull out;
  if (forms.flexible()) {
    const auto& s = std::get<Cylinder>(shape);
    const double a = gap_share(*carriage.gap, s.a), b = gap_share(*carriage.gap, s.b);
    const double from = std::clamp(a + part.from * (b - a), 0.0, 1.0);
    const double to = std::clamp(a + part.to * (b - a), 0.0, 1.0);
    for (const VectorForm& p : forms.curve(from, to)) keep(out, p);
    const Vec3 third = (out.points[3].c - out.points[0].c) / 3;
    const Vec3 one = out.points[1].c - out.points[0].c - third, two = out.points[3].c - out.points[2].c - third;
    out.axis_bulge = one.norm() > two.norm() ? one : two;
    out.radius_mm = s.radius_mm;
  } else {
    out.points.reserve(3);
    for (const Vec3& at : axis_hull(shape, part)) keep(out, forms.point(at));
    if (const auto* s = std::get_if<TorusSegment>(&shape)) {
      out.radius_mm = s->radius_mm;
      out.axis_bulge = out.points[1].c - 0.5 * (out.points[0].c + out.points[2].c);
    } else {
      out.radius_mm = std::get<Cylinder>(shape).radius_mm;
    }
  }
  out.axis_mm = (out.points.back().c - out.points.front().c).norm() + out.axis_bulge.norm();
  return out;
}

}  // namespace baywright

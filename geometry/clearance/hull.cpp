#include "geometry/clearance/hull.hpp"

#include <algorithm>
#include <array>
#include <limits>
#include <numbers>

namespace baywright {

double Hull::reach(const Vec3& w) const {
  double best = -std::numeric_limits<double>::infinity();
  const std::size_t z = zonotope.size();
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    double value = w.dot(nodes[i].c);
    for (std::size_t k = 0; k < z; ++k) value += std::abs(w.dot(generators[i * z + k]));
    if (discs) {
      const double x = w.dot(nodes[i].d1), y = w.dot(nodes[i].d2);
      value += std::sqrt(x * x + y * y);
    }
    best = std::max(best, value);
  }
  return best;
}

Hull::Support Hull::support(const Vec3& w) const {
  Support best;
  best.value = -std::numeric_limits<double>::infinity();
  const std::size_t z = zonotope.size();
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    double value = w.dot(nodes[i].c);
    std::uint32_t signs = 0;
    for (std::size_t k = 0; k < z; ++k) {
      const double g = w.dot(generators[i * z + k]);
      if (g > 0) signs |= 1u << k;
      value += std::abs(g);
    }
    if (discs) value += std::hypot(w.dot(nodes[i].d1), w.dot(nodes[i].d2));
    if (value > best.value) {
      best.value = value;
      best.node = static_cast<std::uint32_t>(i);
      best.signs = signs;
    }
  }
  const Node& node = nodes[best.node];
  best.point = node.c;
  for (std::size_t k = 0; k < z; ++k) {
    best.point += ((best.signs >> k) & 1u ? 1.0 : -1.0) * generators[best.node * z + k];
  }
  if (discs) {
    const double x = w.dot(node.d1), y = w.dot(node.d2), l = std::hypot(x, y);
    if (l > 0) best.point += (x / l) * node.d1 + (y / l) * node.d2;
  }
  return best;
}

void Hull::add_parameters(const Support& s, double weight, std::vector<double>& e) const {
  for (std::size_t k = 0; k < zonotope.size(); ++k) {
    e[static_cast<std::size_t>(zonotope[k])] += (s.signs >> k) & 1u ? weight : -weight;
  }
  for (std::size_t k = 0; k < corners.size(); ++k) {
    e[static_cast<std::size_t>(corners[k])] += (nodes[s.node].corner >> k) & 1u ? weight : -weight;
  }
}

Vec3 Hull::near(const Vec3& p) const {
  const Vec3 &a = nodes.front().c, &b = nodes.back().c;
  return a + nearest_on_segment(p, a, b) * (b - a);
}

void Hull::finish() {
  box = Aabb{};
  const std::size_t z = zonotope.size();
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    Vec3 half = (nodes[i].d1.cwiseAbs2() + nodes[i].d2.cwiseAbs2()).cwiseSqrt();
    for (std::size_t k = 0; k < z; ++k) half += generators[i * z + k].cwiseAbs();
    box.grow(Vec3(nodes[i].c - half));
    box.grow(Vec3(nodes[i].c + half));
  }
}

namespace {

constexpr std::size_t kMostCorners = 6;  // parameters spread over the nodes: 64 copies of each disc

Cone as_cone(const Shape& shape) {
  if (const auto* cone = std::get_if<Cone>(&shape)) return *cone;
  const auto& collar = std::get<Collar>(shape);
  return {collar.a, collar.b, collar.radius_mm, collar.radius_mm};
}

void add_rest(Hull& hull, double rest_mm) {
  hull.rest_mm = rest_mm >= 0 ? std::max(hull.rest_mm, rest_mm) : std::numeric_limits<double>::infinity();
}

/// Axis points of a tube whose hull holds the part of its axis.
std::vector<Vec3> axis_hull(const Shape& shape, const Span& part) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) {
    return {s->a + part.from * (s->b - s->a), s->a + part.to * (s->b - s->a)};
  }
  const auto& s = std::get<TorusSegment>(shape);
  const double from = part.from * s.angle_rad, to = part.to * s.angle_rad;
  const double half = 0.5 * (to - from), middle = 0.5 * (to + from);
  const Vec3 crossing = s.center + (s.axis_point(middle) - s.center) / std::cos(half);  // of the end tangents
  return {s.axis_point(from), crossing, s.axis_point(to)};
}

/// Adds the nodes of one copy of a tube's axis.
void add_tube(Target& out, const Shape& shape, const Span& part, const CarriedForms& forms, std::uint32_t corner) {
  Hull& hull = out.hull;
  int place = 0;
  for (const Vec3& at : axis_hull(shape, part)) {
    const VectorForm p = forms.point(at);
    hull.nodes.push_back({p.c, Vec3::Zero(), Vec3::Zero(), corner, place++});
    for (const int k : hull.zonotope) hull.generators.push_back(p.generator(k));
    add_rest(hull, p.rest);  // what a point misses is affine in it, so its norm is convex: greatest at a node
  }
}

struct Section {
  VectorForm center;
  double radius_mm;
};

/// Parameters that turn the discs, the strongest first.
std::vector<int> turning_parameters(const CarriedForms::Frame& frame) {
  const auto strength = [&](int k) { return std::hypot(frame.ex.generator(k).norm(), frame.ey.generator(k).norm()); };
  std::vector<int> turning;
  for (int k = 0; k < frame.ex.n; ++k) {
    if (strength(k) > 0) turning.push_back(k);
  }
  std::stable_sort(turning.begin(), turning.end(), [&](int a, int b) { return strength(a) > strength(b); });
  return turning;
}

/// Adds a disc once for each choice of signs of the `turning` parameters, whose bits follow those of `corner`.
void add_disc(Hull& hull, const Section& section, const CarriedForms::Frame& frame, std::uint32_t corner,
              std::size_t first_turning, int place) {
  const std::size_t turning = hull.corners.size() - first_turning;
  for (std::uint32_t choice = 0; choice < (1u << turning); ++choice) {
    Hull::Node node{section.center.c, frame.ex.c, frame.ey.c, corner | (choice << first_turning), place};
    for (std::size_t i = 0; i < turning; ++i) {
      const double sign = (choice >> i) & 1u ? 1.0 : -1.0;
      const int k = hull.corners[first_turning + i];
      node.c += sign * section.center.generator(k);
      node.d1 += sign * frame.ex.generator(k);
      node.d2 += sign * frame.ey.generator(k);
    }
    node.d1 *= section.radius_mm;
    node.d2 *= section.radius_mm;
    hull.nodes.push_back(node);
    for (const int k : hull.zonotope) hull.generators.push_back(section.center.generator(k));
  }
}

/// A flat-ended solid and what is left of it at a depth.
struct Core {
  Cone cone;
  double erosion_mm = 0;
  double radius_a_mm = 0, radius_b_mm = 0;  ///< at the ends of the eroded axis; below zero: already vanished there
  Span part;                                ///< of the eroded axis
};

std::optional<Core> core_of(const Cone& cone, const Span& part, double erosion_mm) {
  const ConeProfile profile(cone);
  if (!(profile.length_mm - 2 * erosion_mm >= 0)) return std::nullopt;
  const double slope = (cone.radius_b_mm - cone.radius_a_mm) / profile.length_mm, off = erosion_mm / profile.cosine;
  Core out{cone, erosion_mm, cone.radius_a_mm + slope * erosion_mm - off, cone.radius_b_mm - slope * erosion_mm - off,
           part};
  const double ra = out.radius_a_mm, rb = out.radius_b_mm;
  if (ra < 0 && rb < 0) return std::nullopt;
  if (ra < 0) out.part.from = std::max(part.from, ra / (ra - rb));
  if (rb < 0) out.part.to = std::min(part.to, ra / (ra - rb));
  if (!(out.part.from <= out.part.to)) return std::nullopt;
  return out;
}

/// Adds the nodes of one copy of a flat-ended solid. The first copy decides which parameters turn the discs.
void add_core(Target& out, const Core& core, const CarriedForms& forms, std::uint32_t corner,
              std::size_t first_turning) {
  const Vec3 n = (core.cone.b - core.cone.a).normalized(), ex = any_perpendicular(n), ey = n.cross(ex);
  const CarriedForms::Frame frame = forms.frame(n, ex, ey);
  const VectorForm inward = core.erosion_mm * frame.along;
  const VectorForm a = forms.point(core.cone.a) + inward, b = forms.point(core.cone.b) - inward;
  const auto section = [&](double s) {
    return Section{(1 - s) * a + s * b, std::max(0.0, (1 - s) * core.radius_a_mm + s * core.radius_b_mm)};
  };
  const Section first = section(core.part.from), last = section(core.part.to);
  const double radius = std::max(first.radius_mm, last.radius_mm);
  Hull& hull = out.hull;
  if (hull.nodes.empty()) {
    for (const int k : turning_parameters(frame)) {
      if (hull.corners.size() < kMostCorners) hull.corners.push_back(k);
    }
    std::erase_if(hull.zonotope,
                  [&](int k) { return std::find(hull.corners.begin(), hull.corners.end(), k) != hull.corners.end(); });
  }
  double rest = std::max(first.center.rest, last.center.rest) + radius * std::hypot(frame.ex.rest, frame.ey.rest);
  for (const int k : hull.zonotope) {  // beside the node only the centre's generator counts; the disc's turning is rest
    rest += radius * std::hypot(frame.ex.generator(k).norm(), frame.ey.generator(k).norm());
  }
  add_rest(hull, rest);
  add_disc(hull, first, frame, corner, first_turning, 0);
  add_disc(hull, last, frame, corner, first_turning, 1);
}

bool is_tube(const Shape& shape) {
  return std::holds_alternative<Cylinder>(shape) || std::holds_alternative<TorusSegment>(shape);
}

}  // namespace

double greatest_depth_mm(const Shape& shape) {
  if (const auto* s = std::get_if<Cylinder>(&shape)) return s->radius_mm;
  if (const auto* s = std::get_if<TorusSegment>(&shape)) return s->radius_mm;
  return ConeProfile(as_cone(shape)).greatest_depth_mm();
}

int first_parts(const Shape& shape) {
  const auto* s = std::get_if<TorusSegment>(&shape);
  return s ? std::max(1, static_cast<int>(std::ceil(s->angle_rad / (0.25 * std::numbers::pi) - 1e-9))) : 1;
}

std::optional<Target> target_over(const Shape& shape, const Span& part, const Carried& carried,
                                  const Scenario& scenario, const Cell& cell, double erosion_mm) {
  Target out;
  Hull& hull = out.hull;
  out.flat = !is_tube(shape);
  out.greatest_depth_mm = greatest_depth_mm(shape);
  out.radius_mm = out.flat ? 0 : out.greatest_depth_mm;
  hull.discs = out.flat;
  std::optional<Core> core;
  if (out.flat) {
    core = core_of(as_cone(shape), part, erosion_mm);
    if (!core) return std::nullopt;
  }
  for (const int k : scenario.affine()) {
    // The flat ends of a soft thing turn with the mixture: not affine in it.
    if (out.flat && k == scenario.mix) continue;
    if (cell.half[static_cast<std::size_t>(k)] > 0) hull.corners.push_back(k);
  }
  const std::size_t affine = hull.corners.size();
  for (int k = 0; k < scenario.count(); ++k) {
    if (cell.half[static_cast<std::size_t>(k)] > 0 &&
        std::find(hull.corners.begin(), hull.corners.end(), k) == hull.corners.end()) {
      hull.zonotope.push_back(k);
    }
  }
  for (std::uint32_t corner = 0; corner < (1u << affine); ++corner) {
    Cell end = cell;
    for (std::size_t i = 0; i < affine; ++i) {
      const auto k = static_cast<std::size_t>(hull.corners[i]);
      end.center[k] += (corner >> i) & 1u ? cell.half[k] : -cell.half[k];
      end.half[k] = 0;
    }
    const CarriedForms forms(carried.kinematics, carried.carriage, carried.surface_body, scenario, end.center,
                             end.half);
    if (core) {
      add_core(out, *core, forms, corner, affine);
    } else {
      add_tube(out, shape, part, forms, corner);
    }
  }
  hull.finish();
  return out;
}

SplitGain gain_of(const Shape& shape, const Span& part, const Target& target, int parameters) {
  SplitGain out;
  out.parameter.assign(static_cast<std::size_t>(parameters), 0.0);
  const Hull& hull = target.hull;
  const std::size_t z = hull.zonotope.size(), count = hull.nodes.size();
  const auto add = [&](int parameter, double gain) { out.parameter[static_cast<std::size_t>(parameter)] += gain; };
  // The hull of a patch that is bilinear (in the axis and a parameter, or in two parameters) is off by up to half the
  // difference of the generators at its ends. Halving either halves that. Compare along the axis within one copy, and
  // across copies at one place.
  const auto generator_twist = [&](std::size_t i, std::size_t j, std::size_t k) {
    return (hull.generators[j * z + k] - hull.generators[i * z + k]).norm();
  };
  for (std::size_t k = 0; k < z; ++k) {
    double twist = 0;
    for (std::size_t i = 0; i < count; ++i) {
      for (std::size_t j = i + 1; j < count; ++j) {
        if (hull.nodes[i].corner == hull.nodes[j].corner) twist = std::max(twist, generator_twist(i, j, k));
      }
    }
    out.along_axis += 0.25 * twist;
    add(hull.zonotope[k], 0.25 * twist);
  }
  for (std::size_t k = 0; k < hull.corners.size(); ++k) {
    const std::uint32_t bit = 1u << k;
    std::optional<Vec3> first;
    double twist = 0, twist_along = 0, swing = 0;
    std::vector<double> mixed(z, 0.0);
    std::vector<std::pair<std::uint32_t, Vec3>> seen;  // travel of earlier places, by copy
    for (std::size_t i = 0; i < count; ++i) {
      if (hull.nodes[i].corner & bit) continue;
      std::size_t mate = i + 1;
      const auto is_mate = [&](const Hull::Node& n) {
        return n.place == hull.nodes[i].place && n.corner == (hull.nodes[i].corner | bit);
      };
      while (mate < count && !is_mate(hull.nodes[mate])) ++mate;
      if (mate == count) continue;
      const Vec3 travel = 0.5 * (hull.nodes[mate].c - hull.nodes[i].c);
      if (!first) first = travel;
      twist = std::max(twist, (travel - *first).norm());
      for (const auto& [corner, other] : seen) {
        if (corner == hull.nodes[i].corner) twist_along = std::max(twist_along, (travel - other).norm());
      }
      seen.emplace_back(hull.nodes[i].corner, travel);
      swing = std::max(swing, 0.5 * std::hypot((hull.nodes[mate].d1 - hull.nodes[i].d1).norm(),
                                               (hull.nodes[mate].d2 - hull.nodes[i].d2).norm()));
      for (std::size_t g = 0; g < z; ++g) mixed[g] = std::max(mixed[g], generator_twist(i, mate, g));
    }
    out.along_axis += 0.25 * twist_along;
    add(hull.corners[k], 0.25 * twist + 0.5 * swing);
    for (std::size_t g = 0; g < z; ++g) {
      add(hull.corners[k], 0.125 * mixed[g]);
      add(hull.zonotope[g], 0.125 * mixed[g]);
    }
  }
  if (const auto* bend = std::get_if<TorusSegment>(&shape)) {
    const double half = 0.5 * (part.to - part.from) * bend->angle_rad;
    out.along_axis += bend->bend_radius_mm * (1 / std::cos(half) - std::cos(half)) * 0.5;
  }
  return out;
}

namespace {

/// Up to four points of the difference triangle - hull, and the weights of its point nearest the origin.
struct Simplex {
  int count = 0;
  std::array<Vec3, 4> p;
  std::array<Hull::Support, 4> from;
  std::array<double, 4> weight{};

  Vec3 nearest() const {
    Vec3 v = Vec3::Zero();
    for (int i = 0; i < count; ++i) v += weight[static_cast<std::size_t>(i)] * p[static_cast<std::size_t>(i)];
    return v;
  }
  void keep_used() {
    int kept = 0;
    for (int i = 0; i < count; ++i) {
      const auto at = static_cast<std::size_t>(i), to = static_cast<std::size_t>(kept);
      if (!(weight[at] > 0)) continue;
      p[to] = p[at];
      from[to] = from[at];
      weight[to] = weight[at];
      ++kept;
    }
    count = kept;
  }
};

using Weights = std::array<double, 4>;

struct Candidate {
  double squared = std::numeric_limits<double>::infinity();
  Weights weight{};
  void offer(const Simplex& s, const Weights& w) {
    Vec3 v = Vec3::Zero();
    for (std::size_t i = 0; i < 4; ++i) {
      if (w[i] > 0) v += w[i] * s.p[i];
    }
    const double d2 = v.squaredNorm();
    if (d2 < squared) {
      squared = d2;
      weight = w;
    }
  }
};

void offer_segment(const Simplex& s, std::size_t i, std::size_t j, Candidate& best) {
  const double t = nearest_on_segment(Vec3::Zero(), s.p[i], s.p[j]);
  Weights w{};
  w[i] = 1 - t;
  w[j] = t;
  best.offer(s, w);
}

void offer_face(const Simplex& s, std::size_t i, std::size_t j, std::size_t k, Candidate& best) {
  const Vec3 &a = s.p[i], &b = s.p[j], &c = s.p[k];
  const Vec3 n = (b - a).cross(c - a);
  const double wa = n.dot(b.cross(c)), wb = n.dot(c.cross(a)), wc = n.dot(a.cross(b)), sum = wa + wb + wc;
  if (wa > 0 && wb > 0 && wc > 0) {
    Weights w{};
    w[i] = wa / sum;
    w[j] = wb / sum;
    w[k] = wc / sum;
    best.offer(s, w);
    return;
  }
  offer_segment(s, i, j, best);
  offer_segment(s, j, k, best);
  offer_segment(s, k, i, best);
}

/// Weights of the point of the simplex nearest the origin. True when the origin is inside a tetrahedron.
bool solve(Simplex& s) {
  Candidate best;
  bool inside = false;
  if (s.count == 1) best.offer(s, {1, 0, 0, 0});
  if (s.count == 2) offer_segment(s, 0, 1, best);
  if (s.count == 3) offer_face(s, 0, 1, 2, best);
  if (s.count == 4) {
    const Vec3 &a = s.p[0], &b = s.p[1], &c = s.p[2], &d = s.p[3];
    const double whole = (b - a).dot((c - a).cross(d - a));
    const double wa = b.dot(c.cross(d)), wb = -a.dot(c.cross(d)), wc = a.dot(b.cross(d)), wd = -a.dot(b.cross(c));
    const double sum = wa + wb + wc + wd;
    inside = std::abs(whole) > 0 && sum != 0 && wa / sum > 0 && wb / sum > 0 && wc / sum > 0 && wd / sum > 0;
    if (inside) {
      best.weight = {wa / sum, wb / sum, wc / sum, wd / sum};
    } else {
      offer_face(s, 0, 1, 2, best);
      offer_face(s, 0, 1, 3, best);
      offer_face(s, 0, 2, 3, best);
      offer_face(s, 1, 2, 3, best);
    }
  }
  s.weight = best.weight;
  s.keep_used();
  return inside;
}

}  // namespace

Separation separation(const Hull& hull, const Corners3& v, double enough_mm, double tolerance_mm, int parameters) {
  constexpr int kMostSteps = 48;
  Separation out;
  out.lower_mm = -std::numeric_limits<double>::infinity();
  Simplex simplex;
  const Vec3 centroid = (v[0] + v[1] + v[2]) / 3.0;
  Vec3 toward = centroid - hull.near(centroid);  // from the hull to the triangle
  if (!(toward.squaredNorm() > 0)) toward = Vec3::UnitX();
  double previous2 = std::numeric_limits<double>::infinity();
  for (int step = 0; step < kMostSteps; ++step) {
    const Vec3 w = toward.normalized();
    const Hull::Support far = hull.support(w);
    std::size_t low = 0;
    for (std::size_t i = 1; i < 3; ++i) {
      if (w.dot(v[i]) < w.dot(v[low])) low = i;
    }
    const double gap = w.dot(v[low]) - far.value;
    out.lower_mm = std::max(out.lower_mm, gap);
    if (out.lower_mm >= enough_mm) return out;
    const Vec3 point = v[low] - far.point;
    if (simplex.count > 0) {
      const double distance = toward.norm();
      if (distance - out.lower_mm <= tolerance_mm) break;
      bool again = false;
      for (int i = 0; i < simplex.count; ++i) again = again || simplex.p[static_cast<std::size_t>(i)] == point;
      if (again) break;
    }
    simplex.p[static_cast<std::size_t>(simplex.count)] = point;
    simplex.from[static_cast<std::size_t>(simplex.count)] = far;
    ++simplex.count;
    if (solve(simplex)) break;
    toward = simplex.nearest();
    const double now2 = toward.squaredNorm();
    if (!(now2 > 1e-18) || !(now2 < previous2) || simplex.count == 4) break;
    previous2 = now2;
  }
  out.e.assign(static_cast<std::size_t>(parameters), 0.0);
  for (int i = 0; i < simplex.count; ++i) {
    hull.add_parameters(simplex.from[static_cast<std::size_t>(i)], simplex.weight[static_cast<std::size_t>(i)], out.e);
  }
  return out;
}

}  // namespace baywright

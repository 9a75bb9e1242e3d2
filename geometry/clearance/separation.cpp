#include "geometry/clearance/separation.hpp"

#include <algorithm>
#include <limits>

#include "geometry/base/expects.hpp"

namespace baywright {
namespace {

/// Up to four points of the difference triangle - hull, and the weights of its point nearest the origin.
struct Simplex {
  int count = 0;
  std::array<Vec3, 4> p;
  std::array<MovingPoints::Support, 4> from;
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
    // Zonotopes are full of parallelograms: four points in a plane hold no space, whatever the rounding says.
    const double span = std::max({(b - a).norm(), (c - a).norm(), (d - a).norm()});
    inside = std::abs(whole) > 1e-9 * span * span * span && sum != 0 && wa / sum > 0 && wb / sum > 0 && wc / sum > 0 &&
             wd / sum > 0;
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

/// What is left of the difference between the nearest point and where its parts are at the parameters told for it, once
/// `explained` is taken off: pairs that count as free. It lies across the gap (along it nothing is gained by a wrong
/// product), so it makes the way longer as a cathetus does. To each parameter goes its pairs' share.
void note_free_pairs(const MovingPoints& moving, const Simplex& simplex, const Vec3& explained, Separation& out) {
  if (std::none_of(moving.pairs().begin(), moving.pairs().end(), [](const auto& pair) { return pair.k != pair.l; })) {
    return;
  }
  Vec3 off = -explained;
  std::array<double, kMostParameters> size{};
  double whole = 0;
  for (int i = 0; i < simplex.count; ++i) {
    const auto at = static_cast<std::size_t>(i);
    const MovingPoints::Support& from = simplex.from[at];
    Vec3 there = moving.center(from.index);
    for (int k = 0; k < moving.parameters(); ++k)
      there += out.e[static_cast<std::size_t>(k)] * moving.term(from.index, k);
    int term = moving.parameters();
    for (const ParameterPair& pair : moving.pairs()) {
      const Vec3 value = moving.term(from.index, term++);
      there += out.e[pair.k] * out.e[pair.l] * value;
      if (pair.k == pair.l) continue;
      const double share = simplex.weight[at] * value.norm();
      size[pair.k] += share;
      size[pair.l] += share;
      whole += share;
    }
    off += simplex.weight[at] * (from.point - there);
  }
  if (!(whole > 0)) return;
  const double apart = std::max(out.lower_mm, 0.0);
  const double nearer = std::hypot(apart, off.norm()) - apart;
  for (std::size_t k = 0; k < static_cast<std::size_t>(moving.parameters()); ++k) {
    out.free_pairs[k] = nearer * size[k] / whole;
  }
}

template <class Standing>
Separation separate(const MovingPoints& moving, const Standing& standing, double enough_mm, double tolerance_mm) {
  constexpr int kMostSteps = 48;
  EXPECTS(moving.count() >= 1 && moving.count() <= kMostMovingPoints);
  Separation out;
  out.lower_mm = -std::numeric_limits<double>::infinity();
  Simplex simplex;
  Vec3 toward = -moving.center(0);
  for (std::size_t i = 1; i < moving.count(); ++i) toward -= moving.center(i);
  toward = standing.middle() + toward / static_cast<double>(moving.count());
  if (!(toward.squaredNorm() > 0)) toward = Vec3::UnitX();
  double previous2 = std::numeric_limits<double>::infinity();
  for (int step = 0; step < kMostSteps; ++step) {
    const Vec3 w = toward.normalized();
    const MovingPoints::Support far = moving.support(w);
    const Vec3 low = standing.support(-w);
    const double gap = w.dot(low) - far.value;
    if (gap > out.lower_mm) {
      out.lower_mm = gap;
      out.w = w;
    }
    if (out.lower_mm >= enough_mm) return out;
    const Vec3 point = low - far.point;
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
  out.near = true;
  std::fill_n(out.weight.begin(), moving.count(), 0.0);
  for (int i = 0; i < simplex.count; ++i) {
    const auto at = static_cast<std::size_t>(i);
    out.weight[simplex.from[at].index] += simplex.weight[at];
    for (int k = 0; k < moving.parameters(); ++k) {
      out.e[static_cast<std::size_t>(k)] += simplex.weight[at] * simplex.from[at].e[static_cast<std::size_t>(k)];
    }
  }
  const auto spread_of = [&](std::size_t k, int term, bool squared) {
    Vec3 off = Vec3::Zero();
    for (int i = 0; i < simplex.count; ++i) {
      const auto at = static_cast<std::size_t>(i);
      const double e = simplex.from[at].e[k], mean = out.e[k];
      off +=
          simplex.weight[at] * (squared ? e * e - mean * mean : e - mean) * moving.term(simplex.from[at].index, term);
    }
    return off;
  };
  std::array<Vec3, kMostParameters> off;
  for (int k = 0; k < moving.parameters(); ++k) {
    const auto j = static_cast<std::size_t>(k);
    off[j] = spread_of(j, k, false);
  }
  int term = moving.parameters();
  for (const ParameterPair& pair : moving.pairs()) {
    if (pair.k == pair.l) off[pair.k] += spread_of(pair.k, term, true);
    ++term;
  }
  Vec3 explained = Vec3::Zero();
  for (int k = 0; k < moving.parameters(); ++k) {
    out.spread[static_cast<std::size_t>(k)] = off[static_cast<std::size_t>(k)].norm();
    explained += off[static_cast<std::size_t>(k)];
  }
  note_free_pairs(moving, simplex, explained, out);
  return out;
}

}  // namespace

Vec3 StandingTriangle::support(const Vec3& w) const {
  const double a = w.dot(v_[0]), b = w.dot(v_[1]), c = w.dot(v_[2]);
  return a >= b && a >= c ? v_[0] : b >= c ? v_[1] : v_[2];
}

Vec3 StandingDiscs::support(const Vec3& w) const {
  const double across = std::hypot(w.x(), w.y());
  std::size_t best = 0;
  const auto value = [&](std::size_t i) { return w.z() * z_[i] + across * radius_[i]; };
  for (std::size_t i = 1; i < count_; ++i) {
    if (value(i) > value(best)) best = i;
  }
  if (!(across > 0)) return {0, 0, z_[best]};
  return {radius_[best] * w.x() / across, radius_[best] * w.y() / across, z_[best]};
}

Separation separation(const MovingPoints& moving, const StandingTriangle& standing, double enough_mm,
                      double tolerance_mm) {
  return separate(moving, standing, enough_mm, tolerance_mm);
}

Separation separation(const MovingPoints& moving, const StandingDiscs& standing, double enough_mm,
                      double tolerance_mm) {
  return separate(moving, standing, enough_mm, tolerance_mm);
}

}  // namespace baywright

#include "measure/witness_station.hpp"

#include <algorithm>

namespace baywright::measure {
namespace {

/// Point of the axis at fraction f of the shape's length.
struct AxisPoint {
  double f;
  Vec3 operator()(const TorusSegment& s) const { return s.axis_point(f * s.angle_rad); }
  template <class Straight>
  Vec3 operator()(const Straight& s) const {
    return s.a + f * (s.b - s.a);
  }
};

/// Enough for arcs of half a turn: between neighbours the distance has one minimum.
constexpr int kSamples = 33;
constexpr int kHalvings = 40;

}  // namespace

double witness_station(const Kinematics& kinematics, const Carriage& carriage, const PosedState& state,
                       const Primitive& primitive, const Vec3& p_mm) {
  const double from = primitive.station_from_mm, to = primitive.station_to_mm;
  if (from == to) return from;
  const auto axis = [&](double f) {
    return carried_point(kinematics, carriage, state, std::visit(AxisPoint{f}, primitive.shape));
  };
  const auto apart = [&](double f) { return (axis(f) - p_mm).norm(); };
  double best = 0;
  for (int i = 1; i < kSamples; ++i) {
    const double f = static_cast<double>(i) / (kSamples - 1);
    if (apart(f) < apart(best)) best = f;
  }
  double lo = std::max(0.0, best - 1.0 / (kSamples - 1)), hi = std::min(1.0, best + 1.0 / (kSamples - 1));
  for (int i = 0; i < kHalvings; ++i) {
    const double a = lo + (hi - lo) / 3, b = hi - (hi - lo) / 3;
    (apart(a) < apart(b) ? hi : lo) = apart(a) < apart(b) ? b : a;
  }
  // A round end reaches past the axis' end: there the tube goes straight on.
  const auto beyond = [&](double end, double inner) {
    return std::max(0.0, (p_mm - axis(end)).dot((axis(end) - axis(inner)).normalized()));
  };
  const double f = 0.5 * (lo + hi);
  constexpr double kAtEnd = 1e-4;
  if (f < kAtEnd) return from - beyond(0, kAtEnd);
  if (f > 1 - kAtEnd) return to + beyond(1, 1 - kAtEnd);
  return from + f * (to - from);
}

}  // namespace baywright::measure

#include "duct/slices.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"
#include "geometry/clearance/flexible_gap.hpp"

namespace baywright::duct {
namespace {

/// Cuts nearer to a shape's end than this are not made: they would leave nothing that could be measured.
constexpr double kNoCut_mm = 1e-6;

/// Cuts from a to b into equal parts, a itself left out.
void divide(double a, double b, double longest, std::vector<double>& out) {
  const int count = std::max(1, static_cast<int>(std::ceil((b - a) / longest - 1e-9)));
  for (int i = 1; i < count; ++i) out.push_back(a + (b - a) * i / count);
  out.push_back(b);
}

/// Part of a shape between the fractions f and g of its axis.
struct PartBetween {
  double f, g;

  Shape operator()(const Cylinder& s) const { return Cylinder{at(s.a, s.b, f), at(s.a, s.b, g), s.radius_mm}; }
  Shape operator()(const Collar& s) const { return Collar{at(s.a, s.b, f), at(s.a, s.b, g), s.radius_mm}; }
  Shape operator()(const Cone& s) const {
    const double step = s.radius_b_mm - s.radius_a_mm;
    return Cone{at(s.a, s.b, f), at(s.a, s.b, g), s.radius_a_mm + f * step, s.radius_a_mm + g * step};
  }
  Shape operator()(const TorusSegment& s) const {
    TorusSegment part = s;
    const double t = f * s.angle_rad;
    part.e0 = std::cos(t) * s.e0 + std::sin(t) * s.e1;
    part.e1 = std::cos(t) * s.e1 - std::sin(t) * s.e0;
    part.angle_rad = (g - f) * s.angle_rad;
    return part;
  }
  static Vec3 at(const Vec3& a, const Vec3& b, double t) { return t == 0 ? a : t == 1 ? b : Vec3(a + t * (b - a)); }
};

}  // namespace

std::vector<double> slice_stations(const Layout& layout, const Piece& piece) {
  std::vector<double> out = {piece.station_from_mm};
  const auto run = [&](double from, double to, double longest) {
    const double a = std::max(from, out.back()), b = std::min(to, piece.station_to_mm);
    if (b - a > kNoCut_mm) divide(a, b, longest, out);
  };
  constexpr double kFar = 1e9;  // past the duct's ends its legs go straight on
  for (std::size_t i = 0; i < layout.legs.size(); ++i) {
    const bool last = i + 1 == layout.legs.size();
    run(i == 0 ? -kFar : layout.legs[i].station_from_mm, last ? kFar : layout.legs[i].station_to_mm, kSliceLength_mm);
    if (last) break;
    const Bend& bend = layout.bends[i];
    if (bend.bends()) run(bend.station_from_mm, bend.station_to_mm, bend.radius_mm * kSliceAngle.si());
  }
  if (out.size() == 1) out.push_back(piece.station_to_mm);
  return out;
}

std::vector<std::vector<Primitive>> cut_into_slices(std::span<const Primitive> shapes, std::span<const double> stations,
                                                    const Carriage& carriage) {
  EXPECTS(stations.size() >= 2);
  std::vector<std::vector<Primitive>> slices(stations.size() - 1);
  const auto slice_at = [&](double station) -> std::vector<Primitive>& {
    const auto next = std::upper_bound(stations.begin() + 1, stations.end() - 1, station);
    return slices[static_cast<std::size_t>(next - stations.begin()) - 1];
  };
  for (const Primitive& p : shapes) {
    const double a = p.station_from_mm, b = p.station_to_mm;
    const bool round = std::holds_alternative<Cylinder>(p.shape);
    if (!round && b - a > kNoCut_mm && carriage_of(carriage, p.shape).flexible()) {
      for (std::size_t i = 0; i < slices.size(); ++i) {
        if (stations[i + 1] > a + kNoCut_mm && stations[i] < b - kNoCut_mm) slices[i].push_back(p);
      }
      continue;
    }
    double done = a;
    for (std::size_t i = 1; b - a > kNoCut_mm && i + 1 < stations.size(); ++i) {
      const double cut = stations[i];
      if (cut < done + kNoCut_mm || cut > b - kNoCut_mm) continue;
      const PartBetween part{(done - a) / (b - a), (cut - a) / (b - a)};
      slice_at(0.5 * (done + cut)).push_back({std::visit(part, p.shape), p.owner, done, cut});
      done = cut;
    }
    const double from = b - a > kNoCut_mm ? (done - a) / (b - a) : 0;
    slice_at(0.5 * (done + b)).push_back({std::visit(PartBetween{from, 1}, p.shape), p.owner, done, b});
  }
  return slices;
}

}  // namespace baywright::duct

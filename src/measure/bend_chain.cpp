#include "measure/bend_chain.hpp"

#include <algorithm>

#include "geometry/base/expects.hpp"

namespace baywright::measure {
namespace {

constexpr double kNothing_mm = 1e-6;

}  // namespace

BendChain::BendChain(const duct::Layout& layout, double from_mm, double to_mm)
    : layout_(layout), from_mm_(from_mm), to_mm_(to_mm) {
  EXPECTS(from_mm >= -kNothing_mm && from_mm < to_mm && to_mm <= layout.length_mm + kNothing_mm);
  bool bent = false;  // the turn before a tube's first bend is how the tube is put in, not how it is made
  for (std::size_t i = 0; i < layout.legs.size(); ++i) {
    const duct::Leg& leg = layout.legs[i];
    const double a = std::max(from_mm, leg.station_from_mm), b = std::min(to_mm, leg.station_to_mm);
    if (b - a > kNothing_mm) {
      errors_.push_back({MakingError::Kind::length, "straight behind " + leg.from.value});
      steps_.push_back({a, b, leg.direction, Vec3::Zero(), Vec3::Zero()});
    }
    if (i + 1 == layout.legs.size()) break;
    const duct::Bend& bend = layout.bends[i];
    const double c = std::max(from_mm, bend.station_from_mm), d = std::min(to_mm, bend.station_to_mm);
    if (!bend.bends() || d - c <= kNothing_mm) continue;
    if (bent) {
      errors_.push_back({MakingError::Kind::rotation, "bend at " + bend.at.value});
      steps_.push_back({c, c, Vec3::Zero(), layout.at(c).tangent, layout.at(c).p_mm});
    }
    // A bend that a cut end falls into was bent whole: only what is left of it carries its share.
    const double share = (d - c) / bend.arc_mm();
    errors_.push_back({MakingError::Kind::angle, "bend at " + bend.at.value});
    steps_.push_back({c, d, Vec3::Zero(), share * bend.normal, bend.center});
    bent = true;
  }
}

/// Before fitting, the upstream end standing still.
Vec3 BendChain::made(const Step& step, double station_mm) const {
  if (station_mm < step.to_mm) {
    // Along a straight its points shift by their share; the arc of a bend goes on along its own circle.
    const double share = step.to_mm > step.from_mm ? (station_mm - step.from_mm) / (step.to_mm - step.from_mm) : 0;
    return std::clamp(share, 0.0, 1.0) * step.along;
  }
  return step.along + step.axis.cross(layout_.at(station_mm).p_mm - step.center);
}

Vec3 BendChain::displacement(std::size_t error, double station_mm) const {
  const Step& step = steps_.at(error);
  const Vec3 start = layout_.at(from_mm_).p_mm, chord = layout_.at(to_mm_).p_mm - start;
  const Vec3 miss = made(step, to_mm_);
  const double length2 = chord.squaredNorm();
  Vec3 moved = made(step, station_mm);
  if (length2 < kNothing_mm) return moved;
  const Vec3 axial = chord.dot(miss) / length2 * chord;
  const Vec3 turn = -chord.cross(miss) / length2;  // turn x chord = -(miss - axial)
  moved += turn.cross(layout_.at(station_mm).p_mm - start) - 0.5 * axial;
  return moved;
}

std::vector<Contribution> chain_tolerance(const duct::Duct& duct, const duct::Piece& piece,
                                          std::optional<double> station_mm, std::optional<Vec3> toward) {
  EXPECTS(duct.spec.bending.has_value());
  if (piece.kind != duct::Piece::Kind::tube) return {};
  const double from = std::max(0.0, piece.station_from_mm), to = std::min(duct.layout.length_mm, piece.station_to_mm);
  const BendChain chain(duct.layout, from, to);
  const duct::BendingTolerance& tolerance = *duct.spec.bending;
  std::vector<double> stations;
  if (station_mm) {
    stations = {std::clamp(*station_mm, from, to)};
  } else {
    constexpr int kSteps = 40;
    for (int i = 0; i <= kSteps; ++i) stations.push_back(from + (to - from) * i / kSteps);
  }
  std::vector<Contribution> out;
  for (std::size_t i = 0; i < chain.errors().size(); ++i) {
    const MakingError& error = chain.errors()[i];
    const bool length = error.kind == MakingError::Kind::length;
    const double size = length                                      ? tolerance.length_mm
                        : error.kind == MakingError::Kind::rotation ? tolerance.rotation.si()
                                                                    : tolerance.angle.si();
    double most = 0;
    for (const double s : stations) {
      const Vec3 d = size * chain.displacement(i, s);
      most = std::max(most, toward ? std::abs(toward->dot(d)) : d.norm());
    }
    constexpr double kMatters_mm = 1e-3;
    if (most < kMatters_mm) continue;
    const char* what = length ? "length, " : error.kind == MakingError::Kind::rotation ? "turn before the " : "angle, ";
    out.push_back({what + error.place, Contribution::Kind::standard, most, most, ""});
  }
  return out;
}

}  // namespace baywright::measure

#include "measure/bend_chain.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/base/expects.hpp"
#include "measure/tolerances.hpp"

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
  moved += fitting_turn(step).cross(layout_.at(station_mm).p_mm - start) - 0.5 * axial;
  return moved;
}

/// The turn that takes the sideways miss away: turn x chord = -(miss - axial part).
Vec3 BendChain::fitting_turn(const Step& step) const {
  const Vec3 chord = layout_.at(to_mm_).p_mm - layout_.at(from_mm_).p_mm;
  const double length2 = chord.squaredNorm();
  return length2 < kNothing_mm ? Vec3(Vec3::Zero()) : Vec3(-chord.cross(made(step, to_mm_)) / length2);
}

Vec3 BendChain::turn(std::size_t error, double station_mm) const {
  const Step& step = steps_.at(error);
  const double length = step.to_mm - step.from_mm;
  const double share =
      length > 0 ? std::clamp((station_mm - step.from_mm) / length, 0.0, 1.0) : (station_mm >= step.to_mm ? 1.0 : 0.0);
  return share * step.axis + fitting_turn(step);
}

double standard_size(const MakingError& error, const duct::BendingTolerance& tolerance) {
  switch (error.kind) {
    case MakingError::Kind::length:
      return tolerance.length_mm;
    case MakingError::Kind::rotation:
      return tolerance.rotation.si();
    case MakingError::Kind::angle:
      break;
  }
  return tolerance.angle.si();
}

namespace {

std::string source_of(const MakingError& error) {
  const bool length = error.kind == MakingError::Kind::length;
  return (length                                      ? "length, "
          : error.kind == MakingError::Kind::rotation ? "turn before the "
                                                      : "angle, ") +
         error.place;
}

}  // namespace

std::vector<Contribution> end_tolerance(const duct::Duct& duct, const duct::Piece& tube, double station_mm,
                                        bool in_angle) {
  EXPECTS(duct.spec.bending.has_value() && tube.kind == duct::Piece::Kind::tube);
  const double from = std::max(0.0, tube.station_from_mm), to = std::min(duct.layout.length_mm, tube.station_to_mm);
  const BendChain chain(duct.layout, from, to);
  const Vec3 axis = duct.layout.at(station_mm).tangent;
  std::vector<Contribution> out;
  for (std::size_t i = 0; i < chain.errors().size(); ++i) {
    const double size = standard_size(chain.errors()[i], *duct.spec.bending);
    // A turn about the axis itself is a twist: no angle between axes.
    const double most = in_angle ? size * chain.turn(i, station_mm).cross(axis).norm()
                                 : size * std::abs(chain.displacement(i, station_mm).dot(axis));
    constexpr double kMatters_mm = 1e-3, kMatters_rad = 1e-6;
    if (most < (in_angle ? kMatters_rad : kMatters_mm)) continue;
    out.push_back({source_of(chain.errors()[i]), Contribution::Kind::standard, most, most, ""});
  }
  return out;
}

namespace {

constexpr const char* kUsualTaken = ": not stated, a bending shop's published tolerance taken";

const duct::Piece* tube_over(const duct::Layout& layout, double station_mm) {
  for (const duct::Piece& piece : layout.pieces) {
    if (piece.kind == duct::Piece::Kind::tube && station_mm >= piece.station_from_mm - kNothing_mm &&
        station_mm <= piece.station_to_mm + kNothing_mm) {
      return &piece;
    }
  }
  return nullptr;
}

}  // namespace

Contribution rotation_tolerance(const duct::DuctSpec& spec, const std::string& where) {
  const double u_deg = to_degrees(spec.bending.value_or(usual_bending(spec.tube.outer_diameter_mm)).rotation);
  std::string source = "turn before the " + where;
  if (spec.bending) return {std::move(source), Contribution::Kind::standard, u_deg, u_deg, ""};
  return {source + kUsualTaken, Contribution::Kind::standard, u_deg, u_deg, "", "ducts/" + spec.id.value + "/bending"};
}

std::vector<Contribution> slope_tolerance(const duct::Duct& duct, double station_mm, const Vec3& up) {
  const duct::Piece* tube = tube_over(duct.layout, station_mm);
  if (!tube) return {};
  const double from = std::max(0.0, tube->station_from_mm), to = std::min(duct.layout.length_mm, tube->station_to_mm);
  if (to - from <= kNothing_mm) return {};
  const BendChain chain(duct.layout, from, to);
  const auto& stated = duct.spec.bending;
  const duct::BendingTolerance tolerance = stated.value_or(usual_bending(duct.spec.tube.outer_diameter_mm));
  const Vec3 axis = duct.layout.at(station_mm).tangent;
  const double level = std::sqrt(std::max(0.0, 1 - std::pow(up.dot(axis), 2)));
  std::vector<Contribution> out;
  for (std::size_t i = 0; i < chain.errors().size(); ++i) {
    const Vec3 swing = standard_size(chain.errors()[i], tolerance) * chain.turn(i, station_mm).cross(axis);
    const double rise = std::abs(swing.dot(up));
    const double slope_rad = rise < level * swing.norm() ? rise / level : swing.norm();
    const double slope_deg = to_degrees(radians(slope_rad));
    constexpr double kMatters_deg = 1e-4;
    if (slope_deg < kMatters_deg) continue;
    std::string source = source_of(chain.errors()[i]);
    if (!stated) source += kUsualTaken;
    out.push_back({std::move(source), Contribution::Kind::standard, slope_deg, slope_deg, "",
                   stated ? "" : "ducts/" + duct.spec.id.value + "/bending"});
  }
  return out;
}

std::vector<Contribution> chain_tolerance(const duct::Duct& duct, const duct::Piece& piece,
                                          std::optional<double> station_mm, std::optional<Vec3> toward) {
  EXPECTS(duct.spec.bending.has_value());
  if (piece.kind != duct::Piece::Kind::tube) return {};
  const double from = std::max(0.0, piece.station_from_mm), to = std::min(duct.layout.length_mm, piece.station_to_mm);
  const BendChain chain(duct.layout, from, to);
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
    const double size = standard_size(error, *duct.spec.bending);
    double most = 0;
    for (const double s : stations) {
      const Vec3 d = size * chain.displacement(i, s);
      most = std::max(most, toward ? std::abs(toward->dot(d)) : d.norm());
    }
    constexpr double kMatters_mm = 1e-3;
    if (most < kMatters_mm) continue;
    out.push_back({source_of(error), Contribution::Kind::standard, most, most, ""});
  }
  return out;
}

}  // namespace baywright::measure

#include "measure/joint_moves.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "geometry/base/expects.hpp"
#include "measure/bend_chain.hpp"
#include "measure/clearance_measure.hpp"
#include "measure/clearance_pairs.hpp"
#include "measure/tolerances.hpp"

namespace baywright::measure {
namespace {

using duct::Coupler;
using duct::PlacedFitting;

constexpr double kSame_mm = 1e-6;

std::vector<const PlacedFitting*> couplers(const duct::Duct& duct) {
  std::vector<const PlacedFitting*> out;
  for (const PlacedFitting& fitting : duct.layout.fittings) {
    if (std::holds_alternative<Coupler>(fitting.kind)) out.push_back(&fitting);
  }
  return out;
}

const Carriage& carriage_of(const duct::Duct& duct, const duct::FittingId& coupler) {
  for (const duct::Piece& piece : duct.layout.pieces) {
    if (piece.kind == duct::Piece::Kind::coupler && piece.fitting == coupler) return piece.carriage;
  }
  EXPECTS(false && "every coupler is a piece");
  std::abort();
}

bool moves(const duct::Duct& duct, const PlacedFitting& coupler) {
  return carriage_of(duct, coupler.id).second.has_value();
}

double stated(const Coupler& coupler, Give give) {
  return give == Give::along ? coupler.axial_mm : give == Give::sideways ? coupler.lateral_mm : coupler.angle.si();
}

std::string key_of(const duct::Duct& duct, const duct::FittingId& id, Give give) {
  const char* key = give == Give::along ? "axial_mm" : give == Give::sideways ? "lateral_mm" : "angle_deg";
  return "ducts/" + duct.spec.id.value + "/fittings/" + id.value + "/" + key;
}

bool moves_by_assumption(const bay::Bay& bay, const PosedState& pose) {
  for (std::size_t i = 0; i < pose.bodies.size() && i < bay.bodies.size(); ++i) {
    if (pose.bodies[i].member >= 0 && bay.bodies[i].motion_assumed) return true;
  }
  return false;
}

void place(const duct::Duct& duct, const PlacedFitting& coupler, Measured& value) {
  value.station_mm = 0.5 * (coupler.station_from_mm + coupler.station_to_mm);
  value.at_mm = duct.layout.at(*value.station_mm).p_mm;
}

void pose(const bay::Bay& bay, const PosedState& state, Measured& value) {
  value.pose = state;
  value.pose_name = pose_text(bay, state);
  value.assumed_motion = moves_by_assumption(bay, state);
}

/// What the making of the tubes on both sides leaves open of the joint one way, mm or rad.
std::vector<Contribution> making(const duct::Duct& duct, const PlacedFitting& coupler, Give give,
                                 const DisplayUnits& units) {
  std::vector<Contribution> out;
  if (give == Give::along) out.push_back(fitting_tolerance(duct.spec, coupler.id.value, units));
  if (!duct.spec.bending) return out;
  for (const duct::Piece& piece : duct.layout.pieces) {
    if (piece.kind != duct::Piece::Kind::tube) continue;
    const bool ahead = std::abs(piece.station_to_mm - coupler.station_from_mm) < kSame_mm;
    const bool behind = std::abs(piece.station_from_mm - coupler.station_to_mm) < kSame_mm;
    if (!ahead && !behind) continue;
    const double station_mm = ahead ? piece.station_to_mm : piece.station_from_mm;
    for (Contribution& c : end_tolerance(duct, piece, station_mm, give == Give::angle)) {
      if (give != Give::sideways) out.push_back(std::move(c));  // fitted: its ends are brought to their places
    }
  }
  return out;
}

Contribution divided(Contribution c, double by) {
  c.low /= by;
  c.high /= by;
  return c;
}

/// Why the motion of a joint cannot be told: a body on either side of whose motion nobody said anything.
std::optional<NotAssessed> unknown_motion(const bay::Bay& bay, const CarriedEnd& upstream,
                                          const CarriedEnd& downstream) {
  if (upstream.carriage == downstream.carriage) return std::nullopt;
  std::set<std::string> bodies;
  for (const CarriedEnd* end : {&upstream, &downstream}) {
    for (const BodyIndex index : {end->carriage.a, end->carriage.b}) {
      const bay::Body& body = bay.bodies[static_cast<std::size_t>(index)];
      const bool stated = index == 0 || body.motion.moves() || !std::holds_alternative<std::monostate>(body.spec);
      if (!stated) bodies.insert(body.id.value);
    }
  }
  if (bodies.empty()) return std::nullopt;
  NotAssessed out;
  std::string names;
  for (const std::string& body : bodies) {
    names += (names.empty() ? "" : ", ") + body;
    out.missing.push_back("bodies/" + body + "/motion");
  }
  out.reason = "no motion is stated for " + names;
  return out;
}

bool floats(const CarriedEnd& end) {
  return end.carriage.kind == RigidCarriage::Kind::link && end.carriage.a != end.carriage.b;
}

NotAssessed unstated(const duct::Duct& duct, const PlacedFitting& coupler, Give give) {
  return {"the coupler does not state what movement it takes " + std::string(name(give)),
          {key_of(duct, coupler.id, give)}};
}

}  // namespace

std::string amount(double asked, Give give, const DisplayUnits& units) {
  return give == Give::angle ? format(to_degrees(radians(asked)), Unit::degree, units) : format(asked, Unit::mm, units);
}

bool has_coupler(const duct::Duct& duct) { return !couplers(duct).empty(); }

std::string_view name(Give give) {
  return give == Give::along ? "along its axis" : give == Give::sideways ? "sideways" : "in angle";
}

std::pair<CarriedEnd, CarriedEnd> joint_ends(const duct::Duct& duct, const PlacedFitting& coupler) {
  const duct::StationFrame from = duct.layout.at(coupler.station_from_mm), to = duct.layout.at(coupler.station_to_mm);
  const Carriage& carriage = carriage_of(duct, coupler.id);
  CarriedEnd upstream{carriage.first, {from.p_mm, from.tangent}};
  CarriedEnd downstream{carriage.second.value_or(carriage.first), {to.p_mm, -to.tangent}};
  if (std::get<Coupler>(coupler.kind).shape == duct::CouplerShape::elbow) {
    downstream.end = {from.p_mm, -from.tangent};
  }
  return {upstream, downstream};
}

std::vector<JointShare> joint_shares_over_motion(const duct::Duct& duct, const bay::Bay& bay,
                                                 const Progress& progress) {
  const Kinematics kinematics = running_kinematics(bay);
  std::vector<JointShare> out;
  for (const PlacedFitting* fitting : couplers(duct)) {
    if (!moves(duct, *fitting)) continue;
    const auto& coupler = std::get<Coupler>(fitting->kind);
    const auto [upstream, downstream] = joint_ends(duct, *fitting);
    const auto unknown = unknown_motion(bay, upstream, downstream);
    const double rest_mm = joint_offset(upstream.end, downstream.end).gap_mm;
    const auto greatest = [&, &from = upstream, &to = downstream](JointQuantity quantity) {
      return greatest_over_motion(kinematics, from, to, quantity, {}, progress);
    };
    const bool floating = floats(upstream) || floats(downstream);
    const auto add = [&](Give give, const Greatest& most, double from) {
      JointShare share{fitting->id, give, {}, stated(coupler, give), true, most.bound - from};
      Measured value;
      value.unit = Unit::ratio;
      value.lo = (most.attained - from) / share.takes;
      value.hi = share.asked / share.takes;
      for (Contribution& c : making(duct, *fitting, give, bay.units)) {
        value.band.add(divided(std::move(c), share.takes));
      }
      value.note = amount(share.asked, give, bay.units) + " of " + amount(share.takes, give, bay.units);
      if (floating) value.note += "; however the two joints share the tube's play";
      if (give == Give::angle) {
        const double twist = std::max(greatest(JointQuantity::twist).bound, greatest(JointQuantity::untwist).bound);
        value.asides.push_back({"twist about its axis, up to", to_degrees(radians(twist)), Unit::degree});
      }
      place(duct, *fitting, value);
      pose(bay, most.state, value);
      share.share = value;
      out.push_back(std::move(share));
    };
    const auto measured = [&](Give give) {
      if (!(stated(coupler, give) > 0) || unknown) {
        const Outcome why = unknown && stated(coupler, give) > 0 ? *unknown : unstated(duct, *fitting, give);
        out.push_back({fitting->id, give, why, stated(coupler, give), true, 0});
        return false;
      }
      return true;
    };
    if (measured(Give::along)) {
      // What the gap changes by, whichever way it is more.
      const Greatest gap = greatest(JointQuantity::gap), shortest = greatest(JointQuantity::shortest);
      const bool opens = gap.bound - rest_mm > shortest.bound + rest_mm;
      add(Give::along, opens ? gap : shortest, opens ? rest_mm : -rest_mm);
    }
    if (measured(Give::sideways)) add(Give::sideways, greatest(JointQuantity::lateral), 0);
    if (measured(Give::angle)) add(Give::angle, greatest(JointQuantity::angle), 0);
  }
  return out;
}

std::vector<JointShare> joint_shares_at_rest(const duct::Duct& duct, const bay::Bay& bay) {
  EXPECTS(duct.spec.bending.has_value());
  std::vector<JointShare> out;
  for (const PlacedFitting* fitting : couplers(duct)) {
    const auto& coupler = std::get<Coupler>(fitting->kind);
    for (const Give give : {Give::along, Give::sideways, Give::angle}) {
      JointShare share{fitting->id, give, {}, stated(coupler, give), moves(duct, *fitting), 0};
      if (!(share.takes > 0)) {
        share.share = unstated(duct, *fitting, give);
      } else {
        // What is stated is a sum of tolerances, known as it stands; what a usual figure stands in for stays open, as
        // far as it lifts the whole: what is listed are shares of that lift.
        Band all, known, stand_ins;
        for (Contribution& c : making(duct, *fitting, give, bay.units)) {
          c.low = 0;  // less than nothing is not asked of it
          c = divided(std::move(c), share.takes);
          (c.missing.empty() ? known : stand_ins).add(c);
          all.add(std::move(c));
        }
        Measured value = Measured::exact(known.high(), Unit::ratio);
        if (stand_ins.high() > 0) {
          const double lifted = (all.high() - known.high()) / stand_ins.high();
          for (Contribution c : stand_ins.contributions()) {
            c.high *= lifted;
            value.band.add(std::move(c));
          }
        }
        place(duct, *fitting, value);
        share.asked = value.highest() * share.takes;
        const char* most = value.band.contributions().empty() ? "" : "up to ";
        value.note = most + amount(share.asked, give, bay.units) + " of " + amount(share.takes, give, bay.units);
        share.share = value;
      }
      out.push_back(std::move(share));
    }
  }
  return out;
}

std::vector<LeastGap> least_gaps(const duct::Duct& duct, const bay::Bay& bay, const Progress& progress) {
  const Kinematics kinematics = running_kinematics(bay);
  std::vector<LeastGap> out;
  for (const PlacedFitting* fitting : couplers(duct)) {
    if (std::get<Coupler>(fitting->kind).shape == duct::CouplerShape::elbow) continue;
    const auto [upstream, downstream] = joint_ends(duct, *fitting);
    if (const auto unknown = unknown_motion(bay, upstream, downstream)) {
      out.push_back({fitting->id, *unknown});
      continue;
    }
    const Greatest shortest =
        greatest_over_motion(kinematics, upstream, downstream, JointQuantity::shortest, {}, progress);
    Measured value;
    value.unit = Unit::mm;
    value.lo = -shortest.bound;
    value.hi = -shortest.attained;
    for (Contribution& c : making(duct, *fitting, Give::along, bay.units)) value.band.add(std::move(c));
    place(duct, *fitting, value);
    pose(bay, shortest.state, value);
    out.push_back({fitting->id, value});
  }
  return out;
}

}  // namespace baywright::measure

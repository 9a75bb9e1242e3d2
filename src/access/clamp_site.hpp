#pragma once

#include <array>
#include <optional>
#include <string>

#include "catalog/clamp_type.hpp"
#include "duct/layout.hpp"
#include "geometry/box.hpp"

namespace baywright::access {

using Side = duct::ScrewSide;
inline constexpr std::array kSides{Side::clockwise, Side::counter_clockwise};

/// Where the screw stands on the hose.
struct ScrewPosition {
  Angle clock;  ///< of the middle of the clamp's body, as everywhere on a duct
  Side side = Side::clockwise;
  bool operator==(const ScrewPosition&) const = default;
};

/// A clamp on the end of a hose.
struct ClampSite {
  duct::DuctId duct;
  duct::FittingId coupler;
  duct::HoseEnd end = duct::HoseEnd::upstream;
  std::string name;            ///< "hump-1, upstream end"
  double station_mm = 0;       ///< of the middle of its band
  Vec3 center = Vec3::Zero();  ///< on the hose's axis
  Vec3 along = Vec3::UnitX();  ///< unit, with the flow
  double hose_radius_mm = 0;   ///< outer
  catalog::ClampType type;
  bool place_stated = false;  ///< the job says where the band begins
};

/// The screw at one position. The head is where the tool begins.
struct Screw {
  Vec3 head = Vec3::Zero();
  Vec3 axis = Vec3::UnitX();  ///< unit, from the head to the tool
  Vec3 out = Vec3::UnitZ();   ///< unit, from the hose outward
  /// In the plane that a handle swings in: 0 outward, then towards axis x out.
  Vec3 swing(Angle angle) const;
};
/// Greatest outer radius of a coupler's hose at a station; 0 beside it.
double hose_radius_mm(const duct::Duct& duct, const duct::FittingId& coupler, double station_mm);

/// The place of a clamp on its hose: its band begins where the job says, else 6.4 mm from the hose's end (1/4 in,
/// clamp makers' instructions).
/// EXPECTS that the duct has this coupler.
ClampSite site_of(const duct::Duct& duct, const duct::FittingId& coupler, const duct::HoseClamp& clamp,
                  const catalog::ClampType& type);

Screw screw_at(const ClampSite& site, const ScrewPosition& position);

/// The line that a tool comes along: the screw's; of a spring band the radius through its tangs, with `out` along the
/// band, whichever the side.
Screw grip_at(const ClampSite& site, const ScrewPosition& position);

/// The clamp's body, without the lowest `raised_mm`: what lies under the hose's surface is none of its business.
Box body_at(const ClampSite& site, const ScrewPosition& position, double raised_mm);

}  // namespace baywright::access

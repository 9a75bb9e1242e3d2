#pragma once

#include <vector>

#include "access/clamp_site.hpp"
#include "access/opening_view.hpp"
#include "access/scene.hpp"

namespace baywright::access {

// Between the clamp and the person: ways of a hand, room for an arm, sight. All try a fixed list of lines, so a yes is
// one that was found and a no means none of these.

/// Diameter of a sleeved forearm, and the least length between hand and elbow, elbow and shoulder (from memory of hand
/// and arm tables).
inline constexpr double kArmDiameter_mm = 100;
inline constexpr double kArmLength_mm = 250;
/// From how far outside an opening somebody looks in, and how far from the screw's axis a look may come.
inline constexpr double kEyeBeyond_mm = 300;
inline constexpr Angle kLookAside = degrees(60);

/// Twenty-six unit directions: faces, edges and corners of a cube.
std::vector<Vec3> all_round();

/// Unit directions in which something at `from` may be drawn out through the opening: along `first` where that leads
/// out, straight out, then towards points spread over it, nearest to straight out first.
std::vector<Vec3> ways_to(const OpeningView& opening, const Vec3& from, const Vec3& first);

/// An arm of one or two straight lengths from the hand out through the opening.
bool arm_reaches(const Around& around, const Vec3& hand, const OpeningView& opening);

/// A straight look at the screw's head from beyond the opening.
bool is_seen(const Around& around, const Screw& screw, const OpeningView& opening);

}  // namespace baywright::access

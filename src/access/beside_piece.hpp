#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "catalog/clamp_type.hpp"
#include "duct/layout.hpp"

namespace baywright::access {

// What sits on a piece of a duct and is not among its drawn shapes, for moves on which all of it has to pass.

/// Of a tube's end that does not say whether it has a bead: height of one above the tube, and how far it reaches from
/// the end (from memory).
inline constexpr double kUnstatedBead_mm = 3, kUnstatedBeadReach_mm = 12;

/// The same of a branch port on which a duct ends, as that duct's coupler there states it; at the branch port's
/// station.
std::optional<Primitive> bead_on_branch(const duct::Duct& duct, bool upstream, const duct::BranchPort& port,
                                        double station_mm);

/// What is not known of a piece, and the keys that say it.
struct UnknownSize {
  std::string what;  ///< "how large boss and connector of sensor MAF are"
  std::vector<std::string> keys;
};

/// Bodies of the clamps on a hose: round the band where the screw's clock angle is stated, the stud at the end that the
/// screw faces (at both where that is not stated), else a ring as high as the body all round. Types that `clamps`
/// lacks: as the coupler's clamp_height_mm draws them.
std::vector<Primitive> clamp_bodies(const duct::Duct& duct, const duct::PlacedFitting& hose,
                                    std::span<const catalog::ClampType> clamps);
/// Beads at the ends of the tube that hoses go over: as stated, none where it is stated that there is none, else of
/// kUnstatedBead_mm.
std::vector<Primitive> beads(const duct::Duct& duct, const duct::Piece& tube);

/// Of a tube: sensors on it without the size of boss and connector. Of a hose: that neither the height of its clamps
/// nor types that `clamps` holds are stated.
std::vector<UnknownSize> unknown_sizes(const duct::Duct& duct, const duct::Piece& piece,
                                       std::span<const catalog::ClampType> clamps);

}  // namespace baywright::access

#pragma once

#include <optional>

#include "access/clamp_access.hpp"
#include "duct/layout.hpp"

namespace baywright::access {

// Where a clamp lies on its hose and what it moves with: the same for whoever measures it and whoever draws it.

/// Where its body lies round the hose: as the job states, else where it is best reached, which is at the stated clock
/// angle where only the side is left open. Clockwise where neither side is known to be reached; nothing where neither
/// angle nor reach is known.
std::optional<ScrewPosition> body_position(const ClampAccess& clamp);

/// Index of the piece that is the clamps of a hose, else of the hose itself, where the job states no height of the
/// bands. EXPECTS that the duct has this coupler.
int clamp_piece(const duct::Duct& duct, const duct::FittingId& coupler);
/// What a band moves with: its piece, or the tube under its own end of a hose that is soft.
Carriage clamp_carriage(const duct::Duct& duct, const duct::FittingId& coupler, duct::HoseEnd end);

}  // namespace baywright::access

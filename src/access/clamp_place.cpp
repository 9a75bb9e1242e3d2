#include "access/clamp_place.hpp"

#include "geometry/base/expects.hpp"

namespace baywright::access {

std::optional<ScrewPosition> body_position(const ClampAccess& clamp) {
  if (clamp.clock && clamp.side) return ScrewPosition{*clamp.clock, *clamp.side};
  if (clamp.best.position < 0) {
    return clamp.clock ? std::optional(ScrewPosition{*clamp.clock, Side::clockwise}) : std::nullopt;
  }
  return clamp.chart.positions[static_cast<std::size_t>(clamp.best.position)].position;
}

int clamp_piece(const duct::Duct& duct, const duct::FittingId& coupler) {
  int found = -1;
  for (std::size_t i = 0; i < duct.layout.pieces.size(); ++i) {
    const duct::Piece& piece = duct.layout.pieces[i];
    if (piece.fitting == coupler && piece.kind != duct::Piece::Kind::tube) found = static_cast<int>(i);
  }
  EXPECTS(found >= 0);
  return found;
}

Carriage clamp_carriage(const duct::Duct& duct, const duct::FittingId& coupler, duct::HoseEnd end) {
  const auto piece = static_cast<std::size_t>(clamp_piece(duct, coupler));
  const Carriage& whole = duct.layout.pieces[piece].carriage;
  if (!whole.flexible()) return whole;
  Carriage out;
  out.first = end == duct::HoseEnd::upstream ? whole.first : *whole.second;
  return out;
}

}  // namespace baywright::access

#pragma once

#include <span>
#include <vector>

#include "duct/layout.hpp"

namespace baywright::duct {

/// Longest slice of a straight, and of an arc.
inline constexpr double kSliceLength_mm = 25;
inline constexpr Angle kSliceAngle = degrees(15);

/// Stations at which a piece is cut into slices, ascending, its own ends first and last: every straight into equal
/// lengths of at most kSliceLength_mm, every bend into equal angles of at most kSliceAngle. At most length / 25 mm +
/// turning / 15 degrees + one for each straight and bend it has a share in.
std::vector<double> slice_stations(const Layout& layout, const Piece& piece);

/// The shapes cut at these stations: one list per slice, together the same set of points, so that the least distance of
/// all slices is that of the whole. Round-ended shapes keep round ends, which reach into the neighbouring slices and
/// lie inside those. A flat-ended shape that reaches into the gap of a flexible joint (`carriage`) lies straight
/// between the places of its ends and would not when cut: every slice it has a share in gets the whole of it. Bosses
/// and nipples go to the slice in which they stand; what lies before the first or behind the last station goes to the
/// slice there. EXPECTS two stations or more.
std::vector<std::vector<Primitive>> cut_into_slices(std::span<const Primitive> shapes, std::span<const double> stations,
                                                    const Carriage& carriage);

}  // namespace baywright::duct

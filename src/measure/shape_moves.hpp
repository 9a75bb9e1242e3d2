#pragma once

#include <optional>
#include <span>
#include <vector>

#include "geometry/clearance/motion.hpp"
#include "geometry/primitive.hpp"

namespace baywright::measure {

/// Two things whose numbers differ by less lie in the same place: sums of stations in another order differ by some
/// 1e-12 of a metre, and a micrometre is far below every bracket's width.
inline constexpr double kSamePlace_mm = 1e-7;

/// For each shape of `now` the index of one of `before` that is the same and stands in the same place, -1: none.
std::vector<int> standing(std::span<const Primitive> before, std::span<const Primitive> now);
bool same_place(const Carriage& a, const Carriage& b);

/// No point of a shape is farther from the earlier shape of the same place in the list than this, mm, an upper bound.
/// nullopt where the lists are not shape for shape of one kind.
std::optional<double> displacement(std::span<const Primitive> before, std::span<const Primitive> now);

}  // namespace baywright::measure

#pragma once

#include <vector>

#include "duct/layout.hpp"

namespace baywright::duct {

/// One row per bend: feed, rotation, bend (LRA). Positive rotation turns the bend plane right-handed about the feed
/// direction; a machine that turns the tube needs the opposite sign. Nominal: no springback, no stretch.
struct BendRow {
  double length_before_mm = 0;
  Angle rotation;
  Angle angle;
  double radius_mm = 0;
  double arc_mm = 0;
  int pieces = 0;  ///< welded of so many straight ones, not bent; 0: bent smooth
};
struct BendTable {
  std::vector<BendRow> rows;
  double last_length_mm = 0;
  double developed_mm = 0;
};

BendTable bend_table(const Layout& layout);
/// Of the part between two stations, which cut no bend: a rigid tube from its own upstream end.
BendTable bend_table(const Layout& layout, double from_mm, double to_mm);
/// The table read from the other end: rows reversed, same sign of rotation.
BendTable reversed(const BendTable& table);
/// Intersection points rebuilt from a table, starting at p0 along u0 with the first bend's plane normal n0.
std::vector<Vec3> intersection_points(const BendTable& table, const Vec3& p0, const Vec3& u0, const Vec3& n0);

}  // namespace baywright::duct

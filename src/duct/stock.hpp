#pragma once

#include <string>
#include <vector>

#include "duct/route.hpp"
#include "geometry/base/id.hpp"

namespace baywright::duct {

using StockTubeId = Id<struct StockTubeTag>;
using StockCouplerId = Id<struct StockCouplerTag>;
using StockBracketId = Id<struct StockBracketTag>;

/// A tube that can be bought, and what the bender can do with it.
struct StockTube {
  StockTubeId id;
  std::string name;
  TubeSize size;
  std::vector<double> bend_radii_mm;  ///< of the centreline, one for each die; at least one
  double least_straight_mm = 0;       ///< between two bends: what the bender grips
  double end_straight_mm = 0;         ///< between a bend and an end of the tube
  Angle angle_step;                   ///< bends are multiples of it; 0: any angle
  std::string source;
  bool operator==(const StockTube&) const = default;
};

/// A soft joint that can be bought, as it is put on a duct.
struct StockCoupler {
  StockCouplerId id;
  std::string name;
  double for_outer_diameter_mm = 0;  ///< of the tubes it goes on
  Coupler coupler;
  std::string source;
  bool operator==(const StockCoupler&) const = default;
};

/// A bracket that can be bought or made, as it is put on a duct. What it is screwed to is for the shop to find.
struct StockBracket {
  StockBracketId id;
  std::string name;
  double for_outer_diameter_mm = 0;  ///< of the tubes it clasps
  std::string source;
  bool operator==(const StockBracket&) const = default;
};

/// What a shop makes ducts of.
struct Stock {
  std::vector<StockTube> tubes;
  std::vector<StockCoupler> couplers;
  std::vector<StockBracket> brackets = {};
  bool operator==(const Stock&) const = default;
};

/// Outer diameters that differ by less go for the same: inch sizes are stated to a tenth of a mm.
inline constexpr double kSameDiameter_mm = 0.3;

}  // namespace baywright::duct

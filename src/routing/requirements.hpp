#pragma once

#include <optional>
#include <vector>

#include "checks/sheet.hpp"
#include "duct/layout.hpp"
#include "duct/stock.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"

namespace baywright::routing {

/// Distances that the tube needs to a part before a check calls them met: the sheet's, plus what making the tube and
/// measuring the part leave open.
struct PartNeed {
  double same_body_mm = 0;
  double at_rest_mm = 0;
  double over_motion_mm = 0;
};

/// How far the fittings must keep from bends, ends and one another for the sheet, allowances included. 0: nothing is
/// asked.
struct FittingRules {
  double before_sensor_mm = 0, after_sensor_mm = 0;  ///< straight, from the sensor's plane
  double sensor_to_branch_mm = 0, branch_to_end_mm = 0;
  double beside_tap_mm = 0;                        ///< straight on both sides
  double before_end_mm = 0;                        ///< straight without a cone ahead of the duct's end
  double tube_end_mm = 0, beaded_tube_end_mm = 0;  ///< from a tube's end under a hose to the next bend
};

/// What a route has to keep, as numbers a search can work with. They are for finding routes, not for judging them: that
/// is the checks' business.
struct Requirements {
  std::vector<std::optional<PartNeed>> of_part;  ///< index as Bay::parts; none: the sheet asks for nothing
  double outer_diameter_mm = 0;                  ///< the greatest along the duct
  double bend_radius_mm = 0;                     ///< of every bend, to begin with
  double least_radius_mm = 0;                    ///< that the sheet allows; 0: any
  std::vector<double> radii_mm;                  ///< that a bend may have, bend_radius_mm among them
  int most_radii = 1;                            ///< different ones along the duct
  double least_straight_mm = 0;                  ///< between two bends of one tube
  double stock_straight_mm = 0;                  ///< the part of it that the stock asks for
  double end_straight_mm = 0;                    ///< between a bend and an end of the duct
  Angle angle_step;                              ///< bends are multiples of it; 0: of any angle
  int most_bends = 0;
  std::optional<Angle> most_turning;
  FittingRules fittings;
};

/// Bends tried where the sheet does not limit them.
inline constexpr int kMostBends = 6;

/// Of a duct as the job has it. The bend radius is the greatest one of its route, or the least that the sheet allows
/// where that is more, rounded up to a whole millimetre. Fails with not_supported for what the search does not move:
/// elbow couplers, ends on another duct, other ducts that end on this one.
Result<Requirements> requirements_of(const job::Installation& installation, const duct::Duct& duct);

/// Of a duct that is made of a tube of the stock, `duct` being of its size already; `bend_radius_mm`: of its radii.
Result<Requirements> requirements_of(const job::Installation& installation, const duct::Duct& duct,
                                     const duct::StockTube& tube, double bend_radius_mm);

/// What a tube needs to a keep-out of the job: what making it leaves open.
PartNeed need_of_keep_out(const duct::Duct& duct);

/// Those radii of a tube of the stock that the sheet allows for the duct, in the stock's order.
std::vector<double> radii_allowed(const job::Installation& installation, const duct::Duct& duct,
                                  const duct::StockTube& tube);

/// Whether a route keeps what a tube of the stock asks of its bends and straights, as they are written.
bool keeps_stock(const duct::Layout& route, const Requirements& requirements);

}  // namespace baywright::routing

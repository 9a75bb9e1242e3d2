#pragma once

#include <string>
#include <variant>
#include <vector>

#include "duct/layout.hpp"
#include "routing/requirements.hpp"

namespace baywright::routing {

/// Why the fittings do not go on a route.
struct NoPlace {
  duct::FittingId fitting;  ///< the first that finds none
  std::string reason;       ///< one line
  double lacks_mm = 0;      ///< about how much straight there is too little, where that is known; else 0
};

/// The fittings of `old`, in its order along the duct, anchored to the legs of a new route so that each lies on a
/// straight, none overlaps another or sits under a hose, and the rules are kept. Within that each goes where it was:
/// as far from the fitting ahead of it as before where both were on one straight, else at the same share of the duct's
/// length, or as far from its end where it was on the last straight; what lay at an end of the duct stays there.
/// `route`: laid out without its fittings (duct::lay_out_route). Exact for these rules: where NoPlace comes back, no
/// places keep them in this order.
std::variant<std::vector<duct::Fitting>, NoPlace> place_again(const duct::Duct& old, const duct::Layout& route,
                                                              const Requirements& requirements);

}  // namespace baywright::routing

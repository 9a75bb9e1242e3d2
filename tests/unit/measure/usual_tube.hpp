#pragma once

#include <string>

#include "geometry/clearance/clearance.hpp"
#include "tests/support/ducts.hpp"

namespace baywright::test {

// The tube of test ducts, 76.2 x 1.65, and what is done with it.

inline constexpr double kRadius = 38.1, kBore = 72.9;
inline const ClearanceOptions kOptions;  // width 0.1, range 60

/// Adds a fitting at a station of the route.
inline void put(Installation& made, const std::string& id, double station, duct::FittingKind kind) {
  made.spec.fittings.push_back(fitting_at(made.spec.route, id, station, std::move(kind)));
}

}  // namespace baywright::test

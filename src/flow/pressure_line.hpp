#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "flow/flow_model.hpp"

namespace baywright::flow {

/// Stands before the names of a raw air duct's elements.
inline constexpr std::string_view kRawAirPrefix = "raw air: ";

/// How many of an intake's elements lie ahead of its duct, so that their stations are not on it: raw air side, filter.
std::size_t elements_ahead(const Restriction& restriction);

/// Air at a station of an intake, both below outside.
struct PressurePoint {
  double station_mm = 0;
  Pressure total_loss;  ///< what total pressure has been lost up to here
  Pressure reading;     ///< what a gauge on a wall tap would show: that, and the dynamic pressure here
};
/// Along the duct, from its upstream end to its downstream one, the last point in the bore of what it is attached to:
/// lines between points that follow one another hold to 1 % of the dynamic pressure, and what is lost or changes at one
/// station are two points there. Agrees with `gauge_readings` at every tap on a plain stretch. Where the duct chokes it
/// ends ahead of that place. EXPECTS a `restriction` of the same duct and inputs.
std::vector<PressurePoint> pressure_line(const duct::Duct& duct, const Restriction& restriction,
                                         const FlowInputs& inputs);

}  // namespace baywright::flow

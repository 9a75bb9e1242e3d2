#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace baywright::job {

/// The unit among `known` that a person most likely means by `written`: another case ("KPa"), another spelling ("deg
/// C", "Celsius", "kg/sec", "inches"), or one letter off in a longer word. "" when none comes near.
std::string unit_meant(std::string_view written, const std::vector<std::string>& known);

}  // namespace baywright::job

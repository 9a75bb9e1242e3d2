#pragma once

#include <string>
#include <vector>

#include "geometry/base/result.hpp"
#include "geometry/base/unit.hpp"

namespace baywright::duct {

/// Collects what is wrong with one duct; `owner` ("duct intake: ") stands before every place, lengths are stated in
/// `units`.
struct Trouble {
  std::string owner;
  DisplayUnits units;
  std::vector<Error> errors;

  void add(const std::string& where, std::string message) {
    errors.push_back({ErrorCode::bad_value, owner + where, std::move(message)});
  }
  bool none() const { return errors.empty(); }
  std::string length(double length_mm) const { return length_text(length_mm, units); }
};

/// "12.3 degrees", C locale.
std::string degree_text(double degrees);

}  // namespace baywright::duct

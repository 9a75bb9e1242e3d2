#pragma once

#include <string>
#include <vector>

#include "geometry/base/result.hpp"

namespace baywright::duct {

/// Collects what is wrong with one duct; `owner` ("duct intake: ") stands before every place.
struct Trouble {
  std::string owner;
  std::vector<Error> errors;

  void add(const std::string& where, std::string message) {
    errors.push_back({ErrorCode::bad_value, owner + where, std::move(message)});
  }
  bool none() const { return errors.empty(); }
};

/// "12.3 mm", C locale.
std::string mm_text(double mm);
/// "12.3 degrees", C locale.
std::string degree_text(double degrees);

}  // namespace baywright::duct

#pragma once

#include <string>

#include "duct/route.hpp"

namespace baywright::checks {

/// What a person found on the vehicle or in the papers, for a check that geometry cannot decide.
struct Answer {
  std::string check;  ///< id of the check it answers
  duct::DuctId duct;  ///< empty: for every duct, or for the job
  bool yes = false;
  std::string by;    ///< who looked, and answers for it
  std::string note;  ///< what was seen; "" when nothing needs saying
  bool operator==(const Answer&) const = default;
};

}  // namespace baywright::checks

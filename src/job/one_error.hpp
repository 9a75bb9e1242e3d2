#pragma once

#include <utility>
#include <vector>

#include "geometry/base/result.hpp"

namespace baywright::job {

/// A single error where all that were found are reported.
inline tl::unexpected<std::vector<Error>> only(Error error) {
  return tl::unexpected(std::vector<Error>{std::move(error)});
}

}  // namespace baywright::job

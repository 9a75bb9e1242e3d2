#pragma once

#include <vector>

#include "catalog/clamp_type.hpp"
#include "catalog/tool.hpp"

namespace baywright::catalog {

/// What a shop has to fit hoses with.
struct Workshop {
  std::vector<Tool> tools;
  std::vector<ClampType> clamps;
  bool operator==(const Workshop&) const = default;
};
inline Workshop usual_workshop() { return {usual_tools(), usual_clamps()}; }

}  // namespace baywright::catalog

#pragma once

#include <vector>

#include "catalog/clamp_type.hpp"
#include "catalog/hose_material.hpp"
#include "catalog/tool.hpp"

namespace baywright::catalog {

/// What a shop has to fit hoses with, and what these are made of.
struct Workshop {
  std::vector<Tool> tools;
  std::vector<ClampType> clamps;
  std::vector<HoseMaterial> materials;
  bool operator==(const Workshop&) const = default;
};
inline Workshop usual_workshop() { return {usual_tools(), usual_clamps(), usual_materials()}; }

}  // namespace baywright::catalog

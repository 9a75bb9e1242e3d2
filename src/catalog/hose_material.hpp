#pragma once

#include <string>
#include <vector>

#include "geometry/base/id.hpp"
#include "geometry/base/quantity.hpp"

namespace baywright::catalog {

using HoseMaterialId = Id<struct HoseMaterialTag>;

/// What a hose is made of, by the layer the air touches.
struct HoseMaterial {
  HoseMaterialId id;
  std::string name;
  Temperature continuous;  ///< of the air, for as long as the hose lives
  Temperature peak;        ///< for short times
  bool oil_proof = false;  ///< takes the oil mist of crankcase gas
  bool silicone = false;   ///< soft outside: a perforated band cuts it, whatever the liner is
  std::string source;
  bool operator==(const HoseMaterial&) const = default;
};

/// Materials of intake and charge hoses, each with its source. Temperatures are those of a class of material; the maker
/// of a hose states its own.
const std::vector<HoseMaterial>& usual_materials();
/// nullptr: none of this id.
const HoseMaterial* find_material(const std::vector<HoseMaterial>& materials, const HoseMaterialId& id);

}  // namespace baywright::catalog

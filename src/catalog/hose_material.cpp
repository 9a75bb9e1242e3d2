#include "catalog/hose_material.hpp"

#include <algorithm>

namespace baywright::catalog {
namespace {

constexpr const char* kSpecification = "turbocharger-hose material specification of a vehicle maker (abstract)";
constexpr const char* kSpecificationOil =
    "turbocharger-hose material specification of a vehicle maker (abstract); oil: from memory";
constexpr const char* kMemory = "from memory";

struct Row {
  const char *id, *name;
  double continuous_C, peak_C;
  bool oil_proof, silicone;
  const char* source;
};

// Where the source gives a range, its lower end.
constexpr Row kRows[] = {
    {"nbr", "nitrile rubber (NBR)", 100, 125, true, false, kSpecification},
    {"cr", "chloroprene rubber (CR)", 100, 125, false, false, kSpecification},
    {"cm", "chlorinated polyethylene (CM)", 125, 135, false, false, kSpecification},
    {"epdm", "ethylene-propylene rubber (EPDM)", 125, 150, false, false, kMemory},
    {"aem", "ethylene-acrylic rubber (AEM)", 160, 175, true, false, kSpecification},
    {"acm", "polyacrylate rubber (ACM)", 175, 185, true, false, kSpecificationOil},
    {"silicone", "silicone without a liner (VMQ)", 180, 200, false, true, kMemory},
    {"silicone-fvmq", "silicone, fluorosilicone liner (FVMQ)", 180, 200, true, true, kSpecification},
    {"silicone-fkm", "silicone, fluoroelastomer liner (FKM)", 180, 200, true, true, kSpecification},
};

}  // namespace

const std::vector<HoseMaterial>& usual_materials() {
  static const std::vector<HoseMaterial> materials = [] {
    std::vector<HoseMaterial> all;
    for (const Row& row : kRows) {
      all.push_back({HoseMaterialId(row.id), row.name, celsius(row.continuous_C), celsius(row.peak_C), row.oil_proof,
                     row.silicone, row.source});
    }
    return all;
  }();
  return materials;
}

const HoseMaterial* find_material(const std::vector<HoseMaterial>& materials, const HoseMaterialId& id) {
  const auto found =
      std::find_if(materials.begin(), materials.end(), [&](const HoseMaterial& m) { return m.id == id; });
  return found == materials.end() ? nullptr : &*found;
}

}  // namespace baywright::catalog

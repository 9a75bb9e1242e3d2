#include "checks/sheet.hpp"

namespace baywright::checks {

std::string_view name(Origin::Kind kind) {
  switch (kind) {
    case Origin::Kind::supplier:
      return "supplier";
    case Origin::Kind::standard:
      return "standard";
    case Origin::Kind::published:
      return "published";
    case Origin::Kind::common_practice:
      return "common practice";
    case Origin::Kind::from_memory:
      return "from memory";
    case Origin::Kind::shop_rule:
      return "shop rule";
  }
  return "common practice";
}

}  // namespace baywright::checks

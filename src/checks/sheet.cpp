#include "checks/sheet.hpp"

#include <algorithm>

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

std::string_view name(Comparison c) {
  switch (c) {
    case Comparison::at_most:
      return "at most";
    case Comparison::at_least:
      return "at least";
    case Comparison::below:
      return "below";
  }
  return "at least";
}

std::string_view sign(Comparison c) {
  switch (c) {
    case Comparison::at_most:
      return "\u2264";
    case Comparison::at_least:
      return "\u2265";
    case Comparison::below:
      return "<";
  }
  return "\u2265";
}

std::string stated_otherwise(const Limit& limit, const DisplayUnits& units) {
  return limit.stated.ends_with(std::string(" ").append(symbol(limit.unit, units))) ? "" : limit.stated;
}

std::optional<ClearanceNeed> ClearanceRow::of(duct::Piece::Kind kind) const {
  switch (kind) {
    case duct::Piece::Kind::tube:
      return tube();
    case duct::Piece::Kind::coupler:
      if (hose || part_class != bay::PartClass::hot) return hose.value_or(tube());
      return std::nullopt;
    case duct::Piece::Kind::clamps:
      return clamp.value_or(tube());
  }
  return std::nullopt;
}

double search_range_mm(const Sheet& sheet, double stated_mm) {
  double range = stated_mm;
  for (const ClearanceRow& row : sheet.clearance) {
    for (const auto& need : {std::optional(row.tube()), row.hose, row.clamp}) {
      if (!need) continue;
      const double most = std::max({need->same_body_mm, need->at_rest_mm, need->over_motion_mm});
      range = std::max(range, most + kForUncertainty_mm);
    }
  }
  return range;
}

}  // namespace baywright::checks

#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bay/bay.hpp"
#include "flow/flow_model.hpp"
#include "geometry/base/unit.hpp"

namespace baywright::checks {

/// Where a limit comes from.
struct Origin {
  enum class Kind { supplier, standard, published, common_practice, from_memory, shop_rule };
  Kind kind = Kind::common_practice;
  std::string text;  ///< document and page, standard and clause, or "common practice, no source"
  bool operator==(const Origin&) const = default;
};
std::string_view name(Origin::Kind kind);

enum class Comparison { at_most, at_least };

struct Limit {
  Comparison comparison = Comparison::at_least;
  double value = 0;  ///< in `unit`
  Unit unit = Unit::none;
  Origin origin;
  bool operator==(const Limit&) const = default;
};

/// Clearance a class of part needs; same: both ride on one body, at rest; else at rest and over the motion.
struct ClearanceRow {
  bay::PartClass part_class = bay::PartClass::plain;
  double same_body_mm = 0;
  double at_rest_mm = 0;
  double over_motion_mm = 0;
  Origin origin;
  bool operator==(const ClearanceRow&) const = default;
};

/// A set of requirements: the engine supplier's, or the default one of common practice.
struct Sheet {
  std::string name;
  std::string note;
  std::map<std::string, Limit> limits;  ///< by check id; checks without a limit are not checked
  std::vector<ClearanceRow> clearance;
  /// What the restriction limits mean; without it the restriction checks are not checked.
  struct RestrictionMeaning {
    flow::PressureKind kind = flow::PressureKind::total;
    std::string station;  ///< "compressor face" or the id of a restriction tap
    bool operator==(const RestrictionMeaning&) const = default;
  };
  std::optional<RestrictionMeaning> restriction;
  bool operator==(const Sheet&) const = default;
};

}  // namespace baywright::checks

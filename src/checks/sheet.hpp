#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bay/bay.hpp"
#include "duct/layout.hpp"
#include "flow/flow_model.hpp"
#include "geometry/base/unit.hpp"

namespace baywright::checks {

/// A clearance is followed as far as its limit and what uncertainty may take off.
inline constexpr double kForUncertainty_mm = 20;

/// Where a limit comes from.
struct Origin {
  enum class Kind { supplier, standard, published, common_practice, from_memory, shop_rule };
  Kind kind = Kind::common_practice;
  std::string text;  ///< document and page, standard and clause, or "common practice, no source"
  bool operator==(const Origin&) const = default;
};
std::string_view name(Origin::Kind kind);

enum class Comparison {
  at_most,
  at_least,
  below,  ///< the limit itself is broken
};
std::string_view name(Comparison c);  ///< "at most", "at least", "below"
std::string_view sign(Comparison c);  ///< "\u2264", "\u2265", "<"

struct Limit {
  Comparison comparison = Comparison::at_least;
  double value = 0;  ///< in `unit`
  Unit unit = Unit::none;
  Origin origin;
  std::string stated = {};  ///< as the sheet states the value, where it has a unit of its own: "15 inH2O"
  bool operator==(const Limit&) const = default;
};
/// The value as the sheet states it, when it is shown in another unit than that; else "".
std::string stated_otherwise(const Limit& limit, const DisplayUnits& units);

/// Distances a piece needs; same: both ride on one body, at rest; else at rest and over the motion.
struct ClearanceNeed {
  double same_body_mm = 0;
  double at_rest_mm = 0;
  double over_motion_mm = 0;
  Origin origin;
  bool operator==(const ClearanceNeed&) const = default;
};

/// Clearance a class of part needs: of rigid metal tube, and of hoses and clamp bands where theirs differs.
struct ClearanceRow {
  bay::PartClass part_class = bay::PartClass::plain;
  double same_body_mm = 0;
  double at_rest_mm = 0;
  double over_motion_mm = 0;
  Origin origin;
  std::optional<ClearanceNeed> hose = {};   ///< none: as tube; near hot parts: unknown, rubber is not metal
  std::optional<ClearanceNeed> clamp = {};  ///< none: as tube
  bool operator==(const ClearanceRow&) const = default;

  ClearanceNeed tube() const { return {same_body_mm, at_rest_mm, over_motion_mm, origin}; }
  /// What a piece of this kind needs; none: the row does not say.
  std::optional<ClearanceNeed> of(duct::Piece::Kind kind) const;
};

/// A set of requirements: the engine supplier's, or the default one of common practice.
struct Sheet {
  std::string name;
  std::string note;
  std::map<std::string, Limit> limits;  ///< by check id; checks without a limit are not checked
  /// Checks that this sheet does not ask for, each with the reason: not applicable then, and the reason is printed.
  std::map<std::string, std::string> not_required;
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

/// How far clearance must be followed for this sheet: what the job states, and never less than the sheet's greatest
/// clearance and some room for uncertainty, or "farther than that" would be no answer.
double search_range_mm(const Sheet& sheet, double stated_mm);

}  // namespace baywright::checks

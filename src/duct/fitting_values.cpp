#include <cmath>
#include <set>

#include "duct/fitting_layout.hpp"
#include "geometry/base/words.hpp"

namespace baywright::duct {
namespace {

/// Flatter nipples are no branch but a Y.
constexpr Angle kFlattestNipple = degrees(20), kSteepestNipple = degrees(160);

struct ValueCheck {
  const bay::Bay& bay;
  Trouble& trouble;
  std::string where;

  void positive(double value, const char* what) {
    if (!(std::isfinite(value) && value > 0)) trouble.add(where, std::string(what) + " must be a number above 0");
  }
  void not_negative(double value, const char* what) {
    if (!(std::isfinite(value) && value >= 0)) trouble.add(where, std::string(what) + " must be 0 or more");
  }
  void finite(double value, const char* what) {
    if (!std::isfinite(value)) trouble.add(where, std::string(what) + " must be a finite number");
  }
  void loss(const std::optional<double>& coefficient) {
    if (coefficient) not_negative(*coefficient, "the loss coefficient");
  }
  void size(const TubeSize& tube, const char* what) {
    const bool sound =
        std::isfinite(tube.outer_diameter_mm) && std::isfinite(tube.wall_mm) && tube.wall_mm >= 0 && tube.bore_mm() > 0;
    if (!sound) {
      trouble.add(where, std::string(what) + " has no bore: outer diameter " + trouble.length(tube.outer_diameter_mm) +
                             ", wall " + trouble.length(tube.wall_mm));
    }
  }

  void operator()(const SensorTube& sensor) {
    positive(sensor.length_mm, "the length");
    if (!(sensor.sensor_offset_mm >= 0 && sensor.sensor_offset_mm <= sensor.length_mm)) {
      trouble.add(where,
                  "the sensor must lie between the ends of its tube (0 to " + trouble.length(sensor.length_mm) + ")");
    }
    finite(sensor.clock.si(), "the clock angle");
    size(sensor.tube, "the tube");
    loss(sensor.loss_coefficient);
    not_negative(sensor.boss_radius_mm, "the radius of the boss");
    not_negative(sensor.boss_height_mm, "the height of the boss");
    if (!sensor.measured_bore_mm) return;
    const auto [least, greatest] = *sensor.measured_bore_mm;
    positive(least, "the measured bore");
    if (!(greatest >= least)) trouble.add(where, "the measured bores stand in the order [least, greatest]");
  }
  void operator()(const Coupler& coupler) {
    not_negative(coupler.gap_mm, "the gap");
    positive(coupler.length_mm, "the length of the hose");
    if (coupler.length_mm <= coupler.gap_mm) {
      trouble.add(where, "the hose (" + trouble.length(coupler.length_mm) + ") must be longer than its gap (" +
                             trouble.length(coupler.gap_mm) + ")");
    }
    positive(coupler.wall_mm, "the wall of the hose");
    not_negative(coupler.hump_height_mm, "the height of the hump");
    not_negative(coupler.clamp_height_mm, "the height of the clamps");
    not_negative(coupler.axial_mm, "the axial capability");
    not_negative(coupler.lateral_mm, "the lateral capability");
    not_negative(coupler.angle.si(), "the angular capability");
    loss(coupler.loss_coefficient);
    if (coupler.to) size(*coupler.to, "the tube behind it");
    if (coupler.to && coupler.shape != CouplerShape::reducer) {
      trouble.add(where, "only a reducer-shaped coupler changes the tube's size");
    }
    if (!coupler.corrugation_mm) return;
    positive(*coupler.corrugation_mm, "the pitch of the corrugations");
    if (coupler.shape == CouplerShape::hump || coupler.shape == CouplerShape::reducer) {
      trouble.add(where, "only a straight hose or an elbow has corrugations");
    }
  }
  void operator()(const Reducer& reducer) {
    positive(reducer.length_mm, "the length");
    size(reducer.to, "the tube behind it");
  }
  void operator()(const BranchPort& branch) {
    positive(branch.bore_mm, "the bore");
    positive(branch.outer_diameter_mm, "the outer diameter");
    if (branch.outer_diameter_mm < branch.bore_mm) trouble.add(where, "the bore is wider than the outer diameter");
    finite(branch.clock.si(), "the clock angle");
    not_negative(branch.height_mm, "the height");
    not_negative(branch.intrusion_mm.value_or(0), "the intrusion");
    if (branch.angle && !(branch.angle->si() >= kFlattestNipple.si() && branch.angle->si() <= kSteepestNipple.si())) {
      trouble.add(where, "the angle of the nipple must lie between 20 and 160 degrees");
    }
  }
  void operator()(const Bracket& bracket) {
    if (!bay.find_body(bracket.body)) {
      trouble.add(where, "holds the duct to body '" + bracket.body.value + "', which the bay does not have");
    }
  }
  void operator()(const RestrictionTap&) {}
  void operator()(const FlowStraightener& straightener) {
    not_negative(straightener.length_mm, "the length");
    not_negative(straightener.loss_coefficient, "the loss coefficient");
  }
  void operator()(const Drain& drain) { positive(drain.bore_mm, "the bore"); }
};

void check_entry(const Entry& entry, ValueCheck& check) {
  if (const auto* lip = std::get_if<Bellmouth>(&entry)) check.positive(lip->radius_mm, "the radius of the lip");
  if (const auto* cone = std::get_if<ConeEntry>(&entry)) {
    check.positive(cone->length_mm, "the length of the cone");
    check.positive(cone->full_angle.si(), "the angle of the cone");
  }
  if (const auto* stated = std::get_if<StatedEntry>(&entry)) check.not_negative(stated->loss.si(), "the loss");
}

bool starts_a_leg(const Route& route, const PointId& id) {
  for (std::size_t i = 0; i + 1 < route.points.size(); ++i) {
    if (route.points[i].id == id) return true;
  }
  return false;
}

}  // namespace

std::string fitting_name(const FittingId& id, const FittingKind& kind) { return named(kind_name(kind), id.value); }

void check_values(const DuctSpec& spec, const bay::Bay& bay, Trouble& trouble) {
  ValueCheck check{bay, trouble, "tube"};
  check.size(spec.tube, "the tube");
  check.where = "bend tolerance";
  check.not_negative(spec.bend_tolerance_mm.value_or(0), "the bend tolerance");
  check.where = "fitting tolerance";
  if (spec.bending) {
    check.not_negative(spec.bending->angle.si(), "the tolerance of bend angles");
    check.not_negative(spec.bending->rotation.si(), "the tolerance of rotations");
    check.not_negative(spec.bending->length_mm, "the tolerance of lengths");
  }
  check.not_negative(spec.fitting_tolerance_mm.value_or(0), "the fitting tolerance");
  check.where = "entry";
  if (spec.entry) check_entry(*spec.entry, check);
  std::set<FittingId> seen;
  for (std::size_t i = 0; i < spec.fittings.size(); ++i) {
    const Fitting& fitting = spec.fittings[i];
    check.where = "fitting " + (fitting.id.empty() ? std::to_string(i + 1) : fitting.id.value);
    if (fitting.id.empty()) trouble.add(check.where, "has no id");
    if (!fitting.id.empty() && !seen.insert(fitting.id).second) {
      trouble.add(check.where, "this id is used twice; every fitting needs its own");
    }
    check.finite(fitting.anchor.offset_mm, "the offset");
    if (!starts_a_leg(spec.route, fitting.anchor.leg)) {
      trouble.add(check.where, "is anchored to the leg that starts at point '" + fitting.anchor.leg.value +
                                   "'; no leg of this route starts there");
    }
    std::visit(check, fitting.kind);
  }
}

}  // namespace baywright::duct

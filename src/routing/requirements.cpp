#include "routing/requirements.hpp"

#include <algorithm>
#include <cmath>

#include "checks/check.hpp"
#include "geometry/base/unit.hpp"
#include "measure/tolerances.hpp"
#include "routing/angle_steps.hpp"

namespace baywright::routing {
namespace {

/// What a length along the tube may be off by where it is made as stated: two bends and a fitting (measure's bands,
/// rounded up). A search that keeps it loses little; one that does not proposes what is then undecided.
double length_allowance(const duct::DuctSpec& spec) {
  Band band;
  band.add(measure::fitting_tolerance(spec, ""));
  band.add(measure::bend_tolerance(spec));
  return band.low();
}

/// Value of a limit in mm or as a plain ratio; none where the sheet has none.
std::optional<double> limit_of(const checks::Sheet& sheet, const char* id) {
  const auto it = sheet.limits.find(id);
  if (it == sheet.limits.end() || sheet.not_required.contains(id)) return std::nullopt;
  return it->second.value;
}

double length_with(const checks::Sheet& sheet, const char* id, double allowance_mm, double times = 1) {
  const auto limit = limit_of(sheet, id);
  return limit ? *limit * times + allowance_mm : 0;
}

std::vector<std::optional<PartNeed>> needs_of_parts(const job::Installation& installation, const duct::Duct& duct) {
  std::vector<std::optional<PartNeed>> needs;
  for (const bay::Part& part : installation.bay.parts) {
    const auto& rows = installation.sheet.clearance;
    const auto row = std::find_if(rows.begin(), rows.end(),
                                  [&](const checks::ClearanceRow& r) { return r.part_class == part.part_class; });
    if (row == rows.end() || part.tree.empty() || part.doubted()) {
      needs.emplace_back();
      continue;
    }
    Band band = measure::part_uncertainty(part, std::nullopt, installation.bay.units);
    band.add(measure::bend_tolerance(duct.spec));
    const double open = band.low();
    const checks::ClearanceNeed need = row->tube();
    needs.emplace_back(PartNeed{need.same_body_mm + open, need.at_rest_mm + open, need.over_motion_mm + open});
  }
  return needs;
}

double greatest_diameter(const duct::Duct& duct) {
  double diameter = duct.spec.tube.outer_diameter_mm;
  for (const duct::Fitting& fitting : duct.spec.fittings) {
    if (const auto* cone = std::get_if<duct::Reducer>(&fitting.kind))
      diameter = std::max(diameter, cone->to.outer_diameter_mm);
    if (const auto* sensor = std::get_if<duct::SensorTube>(&fitting.kind))
      diameter = std::max(diameter, sensor->tube.outer_diameter_mm);
    if (const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind); coupler && coupler->to)
      diameter = std::max(diameter, coupler->to->outer_diameter_mm);
  }
  return diameter;
}

/// Least bend radius that the sheet allows a duct; 0: it asks for none.
double least_radius(const checks::Sheet& sheet, const duct::Duct& duct, double diameter_mm) {
  double least = 0;
  for (const char* id : {"in.radius", "ch.radius"}) {
    const auto& services = checks::find_check(id)->services;
    if (std::find(services.begin(), services.end(), duct.spec.service) == services.end()) continue;
    const auto limit = limit_of(sheet, id);
    if (limit) least = std::max(least, *limit * diameter_mm);
  }
  return least;
}

constexpr double kRounding = 1e-9;  // a die of 1.5 times the diameter meets 1.5

double bend_radius(const checks::Sheet& sheet, const duct::Duct& duct, double diameter_mm) {
  double radius = 0;
  for (const duct::RoutePoint& point : duct.spec.route.points) radius = std::max(radius, point.bend_radius_mm);
  const double least = least_radius(sheet, duct, diameter_mm);
  if (radius < least * (1 - kRounding)) radius = std::ceil(least);
  return radius > 0 ? radius : std::ceil(1.5 * diameter_mm);  // 1.5 diameters: the usual die, common practice
}

Result<void> refuse_what_is_not_moved(const job::Installation& installation, const duct::Duct& duct) {
  const std::string where = "duct " + duct.spec.id.value;
  for (const duct::RoutePoint& point : duct.spec.route.points) {
    if (point.pieces) {
      return fail(ErrorCode::not_supported, where,
                  "its bend at " + point.id.value + " is welded of pieces; routes are searched for bent tube only");
    }
  }
  for (const duct::Fitting& fitting : duct.spec.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (coupler && coupler->shape == duct::CouplerShape::elbow) {
      return fail(ErrorCode::not_supported, where,
                  "fitting " + fitting.id.value + " is an elbow; routes are searched for bent tube only, take it out");
    }
  }
  if (duct.spec.from.port.empty() || duct.spec.to.port.empty()) {
    return fail(ErrorCode::not_supported, where, "ends on another duct; routes are searched between two ports");
  }
  for (const duct::Duct& other : installation.ducts) {
    if (other.spec.from.duct == duct.spec.id || other.spec.to.duct == duct.spec.id) {
      return fail(ErrorCode::not_supported, where,
                  "duct " + other.spec.id.value +
                      " ends on it and would lose its end; take that duct out of a copy of the job, and put it back on "
                      "the route you choose");
    }
  }
  return {};
}

}  // namespace

Result<Requirements> requirements_of(const job::Installation& installation, const duct::Duct& duct) {
  if (auto moved = refuse_what_is_not_moved(installation, duct); !moved) return tl::unexpected(moved.error());
  const checks::Sheet& sheet = installation.sheet;
  const double allowance = length_allowance(duct.spec);
  Requirements r;
  r.of_part = needs_of_parts(installation, duct);
  r.outer_diameter_mm = greatest_diameter(duct);
  r.bend_radius_mm = bend_radius(sheet, duct, r.outer_diameter_mm);
  r.least_radius_mm = least_radius(sheet, duct, r.outer_diameter_mm);
  r.radii_mm = {r.bend_radius_mm};
  r.least_straight_mm = length_with(sheet, "fb.grip", 2 * allowance, r.outer_diameter_mm);
  const auto bends = duct.spec.service == duct::Service::intake ? limit_of(sheet, "in.bends") : std::nullopt;
  r.most_bends = bends ? std::clamp(static_cast<int>(*bends), 0, kMostBends) : kMostBends;
  const auto turning = duct.spec.service == duct::Service::intake ? limit_of(sheet, "in.turn") : std::nullopt;
  if (turning) r.most_turning = degrees(*turning);
  r.fittings.before_sensor_mm = length_with(sheet, "sn.up", allowance);
  r.fittings.after_sensor_mm = length_with(sheet, "sn.down", allowance);
  r.fittings.sensor_to_branch_mm = length_with(sheet, "br.after", allowance);
  r.fittings.branch_to_end_mm = length_with(sheet, "br.before", allowance);
  r.fittings.beside_tap_mm = length_with(sheet, "in.tap", allowance, r.outer_diameter_mm);
  if (duct.spec.service == duct::Service::intake) {
    const double bore = installation.bay.find_port(duct.spec.to.port)->bore_mm;
    r.fittings.before_end_mm = length_with(sheet, "in.compr_straight", allowance, bore);
  }
  r.fittings.tube_end_mm = length_with(sheet, "fb.end", allowance);
  r.fittings.beaded_tube_end_mm = length_with(sheet, "fb.end.bead", allowance);
  return r;
}

PartNeed need_of_keep_out(const duct::Duct& duct) {
  Band band;
  band.add(measure::bend_tolerance(duct.spec));
  return {band.low(), band.low(), band.low()};
}

std::vector<double> radii_allowed(const job::Installation& installation, const duct::Duct& duct,
                                  const duct::StockTube& tube) {
  const double least = least_radius(installation.sheet, duct, greatest_diameter(duct)) * (1 - kRounding);
  std::vector<double> allowed;
  for (const double radius : tube.bend_radii_mm) {
    if (radius >= least) allowed.push_back(radius);
  }
  return allowed;
}

Result<Requirements> requirements_of(const job::Installation& installation, const duct::Duct& duct,
                                     const duct::StockTube& tube, double bend_radius_mm) {
  auto r = requirements_of(installation, duct);
  if (!r) return r;
  r->bend_radius_mm = bend_radius_mm;
  r->radii_mm = radii_allowed(installation, duct, tube);
  const auto radii = limit_of(installation.sheet, "fb.radius");
  r->most_radii = radii ? std::max(static_cast<int>(*radii), 1) : static_cast<int>(r->radii_mm.size());
  r->stock_straight_mm = tube.least_straight_mm;
  r->least_straight_mm = std::max(r->least_straight_mm, tube.least_straight_mm);
  r->end_straight_mm = tube.end_straight_mm;
  r->fittings.tube_end_mm = std::max(r->fittings.tube_end_mm, tube.end_straight_mm);
  r->fittings.beaded_tube_end_mm = std::max(r->fittings.beaded_tube_end_mm, tube.end_straight_mm);
  r->angle_step = tube.angle_step;
  return r;
}

bool keeps_stock(const duct::Layout& route, const Requirements& requirements) {
  constexpr double kOpen_mm = 0.02;  // points are written to 0.01 mm
  if (!on_steps(route, requirements.angle_step)) return false;
  const auto straights = route.straights();
  for (std::size_t i = 0; i < straights.size(); ++i) {
    const bool end = i == 0 || i + 1 == straights.size();
    const double least = end ? requirements.end_straight_mm : requirements.stock_straight_mm;
    if (straights[i].length_mm() < least - kOpen_mm) return false;
  }
  return true;
}

}  // namespace baywright::routing

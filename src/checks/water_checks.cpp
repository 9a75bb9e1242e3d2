#include <algorithm>

#include "checks/check_groups.hpp"
#include "checks/subjects.hpp"
#include "checks/uncertainty_hint.hpp"
#include "checks/welded_bends.hpp"
#include "flow/air.hpp"
#include "flow/unstated_air.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/base/words.hpp"
#include "measure/along_duct.hpp"
#include "measure/water_measures.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::NotAssessed;

/// The sensor's subject, or why the check does not concern a duct that says it has none.
std::string pool_hint(const Context& context, const measure::Outcome& outcome) {
  const auto* m = std::get_if<Measured>(&outcome);
  const auto limit = context.sheet.limits.find("sn.pool");
  if (!m || limit == context.sheet.limits.end() || m->lowest() >= limit->second.value) return "";
  if (m->lo == 0) return "give the leg with the sensor a slope, so that water runs past it";
  if (std::string first = uncertainty_hint(*m, limit->second, context.bay.units); !first.empty()) return first;
  return "move the sensor away from the low point by " +
         length_text(limit->second.value - m->lowest(), context.bay.units) + ", raise the low point, or drain it";
}

CheckDef pool_at_sensor() {
  CheckDef c;
  c.id = "sn.pool";
  c.title = "No pool at the sensor";
  c.question = "Does water stand well away from the sensor?";
  c.definition =
      "Distance along the centerline from the plane of the sensing element to the nearest low point at which water can "
      "stand, in the attitude where it is least. The floor at a station is the lowest point of the bore's section "
      "square to the centerline; a low point is a place where it is lower than on both sides. Water can stand there "
      "when it would be more than {1 mm} deep before it runs over the lower one of the highest floors on both sides; "
      "to either end of the duct, and at a drain, it runs out. Where the tube at the sensor slopes by less than 1 "
      "degree in any attitude, water stays there and the distance is 0. Where water can stand nowhere, the distance is "
      "more than the length of the duct. Hoses count with the bore of the tube ahead of them: what a hump holds is not "
      "looked at.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route", "ducts/tube", "ducts/fittings: sensor tube", "attitudes"};
  c.hint = "raise the duct at the sensor or its low point, or drain the low point";
  c.measure = [](const Context& context) {
    Subject s = of_the_sensor(context, measure::sensor_to_low_point(context.duct, context.bay));
    s.hint = pool_hint(context, s.outcome);
    return std::vector{s};
  };
  return c;
}

CheckDef vertical_sensor() {
  CheckDef c;
  c.id = "sn.vertical";
  c.title = "Air rises past an upright sensor tube";
  c.question = "Where the sensor's tube stands upright, does the air rise in it?";
  c.definition =
      "Yes where the air rises in every attitude in which the tube at the sensing element is within 15 degrees of "
      "vertical: in an upright tube with falling air, water runs onto the sensor. A tube that is never so steep has "
      "nothing to check.";
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = Severity::minor;
  c.services = {duct::Service::intake};
  c.inputs = {"ducts/route", "ducts/fittings: sensor tube", "attitudes"};
  c.hint = "tilt the leg with the sensor, or put the sensor into a leg that rises";
  c.measure = [](const Context& context) {
    Subject s = of_the_sensor(context, measure::flow_rises_past_sensor(context.duct, context.bay));
    const auto* refused = std::get_if<NotAssessed>(&s.outcome);
    if (refused && refused->missing.empty() && s.left_out.empty()) s.left_out = refused->reason;
    return std::vector{s};
  };
  return c;
}

std::string low_point_at(const Context& context, double station_mm) {
  return "low point at station " + length_text(station_mm, context.bay.units);
}

std::vector<Subject> measure_charge_pools(const Context& context) {
  std::vector<Subject> subjects;
  const std::optional<Limit> limit = limit_of(context.sheet, "ch.pool");
  for (Measured& pool : measure::standing_water(context.duct, context.bay)) {
    Subject s = subject(low_point_at(context, *pool.station_mm), pool);
    // Too much in the level vehicle is too much, whatever else it does.
    if (!context.bay.attitudes_stated && decide(s.outcome, limit) != Verdict::not_met)
      s.outcome = measure::no_attitude();
    subjects.push_back(std::move(s));
  }
  if (!subjects.empty()) return subjects;
  if (!context.bay.attitudes_stated) return {subject("whole duct", measure::no_attitude())};
  Measured none = Measured::exact(0, Unit::millilitre);
  none.note = "water can stand nowhere in the duct, in no attitude";
  return {subject("whole duct", none)};
}

CheckDef charge_pools() {
  CheckDef c;
  c.id = "ch.pool";
  c.title = "No pocket of oil and water";
  c.question = "Is the oil and water that can collect after the charge-air cooler too little to do harm?";
  c.definition =
      "Volume of water that can stand at each low point (sn.pool) of a duct for cold charge air, in the attitude where "
      "it is most: what lies in the bore below the level at which it runs over, given between two proven bounds. A low "
      "point moves as the vehicle leans: where the stretches under water of several attitudes overlap, they are one "
      "low point.";
  c.unit = Unit::millilitre;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.services = {duct::Service::charge_cold};
  c.inputs = {"ducts/route", "ducts/tube", "attitudes"};
  c.hint = "let the duct fall to one end, or give the low point a drain";
  c.measure = measure_charge_pools;
  return c;
}

std::vector<std::string> names_of(const std::vector<const duct::PlacedFitting*>& drains) {
  std::vector<std::string> names;
  for (const duct::PlacedFitting* drain : drains) names.push_back(named("drain", drain->id.value));
  return names;
}

/// The drains of a low point in one attitude: the narrowest that it takes to empty it, and whether they close
/// themselves.
Subject judged_drain(const Context& context, const measure::DrainedPool& drained) {
  const DisplayUnits& units = context.bay.units;
  const measure::LowPoint& lowest = drained.pool.lowest();
  const double station = 0.5 * (lowest.station_from_mm + lowest.station_to_mm);
  const bool emptied = drained.left_mm == 0 && !drained.drains.empty();
  const double bore = emptied ? std::get<duct::Drain>(drained.drains.back()->kind).bore_mm : 0;
  Measured m = measure::at_station(context.duct, bore, Unit::mm, station);
  m.note = emptied ? joined(names_of(drained.drains))
                   : length_text(drained.left_mm, units) + " of water stay, no drain empties it";
  m.note += ", worst attitude: " + drained.attitude;
  Subject s = subject(low_point_at(context, station), m);
  if (!emptied) return s;
  std::vector<const duct::PlacedFitting*> open;
  std::vector<std::string> unstated;
  for (const duct::PlacedFitting* fitting : drained.drains) {
    const std::optional<bool> closes = std::get<duct::Drain>(fitting->kind).self_closing;
    if (!closes) {
      unstated.push_back("ducts/" + context.duct.spec.id.value + "/fittings/" + fitting->id.value + "/self_closing");
    } else if (!*closes) {
      open.push_back(fitting);
    }
  }
  if (!open.empty()) {
    s.fails = true;
    std::get<Measured>(s.outcome).note += "; always open: " + joined(names_of(open));
    s.hint = "fit a drain that shuts while the engine draws air, a duck-bill";
  } else if (!unstated.empty() && decide(s.outcome, limit_of(context.sheet, "sv.drain")) != Verdict::not_met) {
    s.outcome = NotAssessed{"nobody said whether the drain closes itself", unstated};
  }
  return s;
}

/// Whether the drains do worse in `a` than in `b`: what is not met comes first, then what is not known, then the
/// narrower drain.
bool drains_worse(const Context& context, const Subject& a, const Subject& b) {
  const auto rank = [&](const Subject& s) {
    if (std::holds_alternative<NotAssessed>(s.outcome)) return std::pair(1, 0.0);
    const bool fails = s.fails || decide(s.outcome, limit_of(context.sheet, "sv.drain")) == Verdict::not_met;
    return std::pair(fails ? 0 : 2, std::get<Measured>(s.outcome).lo);
  };
  return rank(a) < rank(b);
}

std::vector<Subject> measure_drains(const Context& context) {
  std::vector<Subject> subjects;
  for (const std::vector<measure::DrainedPool>& place : measure::drained_pools(context.duct, context.bay)) {
    Subject worst = judged_drain(context, place.front());
    for (const measure::DrainedPool& drained : place) {
      Subject s = judged_drain(context, drained);
      if (drains_worse(context, s, worst)) worst = std::move(s);
    }
    const bool holds = !worst.fails && decide(worst.outcome, limit_of(context.sheet, "sv.drain")) == Verdict::met;
    if (holds && !context.bay.attitudes_stated) worst.outcome = measure::no_attitude();
    subjects.push_back(std::move(worst));
  }
  if (subjects.empty() && !context.bay.attitudes_stated) return {subject("whole duct", measure::no_attitude())};
  return subjects;
}

CheckDef drained() {
  CheckDef c;
  c.id = "sv.drain";
  c.title = "Water gets out ahead of the filter";
  c.question = "Has every low point ahead of the filter a drain?";
  c.definition =
      "For each low point (sn.pool, the drains left out of account) of a raw air duct: bore of the drain that empties "
      "it to {1 mm}, in the attitude where that is least; 0 where none does. A drain lets out what stands above the "
      "floor at its station. Where several are needed, the narrowest of these. Not met where one of them is always "
      "open. A low point moves as the vehicle leans, and one that is there in a single attitude wants its drain as "
      "well; where the stretches under water of several attitudes overlap, they are one low point. A duct in which "
      "water can stand nowhere, in no attitude, has nothing to check.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.services = {duct::Service::raw_air};
  c.inputs = {"ducts/route", "ducts/tube", "ducts/fittings: drain/self_closing", "attitudes"};
  c.hint = "add a drain at the low point, a duck-bill; in a bend where the low point moves along it";
  c.measure = measure_drains;
  return c;
}

/// A raw air duct that starts on another one has no inlet of its own.
bool has_inlet(const Context& context) { return !context.duct.spec.from.port.empty(); }

CheckDef over_water() {
  CheckDef c;
  c.id = "sv.water";
  c.title = "Inlet above splash and water";
  c.question = "Does the inlet stay well above the water the vehicle goes through?";
  c.definition =
      "Height of the lowest point of the raw air duct's inlet (its bore at the port it starts from, or the opening of "
      "the hood over that where it is lower) above the water: above the ground, with the vehicle level and its springs "
      "on their stops, less the stated depth of wading. A hood that does not state its lowest point is not checked, "
      "but not met where the bore behind it is too low already.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.services = {duct::Service::raw_air};
  c.inputs = {"ducts/route", "ground", "ports/hood/lowest_mm"};
  c.hint = "raise the inlet, or fit a raised intake";
  c.measure = [](const Context& context) {
    std::vector<Subject> subjects;
    if (!has_inlet(context)) return subjects;
    Subject s;
    s.subject = named("inlet", context.duct.spec.from.port.value);
    s.outcome = measure::inlet_over_water(context.duct, context.bay);
    const bay::Port* port = context.bay.find_port(context.duct.spec.from.port);
    const bool hood_unknown = port && port->hood && !port->hood->lowest_mm;
    if (hood_unknown && decide(s.outcome, limit_of(context.sheet, "sv.water")) != Verdict::not_met) {
      const std::string key = "ports/" + port->id.value + "/hood/lowest_mm";
      auto* unsaid = std::get_if<NotAssessed>(&s.outcome);
      if (unsaid) unsaid->missing.push_back(key);
      if (!unsaid)
        s.outcome = NotAssessed{"how low the opening of the hood over the inlet reaches is not stated", {key}};
    }
    subjects.push_back(std::move(s));
    return subjects;
  };
  return c;
}

/// Rise behind an inlet that drops do not get over (common practice, no source).
constexpr double kDropsStayBelow_mm = 150;
/// An opening this near to upright does not face up.
constexpr double kLevel = 1e-9;

/// What the job has to say before the inlet's rain can be judged.
std::vector<std::string> unsaid_of_rain(const Context& context, const bay::Port& port, double rise_mm) {
  std::vector<std::string> missing;
  if (!port.hood) {
    missing.push_back("ports/" + port.id.value + "/hood");
  } else if (rise_mm < kDropsStayBelow_mm && !port.hood->labyrinth) {
    missing.push_back("ports/" + port.id.value + "/hood/labyrinth");
  }
  for (std::string& key : flow::unstated_air(context.flow)) missing.push_back(std::move(key));
  return missing;
}

std::vector<Subject> measure_rain(const Context& context) {
  const bay::Port* port = has_inlet(context) ? context.bay.find_port(context.duct.spec.from.port) : nullptr;
  if (!port) return {};
  Subject s;
  s.subject = named("inlet", port->id.value);
  const double rise = measure::rise_behind_inlet_mm(context.duct.layout);
  const std::vector<std::string> missing = unsaid_of_rain(context, *port, rise);
  if (!missing.empty()) {
    s.outcome = NotAssessed{"not enough is known of the inlet and its air", missing};
    return {s};
  }
  constexpr double kSquareCentimetre_m2 = 1e-4;
  const double flow_m3_s = flow::rated_flow(context.flow)->si() / flow::density_kg_m3(*context.flow.ambient);
  Measured m = measure::at_station(context.duct, flow_m3_s / (port->hood->open_area_cm2 * kSquareCentimetre_m2),
                                   Unit::m_per_s, 0);
  m.note = "the floor rises by " + length_text(rise, context.bay.units) + " behind the inlet";
  if (port->hood->faces.z() > kLevel) {
    s.fails = true;
    m.note += "; the hood faces up";
    s.hint = "turn the hood's opening down or to the rear";
  } else if (rise < kDropsStayBelow_mm && !*port->hood->labyrinth) {
    s.fails = true;
    m.note += ", and the hood has no labyrinth";
    s.hint = "let the duct rise behind the inlet, or fit a hood with a labyrinth";
  }
  s.outcome = std::move(m);
  return {s};
}

CheckDef rain() {
  CheckDef c;
  c.id = "sv.rain";
  c.title = "Rain does not run in";
  c.question = "Do rain and spray stay outside the inlet?";
  c.definition =
      "Mean velocity in the open area of the hood over the raw air duct's inlet, at rated flow and the density "
      "outside. Not met either where the hood's opening faces up at all, or where the floor behind the inlet rises by "
      "less than {150 mm} anywhere in the duct and the hood has no labyrinth, in the level vehicle.";
  c.unit = Unit::m_per_s;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.services = {duct::Service::raw_air};
  c.inputs = {"ducts/route", "ports/hood", "flow/rated_kg_per_s", "flow/ambient"};
  c.hint = "give the hood more open area";
  c.measure = measure_rain;
  return c;
}

}  // namespace

std::vector<CheckDef> water_checks() {
  return {of_bent_tube(pool_at_sensor()), vertical_sensor(), of_bent_tube(charge_pools()),
          of_bent_tube(drained()),        over_water(),      rain()};
}

}  // namespace baywright::checks

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>

#include "access/hose_seat.hpp"
#include "checks/charge_air.hpp"
#include "checks/check_groups.hpp"
#include "checks/hose_ends.hpp"
#include "checks/uncertainty_hint.hpp"
#include "checks/weight_on.hpp"
#include "flow/charge.hpp"
#include "flow/charge_heat.hpp"
#include "geometry/base/words.hpp"
#include "measure/path_measures.hpp"

namespace baywright::checks {
namespace {

using duct::Service;
using measure::Measured;
using measure::NotAssessed;

/// From this force on a joint that takes movement is tied (common practice, no source).
constexpr double kTetherFrom_N = 400;

std::string newtons(double force_N) { return std::to_string(static_cast<int>(std::lround(force_N))) + " N"; }

const std::optional<Pressure>& peak_boost(const Context& context) {
  static const std::optional<Pressure> kNone;
  return context.flow.charge ? context.flow.charge->peak_boost : kNone;
}
constexpr const char* kPeak = "flow/charge/peak_boost_kPa";

/// Of the air in this duct.
flow::ChargeTemperatureOrNot gas_temperature(const Context& context) {
  const auto hot = flow::compressor_outlet(context.flow, loss_ahead_of_compressor(context.ducts, context.flow));
  return context.duct.spec.service == Service::charge_hot ? hot : flow::behind_cooler(context.flow, hot);
}

Subject pressure_share(const Context& context, const Hose& hose) {
  Subject s = subject_of(hose);
  std::vector<std::string> missing;
  if (!hose.coupler.working_pressure) missing.push_back(hose.key(context, "working_pressure_kPa"));
  if (!peak_boost(context)) missing.emplace_back(kPeak);
  if (!missing.empty()) {
    return waits(std::move(s), "what the hose takes, or the greatest boost, is not stated", missing);
  }
  Measured m = value_at(context, *hose.coupler.working_pressure / *peak_boost(context), Unit::ratio, middle_of(hose));
  m.note = "working pressure " + format(hose.coupler.working_pressure->si(), Unit::pascal, context.bay.units) +
           ", greatest boost " + format(peak_boost(context)->si(), Unit::pascal, context.bay.units);
  s.outcome = std::move(m);
  return s;
}

Subject burst_share(const Context& context, const Hose& hose) {
  Subject s = subject_of(hose);
  s.subject += ", burst";
  std::vector<std::string> missing;
  if (!hose.coupler.working_pressure) missing.push_back(hose.key(context, "working_pressure_kPa"));
  if (!hose.coupler.burst_pressure) missing.push_back(hose.key(context, "burst_pressure_kPa"));
  if (!missing.empty()) return waits(std::move(s), "what the hose takes is not stated", missing);
  Measured m =
      value_at(context, *hose.coupler.burst_pressure / *hose.coupler.working_pressure, Unit::ratio, middle_of(hose));
  m.note = "burst pressure " + format(hose.coupler.burst_pressure->si(), Unit::pascal, context.bay.units);
  s.outcome = std::move(m);
  s.hint = "take a hose whose maker states a burst pressure that far above its working pressure";
  against(context, "ch.press.burst", s);
  return s;
}

std::vector<Subject> measure_pressure(const Context& context) {
  std::vector<Subject> subjects;
  for (const Hose& hose : hoses_of(context.duct)) {
    subjects.push_back(pressure_share(context, hose));
    subjects.push_back(burst_share(context, hose));
  }
  return subjects;
}

std::vector<Subject> measure_temperature(const Context& context) {
  std::vector<Subject> subjects;
  const auto hoses = hoses_of(context.duct);
  if (hoses.empty()) return subjects;
  const auto gas = gas_temperature(context);
  for (const Hose& hose : hoses) {
    Subject s = subject_of(hose);
    const catalog::HoseMaterial* material = material_of(context, hose);
    const auto* unknown = std::get_if<NotAssessed>(&gas);
    if (!material || unknown) {
      std::vector<std::string> missing = unknown ? unknown->missing : std::vector<std::string>();
      if (!material) missing.insert(missing.begin(), hose.key(context, "material"));
      subjects.push_back(
          waits(std::move(s), unknown ? unknown->reason : "the material of the hose is not stated", missing));
      continue;
    }
    const auto& air = std::get<flow::ChargeTemperature>(gas);
    Measured m =
        value_at(context, material->continuous.si() - air.value.si(), Unit::kelvin_difference, middle_of(hose));
    for (Contribution c : air.band.contributions()) {
      std::swap(c.low, c.high);  // hotter air leaves less
      m.band.add(std::move(c));
    }
    const auto text = [&](Temperature t) { return format(t.si(), Unit::kelvin, context.bay.units); };
    m.note = material->name + " takes " + text(material->continuous) + ", the air has " + text(air.value);
    if (!air.note.empty()) m.note += " (" + air.note + ")";
    s.outcome = std::move(m);
    subjects.push_back(std::move(s));
  }
  return subjects;
}

/// What one end of a hose lacks to be held under boost; a subject that waits where something is not stated.
Subject held_end(const Context& context, const Hose& hose, duct::HoseEnd end) {
  Subject s = subject_of(hose, end);
  std::vector<std::string> missing, lacks;
  if (!peak_boost(context)) missing.emplace_back(kPeak);
  const duct::TubeEnd* tube = access::tube_end(hose.coupler, end);
  if (!tube) {
    missing.push_back(hose.key(context, "tube_ends"));
  } else if (tube->no_bead) {
    lacks.emplace_back("a bead");
  }
  bool band = false;
  if (hose.coupler.clamps.empty()) missing.push_back(hose.key(context, "clamps"));
  for (const duct::HoseClamp& clamp : hose.coupler.clamps) {
    if (clamp.end != end) continue;
    const catalog::ClampType* type = catalog::find_clamp(context.workshop.clamps, clamp.type);
    if (!type || !type->kind) {
      missing.push_back("tools/clamps/" + clamp.type.value + "/kind");
      band = true;
    } else {
      band = band || catalog::holds_boost(*type->kind);
    }
  }
  if (!band && !hose.coupler.clamps.empty()) lacks.emplace_back("a T-bolt or constant-torque clamp");
  // What it is known to lack fails it, whatever else is not stated.
  if (!missing.empty() && lacks.empty()) return waits(std::move(s), "what holds this end is not stated", missing);
  Measured m = value_at(context, lacks.empty() ? 1 : 0, Unit::none, station_of(hose, end));
  if (const auto& boost = peak_boost(context)) {
    const double bore_mm = access::hose_bore_mm(context.duct, hose.fitting, end);
    m.note = "boost pushes on it with " + newtons(flow::pressure_thrust_N(*boost, bore_mm));
  }
  if (!lacks.empty()) m.note += (m.note.empty() ? "it lacks " : "; it lacks ") + joined(lacks);
  s.outcome = std::move(m);
  if (!lacks.empty()) s.hint = "give this end " + joined(lacks, " and ");
  return s;
}

/// Nothing where no tether is needed.
std::optional<Subject> tied(const Context& context, const Hose& hose) {
  Subject s = subject_of(hose);
  s.subject += ", tether";
  const bool moves = hose.coupler.shape == duct::CouplerShape::hump || hose.fitting.separates;
  if (!moves) return std::nullopt;
  if (!peak_boost(context)) return waits(std::move(s), "the greatest boost is not stated", {kPeak});
  double bore = 0;
  for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
    bore = std::max(bore, access::hose_bore_mm(context.duct, hose.fitting, end));
  }
  const double force = flow::pressure_thrust_N(*peak_boost(context), bore);
  if (force <= kTetherFrom_N) return std::nullopt;
  if (!hose.coupler.tether) {
    return waits(std::move(s), "whether a strap holds its two tubes together is not stated",
                 {hose.key(context, "tether")});
  }
  s.outcome = yes_or_no(context, hose, *hose.coupler.tether, "boost drives its tubes apart with " + newtons(force));
  s.hint = "tie the two tubes together with a strap";
  return s;
}

std::vector<Subject> measure_hold(const Context& context) {
  std::vector<Subject> subjects;
  for (const Hose& hose : hoses_of(context.duct)) {
    for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
      subjects.push_back(held_end(context, hose, end));
    }
    if (auto tether = tied(context, hose)) subjects.push_back(*std::move(tether));
  }
  return subjects;
}

/// Stations at which the duct is narrowest and widest.
struct Extremes {
  double narrow_mm = 0, wide_mm = 0;
};

Extremes extremes_of(const duct::Layout& layout) {
  constexpr double kBeside_mm = 1e-6;
  std::vector<double> stations = {0, layout.length_mm};
  for (const duct::PlacedFitting& f : layout.fittings) {
    stations.push_back(f.station_from_mm - kBeside_mm);
    stations.push_back(f.station_to_mm + kBeside_mm);
  }
  Extremes e;
  const auto bore = [&](double station) { return layout.tube_at(station).bore_mm(); };
  for (const double raw : stations) {
    const double station = std::clamp(raw, 0.0, layout.length_mm);
    if (bore(station) < bore(e.narrow_mm)) e.narrow_mm = station;
    if (bore(station) > bore(e.wide_mm)) e.wide_mm = station;
  }
  return e;
}

/// Total pressure of the air in this duct: at the compressor outlet, or behind the cooler.
std::variant<Pressure, NotAssessed> pressure_of(const Context& context) {
  if (context.duct.spec.service == Service::charge_hot) return flow::charge_pressure(context.flow);
  const auto way = charge_way(context.ducts, context.flow);
  if (const auto* unknown = std::get_if<NotAssessed>(&way)) return *unknown;
  return flow::pressure_behind_cooler(std::get<flow::ChargeWay>(way), context.flow);
}

std::vector<Subject> measure_speed(const Context& context) {
  Subject fastest, slowest;
  fastest.subject = "fastest";
  slowest.subject = "slowest";
  const auto gas = gas_temperature(context);
  const auto pressure = pressure_of(context);
  std::vector<std::string> missing;
  const auto ask = [&](const auto& known) {
    if (const auto* unknown = std::get_if<NotAssessed>(&known)) {
      for (const std::string& key : unknown->missing) {
        if (std::find(missing.begin(), missing.end(), key) == missing.end()) missing.push_back(key);
      }
    }
  };
  if (!flow::rated_flow(context.flow)) missing.push_back(flow::rated_flow_key(context.flow));
  ask(pressure);
  ask(gas);
  if (!missing.empty()) {
    fastest.subject = "whole duct";
    return {waits(std::move(fastest), "the state of the charge air is not known", missing)};
  }
  const auto& air = std::get<flow::ChargeTemperature>(gas);
  const Pressure total = std::get<Pressure>(pressure);
  const Extremes at = extremes_of(context.duct.layout);
  const auto fill = [&](Subject& s, double station) {
    const double bore = context.duct.layout.tube_at(station).bore_mm();
    flow::Stream stream;
    stream.mass_flow = *flow::rated_flow(context.flow);
    stream.total_temperature = air.value;
    const auto state = flow::section_state(stream, total, bore);
    if (!state) {
      Measured m = value_at(context, 0, Unit::m_per_s, station);
      m.hi = std::numeric_limits<double>::infinity();
      m.note = "the rated flow does not pass this bore of " + length_text(bore, context.bay.units);
      s.outcome = std::move(m);
      s.fails = true;
      return;
    }
    Measured m = value_at(context, state->velocity_m_s, Unit::m_per_s, station);
    for (Contribution c : air.band.contributions()) {  // in proportion to the temperature
      c.low *= state->velocity_m_s / air.value.si();
      c.high *= state->velocity_m_s / air.value.si();
      m.band.add(std::move(c));
    }
    m.note = "bore " + length_text(bore, context.bay.units) + ", " +
             format(air.value.si(), Unit::kelvin, context.bay.units) + ", " +
             format(total.si(), Unit::pascal, context.bay.units) + " absolute";
    s.outcome = std::move(m);
  };
  fill(fastest, at.narrow_mm);
  fill(slowest, at.wide_mm);
  slowest.hint = "a smaller tube holds less air to be compressed first";
  against(context, "ch.speed.least", slowest);
  return {fastest, slowest};
}

/// Both units, as coolers are sold in.
std::string duty_text(const flow::ChargeHeat& heat) {
  char text[160];
  std::snprintf(text, sizeof text, "the cooler takes out %.1f kW (%.0f BTU/min) with an effectiveness of %.2f (%s)",
                heat.duty_W / 1000, heat.duty_W / flow::kWattsPerBtuMinute, heat.effect.value,
                heat.effect.stated ? "stated" : "worked out");
  return text;
}

std::vector<Subject> measure_manifold(const Context& context) {
  Subject s;
  s.subject = "behind the cooler";
  const auto hot = flow::compressor_outlet(context.flow, loss_ahead_of_compressor(context.ducts, context.flow));
  const auto cold = flow::behind_cooler(context.flow, hot);
  if (const auto* unknown = std::get_if<NotAssessed>(&cold)) {
    s.outcome = *unknown;
    return {s};
  }
  const auto& air = std::get<flow::ChargeTemperature>(cold);
  Measured m = Measured::exact(air.value.si(), Unit::kelvin);
  m.band = air.band;
  m.note = "behind the compressor " +
           format(std::get<flow::ChargeTemperature>(hot).value.si(), Unit::kelvin, context.bay.units);
  if (!air.note.empty()) m.note += " (" + air.note + ")";
  const auto heat = flow::charge_heat({nullptr, nullptr, hot, cold}, context.flow);
  if (const auto* known = std::get_if<flow::ChargeHeat>(&heat)) m.note += "; " + duty_text(*known);
  s.outcome = std::move(m);
  return {s};
}

std::vector<Subject> measure_radius(const Context& context) {
  const auto& bends = context.duct.layout.bends;
  if (std::none_of(bends.begin(), bends.end(), [](const duct::Bend& b) { return b.bends(); })) return {};
  Subject s;
  s.outcome = measure::smallest_radius_ratio(context.duct);
  if (const auto* m = std::get_if<Measured>(&s.outcome)) s.subject = m->note;
  return {s};
}

/// What of the duct rests on the port it starts from.
Subject carried_by_compressor(const Context& context) {
  Subject s;
  s.subject = "weight on it";
  s.hint = "put a bracket on the engine under the tube, or a soft joint nearer to the compressor";
  const measure::DuctSupport known = measure::support_of(context.duct);
  if (known.unweighed) {
    s.outcome = *known.unweighed;
    return s;
  }
  const auto port = std::find_if(known.rigid.begin(), known.rigid.end(), [&](const measure::Support& support) {
    return support.by == named("port", context.duct.spec.from.port.value);
  });
  if (port == known.rigid.end()) {
    s.outcome = NotAssessed{"the duct does not start at a port", {"ducts/" + context.duct.spec.id.value + "/from"}};
    return s;
  }
  Subject weight = weight_on(context, *port, "ch.load.mass");
  weight.subject = s.subject;
  weight.hint = s.hint;
  return weight;
}

std::vector<Subject> measure_load(const Context& context) {
  Subject s;
  s.subject = "compressor outlet";
  const duct::Layout& layout = context.duct.layout;
  const auto hoses = hoses_of(context.duct);
  const double outer = layout.tube_at(0).outer_diameter_mm;
  const double station = hoses.empty() ? layout.length_mm : hoses.front().fitting.station_from_mm;
  Measured m = value_at(context, station / outer, Unit::ratio, station);
  m.note = hoses.empty() ? "the duct has no soft joint" : "first soft joint " + hoses.front().fitting.id.value;
  s.fails = hoses.empty();
  s.outcome = std::move(m);
  return {s, carried_by_compressor(context)};
}

/// What the temperature of the charge air hangs on, behind the cooler too; `more` beside it.
std::vector<std::string> temperature_inputs(std::vector<std::string> more) {
  for (const char* input :
       {"flow/ambient", "flow/rated_kg_per_s", "flow/components/dirty", "flow/raw_air_loss_kPa",
        "flow/charge/boost_kPa", "flow/charge/inlet_temperature_C", "flow/charge/compressor_efficiency",
        "flow/charge/cooler/effectiveness", "flow/charge/cooler/cooling_air_C"}) {
    more.emplace_back(input);
  }
  return more;
}

CheckDef of_charge(const char* id, const char* title) {
  CheckDef c;
  c.id = id;
  c.title = title;
  c.services = {Service::charge_hot, Service::charge_cold};
  c.comparison = Comparison::at_least;
  return c;
}

CheckDef press() {
  CheckDef c = of_charge("ch.press", "Pressure the hoses take");
  c.question = "Do the hoses take the greatest boost with a reserve?";
  c.definition =
      "Working pressure of each hose, as its maker states it, over the greatest boost there ever is; its burst "
      "pressure over its working pressure, held against ch.press.burst.";
  c.unit = Unit::ratio;
  c.severity = Severity::blocker;
  c.further_limits = {"ch.press.burst"};
  c.inputs = {"ducts/fittings: coupler/working_pressure_kPa", "ducts/fittings: coupler/burst_pressure_kPa",
              "flow/charge/peak_boost_kPa"};
  c.hint = "take a hose of more plies";
  c.measure = measure_pressure;
  return c;
}

CheckDef temp() {
  CheckDef c = of_charge("ch.temp", "Temperature the hoses take");
  c.question = "Do the hoses take the temperature of the air with a reserve?";
  c.definition =
      "Continuous temperature rating of the material of each hose, less the temperature of the air. Hot side: as "
      "stated, else T1 (1 + (PR^0.286 - 1) / efficiency) with the pressure ratio from boost, ambient and the loss of "
      "the one intake with the dirty filter. Cold side: behind the cooler by its effectiveness. In the uncertainty: "
      "0.03 of the compressor's efficiency, 2 % of the rise for the constant heat capacity, 0.03 of the effectiveness.";
  c.unit = Unit::kelvin_difference;
  c.severity = Severity::blocker;
  c.inputs = temperature_inputs({"ducts/fittings: coupler/material"});
  c.hint = "take a hose with a liner that stands more heat";
  c.measure = measure_temperature;
  return c;
}

CheckDef hold() {
  CheckDef c = of_charge("ch.hold", "Joints hold under boost");
  c.question = "Can no joint blow off?";
  c.definition =
      "For each end of a hose 1 when the tube has a bead and the clamp is a T-bolt, with or without springs, or of "
      "constant torque; what is known to be missing is not met, whatever else is not stated. For each hump, and each "
      "hose whose two sides move apart, 1 when a tether keeps the tubes together; up to 400 N of pressure p pi D^2/4, "
      "greatest boost on the bore of the hose, it needs none.";
  c.unit = Unit::none;
  c.severity = Severity::blocker;
  c.inputs = {"ducts/fittings: coupler/clamps", "ducts/fittings: coupler/tube_ends", "ducts/fittings: coupler/tether",
              "flow/charge/peak_boost_kPa"};
  c.hint = "give the tube a bead, the hose T-bolt clamps and the joint a tether";
  c.measure = measure_hold;
  return c;
}

CheckDef charge_radius() {
  CheckDef c = of_charge("ch.radius", "Smallest bend radius of a charge duct");
  c.question = "Are the bends of the charge ducts wide enough?";
  c.definition = "Smallest centerline radius of the duct's bends divided by the outer diameter of the tube there.";
  c.unit = Unit::ratio;
  c.severity = Severity::minor;
  c.inputs = {"ducts/route", "ducts/tube"};
  c.hint = "give the tightest bend a larger radius";
  c.measure = measure_radius;
  return c;
}

CheckDef speed() {
  CheckDef c = of_charge("ch.speed", "Speed of the charge air");
  c.question = "Is the tube of a size that suits the flow?";
  c.definition =
      "Mean speed of the rated flow at the temperature of ch.temp and the pressure of the charge air (ambient + boost; "
      "behind the cooler less what ch.loss has up to there), where the duct is narrowest; where it is widest held "
      "against ch.speed.least.";
  c.unit = Unit::m_per_s;
  c.comparison = Comparison::at_most;
  c.severity = Severity::info;
  c.further_limits = {{"ch.speed.least", std::nullopt, Comparison::at_least}};
  c.inputs = temperature_inputs({"ducts/tube", "flow/charge/cooler/curve"});
  c.hint = "take a larger tube";
  c.measure = measure_speed;
  return c;
}

CheckDef manifold() {
  CheckDef c = of_charge("ch.manifold", "Temperature at the intake manifold");
  c.question = "Is the charge air cool enough behind the cooler?";
  c.definition =
      "Temperature behind the compressor, as in ch.temp, less effectiveness times its height above the cooling air; "
      "the "
      "heat the cooler takes out stands beside it. "
      "What is allowed is the engine supplier's to say; the built-in sheet has no limit.";
  c.unit = Unit::kelvin;
  c.comparison = Comparison::at_most;
  c.severity = Severity::blocker;
  c.services = {Service::charge_cold};
  c.inputs = temperature_inputs({});
  c.hint = "a larger cooler, or more air through it";
  c.measure = measure_manifold;
  return c;
}

CheckDef load() {
  CheckDef c = of_charge("ch.load", "Soft joint at the compressor outlet");
  c.question = "Does a soft joint near the compressor keep the tube's weight and movement off it?";
  c.definition =
      "Length along the centerline from the compressor outlet to the first hose's gap, divided by the outer diameter "
      "of the tube; a duct without a hose is not met. And the weight that rests on that outlet (reckoned as in "
      "fx.held, which leaves this port to ch.load), against ch.load.mass.";
  c.unit = Unit::ratio;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.services = {Service::charge_hot};
  c.further_limits = {{"ch.load.mass", Unit::kilogram}};
  c.inputs = {"ducts/route", "ducts/tube", "ducts/metal"};
  c.hint = "put a hose on the compressor outlet";
  c.measure = measure_load;
  return c;
}

}  // namespace

std::vector<CheckDef> charge_checks() {
  return {press(), temp(), hold(), charge_radius(), speed(), manifold(), load()};
}

}  // namespace baywright::checks

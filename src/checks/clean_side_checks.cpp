#include <algorithm>
#include <cmath>

#include "checks/check_groups.hpp"
#include "checks/hose_ends.hpp"
#include "checks/uncertainty_hint.hpp"
#include "flow/flow_model.hpp"
#include "flow/unstated_air.hpp"
#include "geometry/base/words.hpp"
#include "measure/bore_steps.hpp"

namespace baywright::checks {
namespace {

using duct::Service;
using measure::Measured;
using measure::NotAssessed;

/// How much more suction than the gauge shows a hose has to stand (common practice, no source).
constexpr double kSuctionReserve = 1.5;
/// Layers of fabric from which on a hose counts as reinforced (common practice, no source).
constexpr int kReinforcingPlies = 4;

std::vector<Subject> measure_steps(const Context& context) {
  std::vector<Subject> subjects;
  for (const measure::BoreStep& step : measure::bore_steps(context.duct)) {
    Subject s;
    s.subject = step.name;
    Measured m = value_at(context, step.radial_mm, Unit::mm, step.station_mm);
    m.note = "bore " + length_text(step.ahead_mm, context.bay.units) + " before, " +
             length_text(step.behind_mm, context.bay.units) + " behind";
    s.outcome = std::move(m);
    subjects.push_back(std::move(s));
  }
  return subjects;
}

/// Ends of a hose without a band; "" when each has one.
std::string bare_ends(const Hose& hose) {
  std::vector<std::string> bare;
  for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
    const auto& clamps = hose.coupler.clamps;
    if (std::none_of(clamps.begin(), clamps.end(), [&](const duct::HoseClamp& c) { return c.end == end; })) {
      bare.push_back(hose.end_name(end));
    }
  }
  return joined(bare);
}

std::vector<Subject> measure_joints(const Context& context) {
  Subject s;
  s.subject = "whole duct";
  std::vector<std::string> names, unstated, bare;
  const duct::Layout& layout = context.duct.layout;
  const auto hoses = hoses_of(context.duct);
  const auto at_end = [&](double station_mm) {
    return std::any_of(hoses.begin(), hoses.end(), [&](const Hose& hose) {
      return hose.fitting.station_from_mm <= station_mm && hose.fitting.station_to_mm >= station_mm;
    });
  };
  if (!at_end(0)) names.emplace_back("upstream end");
  for (const Hose& hose : hoses) {
    names.push_back(hose.fitting.id.value);
    if (hose.coupler.clamps.empty()) unstated.push_back(hose.key(context, "clamps"));
    const std::string ends = hose.coupler.clamps.empty() ? "" : bare_ends(hose);
    if (!ends.empty()) bare.push_back(ends);
  }
  if (!at_end(layout.length_mm)) names.emplace_back("downstream end");
  Measured m = Measured::exact(static_cast<double>(names.size()), Unit::count);
  const auto limit = context.sheet.limits.find("in.joints");
  const bool too_many = limit != context.sheet.limits.end() && decide(m, limit->second) == Verdict::not_met;
  // What is known to be wrong fails, whatever is not stated of the other joints.
  if (!unstated.empty() && bare.empty() && !too_many) {
    return {waits(std::move(s), "nothing is stated of the clamps, so nobody knows whether the joints are complete",
                  unstated)};
  }
  m.note = joined(names);
  if (!bare.empty()) {
    m.note += "; no clamp on " + joined(bare);
    s.fails = true;
    s.hint = "add the clamp on " + joined(bare);
  }
  s.outcome = std::move(m);
  return {s};
}

/// What holds a hose open against suction, in words; nothing when nobody says.
std::optional<std::string> reinforcement(const Hose& hose) {
  if (hose.coupler.wire.value_or(false)) return "reinforced by wire";
  if (hose.coupler.plies && *hose.coupler.plies >= kReinforcingPlies) {
    return "reinforced by " + std::to_string(*hose.coupler.plies) + " plies";
  }
  // Few plies leave the wire open, and no wire the plies.
  if (hose.coupler.wire && hose.coupler.plies) return "";
  return std::nullopt;
}

Subject suction_on(const Context& context, const Hose& hose) {
  Subject s = subject_of(hose);
  const std::optional<std::string> held = reinforcement(hose);
  if (!held) {
    std::vector<std::string> missing;
    if (!hose.coupler.wire) missing.push_back(hose.key(context, "wire"));
    if (!hose.coupler.plies) missing.push_back(hose.key(context, "plies"));
    return waits(std::move(s), "whether the hose is reinforced is not stated", missing);
  }
  if (!held->empty()) {
    s.left_out = "every hose is reinforced, which suction does not press flat";
    return s;
  }
  if (const auto* refused = std::get_if<NotAssessed>(&context.measures.dirty)) {
    return waits(std::move(s), refused->reason, refused->missing);
  }
  const auto& dirty = std::get<flow::Restriction>(context.measures.dirty);
  if (dirty.choked()) {
    return waits(std::move(s), "the rated flow does not pass, so there is no such suction: see in.loss_dirty", {});
  }
  const double station = hose.fitting.station_to_mm;
  const flow::GaugeReading gauge = flow::gauge_at(context.duct, station, hose.fitting.id.value, dirty, context.flow);
  Measured m = value_at(context, kSuctionReserve * gauge.reading.si(), Unit::pascal, station);
  for (Contribution c : gauge.band.contributions()) {
    c.low *= kSuctionReserve;
    c.high *= kSuctionReserve;
    m.band.add(std::move(c));
  }
  m.note = "gauge with the dirty filter " + format(gauge.reading.si(), Unit::pascal, context.bay.units);
  s.outcome = std::move(m);
  return s;
}

std::vector<Subject> measure_collapse(const Context& context) {
  std::vector<Subject> subjects;
  for (const Hose& hose : hoses_of(context.duct)) subjects.push_back(suction_on(context, hose));
  return of_concern(std::move(subjects));
}

Subject media_subject(const char* name) {
  Subject s;
  s.subject = name;
  return s;
}

std::vector<Subject> measure_media(const Context& context) {
  constexpr const char* kElement = "flow/components/element";
  const flow::Component* cleaner = flow::component_ahead(context.duct.spec, context.flow);
  if (!cleaner || !cleaner->element) {
    return {waits(media_subject("air cleaner"), "nothing is stated of the element ahead of this duct", {kElement})};
  }
  const flow::FilterElement& element = *cleaner->element;
  const std::string name = cleaner->name.empty() ? cleaner->id.value : cleaner->name;
  Subject dry = media_subject("kind of element"), keeps = media_subject("efficiency"), flow = media_subject("flow");
  if (element.dry) {
    Measured m = Measured::exact(*element.dry ? 1 : 0, Unit::none);
    m.note = name + (*element.dry ? ": dry" : ": oiled");
    dry.outcome = std::move(m);
    dry.hint = "take a dry element: oil from an oiled one settles on the air-mass sensor";
  } else {
    dry = waits(std::move(dry), "whether the element is dry is not stated", {std::string(kElement) + "/kind"});
  }
  if (element.efficiency) {
    Measured m = Measured::exact(*element.efficiency, Unit::ratio);
    m.note = name + ": share of the test dust kept";
    keeps.outcome = std::move(m);
    keeps.hint = "take a finer element";
  } else {
    keeps =
        waits(std::move(keeps), "the efficiency of the element is not stated", {std::string(kElement) + "/efficiency"});
  }
  std::vector<std::string> missing;
  if (!element.rated) missing.push_back(std::string(kElement) + "/rated_m3_per_s");
  const std::optional<MassFlow> rated = flow::rated_flow(context.flow);
  for (std::string& key : flow::unstated_air(context.flow)) missing.push_back(std::move(key));
  if (missing.empty()) {
    const double needed = rated->si() / flow::density_kg_m3(*context.flow.ambient);
    Measured m = Measured::exact(element.rated->si() / needed, Unit::ratio);
    char text[96];
    std::snprintf(text, sizeof text, ": made for %.3f m3/s, the engine draws %.3f", element.rated->si(), needed);
    m.note = name + text;
    flow.outcome = std::move(m);
    flow.hint = "take a larger element";
  } else {
    flow = waits(std::move(flow), "the flow the element is made for, or the engine's, is not stated", missing);
  }
  against(context, "in.media.efficiency", keeps);
  against(context, "in.media.flow", flow);
  return {dry, keeps, flow};
}

bool has_breather_port(const duct::Duct& duct) {
  const auto& all = duct.layout.fittings;
  return std::any_of(all.begin(), all.end(),
                     [](const duct::PlacedFitting& f) { return std::holds_alternative<duct::BranchPort>(f.kind); });
}

/// From which station on crankcase gas is in the duct; nothing where none comes.
struct OilFrom {
  double station_mm = 0;
  std::vector<std::string> missing;  ///< inputs without which nobody knows
  bool none = false;
};

OilFrom oil_from(const Context& context) {
  const Service service = context.duct.spec.service;
  if (service == Service::breather) return {};
  if (service == Service::intake) {
    if (context.duct.spec.no_breather) return {0, {}, true};
    for (const duct::PlacedFitting& f : context.duct.layout.fittings) {
      if (std::holds_alternative<duct::BranchPort>(f.kind)) return {f.station_from_mm, {}, false};
    }
    return {0, {"ducts/" + context.duct.spec.id.value + "/fittings: branch port"}, false};
  }
  // Charge air: what the intake takes in. A job without an intake does not say, and oil is what hoses have to expect.
  bool none = false;
  for (const duct::Duct& other : context.ducts) {
    if (other.spec.service != Service::intake) continue;
    if (has_breather_port(other) || !other.spec.no_breather) return {};
    none = true;
  }
  return {0, {}, none};
}

std::vector<Subject> measure_oil(const Context& context) {
  const OilFrom from = oil_from(context);
  std::vector<Subject> subjects;
  const auto hoses = hoses_of(context.duct);
  if (hoses.empty()) return subjects;
  if (!from.missing.empty()) {
    Subject s;
    s.subject = "every hose";
    return {waits(std::move(s),
                  "whether and where the breather enters is not stated (if none does, say \"breather\": \"none\")",
                  from.missing)};
  }
  for (const Hose& hose : hoses) {
    Subject s = subject_of(hose);
    if (from.none) {
      s.left_out = "no crankcase gas enters the intake";
    } else if (hose.fitting.station_to_mm < from.station_mm) {
      s.left_out = "every hose lies ahead of the breather";
    } else if (const catalog::HoseMaterial* material = material_of(context, hose)) {
      s.outcome = yes_or_no(context, hose, material->oil_proof, material->name);
    } else {
      s = waits(std::move(s), "the material of the hose is not stated", {hose.key(context, "material")});
    }
    subjects.push_back(std::move(s));
  }
  return of_concern(std::move(subjects));
}

CheckDef step() {
  CheckDef c;
  c.id = "in.step";
  c.title = "Step inside a joint";
  c.question = "Is the duct smooth inside where its pieces meet?";
  c.definition =
      "Half the difference of the bores on both sides of each joint: a hose (its own reducing is a cone, see "
      "in.taper), an end of the sensor tube, a port at an end of the duct. Pieces are taken as in line.";
  c.unit = Unit::mm;
  c.comparison = Comparison::at_most;
  c.severity = Severity::minor;
  c.services = {Service::intake};
  c.inputs = {"ducts/tube", "ports"};
  c.hint = "ream or chamfer the smaller bore, or take tube of the same bore";
  c.measure = measure_steps;
  return c;
}

CheckDef joints() {
  CheckDef c;
  c.id = "in.joints";
  c.title = "Joints that could draw unfiltered air";
  c.question = "Are there few joints behind the filter, and is each complete?";
  c.definition =
      "Hoses of the duct, and ends at which it meets a port without a hose over them. A hose with an end without a "
      "clamp is not complete, and the check is not met whatever the number. A hose of whose clamps nothing is stated "
      "leaves it not checked, unless it fails without that.";
  c.unit = Unit::count;
  c.comparison = Comparison::at_most;
  c.severity = Severity::info;
  c.services = {Service::intake};
  c.inputs = {"ducts/fittings: coupler/clamps"};
  c.hint = "make one tube of two";
  c.measure = measure_joints;
  return c;
}

CheckDef collapse() {
  CheckDef c;
  c.id = "in.collapse";
  c.title = "Suction on a soft hose";
  c.question = "Does every hose without reinforcement stay open under the suction?";
  c.definition =
      "1.5 times what a gauge on the tube behind the hose would read with the dirty filter, as in in.loss_dirty. A "
      "hose with wire or at least 4 plies is reinforced, and left out.";
  c.unit = Unit::pascal;
  c.comparison = Comparison::at_most;
  c.severity = Severity::major;
  c.services = {Service::intake};
  c.inputs = {"ducts/fittings: coupler/wire", "ducts/route",  "ducts/tube",
              "flow/rated_kg_per_s",          "flow/ambient", "flow/components/dirty",
              "flow/raw_air_loss_kPa"};
  c.hint = "take a hose with wire or 4 plies, or a tube";
  c.measure = measure_collapse;
  return c;
}

CheckDef media() {
  CheckDef c;
  c.id = "in.media";
  c.title = "Filter element";
  c.question = "Is the element dry, fine enough and large enough?";
  c.definition =
      "Three subjects: 1 for a dry element, 0 for an oiled one; the share of test dust it keeps after ISO 5011, held "
      "against in.media.efficiency; the volume flow it is made for over the engine's rated flow at outside density, "
      "held against in.media.flow.";
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = Severity::blocker;
  c.services = {Service::intake};
  c.further_limits = {{"in.media.efficiency", Unit::ratio}, {"in.media.flow", Unit::ratio}};
  c.inputs = {"flow/components/element", "flow/rated_kg_per_s", "flow/ambient"};
  c.hint = "change the element";
  c.measure = measure_media;
  return c;
}

CheckDef oil() {
  CheckDef c;
  c.id = "br.oil";
  c.title = "Hoses behind the breather";
  c.question = "Does every hose behind the breather stand oil?";
  c.definition =
      "1 where the table says that the material of the hose is proof against oil mist, 0 where not, for each hose from "
      "the breather port on: of the intake behind it, of a breather, and of charge ducts unless every intake of the "
      "job says that it has no breather.";
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.services = {Service::intake, Service::charge_hot, Service::charge_cold, Service::breather};
  c.inputs = {"ducts/fittings: coupler/material", "ducts/fittings: branch port"};
  c.hint = "take a hose whose liner stands oil";
  c.measure = measure_oil;
  return c;
}

}  // namespace

std::vector<CheckDef> clean_side_checks() { return {step(), joints(), collapse(), media(), oil()}; }

}  // namespace baywright::checks

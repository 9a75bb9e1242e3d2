#pragma once

#include <algorithm>
#include <catch2/catch.hpp>

#include "checks/check.hpp"
#include "tests/support/example_intake.hpp"

// One duct under a full sheet, to be bent by a test before the checks run.
namespace baywright::test {

using namespace checks;
using measure::Measured;
using measure::NotAssessed;

inline constexpr auto kUp = duct::HoseEnd::upstream;
inline constexpr auto kDown = duct::HoseEnd::downstream;

inline Limit limit(Comparison sense, double value, Unit unit) {
  return {sense, value, unit, {Origin::Kind::shop_rule, "test"}};
}

/// Every limit at its common value.
inline Sheet full_sheet() {
  Sheet sheet;
  sheet.limits = {{"in.bends", limit(Comparison::at_most, 3, Unit::count)},
                  {"in.turn", limit(Comparison::at_most, 270, Unit::degree)},
                  {"in.radius", limit(Comparison::at_least, 1.5, Unit::ratio)},
                  {"in.taper", limit(Comparison::at_most, 15, Unit::degree)},
                  {"in.taper.expansion", limit(Comparison::at_most, 7, Unit::degree)},
                  {"in.loss_clean", limit(Comparison::at_most, 3740, Unit::pascal)},
                  {"in.loss_dirty", limit(Comparison::at_most, 4980, Unit::pascal)},
                  {"sn.up", limit(Comparison::at_least, 101.6, Unit::mm)},
                  {"sn.down", limit(Comparison::at_least, 76.2, Unit::mm)},
                  {"sn.clock", limit(Comparison::at_most, 45, Unit::degree)},
                  {"sn.bottom", limit(Comparison::below, 90, Unit::degree)},
                  {"sn.bore", limit(Comparison::at_most, 1, Unit::percent)},
                  {"in.swirl", limit(Comparison::at_most, 30, Unit::degree)},
                  {"in.compr_straight", limit(Comparison::at_least, 1, Unit::ratio)},
                  {"in.tap", limit(Comparison::at_least, 1, Unit::ratio)},
                  {"br.slope", limit(Comparison::at_least, 3, Unit::degree)},
                  {"br.slope.attitudes", limit(Comparison::at_least, 0, Unit::degree)},
                  {"br.closed", limit(Comparison::at_least, 1, Unit::none)},
                  {"br.entry", limit(Comparison::at_most, 2, Unit::mm)},
                  {"br.bore", limit(Comparison::at_least, 1, Unit::ratio)},
                  {"br.length", limit(Comparison::at_most, 500, Unit::mm)},
                  {"sv.water", limit(Comparison::at_least, 150, Unit::mm)},
                  {"sv.rain", limit(Comparison::at_most, 8, Unit::m_per_s)},
                  {"sn.pool", limit(Comparison::at_least, 75, Unit::mm)},
                  {"sn.vertical", limit(Comparison::at_least, 1, Unit::none)},
                  {"ch.pool", limit(Comparison::at_most, 30, Unit::millilitre)},
                  {"sv.drain", limit(Comparison::at_least, 8, Unit::mm)},
                  {"br.after", limit(Comparison::at_least, 228.6, Unit::mm)},
                  {"br.before", limit(Comparison::at_least, 304.8, Unit::mm)},
                  {"cl.pair", limit(Comparison::at_least, 1, Unit::count)},
                  {"cl.reach", limit(Comparison::at_least, 1, Unit::none)},
                  {"cl.torque", limit(Comparison::at_least, 1, Unit::none)},
                  {"cl.sight", limit(Comparison::at_least, 1, Unit::none)},
                  {"cl.seat", limit(Comparison::at_least, 3, Unit::mm)},
                  {"cl.seat.end", limit(Comparison::at_least, 6.35, Unit::mm)},
                  {"cl.engage", limit(Comparison::at_least, 19.4, Unit::mm)},
                  {"cl.size", limit(Comparison::at_least, 0.1, Unit::ratio)},
                  {"cl.kind", limit(Comparison::at_least, 1, Unit::none)},
                  {"in.step", limit(Comparison::at_most, 1, Unit::mm)},
                  {"in.joints", limit(Comparison::at_most, 6, Unit::count)},
                  {"in.collapse", limit(Comparison::at_most, 6227, Unit::pascal)},
                  {"in.media", limit(Comparison::at_least, 1, Unit::none)},
                  {"in.media.efficiency", limit(Comparison::at_least, 0.999, Unit::ratio)},
                  {"in.media.flow", limit(Comparison::at_least, 1, Unit::ratio)},
                  {"br.oil", limit(Comparison::at_least, 1, Unit::none)},
                  {"ch.press", limit(Comparison::at_least, 1.25, Unit::ratio)},
                  {"ch.press.burst", limit(Comparison::at_least, 4, Unit::ratio)},
                  {"ch.temp", limit(Comparison::at_least, 15, Unit::kelvin_difference)},
                  {"ch.hold", limit(Comparison::at_least, 1, Unit::none)},
                  {"ch.radius", limit(Comparison::at_least, 1.5, Unit::ratio)},
                  {"ch.speed", limit(Comparison::at_most, 91, Unit::m_per_s)},
                  {"ch.speed.least", limit(Comparison::at_least, 61, Unit::m_per_s)},
                  {"ch.manifold", limit(Comparison::at_most, 364.85, Unit::kelvin)},
                  {"ch.loss", limit(Comparison::at_most, 13790, Unit::pascal)},
                  {"ch.support", limit(Comparison::at_most, 600, Unit::mm)},
                  {"ch.load", limit(Comparison::at_most, 1.5, Unit::ratio)},
                  {"ch.load.mass", limit(Comparison::at_most, 0.5, Unit::kilogram)},
                  {"fx.held", limit(Comparison::at_most, 600, Unit::mm)},
                  {"fx.held.floating", limit(Comparison::at_most, 1, Unit::kilogram)},
                  {"fx.held.load", limit(Comparison::at_most, 1.5, Unit::kilogram)},
                  {"fx.every", limit(Comparison::at_least, 1, Unit::none)},
                  {"fx.motion", limit(Comparison::at_most, 1, Unit::ratio)},
                  {"fx.align", limit(Comparison::at_most, 1.0 / 3, Unit::ratio)},
                  {"fx.align.still", limit(Comparison::at_most, 1, Unit::ratio)},
                  {"fx.gap", limit(Comparison::at_least, 2, Unit::mm)},
                  {"fb.end", limit(Comparison::at_least, 25, Unit::mm)},
                  {"fb.end.bead", limit(Comparison::at_least, 102, Unit::mm)},
                  {"fb.radius", limit(Comparison::at_most, 1, Unit::count)},
                  {"fb.thin", limit(Comparison::at_least, 1, Unit::mm)},
                  {"fb.thin.aluminium", limit(Comparison::at_least, 1.2, Unit::mm)},
                  {"fb.stock", limit(Comparison::at_most, 5800, Unit::mm)},
                  {"fb.stack", limit(Comparison::at_least, 0, Unit::mm)},
                  {"ht.exhaust.shield", limit(Comparison::at_least, 51, Unit::mm)},
                  {"ht.rise", limit(Comparison::at_most, 8, Unit::kelvin_difference)},
                  {"cr.edge", limit(Comparison::at_least, 15, Unit::mm)},
                  {"ht.touch", limit(Comparison::at_least, 150, Unit::mm)},
                  {"sn.heat", limit(Comparison::at_least, 76, Unit::mm)},
                  {"sn.heat.shield", limit(Comparison::at_least, 51, Unit::mm)},
                  {"sn.plug", limit(Comparison::at_least, 25, Unit::mm)},
                  {"sv.filter", limit(Comparison::at_least, 25, Unit::mm)},
                  {"fb.grip", limit(Comparison::at_least, 2, Unit::ratio)}};
  for (const CheckDef& check : registry()) {
    if (check.asked) sheet.limits[check.id] = limit(Comparison::at_least, 1, Unit::none);
  }
  sheet.limits["dt.undecided"] = limit(Comparison::at_most, 0, Unit::count);
  const Origin origin{Origin::Kind::shop_rule, "test"};
  sheet.clearance = {{bay::PartClass::plain, 6, 20, 8, origin}, {bay::PartClass::hot, 25, 25, 25, origin}};
  sheet.restriction = Sheet::RestrictionMeaning{flow::PressureKind::total, "compressor face"};
  return sheet;
}

/// Bay, duct and measures that a test may bend before the checks run. Clearances are put in by hand.
struct Case {
  bay::Bay bay = example_bay();
  duct::DuctSpec spec = example_spec();
  flow::FlowInputs flow = example_flow();
  Sheet sheet = full_sheet();
  measure::ClearanceReport at_rest, over_motion;
  catalog::Workshop workshop = catalog::usual_workshop();
  Surroundings surroundings;
  std::vector<Answer> answers;
  std::shared_ptr<const access::WaysOut> ways;
  std::vector<duct::DuctSpec> branches;  ///< further ducts, laid out after the first
  std::size_t judged = 0;                ///< which duct: 0 the first, then the branches

  std::vector<duct::Duct> ducts() const {
    std::vector<duct::Duct> all{laid_out(spec, bay)};
    for (const duct::DuctSpec& branch : branches) {
      auto layout = duct::lay_out(branch, bay, all);
      if (!layout) throw std::runtime_error(to_line(layout.error().front()));
      all.push_back({branch, std::move(*layout)});
    }
    return all;
  }
  /// Without `tools` clamps have their places but nothing is tried on them, which takes most of the time.
  std::vector<Finding> findings(bool tools = true) const {
    catalog::Workshop tried = workshop;
    if (!tools) tried.tools.clear();
    const std::vector<duct::Duct> all = ducts();
    const duct::Duct& duct = all.at(judged);
    DuctMeasures m;
    m.at_rest = at_rest;
    m.over_motion = over_motion;
    m.joints_over_motion = measure::joint_shares_over_motion(duct, bay);
    measure_restriction(duct, all, flow, m);
    m.ways = ways;
    m.clamps = access::clamp_access({bay, all, tried, false}, duct);
    return run_checks({bay, all, flow, sheet, workshop, answers, surroundings}, duct, m);
  }
  /// Of the job as a whole, after what was found on its duct.
  std::vector<Finding> job_findings() const {
    const std::vector<duct::Duct> all = ducts();
    return run_job_checks({bay, all, flow, sheet, workshop, answers}, findings());
  }
  std::vector<Finding> of(const std::string& id) const {
    std::vector<Finding> found;
    const bool tools = id == "cl.reach" || id == "cl.torque" || id == "cl.sight";
    for (Finding& f : findings(tools)) {
      if (f.check == id) found.push_back(std::move(f));
    }
    return found;
  }
  Finding one(const std::string& id) const {
    const auto found = of(id);
    INFO(id);
    REQUIRE(found.size() == 1);
    return found[0];
  }
  duct::FittingKind& kind(const std::string& id) {
    const auto found = std::find_if(spec.fittings.begin(), spec.fittings.end(),
                                    [&](const duct::Fitting& f) { return f.id.value == id; });
    REQUIRE(found != spec.fittings.end());
    return found->kind;
  }
  void remove(const std::string& id) {
    spec.fittings.erase(std::remove_if(spec.fittings.begin(), spec.fittings.end(),
                                       [&](const duct::Fitting& f) { return f.id.value == id; }),
                        spec.fittings.end());
  }
  int add_part(const std::string& name, bay::PartClass part_class, BodyIndex body) {
    bay::Part part;
    part.id = bay::PartId(name);
    part.name = name;
    part.part_class = part_class;
    part.body = body;
    bay.parts.push_back(part);
    return static_cast<int>(bay.parts.size()) - 1;
  }
  void engine_moves() {
    MotionMember member;
    member.name = "bump";
    member.joints = {{Joint::Kind::translation, Vec3::UnitZ(), Vec3::Zero()}};
    member.to = {-6};
    bay.bodies[1].motion = MotionSet({member});
  }
};

inline measure::PairClearance pair(int piece, int part, double value_mm, double u_mm = 0) {
  measure::PairClearance p;
  p.piece = piece;
  p.part = part;
  p.value = Measured::exact(value_mm, Unit::mm);
  if (u_mm > 0) p.value.band.add({"scan", Contribution::Kind::standard, u_mm, u_mm, ""});
  return p;
}

inline double value_of(const Finding& f) {
  INFO(f.check << " " << f.subject);
  REQUIRE(std::holds_alternative<Measured>(f.outcome));
  return std::get<Measured>(f.outcome).lo;
}

inline std::vector<std::string> missing_of(const Finding& f) {
  CHECK(f.verdict == Verdict::not_checked);
  REQUIRE(std::holds_alternative<NotAssessed>(f.outcome));
  return std::get<NotAssessed>(f.outcome).missing;
}

}  // namespace baywright::test

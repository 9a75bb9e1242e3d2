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
                  {"br.after", limit(Comparison::at_least, 228.6, Unit::mm)},
                  {"br.before", limit(Comparison::at_least, 304.8, Unit::mm)},
                  {"cl.pair", limit(Comparison::at_least, 1, Unit::count)},
                  {"cl.reach", limit(Comparison::at_least, 1, Unit::none)},
                  {"cl.torque", limit(Comparison::at_least, 1, Unit::none)},
                  {"cl.sight", limit(Comparison::at_least, 1, Unit::none)},
                  {"fx.every", limit(Comparison::at_least, 1, Unit::none)},
                  {"fx.motion", limit(Comparison::at_most, 1, Unit::ratio)},
                  {"fx.align", limit(Comparison::at_most, 1.0 / 3, Unit::ratio)},
                  {"fx.align.still", limit(Comparison::at_most, 1, Unit::ratio)},
                  {"fx.gap", limit(Comparison::at_least, 2, Unit::mm)},
                  {"fb.radius", limit(Comparison::at_most, 1, Unit::count)},
                  {"fb.thin", limit(Comparison::at_least, 1, Unit::mm)},
                  {"fb.thin.aluminium", limit(Comparison::at_least, 1.2, Unit::mm)},
                  {"fb.stock", limit(Comparison::at_most, 5800, Unit::mm)},
                  {"fb.stack", limit(Comparison::at_least, 0, Unit::mm)},
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
  std::vector<Answer> answers;

  std::vector<Finding> findings() const {
    const duct::Duct duct = laid_out(spec, bay);
    DuctMeasures m;
    m.at_rest = at_rest;
    m.over_motion = over_motion;
    m.joints_over_motion = measure::joint_shares_over_motion(duct, bay);
    m.clean = flow::restriction(duct, flow, flow::FilterState::clean);
    m.dirty = flow::restriction(duct, flow, flow::FilterState::dirty);
    if (const auto* r = std::get_if<flow::Restriction>(&m.clean)) m.gauge_clean = gauge_readings(duct, *r, flow);
    if (const auto* r = std::get_if<flow::Restriction>(&m.dirty)) m.gauge_dirty = gauge_readings(duct, *r, flow);
    m.clamps = access::clamp_access({bay, {&duct, 1}, workshop, false}, duct);
    return run_checks({bay, {&duct, 1}, flow, sheet, workshop, answers}, duct, m);
  }
  /// Of the job as a whole, after what was found on its duct.
  std::vector<Finding> job_findings() const {
    const duct::Duct duct = laid_out(spec, bay);
    return run_job_checks({bay, {&duct, 1}, flow, sheet, workshop, answers}, findings());
  }
  std::vector<Finding> of(const std::string& id) const {
    std::vector<Finding> found;
    for (Finding& f : findings()) {
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

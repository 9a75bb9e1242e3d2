#include <cmath>
#include <cstdio>

#include "flow/charge_loss.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

using Keys = std::vector<std::string>;

flow::ChargeTemperatureOrNot known_air(double degrees_C) {
  flow::ChargeTemperature air;
  air.value = celsius(degrees_C);
  return air;
}

/// The example's legs as a hot charge duct of 76.2 x 1.65 throughout, with hump 1 alone; a straight cold one of 1 m.
struct ChargeSide : Case {
  ChargeSide() {
    for (const char* id : {"hump-2", "cone", "sensor", "breather", "tap"}) remove(id);
    bay.ports[1].outer_diameter_mm = 76.2;
    bay.ports[1].bore_mm = 72.9;
    bay.ports[0].bore_mm = 72.9;
    bay.ports.push_back(port("cooler-out", {0, 3000, 0}, Vec3::UnitX(), 76.2, 0));
    bay.ports.push_back(port("manifold", {1000, 3000, 0}, -Vec3::UnitX(), 76.2, 0));
    spec.service = duct::Service::charge_hot;
    duct::DuctSpec cold;
    cold.id = duct::DuctId("cold");
    cold.service = duct::Service::charge_cold;
    cold.from.port = bay::PortId("cooler-out");
    cold.to.port = bay::PortId("manifold");
    cold.tube = {76.2, 1.65};
    cold.route.points = {{duct::PointId("C0"), {0, 3000, 0}, 0}, {duct::PointId("C1"), {1000, 3000, 0}, 0}};
    branches = {cold};
    flow.charge.emplace();
    flow.charge->boost = kilopascals(150);
    flow.charge->outlet_temperature = celsius(154);
    flow.charge->cooler = flow::ChargeCooler{0.75, celsius(30), std::nullopt};
    core(400000);
  }
  /// Core of `k` Q^2 Pa at 1.2 kg/m3.
  void core(double k) {
    flow::FilterCurve curve;
    for (const double q : {0.05, 0.10, 0.15}) {
      curve.points.push_back({cubic_metres_per_second(q), pascals(k * q * q)});
    }
    flow.charge->cooler->curve = curve;
  }
  Finding loss() const {
    const auto all = ducts();
    for (Finding& f : run_job_checks({bay, all, flow, sheet, workshop, answers, surroundings}, {})) {
      if (f.check == "ch.loss") return f;
    }
    FAIL("no finding");
    return {};
  }
};

}  // namespace

TEST_CASE("ch.loss: ducts and core together", "[checks]") {
  ChargeSide c;
  // The core 3.24 kPa at the mean density of 154 and 61 degC; ducts of 72.9 a few hundred pascal (tests of the flow).
  const Finding f = c.loss();
  CHECK(value_of(f) == Approx(3240 + 260).margin(120));
  CHECK(f.verdict == Verdict::met);
  const std::string note = std::get<Measured>(f.outcome).note;
  CHECK(note.find("cooler 3.2") != std::string::npos);
  CHECK(note.find("intake 0.2") != std::string::npos);
  CHECK(note.find("cold 0.0") != std::string::npos);
  CHECK(f.duct.empty());
  // 427.15 over 334.15 K, less what is lost of 249 kPa.
  const double recovered = 427.15 / 334.15 * (1 - value_of(f) / 249e3);
  char text[64];
  std::snprintf(text, sizeof text, "density at the engine %.3f times", recovered);
  CHECK(note.find(text) != std::string::npos);
  CHECK(note.find("1.278 by cooling") != std::string::npos);
}

TEST_CASE("ch.loss: a core that loses too much, a tube that chokes", "[checks]") {
  ChargeSide c;
  c.core(2200000);  // 17.8 kPa
  CHECK(c.loss().verdict == Verdict::not_met);
  CHECK(c.loss().hint.find("cooler") != std::string::npos);
  c.core(1600000);  // 13.0 +- 1.5
  CHECK(c.loss().verdict == Verdict::undecided);
  c.core(400000);
  c.branches[0].tube.wall_mm = 30;
  const Finding choked = c.loss();
  CHECK(choked.verdict == Verdict::not_met);
  CHECK(choked.hint.find("cold: ") != std::string::npos);
  CHECK(std::isinf(std::get<Measured>(choked.outcome).hi));
}

TEST_CASE("ch.loss: what is missing is named; what is known to be too much fails", "[checks]") {
  ChargeSide c;
  c.flow.charge->cooler->curve.reset();
  CHECK(missing_of(c.loss()) == Keys{"flow/charge/cooler/curve"});
  c.flow.charge->cooler->loss = kilopascals(9);
  CHECK(c.loss().verdict == Verdict::met);
  CHECK(value_of(c.loss()) == Approx(9000 + 60).margin(40));
  c.flow.charge->cooler->loss = kilopascals(20);
  CHECK(c.loss().verdict == Verdict::not_met);
  c.branches.clear();  // too much without the cold duct, too
  CHECK(c.loss().verdict == Verdict::not_met);
  CHECK(std::get<Measured>(c.loss().outcome).note.find("without what is not known") == 0);
  c.flow.charge->cooler->loss = kilopascals(9);
  CHECK(missing_of(c.loss()) == Keys{"ducts: charge cold"});
  c = ChargeSide();
  c.flow.rated.reset();
  CHECK(missing_of(c.loss()) == Keys{"flow/rated_kg_per_s"});
  c = ChargeSide();
  c.flow.charge->outlet_temperature.reset();  // there is no intake to work it out with
  const Keys missing = missing_of(c.loss());
  CHECK(std::count(missing.begin(), missing.end(), "flow/charge/compressor_efficiency") == 1);
  CHECK(std::count(missing.begin(), missing.end(), "flow/charge/outlet_temperature_C") == 1);
  c = ChargeSide();
  c.spec.service = duct::Service::intake;
  CHECK(missing_of(c.loss()) == Keys{"ducts: charge hot"});
  c.branches.clear();
  CHECK(c.loss().verdict == Verdict::not_applicable);
  c = ChargeSide();
  c.spec.service = duct::Service::charge_cold;
  CHECK(missing_of(c.loss()) == Keys{"ducts: one charge cold"});
}

TEST_CASE("ch.loss: a fitting without a stated loss is named, and the rest of its duct counts", "[checks]") {
  ChargeSide c;
  const double whole = value_of(c.loss());
  c.spec.fittings.push_back(fitting("mesh", "P1", 200, duct::FlowStraightener{40, 0}));
  const Finding open = c.loss();
  CHECK(open.verdict == Verdict::not_checked);
  CHECK(missing_of(open) == Keys{"ducts/intake/fittings/mesh/loss_coefficient"});
  CHECK(std::get<NotAssessed>(open.outcome).reason == "the loss of fitting mesh of duct intake is not stated");
  // Of the hot duct everything but the mesh and what friction it stands for is still lost.
  const auto all = c.ducts();
  const auto way = flow::charge_loss({&all[0], &all[1], known_air(154), known_air(61)}, c.flow);
  CHECK(way.lacking.size() == 1);
  CHECK(way.way.total.si() == Approx(whole).margin(20));
  CHECK(way.way.total.si() < whole);
  CHECK(std::any_of(way.way.elements.begin(), way.way.elements.end(),
                    [](const flow::ElementLoss& e) { return e.name.starts_with("intake: bend"); }));
  // Too much without it is too much.
  c.core(2200000);
  CHECK(c.loss().verdict == Verdict::not_met);
  CHECK(std::get<Measured>(c.loss().outcome).note.find("without what is not known (the loss of fitting mesh") == 0);
}

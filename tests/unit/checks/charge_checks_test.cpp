#include <cmath>
#include <numbers>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

const std::string kAt = "ducts/intake/fittings/hump-1/";

/// The example's legs as a hot charge duct of 76.2 x 1.65 throughout, with hump 1 alone and all that is asked of it.
struct Charged : Case {
  Charged() {
    for (const char* id : {"hump-2", "cone", "sensor", "breather", "tap"}) remove(id);
    bay.ports[1].outer_diameter_mm = 76.2;
    bay.ports[1].bore_mm = 72.9;
    spec.service = duct::Service::charge_hot;
    duct::Coupler& hump = hose();
    hump.clamps = {{kUp, catalog::ClampTypeId("t-bolt")}, {kDown, catalog::ClampTypeId("t-bolt-spring")}};
    hump.tube_ends = {{kUp, false, 5, 2, 6}, {kDown, false, 5, 2, 6}};
    hump.material = catalog::HoseMaterialId("silicone-fkm");
    hump.working_pressure = kilopascals(250);
    hump.burst_pressure = kilopascals(1000);
    hump.tether = true;
    flow.charge.emplace();
    flow.charge->boost = kilopascals(150);
    flow.charge->peak_boost = kilopascals(180);
    flow.charge->outlet_temperature = celsius(154);
    flow.charge->cooler = flow::ChargeCooler{0.75, celsius(30), kilopascals(9)};
  }
  duct::Coupler& hose() { return std::get<duct::Coupler>(kind("hump-1")); }
  Finding of_subject(const std::string& check, const std::string& subject) const {
    for (Finding& f : of(check)) {
      if (f.subject == subject) return f;
    }
    FAIL("no finding of " << check << " " << subject);
    return {};
  }
  Verdict verdict(const std::string& check, const std::string& subject) const {
    return of_subject(check, subject).verdict;
  }
};

using Keys = std::vector<std::string>;

}  // namespace

TEST_CASE("ch.press: working pressure over the greatest boost, burst over working", "[checks]") {
  Charged c;
  CHECK(value_of(c.of_subject("ch.press", "hump-1")) == Approx(250.0 / 180));
  CHECK(value_of(c.of_subject("ch.press", "hump-1, burst")) == Approx(4));
  CHECK(c.verdict("ch.press", "hump-1") == Verdict::met);
  CHECK(c.verdict("ch.press", "hump-1, burst") == Verdict::met);
  c.flow.charge->peak_boost = kilopascals(205);
  CHECK(c.verdict("ch.press", "hump-1") == Verdict::not_met);
  c.hose().burst_pressure = kilopascals(990);
  CHECK(c.verdict("ch.press", "hump-1, burst") == Verdict::not_met);
  c.hose().burst_pressure.reset();
  c.hose().working_pressure.reset();
  c.flow.charge.reset();
  CHECK(missing_of(c.of_subject("ch.press", "hump-1")) ==
        Keys{kAt + "working_pressure_kPa", "flow/charge/peak_boost_kPa"});
  CHECK(missing_of(c.of_subject("ch.press", "hump-1, burst")) ==
        Keys{kAt + "working_pressure_kPa", kAt + "burst_pressure_kPa"});
}

TEST_CASE("ch.temp: what the material takes less the air, on both sides of the cooler", "[checks]") {
  Charged c;
  CHECK(value_of(c.one("ch.temp")) == Approx(180 - 154));
  CHECK(c.one("ch.temp").verdict == Verdict::met);
  c.hose().material = catalog::HoseMaterialId("aem");
  CHECK(value_of(c.one("ch.temp")) == Approx(160 - 154));
  CHECK(c.one("ch.temp").verdict == Verdict::not_met);
  c.spec.service = duct::Service::charge_cold;
  CHECK(value_of(c.one("ch.temp")) == Approx(160 - (154 - 0.75 * 124)));
  CHECK(c.one("ch.temp").verdict == Verdict::met);
  // Worked out instead of stated, it needs what the formula does, and an intake for what is lost ahead.
  c.flow.charge->outlet_temperature.reset();
  c.hose().material = {};
  CHECK(missing_of(c.one("ch.temp")) == Keys{kAt + "material", "flow/charge/inlet_temperature_C",
                                             "flow/charge/compressor_efficiency", "flow/charge/outlet_temperature_C"});
  c.flow.charge->cooler.reset();
  CHECK(missing_of(c.one("ch.temp")).back() == "flow/charge/cooler/cooling_air_C");
}

TEST_CASE("ch.hold: bead, T-bolt, tether; the force is told", "[checks]") {
  Charged c;
  for (const Finding& f : c.of("ch.hold")) CHECK(f.verdict == Verdict::met);
  CHECK(c.of("ch.hold").size() == 3);
  // 180 kPa on 76.2 mm: 821 N.
  const long force = std::lround(180e3 * std::numbers::pi / 4 * 0.0762 * 0.0762);
  const Finding tether = c.of_subject("ch.hold", "hump-1, tether");
  CHECK(std::get<Measured>(tether.outcome).note == "boost drives its tubes apart with " + std::to_string(force) + " N");
  c.hose().tether = false;
  CHECK(c.verdict("ch.hold", "hump-1, tether") == Verdict::not_met);
  c.hose().tether.reset();
  CHECK(missing_of(c.of_subject("ch.hold", "hump-1, tether")) == Keys{kAt + "tether"});
  c.hose().clamps[0].type = catalog::ClampTypeId("worm-12");
  c.hose().tube_ends[0] = {kUp, true};
  const Finding bare = c.of_subject("ch.hold", "hump-1, upstream end");
  CHECK(bare.verdict == Verdict::not_met);
  CHECK(bare.hint == "give this end a bead and a T-bolt or constant-torque clamp");
  CHECK(c.verdict("ch.hold", "hump-1, downstream end") == Verdict::met);
  for (catalog::ClampType& type : c.workshop.clamps) {
    if (type.id.value == "worm-12") type.kind = catalog::ClampKind::constant_torque;
  }
  CHECK(c.of_subject("ch.hold", "hump-1, upstream end").hint == "give this end a bead");
  c.hose().clamps.pop_back();
  CHECK(c.verdict("ch.hold", "hump-1, downstream end") == Verdict::not_met);
  c.flow.charge->peak_boost.reset();  // what is known to be wrong fails, whatever is not stated
  CHECK(c.verdict("ch.hold", "hump-1, upstream end") == Verdict::not_met);
  c.flow.charge->peak_boost = kilopascals(180);
  c.hose().clamps.clear();
  c.hose().tube_ends.clear();
  CHECK(missing_of(c.of_subject("ch.hold", "hump-1, upstream end")) == Keys{kAt + "tube_ends", kAt + "clamps"});
}

TEST_CASE("ch.hold: no tether up to 400 N, nor where nothing moves", "[checks]") {
  Charged c;
  c.hose().tether.reset();
  // 400 N on 76.2 mm are 87.7 kPa.
  c.flow.charge->peak_boost = kilopascals(87.6);
  const auto tethers = [&] {
    int n = 0;
    for (const Finding& f : c.of("ch.hold")) n += f.subject == "hump-1, tether" ? 1 : 0;
    return n;
  };
  CHECK(tethers() == 0);
  c.flow.charge->peak_boost = kilopascals(87.8);
  CHECK(tethers() == 1);
  c.hose().shape = duct::CouplerShape::straight;
  c.bay.ports[1].body = 0;  // both sides on the vehicle
  CHECK(tethers() == 0);
  c.bay.ports[1].body = 1;
  CHECK(tethers() == 1);
}

TEST_CASE("ch.speed: rated flow at the state of the charge air", "[checks]") {
  Charged c;
  c.sheet.limits["ch.speed"].value = 20;
  c.sheet.limits["ch.speed.least"].value = 10;
  const double area = std::numbers::pi / 4 * 0.0729 * 0.0729;
  const double density = 249e3 / (287.055 * 427.15);
  CHECK(value_of(c.of_subject("ch.speed", "fastest")) == Approx(0.15 / (density * area)).epsilon(0.002));
  CHECK(c.verdict("ch.speed", "fastest") == Verdict::met);
  CHECK(c.verdict("ch.speed", "slowest") == Verdict::met);
  c.spec.service = duct::Service::charge_cold;
  const double cold = 240e3 / (287.055 * (273.15 + 154 - 0.75 * 124));
  CHECK(value_of(c.of_subject("ch.speed", "slowest")) == Approx(0.15 / (cold * area)).epsilon(0.002));
  c.sheet.limits["ch.speed.least"].value = 61;
  CHECK(c.verdict("ch.speed", "slowest") == Verdict::not_met);
  c.sheet.limits["ch.speed"].value = 11;
  CHECK(c.verdict("ch.speed", "fastest") == Verdict::not_met);
  c.spec.fittings.push_back(fitting("cone", "P2", 200, duct::Reducer{60, {50, 1.65}}));
  c.bay.ports[1].outer_diameter_mm = 50;
  c.bay.ports[1].bore_mm = 46.7;
  CHECK(value_of(c.of_subject("ch.speed", "fastest")) > 2 * value_of(c.of_subject("ch.speed", "slowest")));
  c.flow.charge->boost.reset();
  c.flow.charge->cooler->loss.reset();
  CHECK(missing_of(c.one("ch.speed")) ==
        Keys{"flow/charge/boost_kPa", "ducts: charge hot", "flow/charge/cooler/curve"});
}

TEST_CASE("ch.manifold: behind the cooler, against the supplier's limit alone", "[checks]") {
  Charged c;
  CHECK(c.one("ch.manifold").verdict == Verdict::not_applicable);
  c.spec.service = duct::Service::charge_cold;
  CHECK(value_of(c.one("ch.manifold")) == Approx(273.15 + 154 - 0.75 * 124));
  CHECK(c.one("ch.manifold").verdict == Verdict::met);
  // 0.15 kg/s * 1006 * 93 K.
  const auto note = [&] { return std::get<Measured>(c.one("ch.manifold").outcome).note; };
  CHECK(note().find("takes out 14.0 kW (798 BTU/min) with an effectiveness of 0.75 (stated)") != std::string::npos);
  c.flow.charge->cooler->effectiveness.reset();
  c.flow.charge->cooler->conductance_W_K = 2.5 * 0.15 * 1006;  // NTU 2.5 at a ratio of 0.6: 0.7632
  c.flow.charge->cooler->air_flow = kilograms_per_second(0.25);
  CHECK(value_of(c.one("ch.manifold")) == Approx(273.15 + 154 - 0.7632 * 124).margin(0.02));
  CHECK(note().find("0.76 (worked out)") != std::string::npos);
  c.flow.charge->cooler->conductance_W_K.reset();
  c.flow.charge->cooler->air_flow.reset();
  c.flow.charge->cooler->effectiveness = 0.4;  // 104.4 degC
  CHECK(c.one("ch.manifold").verdict == Verdict::not_met);
  c.flow.charge->cooler->effectiveness = 0.5;  // 92 +- 3.7 against 91.7
  CHECK(c.one("ch.manifold").verdict == Verdict::undecided);
  c.sheet.limits.erase("ch.manifold");
  CHECK(c.one("ch.manifold").verdict == Verdict::not_checked);
  CHECK(c.one("ch.manifold").hint.find("sheet/limits/ch.manifold") != std::string::npos);
  c.flow.charge->cooler->effectiveness.reset();
  CHECK(missing_of(c.one("ch.manifold")) == Keys{"flow/charge/cooler/effectiveness"});
}

TEST_CASE("ch.radius, ch.support, ch.load: lengths and radii of the route", "[checks]") {
  Charged c;
  CHECK(value_of(c.one("ch.radius")) == Approx(114.3 / 76.2));
  CHECK(c.one("ch.radius").verdict == Verdict::met);
  c.spec.route.points[1].bend_radius_mm = 100;
  CHECK(c.one("ch.radius").verdict == Verdict::not_met);
  c = Charged();
  // The gap of hump 1 begins 400 behind P1: 185.7 + 179.54 + (400 - 114.3).
  const double arc = 114.3 * std::numbers::pi / 2;
  const double gap = 185.7 + arc + 285.7;
  CHECK(value_of(c.of_subject("ch.support", "tube 1")) == Approx(gap));
  CHECK(c.verdict("ch.support", "tube 1") == Verdict::not_met);
  CHECK(value_of(c.of_subject("ch.support", "tube 2")) == Approx(185.7 + arc + 371.4 + arc + 285.7 - gap - 20));
  c.spec.fittings.push_back(fitting("bracket", "P1", 200, duct::Bracket{bay::kVehicle}));
  CHECK(value_of(c.of_subject("ch.support", "tube 1")) == Approx(185.7 + arc + 85.7));
  for (const Finding& f : c.of("ch.support")) CHECK(f.verdict == Verdict::met);
  CHECK(value_of(c.of_subject("ch.load", "compressor outlet")) == Approx(gap / 76.2));
  CHECK(c.of_subject("ch.load", "compressor outlet").verdict == Verdict::not_met);
  for (duct::Fitting& f : c.spec.fittings) {
    if (f.id.value == "hump-1") f.anchor = {duct::PointId("P0"), 100, false};
  }
  CHECK(value_of(c.of_subject("ch.load", "compressor outlet")) == Approx(100 / 76.2));
  CHECK(c.of_subject("ch.load", "compressor outlet").verdict == Verdict::met);
  c.remove("hump-1");
  CHECK(c.of_subject("ch.load", "compressor outlet").verdict == Verdict::not_met);
}

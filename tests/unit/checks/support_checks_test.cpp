#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// The example intake, of aluminium: a tube held by the filter, one that floats, a short end on the compressor.
struct Held : Case {
  Held() { spec.metal = duct::Metal::aluminium; }
  Finding of_subject(const std::string& subject, const std::string& check = "fx.held") const {
    for (Finding& f : of(check)) {
      if (f.subject == subject) return f;
    }
    FAIL("no finding of " << check << " " << subject);
    return {};
  }
};

using Keys = std::vector<std::string>;

}  // namespace

TEST_CASE("fx.held: free lengths, the floating tube's weight, and what rests on each port", "[checks]") {
  Held c;
  // Tube 1 to the gap of hump 1: 185.7 + 179.54 + 285.7; tube 2 from there to that of hump 2.
  const Finding first = c.of_subject("tube 1");
  CHECK(value_of(first) == Approx(650.94).epsilon(1e-4));
  CHECK(first.verdict == Verdict::not_met);
  CHECK(std::get<Measured>(first.outcome).note.rfind("held by port filter-out and hump-1; weighs 0.", 0) == 0);
  const Finding second = c.of_subject("tube 2");
  CHECK(value_of(second) == Approx(1141.88 - 670.94).epsilon(1e-4));
  CHECK(second.verdict == Verdict::met);
  const Finding floats = c.of_subject("tube 2, in its joints");
  CHECK(value_of(floats) == Approx(0.5).margin(0.15));  // 471 mm of 0.39 and 0.34 kg/m... and two half hoses
  CHECK(floats.verdict == Verdict::met);
  CHECK(c.of_subject("on port filter-out").verdict == Verdict::met);
  c.spec.fittings.push_back(fitting("stay", "P1", 200, duct::Bracket{bay::kVehicle}));
  CHECK(c.of_subject("tube 1").verdict == Verdict::met);
  CHECK(value_of(c.of_subject("on port filter-out")) < 0.4);
  c.spec.tube.wall_mm = 6;  // heavy
  CHECK(c.of_subject("tube 2, in its joints").verdict == Verdict::not_met);
  CHECK(c.of_subject("on bracket stay").verdict == Verdict::not_met);
}

TEST_CASE("fx.held: a spigot that is pulled upward is loaded as much", "[checks]") {
  Held c;
  // A bracket 60 behind the port carries the tube's 651 alone: the port holds its end down.
  c.spec.fittings.push_back(fitting("near", "P0", 170, duct::Bracket{bay::kVehicle}));
  c.spec.tube.wall_mm = 6;
  c.sheet.limits["fx.held.load"].value = 1;
  const Finding up = c.of_subject("on port filter-out");
  CHECK(value_of(up) > 1.5);
  CHECK(std::get<Measured>(up.outcome).note == "pulls it upward");
  CHECK(up.verdict == Verdict::not_met);
}

TEST_CASE("fx.held: a tube that nothing holds is not met at any length", "[checks]") {
  Held c;
  duct::Coupler hump = std::get<duct::Coupler>(c.kind("hump-1"));
  c.spec.fittings.push_back(fitting("hump-3", "P2", 120, hump));
  c.remove("tap");
  c.remove("cone");
  c.bay.ports[1].outer_diameter_mm = 76.2;
  const Finding loose = c.of_subject("tube 2");
  CHECK(loose.verdict == Verdict::not_met);
  CHECK(std::get<Measured>(loose.outcome).note.find("so does the tube next to it") != std::string::npos);
  CHECK(loose.hint == "put a bracket on it");
  // Nobody knows what of it rests on the ports, unless they carry too much already.
  CHECK(missing_of(c.of_subject("on port compressor-in")) == Keys{"ducts/intake/fittings: bracket"});
  c.sheet.limits["fx.held.load"].value = 0.01;
  CHECK(c.of_subject("on port compressor-in").verdict == Verdict::not_met);
}

TEST_CASE("fx.held: the metal and the limits it waits for are named", "[checks]") {
  Held c;
  c.sheet.limits.erase("fx.held.load");
  CHECK(missing_of(c.of_subject("on port filter-out")) == Keys{"sheet/limits/fx.held.load"});
  c.spec.metal.reset();
  CHECK(missing_of(c.of_subject("weights")) == Keys{"ducts/intake/metal"});
  CHECK(c.of_subject("tube 1").verdict == Verdict::not_met);  // which needs no metal
}

TEST_CASE("ch.load: weight on the compressor outlet", "[checks]") {
  Held c;
  const double on_port = value_of(c.of_subject("on port filter-out")), length = value_of(c.of_subject("tube 1"));
  c.spec.service = duct::Service::charge_hot;
  const Finding weight = c.of_subject("weight on it", "ch.load");
  CHECK(value_of(weight) == Approx(on_port));
  // Weight and free lengths of charge ducts are told once.
  const auto said = c.of("fx.held");
  const auto says = [&](const std::string& subject) {
    return std::any_of(said.begin(), said.end(), [&](const Finding& f) { return f.subject == subject; });
  };
  CHECK_FALSE(says("on port filter-out"));
  CHECK_FALSE(says("tube 1"));
  CHECK(says("on port compressor-in"));
  CHECK(value_of(c.of_subject("tube 1", "ch.support")) == Approx(length));
  // A sheet that does not ask for the one has the other say it.
  Held waived = c;
  waived.sheet.not_required = {{"ch.load", "a test"}, {"ch.support", "a test"}};
  CHECK(value_of(waived.of_subject("on port filter-out")) == Approx(on_port));
  CHECK(value_of(waived.of_subject("tube 1")) == Approx(length));
  CHECK(weight.verdict == Verdict::not_met);
  c.spec.fittings.push_back(fitting("stay", "P1", 200, duct::Bracket{bay::kVehicle}));
  CHECK(c.of_subject("weight on it", "ch.load").verdict == Verdict::met);
  c.spec.metal.reset();
  CHECK(missing_of(c.of_subject("weight on it", "ch.load")) == Keys{"ducts/intake/metal"});
}

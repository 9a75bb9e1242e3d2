#include "flow/branch_leg.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "flow/loss_coefficients.hpp"
#include "tests/support/example_intake.hpp"

using namespace baywright;
using namespace baywright::flow;

namespace {

struct Breathed {
  duct::DuctSpec spec = test::example_spec();
  FlowInputs inputs = test::example_flow();
  Restriction taken() const {
    const auto outcome = restriction(duct(), inputs, FilterState::clean);
    if (const auto* refused = std::get_if<measure::NotAssessed>(&outcome)) FAIL(refused->reason);
    return std::get<Restriction>(outcome);
  }
  duct::Duct duct() const { return test::laid_out(spec, test::example_bay()); }
  BranchLeg leg() const {
    const auto legs = branch_legs(duct(), taken(), inputs);
    REQUIRE(legs.size() == 1);
    return legs[0];
  }
  const ElementLoss& run(const Restriction& r) const {
    return *std::find_if(r.elements.begin(), r.elements.end(),
                         [](const ElementLoss& e) { return e.name == "branch port breather"; });
  }
};

}  // namespace

TEST_CASE("share of the crankcase gas: assumed, or what the job states", "[branch]") {
  const MassFlow rated = kilograms_per_second(0.15);
  const BranchShare assumed = branch_share({}, rated);
  CHECK(assumed.value == 0.01);
  CHECK(assumed.least == 0);
  CHECK(assumed.most == 0.03);
  CHECK_FALSE(assumed.stated);
  const BranchShare stated = branch_share(kilograms_per_second(0.003), rated);
  CHECK(stated.value == Approx(0.02));
  CHECK(stated.least == Approx(0.015));
  CHECK(stated.most == Approx(0.025));
  CHECK(stated.stated);
  CHECK(branch_share(kilograms_per_second(0), rated).most == 0);
}

TEST_CASE("the branch's own loss: at rest it feels static pressure, a hard blow costs its own dynamic pressure",
          "[branch]") {
  CHECK(joining_branch_loss(0, 0.1, degrees(90)) == Approx(-1));
  // 5 % through a hundredth of the section: five times the speed of the main flow.
  CHECK(joining_branch_loss(0.05, 0.01, degrees(90)) == Approx(1 + 25 - 2 * 0.9025));
  // Leant with the flow it brings momentum along and loses less, against it more.
  CHECK(joining_branch_loss(0.05, 0.1, degrees(45)) < joining_branch_loss(0.05, 0.1, degrees(90)));
  CHECK(joining_branch_loss(0.05, 0.1, degrees(45)) == Approx(1 + 0.25 - 2 * 0.9025 - std::sqrt(2.0) * 0.025));
  CHECK(joining_branch_loss(0.1, 0.5, degrees(90)) == Approx(0.81 * (1 + 0.04 - 1.62)));
  CHECK_THROWS(joining_branch_loss(0.1, 0, degrees(90)));
}

TEST_CASE("the branch of the example by hand, and what its gas finds", "[branch]") {
  Breathed s;
  const BranchLeg leg = s.leg();
  CHECK(leg.name == "branch port breather");
  CHECK(leg.share == 0.01);
  const double a = 19.0 * 19.0 / (72.9 * 72.9);
  CHECK(leg.loss_coefficient == Approx(1 + std::pow(0.01 / a, 2) - 2 * 0.99 * 0.99));
  const GaugeReading gauge = gauge_at(s.duct(), leg.station_mm, "x", s.taken(), s.inputs);
  // 0.15 kg/s of about 1.14 kg/m3 in 72.9: 31 m/s, 0.56 kPa.
  CHECK(leg.loss.si() == Approx(leg.loss_coefficient * 560).epsilon(0.03));
  CHECK(leg.suction.si() == Approx(gauge.total_loss.si() - leg.loss.si()));
  // No gas at all: the hose stands under the tube's static pressure. Mach 0.09 squared over 4 is between both.
  s.inputs.crankcase_gas = kilograms_per_second(0);
  const BranchLeg none = s.leg();
  CHECK(none.suction.si() ==
        Approx(gauge_at(s.duct(), none.station_mm, "x", s.taken(), s.inputs).reading.si()).epsilon(0.005));
  CHECK(s.run(s.taken()).loss.si() == 0);
}

TEST_CASE("the gas that is stated counts along the run and narrows the band", "[branch]") {
  Breathed s;
  const Restriction assumed = s.taken();
  const BranchLeg wide = s.leg();
  CHECK(s.run(assumed).loss_coefficient == Approx(1.55 * 0.01 - 0.0001));
  s.inputs.crankcase_gas = kilograms_per_second(0.0015);  // the same 1 %
  const Restriction stated = s.taken();
  CHECK(stated.total.si() == Approx(assumed.total.si()));
  CHECK(s.run(stated).band[0].high == Approx(0.3 * s.run(stated).loss.si()));
  CHECK(stated.band.high() < assumed.band.high());
  CHECK(s.leg().band.low() < wide.band.low());
  s.inputs.crankcase_gas = kilograms_per_second(0.006);
  CHECK(s.taken().total.si() > stated.total.si());
  CHECK(s.leg().suction.si() < wide.suction.si());  // more gas through the same hole needs more pressure behind it
  for (const double wrong : {-0.001, 0.15, static_cast<double>(NAN)}) {
    s.inputs.crankcase_gas = kilograms_per_second(wrong);
    CHECK(std::holds_alternative<measure::NotAssessed>(restriction(s.duct(), s.inputs, FilterState::clean)));
  }
}

TEST_CASE("no branch port, no leg; none where the duct chokes", "[branch]") {
  Breathed s;
  s.inputs.rated = kilograms_per_second(3);
  CHECK(s.taken().choked());
  CHECK(branch_legs(s.duct(), s.taken(), s.inputs).empty());
  s.inputs.rated = kilograms_per_second(0.15);
  std::erase_if(s.spec.fittings, [](const duct::Fitting& f) { return f.id.value == "breather"; });
  CHECK(branch_legs(s.duct(), s.taken(), s.inputs).empty());
}

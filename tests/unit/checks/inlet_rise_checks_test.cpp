#include <cmath>
#include <numbers>

#include "checks/inlet_rise.hpp"
#include "flow/duct_heat.hpp"
#include "measure/heat_seen.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

using Keys = std::vector<std::string>;

/// The example's intake in a bay of 75 degC, all stated; a hot part far off behind a wall.
struct Warm : Case {
  Warm() {
    flow.bay_air = celsius(75);
    flow.raw_air_loss = pascals(0);  // the cleaner draws from where it stands
    flow.source_air = celsius(25);
    flow.components[0].housing_cm2 = 2000;
    boxed("Exhaust", {-3000, -3000, -3000}, {-2900, -2900, -2900}).part_class = bay::PartClass::hot;
    bay.parts[0].surface_temperature = celsius(600);
    boxed("Wall", {-2000, -9000, -9000}, {-1990, 9000, 9000});
  }
  bay::Part& boxed(const std::string& name, const Vec3& lo, const Vec3& hi) {
    const int at = add_part(name, bay::PartClass::plain, 0);
    bay::Part& part = bay.parts[static_cast<std::size_t>(at)];
    part.mesh = std::make_shared<TriMesh>(box_mesh(lo, hi));
    part.tree = TriTree::over(*part.mesh);
    part.uncertainty_mm = 0;
    return part;
  }
};

}  // namespace

TEST_CASE("ht.rise: cleaner and duct by hand", "[checks][heat]") {
  Warm c;
  // Outside film 15. The cleaner: 0.2 m2 at 7.5 W/(m2 K). The duct as one tube of its middle size, all of metal: films
  // of 15 and about 80 in series, pi 73 mm over its length. 0.15 kg/s take 150.9 W/K.
  const double cleaner = 50 * (1 - std::exp(-1.5 / 150.9));
  const double length_m = 185.7 + 371.4 + 285.7 + 114.3 * std::numbers::pi;
  const double area = std::numbers::pi * 0.0745 * length_m / 1000;
  const double duct = (50 - cleaner) * (1 - std::exp(-area / (1 / 15.0 + 1 / 80.0) / 150.9));
  const Finding f = c.one("ht.rise");
  CHECK(value_of(f) == Approx(cleaner + duct).epsilon(0.04));  // hoses keep a little out
  CHECK(f.verdict == Verdict::met);
  CHECK(std::get<Measured>(f.outcome).note.find("outside 25") == 0);
  CHECK(std::get<Measured>(f.outcome).highest() < 5);
}

TEST_CASE("ht.rise: fails with warm air drawn in, undecided with a cleaner of much surface", "[checks][heat]") {
  Warm c;
  c.flow.source_air = celsius(38);
  CHECK(c.one("ht.rise").verdict == Verdict::not_met);
  CHECK(c.one("ht.rise").hint.find("from outside the bay") != std::string::npos);
  c.flow.source_air = celsius(30);
  c.flow.components[0].housing_cm2 = 5000;
  CHECK(c.one("ht.rise").verdict == Verdict::undecided);
  c.flow.bay_air = celsius(40);
  CHECK(c.one("ht.rise").verdict == Verdict::met);
}

TEST_CASE("ht.rise: what is missing is named; what is known to be too much fails", "[checks][heat]") {
  Warm c;
  c.flow.bay_air.reset();
  CHECK(missing_of(c.one("ht.rise")) == Keys{"flow/bay_air_C"});
  c.flow.rated.reset();
  c.flow.ambient.reset();
  CHECK(missing_of(c.one("ht.rise")) == Keys{"flow/rated_kg_per_s", "flow/ambient", "flow/bay_air_C"});
  c = Warm();
  c.flow.source_air.reset();
  c.flow.components[0].housing_cm2.reset();
  c.bay.parts.clear();
  CHECK(missing_of(c.one("ht.rise")) == Keys{"parts/class: hot", "flow/source_air_C", "flow/components/housing_cm2"});
  c.sheet.limits["ht.rise"].value = 0.1;  // the duct alone gains more
  CHECK(c.one("ht.rise").verdict == Verdict::not_met);
  CHECK(std::get<Measured>(c.one("ht.rise").outcome).note.find("comes on top") != std::string::npos);
  c.flow.bay_air = celsius(25);
  CHECK(c.one("ht.rise").verdict == Verdict::not_checked);
  c = Warm();
  c.flow.components.clear();
  CHECK(missing_of(c.one("ht.rise")) == Keys{"flow/components/housing_cm2"});
  c = Warm();
  c.bay.parts[0].doubt = "no unit";
  CHECK(missing_of(c.one("ht.rise")) == Keys{"parts/Exhaust/file"});
  c = Warm();
  c.spec.service = duct::Service::charge_hot;
  CHECK(c.one("ht.rise").verdict == Verdict::not_applicable);
}

TEST_CASE("ht.rise: air that is too warm ahead of the intake is known as such", "[checks][heat]") {
  const auto ahead = [](const Case& c) {
    const std::vector<duct::Duct> all = c.ducts();
    return checks::too_warm_ahead({c.bay, all, c.flow, c.sheet, c.workshop, c.answers, c.surroundings}, all.front());
  };
  Warm c;
  CHECK_FALSE(ahead(c));
  c.flow.source_air = celsius(38);  // 13 K over outside, where 8.3 are allowed
  CHECK(ahead(c));
  c.sheet.limits.erase("ht.rise");
  CHECK_FALSE(ahead(c));
  c = Warm();
  // The duct alone makes it too much: another way might mend that.
  const double whole = value_of(c.one("ht.rise"));
  c.sheet.limits["ht.rise"].value = 0.1 * whole;
  c.flow.components[0].housing_cm2 = 0.001;
  CHECK(c.one("ht.rise").verdict == Verdict::not_met);
  CHECK_FALSE(ahead(c));
  c = Warm();
  c.flow.source_air = celsius(38);
  c.flow.bay_air.reset();
  CHECK_FALSE(ahead(c));
  c = Warm();
  c.flow.source_air = celsius(38);
  c.flow.raw_air_loss = pascals(350);  // what leads to the cleaner is not drawn: it can only add
  CHECK(ahead(c));
  c.flow.bay_air = celsius(30);  // a bay colder than the air might take it away again
  CHECK_FALSE(ahead(c));
  c.flow.raw_air_loss = pascals(0);  // so it might with everything stated
  CHECK_FALSE(ahead(c));
}

TEST_CASE("ht.rise: a raw air duct counts, and one that is not there is missing", "[checks][heat]") {
  Warm c;
  const double without = value_of(c.one("ht.rise"));
  c.flow.components[0].inlet = bay::PortId("cleaner-in");
  c.bay.ports.push_back(port("hood", {0, 3000, 0}, Vec3::UnitX(), 76.2, 0));
  c.bay.ports.push_back(port("cleaner-in", {1000, 3000, 0}, -Vec3::UnitX(), 76.2, 0));
  CHECK(missing_of(c.one("ht.rise")) == Keys{"ducts: to port cleaner-in"});
  c.flow.components[0].inlet.reset();
  c.flow.raw_air_loss = pascals(350);  // so something leads to it
  CHECK(missing_of(c.one("ht.rise")) == Keys{"ducts: raw air"});
  c.flow.components[0].inlet = bay::PortId("cleaner-in");
  duct::DuctSpec raw;
  raw.id = duct::DuctId("raw");
  raw.service = duct::Service::raw_air;
  raw.from.port = bay::PortId("hood");
  raw.to.port = bay::PortId("cleaner-in");
  raw.tube = {76.2, 1.65};
  raw.route.points = {{duct::PointId("R0"), {0, 3000, 0}, 0}, {duct::PointId("R1"), {1000, 3000, 0}, 0}};
  c.branches = {raw};
  // A metre of bare tube gains about 1 K of 50 (test of the flow).
  CHECK(value_of(c.one("ht.rise")) == Approx(without + 0.95).margin(0.06));
  c.flow.components[0].inlet.reset();  // nobody says that it leads to this cleaner
  CHECK(missing_of(c.one("ht.rise")) == Keys{"flow/components/inlet"});
  c.flow.components[0].inlet = bay::PortId("cleaner-in");
  c.branches[0].insulated = true;
  CHECK(value_of(c.one("ht.rise")) < without + 0.5);
}

TEST_CASE("ht.rise: what shines on the duct is in the upper side of the uncertainty", "[checks][heat]") {
  Warm c;
  const Measured dark = std::get<Measured>(c.one("ht.rise").outcome);
  CHECK(dark.band.contributions().size() == 3);
  // A hot wall beside the whole duct, half of what it sees: 0.3 of aluminium, or 0.95 where no metal is stated.
  c.boxed("Hot wall", {-5000, -5000, -400}, {5000, 5000, -300}).surface_temperature = celsius(300);
  const auto shone = [&] {
    const Finding f = c.one("ht.rise");
    for (const Contribution& contribution : std::get<Measured>(f.outcome).band.contributions()) {
      if (contribution.source.find("radiation") == 0) return contribution;
    }
    FAIL("no radiation");
    return Contribution();
  };
  CHECK(shone().low == 0);
  CHECK(shone().missing.empty());
  const double unstated = shone().high;
  CHECK(value_of(c.one("ht.rise")) == Approx(dark.lo));
  // Flux 0.95 * F * sigma (573^4 - 348^4) W/m2 with F a little below half (a wall 300 below, 10 m wide), of which
  // 95 % goes inward in still air, on 0.28 m2 of outer surface over 150.9 W/K.
  const double flux = 0.95 * 0.48 * 5.670374e-8 * (std::pow(573.15, 4) - std::pow(348.15, 4));
  CHECK(unstated == Approx(flux * 0.95 * 0.28 / 150.9).epsilon(0.12));
  c.spec.metal = duct::Metal::aluminium;
  const double aluminium = shone().high;
  CHECK(aluminium < 0.5 * unstated);  // its hoses stay dull
  CHECK(aluminium > 0.3 * unstated);
  // A hot part that states no temperature is taken to have a usual one, and named where that leaves things open.
  c.bay.parts.back().surface_temperature.reset();
  c.bay.parts.back().part_class = bay::PartClass::hot;
  CHECK(shone().missing == "parts/Hot wall/surface_temperature_C");
  const auto fourth = [](double hot_K) { return std::pow(hot_K, 4) - std::pow(348.15, 4); };
  CHECK(shone().high == Approx(aluminium * fourth(873.15) / fourth(573.15)).epsilon(0.01));
  // A shield between takes all of it.
  c.boxed("Shield", {-6000, -6000, -290}, {6000, 6000, -280});
  CHECK(std::get<Measured>(c.one("ht.rise").outcome).band.contributions().size() == 3);
}

#include "duct/carriers.hpp"

#include <catch2/catch.hpp>

using namespace baywright;
using namespace baywright::duct;

namespace {

constexpr int kVehicle = 0, kEngine = 1, kThird = 2;
const std::vector<bay::BodyId> kBodies = {bay::BodyId("vehicle"), bay::BodyId("engine"), bay::BodyId("third")};

/// A run of stretches 100 long with gaps of 10, described by one letter per joint: s straight, h separating.
struct CarrierCase {
  std::vector<Stretch> stretches;
  std::vector<SoftJoint> joints;
  std::vector<Hold> holds;
  Trouble trouble;
  Carriers result;

  explicit CarrierCase(const std::string& letters) {
    for (std::size_t i = 0; i <= letters.size(); ++i) {
      const double from = 110.0 * static_cast<double>(i);
      stretches.push_back({from, from + 100});
      if (i == letters.size()) break;
      std::string name = "J";
      joints.push_back({name += std::to_string(i), Vec3(from + 105, 0, 0), letters[i] == 'h'});
    }
  }
  CarrierCase& port(int body_at_start, int body_at_end) {
    holds.insert(holds.begin(), hold(0, body_at_start, "start"));
    holds.push_back(hold(stretches.back().to_mm, body_at_end, "end"));
    result = carry(stretches, joints, holds, trouble);
    return *this;
  }
  /// Bracket in the middle of a stretch; call before port().
  CarrierCase& bracket(std::size_t stretch, int body) {
    holds.push_back(hold(stretches[stretch].from_mm + 50, body, "bracket"));
    return *this;
  }
  static Hold hold(double station, int body, const std::string& by) {
    return {station, Carriage::on(body), {kBodies[static_cast<std::size_t>(body)]}, by};
  }
  const Carriage& tube(std::size_t i) const { return result.stretches[i].carriage; }
  const Carriage& joint(std::size_t i) const { return result.joints[i].carriage; }
};

Carriage both(int a, int b) {
  Carriage carriage = Carriage::on(a);
  carriage.second = Carriage::on(b).first;
  return carriage;
}

Carriage link(int a, double at_a, int b, double at_b) {
  Carriage carriage;
  carriage.first.kind = RigidCarriage::Kind::link;
  carriage.first.a = a;
  carriage.first.b = b;
  carriage.first.end_a = Vec3(at_a, 0, 0);
  carriage.first.end_b = Vec3(at_b, 0, 0);
  return carriage;
}

Carriage linked(const Carriage& a, const Carriage& b) {
  Carriage carriage = a;
  carriage.second = b.first;
  return carriage;
}

}  // namespace

TEST_CASE("One tube between two ports of one body is fixed to it") {
  const CarrierCase c = CarrierCase("").port(kEngine, kEngine);
  CHECK(c.tube(0) == Carriage::on(kEngine));
  CHECK(c.result.stretches[0].held_by == std::vector{kBodies[kEngine]});
  CHECK(c.trouble.none());
}

TEST_CASE("One tube between two bodies is held twice and follows any mixture") {
  const CarrierCase c = CarrierCase("").port(kVehicle, kEngine);
  CHECK(c.tube(0) == both(kVehicle, kEngine));
  CHECK(c.result.stretches[0].held_by.size() == 2);
  CHECK_FALSE(c.result.stretches[0].note.empty());
}

TEST_CASE("One separating coupler: each side is fixed, the coupler follows both") {
  const CarrierCase c = CarrierCase("h").port(kVehicle, kEngine);
  CHECK(c.tube(0) == Carriage::on(kVehicle));
  CHECK(c.joint(0) == both(kVehicle, kEngine));
  CHECK(c.tube(1) == Carriage::on(kEngine));
}

TEST_CASE("A separating coupler on one body rides on it") {
  const CarrierCase c = CarrierCase("h").port(kEngine, kEngine);
  CHECK(c.joint(0) == Carriage::on(kEngine));
  CHECK(c.result.joints[0].held_by == std::vector{kBodies[kEngine]});
}

TEST_CASE("Two separating couplers: the tube between floats as a link between the middles of their gaps") {
  const CarrierCase c = CarrierCase("hh").port(kVehicle, kEngine);
  const Carriage floating = link(kVehicle, 105, kEngine, 215);
  CHECK(c.tube(0) == Carriage::on(kVehicle));
  CHECK(c.tube(1) == floating);
  CHECK(c.tube(2) == Carriage::on(kEngine));
  CHECK(c.result.stretches[1].held_by.empty());
  CHECK(c.joint(0) == linked(Carriage::on(kVehicle), floating));
  CHECK(c.joint(1) == linked(floating, Carriage::on(kEngine)));
}

TEST_CASE("A floating tube with both neighbours on one body moves with it") {
  const CarrierCase c = CarrierCase("hh").port(kEngine, kEngine);
  CHECK(c.tube(1) == Carriage::on(kEngine));
  CHECK(c.result.stretches[1].held_by.empty());
  CHECK_FALSE(c.result.stretches[1].note.empty());
}

TEST_CASE("A straight coupler joins its tubes into one rigid group") {
  SECTION("held at one end") {
    const CarrierCase c = CarrierCase("sh").port(kVehicle, kEngine);
    CHECK(c.tube(1) == Carriage::on(kVehicle));
    CHECK(c.joint(0) == Carriage::on(kVehicle));
    CHECK_FALSE(c.joints[0].separates);
    CHECK(c.joint(1) == both(kVehicle, kEngine));
  }
  SECTION("floating") {
    const CarrierCase c = CarrierCase("hsh").port(kVehicle, kEngine);
    CHECK(c.tube(1) == link(kVehicle, 105, kEngine, 325));
    CHECK(c.tube(2) == c.tube(1));
    CHECK(c.joint(1) == c.tube(1));
  }
}

TEST_CASE("Straight couplers between two bodies have to take up the motion") {
  SECTION("one") {
    const CarrierCase c = CarrierCase("s").port(kVehicle, kEngine);
    CHECK(c.joints[0].separates);
    CHECK(c.tube(0) == Carriage::on(kVehicle));
    CHECK(c.tube(1) == Carriage::on(kEngine));
    CHECK(c.joint(0) == both(kVehicle, kEngine));
  }
  SECTION("two: the tube between floats") {
    const CarrierCase c = CarrierCase("ss").port(kVehicle, kEngine);
    CHECK(c.tube(1) == link(kVehicle, 105, kEngine, 215));
  }
  SECTION("only those between the differing holders") {
    const CarrierCase c = CarrierCase("sss").bracket(1, kVehicle).bracket(2, kEngine).port(kVehicle, kEngine);
    CHECK_FALSE(c.joints[0].separates);
    CHECK(c.joints[1].separates);
    CHECK_FALSE(c.joints[2].separates);
    CHECK(c.tube(1) == Carriage::on(kVehicle));
    CHECK(c.tube(2) == Carriage::on(kEngine));
  }
  SECTION("not when a separating coupler lies between") {
    const CarrierCase c = CarrierCase("sh").port(kVehicle, kEngine);
    CHECK_FALSE(c.joints[0].separates);
  }
}

TEST_CASE("A bracket holds a tube that would float") {
  const CarrierCase c = CarrierCase("hh").bracket(1, kVehicle).port(kVehicle, kEngine);
  CHECK(c.tube(1) == Carriage::on(kVehicle));
  CHECK(c.joint(0) == Carriage::on(kVehicle));
  CHECK(c.joint(1) == both(kVehicle, kEngine));
}

TEST_CASE("A bracket on another body than the port's holds the tube twice") {
  const CarrierCase c = CarrierCase("h").bracket(0, kEngine).port(kVehicle, kEngine);
  CHECK(c.tube(0) == both(kVehicle, kEngine));
  CHECK(c.joint(0) == both(kVehicle, kEngine));
  CHECK(c.tube(1) == Carriage::on(kEngine));
  CHECK(c.trouble.none());
}

TEST_CASE("A tube floating beside one held twice follows any mixture") {
  const CarrierCase c = CarrierCase("hh").bracket(0, kEngine).port(kVehicle, kEngine);
  CHECK(c.tube(1) == both(kVehicle, kEngine));
  CHECK_FALSE(c.result.stretches[1].note.empty());
}

TEST_CASE("Floating tubes in a row follow any mixture of the motions on both sides") {
  const CarrierCase c = CarrierCase("hhh").port(kVehicle, kEngine);
  for (std::size_t i : {1U, 2U}) {
    CHECK(c.tube(i) == both(kVehicle, kEngine));
    CHECK(c.result.stretches[i].held_by.empty());
  }
  for (std::size_t i : {0U, 1U, 2U}) CHECK(c.joint(i) == both(kVehicle, kEngine));
}

TEST_CASE("More than two motions at once are refused") {
  CHECK_FALSE(CarrierCase("").bracket(0, kThird).port(kVehicle, kEngine).trouble.none());
  CHECK_FALSE(CarrierCase("h").bracket(0, kThird).port(kVehicle, kEngine).trouble.none());
  // Three bodies with soft joints between are fine.
  const CarrierCase c = CarrierCase("hh").bracket(1, kThird).port(kVehicle, kEngine);
  CHECK(c.trouble.none());
  CHECK(c.joint(0) == both(kVehicle, kThird));
  CHECK(c.joint(1) == both(kThird, kEngine));
}

TEST_CASE("A joint of one size over a straight gap bends between its two tubes") {
  const auto gap_of = [](std::size_t i) {
    const double from = 100 + 110.0 * static_cast<double>(i);
    return Gap{{from, 0, 0}, {from + 10, 0, 0}};
  };
  const auto flexible = [&](CarrierCase& c) -> CarrierCase& {
    for (std::size_t i = 0; i < c.joints.size(); ++i) {
      c.joints[i].gap = gap_of(i);
      c.joints[i].bends_as_curve = true;
    }
    return c;
  };
  CarrierCase floating("hh");
  flexible(floating).port(kVehicle, kEngine);
  Carriage first = linked(Carriage::on(kVehicle), floating.tube(1)),
           second = linked(floating.tube(1), Carriage::on(kEngine));
  first.gap = gap_of(0);
  second.gap = gap_of(1);
  CHECK(floating.joint(0) == first);
  CHECK(floating.joint(1) == second);
  // Its hose over a bend or with a step: a mixture, and still each clamp on its own tube.
  CarrierCase bent("h");
  flexible(bent).joints[0].bends_as_curve = false;
  bent.port(kVehicle, kEngine);
  CHECK(bent.joint(0) == both(kVehicle, kEngine));
  CHECK(bent.result.clamps[0].gap == gap_of(0));
  // Beside a tube that is held twice, or with one carrier on both sides, there is nothing to bend between two poses.
  CarrierCase held("hh");
  flexible(held).bracket(0, kEngine).bracket(1, kEngine).port(kVehicle, kEngine);
  CHECK(held.tube(0) == both(kVehicle, kEngine));
  CHECK(held.joint(0) == both(kVehicle, kEngine));
  CHECK(held.joint(1) == Carriage::on(kEngine));
  CHECK_FALSE(held.result.clamps[1].gap);
}

TEST_CASE("A coupler on a port's own spigot has the port's body on that side") {
  CarrierCase c("hh");
  c.stretches.front() = {100, 100};
  c.stretches.back() = {320, 320};
  c.port(kVehicle, kEngine);
  CHECK(c.tube(1) == link(kVehicle, 105, kEngine, 215));
  CHECK(c.joint(0) == linked(Carriage::on(kVehicle), c.tube(1)));
}

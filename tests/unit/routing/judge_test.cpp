#include "routing/judge.hpp"

#include <algorithm>
#include <catch2/catch.hpp>

#include "job/lay_out_ducts.hpp"
#include "tests/support/planted_bay.hpp"
#include "tests/support/rocking_bay.hpp"

namespace baywright::routing {
namespace {

constexpr double kTube_mm = 60;

/// A duct with a right angle, and a straight one far below it; on the hose of that are two clamps with their screws up,
/// and over the first of these a block that no tool gets past.
job::Installation two_ducts() {
  test::PlantOptions options;
  options.motion = false;
  const test::PlantedBay planted = test::planted_bay(options);
  job::Installation out = planted.installation;
  out.bay.ports = {test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), kTube_mm, 0),
                   test::port("compressor-in", {447, 400, 0}, -Vec3::UnitY(), kTube_mm, 0),
                   test::port("cold-in", {100, 150, -400}, Vec3::UnitX(), kTube_mm, 0),
                   test::port("cold-out", {700, 150, -400}, -Vec3::UnitX(), kTube_mm, 0)};
  for (bay::Port& p : out.bay.ports) p.bore_mm = 56;
  out.bay.parts = {test::box_part("block", {330, 100, -350}, {360, 200, -320}, 0)};
  out.bay.openings = {
      {bay::OpeningId("top"), "top", {{-300, -500, 500}, {1000, -500, 500}, {1000, 900, 500}, {-300, 900, 500}}}};
  duct::DuctSpec intake = planted.planted;
  intake.fittings.clear();
  intake.route = test::route({{0, 0, 0}, {447, 0, 0}, {447, 400, 0}}, 90);
  duct::DuctSpec cold = intake;
  cold.id = duct::DuctId("cold");
  cold.service = duct::Service::charge_cold;
  cold.from.port = bay::PortId("cold-in");
  cold.to.port = bay::PortId("cold-out");
  cold.route = test::route({{100, 150, -400}, {700, 150, -400}}, 90);
  duct::Coupler hose = test::coupler(duct::CouplerShape::straight, 20, 120);
  for (const duct::HoseEnd end : {duct::HoseEnd::upstream, duct::HoseEnd::downstream}) {
    duct::HoseClamp clamp;
    clamp.end = end;
    clamp.type = catalog::ClampTypeId("worm-12");
    clamp.screw_clock = degrees(0);
    hose.clamps.push_back(clamp);
  }
  cold.fittings = {test::fitting_at(cold.route, "hose", 290, hose)};
  out.sheet.limits["cl.reach"] = {checks::Comparison::at_least, 1, Unit::none, {}};
  out.sheet.not_required.erase("cl.reach");
  out.workshop = catalog::usual_workshop();
  out.job.ducts = {intake, cold};
  out.ducts = *job::lay_out_ducts(out.job.ducts, out.bay);
  return out;
}

const checks::Finding* reached(const std::vector<checks::Finding>& findings, const std::string& end) {
  const auto f = std::find_if(findings.begin(), findings.end(), [&](const checks::Finding& g) {
    return g.duct == duct::DuctId("cold") && g.check == "cl.reach" && g.subject.find(end) != std::string::npos;
  });
  return f == findings.end() ? nullptr : &*f;
}

TEST_CASE("that one clamp of another duct is out of reach is no leave to shut off the other", "[judge]") {
  const job::Installation job = two_ducts();
  const auto judge = Judge::of(job, duct::DuctId("intake"), {});
  REQUIRE(judge.has_value());
  const checks::Finding* first = reached(judge->before().findings, "upstream");
  const checks::Finding* second = reached(judge->before().findings, "downstream");
  REQUIRE(first != nullptr);
  REQUIRE(second != nullptr);
  CHECK(first->verdict != checks::Verdict::met);
  CHECK(second->verdict == checks::Verdict::met);

  // Down to just above the second clamp and back up.
  duct::DuctSpec low = job.job.ducts.front();
  low.route = test::route({{0, 0, 0}, {447, 0, 0}, {447, 0, -318}, {447, 300, -318}, {447, 300, 0}, {447, 400, 0}}, 90);
  Course course;
  for (const auto& p : low.route.points) course.points.push_back(p.p_mm);
  course.radius_mm = 90;
  const auto judged = judge->judge(low, course, {});
  REQUIRE(judged.has_value());
  CHECK(reached(judged->in_the_way, "downstream") != nullptr);
  CHECK(reached(judged->in_the_way, "upstream") == nullptr);  // as it was
}

}  // namespace
}  // namespace baywright::routing

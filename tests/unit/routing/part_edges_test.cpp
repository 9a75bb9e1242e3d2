#include <catch2/catch.hpp>
#include <thread>
#include <vector>

#include "job/lay_out_ducts.hpp"
#include "routing/trial.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/support/planted_bay.hpp"
#include "tests/support/rocking_bay.hpp"

namespace baywright::routing {
namespace {

/// A straight tube of 60 mm along x at z 0, 38 mm to the side of a box whose upper edge runs beside it at its height:
/// 8 mm from the surface, and from the edge.
job::Installation beside_a_box(double edge_limit_mm) {
  test::PlantOptions options;
  options.motion = false;
  job::Installation job = test::planted_bay(options).installation;
  job.bay.ports = {test::port("filter-out", {0, 0, 0}, Vec3::UnitX(), 60, 0),
                   test::port("compressor-in", {600, 0, 0}, -Vec3::UnitX(), 60, 0)};
  for (bay::Port& p : job.bay.ports) p.bore_mm = 56;
  job.bay.parts = {test::box_part("block", {200, 38, -100}, {400, 100, 0}, 0)};
  job.bay.parts[0].mesh = std::make_shared<TriMesh>(test::box_mesh({200, 38, -100}, {400, 100, 0}));
  job.bay.parts[0].modelled = true;
  job.bay.parts[0].uncertainty_mm = 0;
  job.sheet.clearance[0].same_body_mm = job.sheet.clearance[0].at_rest_mm = 1;
  duct::DuctSpec& spec = job.job.ducts.front();
  spec.fittings.clear();
  spec.bend_tolerance_mm = spec.fitting_tolerance_mm = 0;
  spec.route = test::route({{0, 0, 0}, {600, 0, 0}}, 90);
  job.ducts = *job::lay_out_ducts(job.job.ducts, job.bay);
  if (edge_limit_mm > 0) {
    job.sheet.not_required.erase("cr.edge");
    job.sheet.limits["cr.edge"] = {checks::Comparison::at_least, edge_limit_mm, Unit::mm, {}};
  }
  return job;
}

double least(const std::vector<Contact>& contacts) { return least_margin(contacts, 100); }

std::vector<Contact> contacts_of(const job::Installation& job, double window_mm = 10) {
  const PartEdges edges(job);
  Course course;
  course.points = {{0, 0, 0}, {600, 0, 0}};
  return duct_contacts(job, edges, job.ducts.front(), shape_of(course), window_mm);
}

TEST_CASE("an edge is kept from by the sheet's own distance while a duct is settled", "[edges]") {
  // 38 - 30 = 8 mm from the block: 7 more than its surface asks, 7 less than its edge does.
  CHECK(least(contacts_of(beside_a_box(0))) == Approx(7).margin(0.3));
  CHECK(least(contacts_of(beside_a_box(15))) == Approx(-7).margin(0.3));
  CHECK(least(contacts_of(beside_a_box(5))) == Approx(3).margin(0.3));
}

TEST_CASE("no edges where the sheet asks for none, of a space, or of a scan", "[edges]") {
  job::Installation job = beside_a_box(15);
  CHECK(PartEdges(job).of(0) != nullptr);
  job.bay.parts[0].part_class = bay::PartClass::reserved;
  CHECK(PartEdges(job).of(0) == nullptr);
  job = beside_a_box(15);
  job.sheet.not_required["cr.edge"] = "test";
  CHECK(PartEdges(job).of(0) == nullptr);
  job = beside_a_box(15);
  job.bay.parts[0].modelled = false;  // a scan
  CHECK(PartEdges(job).of(0) == nullptr);
  CHECK(PartEdges(beside_a_box(0)).limit_mm() == 0);
}

TEST_CASE("edges asked for by several threads at once are made once", "[edges]") {
  const job::Installation job = beside_a_box(15);
  const PartEdges edges(job);
  std::vector<const bay::Part*> seen(8);
  std::vector<std::thread> threads;
  for (auto& one : seen) threads.emplace_back([&edges, &one] { one = edges.of(0); });
  for (std::thread& t : threads) t.join();
  for (const bay::Part* one : seen) CHECK(one == edges.of(0));
}

}  // namespace
}  // namespace baywright::routing

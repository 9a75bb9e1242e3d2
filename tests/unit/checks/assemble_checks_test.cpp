#include "access/ways_out.hpp"
#include "tests/support/box_mesh.hpp"
#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

constexpr const char* kId = "cr.assemble";

/// Two tubes: the way out of one is found, that of the other is not, and a spigot's length is missing for it.
std::shared_ptr<const access::WaysOut> one_of_two(const duct::DuctId& duct) {
  access::PieceWay found;
  found.duct = duct;
  found.piece = "tube 1";
  found.found = true;
  found.order = 1;
  found.opening = "bonnet";
  found.released = "hose is slid onto tube 1 by 45.0 mm";
  found.steps.resize(2);
  found.steps[0].kind = access::WayStep::Kind::hose_slid;
  found.steps[0].moved = {"coupler hose"};
  found.steps[0].move = {false, Vec3::UnitY(), Vec3::Zero(), 45};
  found.steps[1].move = {true, Vec3(0.6, 0, 0.8), Vec3(100, -20, 30), degrees(30).si()};
  access::PieceWay open;
  open.duct = duct;
  open.piece = "tube 2";
  open.open = "how far tube 2 must be drawn off port out is not stated";
  open.missing = {"ports/out/spigot_length_mm"};
  access::PieceWay another = open;
  another.duct = duct::DuctId("another");
  return std::make_shared<access::WaysOut>(access::WaysOut{{found, open, another}, {"part bonnet stands open"}});
}

const Finding& of_piece(const std::vector<Finding>& findings, const std::string& piece) {
  const auto f = std::find_if(findings.begin(), findings.end(), [&](const Finding& g) { return g.subject == piece; });
  REQUIRE(f != findings.end());
  return *f;
}

}  // namespace

TEST_CASE("cr.assemble: a way that is found meets, one that is not is asked", "[checks]") {
  Case c;
  c.ways = one_of_two(c.spec.id);
  const auto findings = c.of(kId);
  REQUIRE(findings.size() == 2);  // of this duct alone
  const Finding& found = of_piece(findings, "tube 1");
  CHECK(found.verdict == Verdict::met);
  const std::string note = std::get<Measured>(found.outcome).note;
  for (const char* part : {"bonnet", "number 1", "slid onto tube 1 by 45.0 mm",
                           "moves: coupler hose slid 45.0 mm left (+y), then turned 30.0°",
                           "about (0.60, 0.00, 0.80) through (100.0, -20.0, 30.0)", "part bonnet stands open"}) {
    CAPTURE(note);
    CHECK(note.find(part) != std::string::npos);
  }
  const Finding& open = of_piece(findings, "tube 2");
  CHECK(open.verdict == Verdict::not_checked);
  CHECK(missing_of(open) == std::vector<std::string>{"ports/out/spigot_length_mm", "answers: cr.assemble"});
}

TEST_CASE("cr.assemble: a yes settles what the search leaves open and nothing else", "[checks]") {
  Case c;
  c.ways = one_of_two(c.spec.id);
  c.answers = {{kId, {}, true, "workshop", "tried with a likeness"}};
  const auto findings = c.of(kId);
  REQUIRE(findings.size() == 2);
  CHECK(of_piece(findings, "tube 1").verdict == Verdict::met);
  CHECK(of_piece(findings, "said by workshop").verdict == Verdict::met);
}

TEST_CASE("cr.assemble: a no counts before any way that is found", "[checks]") {
  Case c;
  c.ways = one_of_two(c.spec.id);
  c.answers = {{kId, {}, false, "workshop", "tube 1 jams"}};
  const Finding f = c.one(kId);
  CHECK(f.verdict == Verdict::not_met);
  CHECK(f.subject == "said by workshop");
}

TEST_CASE("cr.assemble: where nothing was searched the reason is told", "[checks]") {
  Case c;
  c.add_part("rail", bay::PartClass::plain, 0);  // of no shape
  Finding f = c.one(kId);
  CHECK(f.verdict == Verdict::not_checked);
  CHECK(std::get<NotAssessed>(f.outcome).reason.find("rail") != std::string::npos);
  c.bay.parts.clear();
  f = c.one(kId);
  CHECK(f.verdict == Verdict::not_checked);
  CHECK(std::get<NotAssessed>(f.outcome).reason.find("no parts") != std::string::npos);
  c.answers = {{kId, {}, true, "workshop", ""}};
  CHECK(c.one(kId).verdict == Verdict::met);
}

TEST_CASE("cr.assemble: nothing is searched where a person answered for every duct, or the sheet asks nothing",
          "[checks]") {
  Case c;
  c.bay.parts.clear();
  bay::Part part;
  part.id = bay::PartId("block");
  part.name = "block";
  const TriMesh mesh = box_mesh(Vec3(5000, 0, 0), Vec3(5100, 100, 100));
  part.tree = TriTree::over(mesh);
  part.mesh = std::make_shared<TriMesh>(mesh);
  c.bay.parts.push_back(part);
  const auto searched = [&] {
    const std::vector<duct::Duct> all = c.ducts();
    return checks::measure_ways({c.bay, all, c.flow, c.sheet, c.workshop, c.answers, c.surroundings}) != nullptr;
  };
  CHECK(searched());
  for (const bool yes : {true, false}) {
    c.answers = {{kId, {}, yes, "workshop", ""}};
    CHECK_FALSE(searched());
  }
  c.answers = {{kId, duct::DuctId("another"), true, "workshop", ""}};
  CHECK(searched());
  c.sheet.not_required[kId] = "test";
  CHECK_FALSE(searched());
}

#include "session/evaluate.hpp"

#include <algorithm>
#include <catch2/catch.hpp>

#include "tests/support/ducts.hpp"

using namespace baywright;
using namespace baywright::session;

namespace {

/// Straight ducts along x at heights of their own, crossing one along y in turn.
job::Installation crossing(double upper_mm) {
  job::Installation out;
  out.bay.bodies = {test::body("vehicle")};
  out.bay.attitudes = {{"level", Angle(), Angle()}};
  const auto add = [&](const std::string& id, const Vec3& from, const Vec3& to) {
    out.bay.ports.push_back(test::port(id + "-from", from, to - from, 76.2, 0));
    out.bay.ports.push_back(test::port(id + "-to", to, from - to, 76.2, 0));
    duct::DuctSpec spec;
    spec.id = duct::DuctId(id);
    spec.service = duct::Service::charge_cold;
    spec.from.port = bay::PortId(id + "-from");
    spec.to.port = bay::PortId(id + "-to");
    spec.tube = {76.2, 1.65};
    spec.bend_tolerance_mm = 0;
    spec.route = test::route({from, to}, 0);
    out.job.ducts.push_back(spec);
    out.ducts.push_back({spec, *duct::lay_out(spec, out.bay)});
  };
  add("lower", {0, 0, 0}, {600, 0, 0});
  add("upper", {300, -300, upper_mm}, {300, 300, upper_mm});
  add("away", {0, 0, -90}, {600, 0, -90});
  checks::ClearanceRow row;
  row.at_rest_mm = row.same_body_mm = row.over_motion_mm = 20;
  row.origin = {checks::Origin::Kind::shop_rule, "test"};
  out.sheet.clearance = {row};
  return out;
}

std::vector<checks::Finding> between(const checks::Evaluation& evaluation) {
  std::vector<checks::Finding> found;
  for (const checks::Finding& f : evaluation.findings) {
    if (f.check == "cr.ducts" && std::holds_alternative<measure::Measured>(f.outcome)) found.push_back(f);
  }
  return found;
}

double value_of(const std::vector<checks::Finding>& all, const std::string& duct, const std::string& other) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const checks::Finding& f) {
    return f.duct.value == duct && f.subject.find("duct " + other) != std::string::npos;
  });
  REQUIRE(found != all.end());
  return std::get<measure::Measured>(found->outcome).lo;
}

}  // namespace

TEST_CASE("evaluate: the clearance between ducts is measured again where one of them changed", "[evaluate]") {
  const auto before = evaluate(crossing(120));
  REQUIRE(before);
  const auto first = between(*before);
  REQUIRE(first.size() == 3);
  CHECK(value_of(first, "lower", "upper") == Approx(120 - 76.2).margin(0.11));
  CHECK(value_of(first, "lower", "away") == Approx(90 - 76.2).margin(0.11));
  for (const checks::Finding& f : first) {
    const bool near = f.subject.find("duct away") != std::string::npos && f.duct.value == "lower";
    CHECK(f.verdict == (near ? checks::Verdict::not_met : checks::Verdict::met));
  }
  // The second duct comes down; the first one's own measures stay, and its findings follow.
  const job::Installation moved = crossing(90);
  const auto again = evaluate(moved, &*before, {"upper"});
  const auto fresh = evaluate(moved);
  REQUIRE(again);
  REQUIRE(fresh);
  CHECK(value_of(between(*again), "lower", "upper") == Approx(90 - 76.2).margin(0.11));
  REQUIRE(again->findings.size() == fresh->findings.size());
  for (std::size_t i = 0; i < fresh->findings.size(); ++i) {
    CHECK(again->findings[i].check == fresh->findings[i].check);
    CHECK(again->findings[i].subject == fresh->findings[i].subject);
    CHECK(again->findings[i].verdict == fresh->findings[i].verdict);
  }
  CHECK(again->ducts[0].measures.between[2].at_rest[0].value.hi ==
        before->ducts[0].measures.between[2].at_rest[0].value.hi);
}

TEST_CASE("evaluate: an unchanged duct is judged again where what it hangs on changed", "[evaluate]") {
  // Whether oil reaches the hose of the charge duct is the intake's to say.
  job::Installation job = crossing(150);
  duct::Coupler hose;
  hose.gap_mm = 5;
  hose.length_mm = 77;
  const auto lay_again = [&](std::size_t i) {
    job.ducts[i].spec = job.job.ducts[i];
    job.ducts[i].layout = *duct::lay_out(job.job.ducts[i], job.bay);
  };
  job.job.ducts[0].service = duct::Service::intake;
  const duct::Anchor middle{job.job.ducts[2].route.points[0].id, 200, false};
  job.job.ducts[2].fittings.assign(1, duct::Fitting{duct::FittingId("hose"), middle, hose});
  for (const std::size_t i : {0, 2}) lay_again(i);
  const auto oil = [](const checks::Evaluation& evaluation) {
    for (const checks::Finding& f : evaluation.findings) {
      if (f.check == "br.oil" && f.duct.value == "away") return f.verdict;
    }
    FAIL("no br.oil");
    return checks::Verdict::met;
  };
  const checks::Evaluation before = *evaluate(job);
  CHECK(oil(before) == checks::Verdict::not_checked);  // of what material?
  job.job.ducts[0].no_breather = true;
  lay_again(0);
  CHECK(oil(*evaluate(job, &before, {"lower"})) == checks::Verdict::not_applicable);
}

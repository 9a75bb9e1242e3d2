#include <algorithm>

#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("an empty sheet checks nothing and says which limit is missing", "[checks]") {
  Case c;
  c.sheet = Sheet{};
  for (const Finding& f : c.findings()) {
    INFO(f.check);
    CHECK((f.verdict == Verdict::not_checked || f.verdict == Verdict::not_applicable));
    if (f.verdict == Verdict::not_checked) CHECK_FALSE(f.hint.empty());
  }
  CHECK(c.one("sn.up").hint.find("sheet/limits/sn.up") != std::string::npos);
  CHECK(missing_of(c.one("in.loss_clean")) == std::vector<std::string>{"sheet/restriction"});
}

TEST_CASE("every check of the registry gives a finding on every duct", "[checks]") {
  Case c;
  const auto all = c.findings();
  const auto of_job = c.job_findings();
  for (const CheckDef& check : registry()) {
    if (check.services.empty()) {
      CHECK(std::any_of(of_job.begin(), of_job.end(), [&](const Finding& f) { return f.check == check.id; }));
      continue;
    }
    INFO(check.id);
    CHECK(std::any_of(all.begin(), all.end(), [&](const Finding& f) { return f.check == check.id; }));
  }
  Case breather;
  breather.spec.service = duct::Service::breather;
  CHECK(breather.one("sn.up").verdict == Verdict::not_applicable);
  CHECK(breather.one("fb.grip").verdict == Verdict::not_applicable);  // hump between its two bends
}

TEST_CASE("what hangs on a tolerance nobody stated is undecided and names it", "[checks]") {
  Case c;
  c.spec.fittings[0].anchor.offset_mm = 34;  // sensor plane 104 behind the filter outlet, 101.6 needed
  CHECK(c.one("sn.up").verdict == Verdict::met);
  CHECK(c.one("sn.up").hint.empty());
  c.spec.fitting_tolerance_mm = 0.5;  // 2 sqrt(2) 0.5 = 1.41
  CHECK(c.one("sn.up").verdict == Verdict::met);
  c.spec.fitting_tolerance_mm.reset();
  const Finding open = c.one("sn.up");
  CHECK(open.verdict == Verdict::undecided);
  CHECK(open.hint.find("ducts/intake/fitting_tolerance_mm") != std::string::npos);
  c.spec.fittings[0].anchor.offset_mm = 40;  // what holds with the usual figure holds
  CHECK(c.one("sn.up").verdict == Verdict::met);
}

TEST_CASE("leaving an uncertainty out never gives a better verdict than a usual one stated", "[checks]") {
  const auto rank = [](Verdict v) { return v == Verdict::met ? 0 : v == Verdict::undecided ? 1 : 2; };
  for (double offset = 20; offset < 60; offset += 0.7) {
    Case c;
    c.spec.fittings[0].anchor.offset_mm = offset;
    c.spec.bend_tolerance_mm = 2.4;
    c.spec.fitting_tolerance_mm = 1;
    const Verdict stated = c.one("sn.up").verdict;
    c.spec.bend_tolerance_mm.reset();
    c.spec.fitting_tolerance_mm.reset();
    INFO("offset " << offset);
    if (stated != Verdict::not_met) CHECK(rank(c.one("sn.up").verdict) >= rank(stated));
  }
}

TEST_CASE("what a sheet does not require is not applicable, with the sheet's reason", "[checks]") {
  Case c;
  c.sheet.limits.erase("in.bends");
  c.sheet.not_required["in.bends"] = "trial on the bench";
  c.sheet.limits.erase("em.docs");
  c.sheet.not_required["em.docs"] = "stationary";
  const Finding f = c.one("in.bends");
  CHECK(f.verdict == Verdict::not_applicable);
  CHECK(std::get<NotAssessed>(f.outcome).reason == "the sheet does not require it: trial on the bench");
  for (const Finding& g : c.job_findings()) {
    if (g.check == "em.docs") CHECK(g.verdict == Verdict::not_applicable);
  }
  CHECK(problems_of(c.sheet).empty());
  c.sheet.not_required["in.turn"] = "";
  c.sheet.not_required["in.trun"] = "typing";
  const auto problems = problems_of(c.sheet);
  REQUIRE(problems.size() == 3);
  CHECK(problems[0] == "not required \"in.trun\": there is no such check; the nearest known one is \"in.turn\"");
  CHECK(problems[1] == "not required \"in.turn\": the sheet has a limit for it; remove one of the two");
  CHECK(problems[2] == "not required \"in.turn\": says no reason");
}

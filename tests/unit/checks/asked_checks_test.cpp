#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

TEST_CASE("what only a person can see is asked, and said by whom", "[checks]") {
  Case c;
  const Finding open = c.one("in.material");
  CHECK(missing_of(open) == std::vector<std::string>{"answers: in.material"});
  CHECK(open.hint == "give answers: in.material");
  c.answers = {{"in.material", {}, true, "workshop", "stainless"}};
  const Finding met = c.one("in.material");
  CHECK(met.verdict == Verdict::met);
  CHECK(met.subject == "said by workshop");
  CHECK(std::get<Measured>(met.outcome).note == "stainless");
  c.answers[0].yes = false;
  CHECK(c.one("in.material").verdict == Verdict::not_met);
  CHECK(c.one("sn.arrow").verdict == Verdict::not_checked);  // another question is still open
}

TEST_CASE("an answer for one duct stands before one for all", "[checks]") {
  Case c;
  c.answers = {{"in.material", {}, true, "workshop", ""}, {"in.material", c.spec.id, false, "paint shop", "painted"}};
  CHECK(c.one("in.material").verdict == Verdict::not_met);
  c.answers[1].duct = duct::DuctId("another");
  CHECK(c.one("in.material").verdict == Verdict::met);
}

TEST_CASE("the job is open while findings of its ducts are, and no longer", "[checks]") {
  Case c;
  const auto undecided = [&] {
    for (const Finding& f : c.job_findings()) {
      if (f.check == "dt.undecided") return f;
    }
    throw std::logic_error("no dt.undecided");
  };
  std::size_t open = 0;
  for (const Finding& f : c.findings()) {
    open += f.verdict == Verdict::undecided || f.verdict == Verdict::not_checked ? 1 : 0;
  }
  REQUIRE(open > 0);
  const Finding f = undecided();
  CHECK(f.verdict == Verdict::undecided);
  CHECK(f.duct.empty());
  CHECK(std::get<Measured>(f.outcome).lo == 0);
  for (const Finding& g : c.job_findings()) {
    open += g.verdict == Verdict::undecided || g.verdict == Verdict::not_checked ? 1 : 0;
  }
  CHECK(std::get<Measured>(f.outcome).hi == static_cast<double>(open - 1));  // but itself
  const catalog::Workshop workshop = c.workshop;
  const duct::Duct duct = laid_out(c.spec, c.bay);
  for (const CheckDef& check : registry()) {
    if (check.asked) {
      c.answers.push_back({check.id, {}, true, "workshop", ""});
    } else if (check.services.empty() && check.id != "dt.undecided") {
      c.sheet.not_required[check.id] = "not here";
    }
  }
  const auto closed = run_job_checks({c.bay, {&duct, 1}, c.flow, c.sheet, workshop, c.answers}, {});
  for (const Finding& g : closed) {
    if (g.check == "dt.undecided") CHECK(g.verdict == Verdict::met);
  }
  CHECK(run_job_checks({c.bay, {}, c.flow, c.sheet, workshop, c.answers}, {}).size() >= 1);  // no duct: not applicable
}

TEST_CASE("questions about the job are asked once, not of each duct", "[checks]") {
  Case c;
  for (const Finding& f : c.findings()) CHECK(f.check != "em.docs");
  int asked = 0;
  for (const Finding& f : c.job_findings()) asked += f.check == "em.docs" ? 1 : 0;
  CHECK(asked == 1);
}

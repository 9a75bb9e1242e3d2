#include "tests/unit/checks/checks_case.hpp"

using namespace baywright;
using namespace baywright::test;

namespace {

/// Whether a finding counts as open; what is told only does not, dt.undecided itself neither.
bool is_open(const Finding& f) {
  return (f.verdict == Verdict::undecided || f.verdict == Verdict::not_checked) && f.severity != Severity::info;
}

}  // namespace

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
    open += is_open(f) ? 1 : 0;
  }
  REQUIRE(open > 0);
  const Finding f = undecided();
  CHECK(f.verdict == Verdict::undecided);
  CHECK(f.duct.empty());
  CHECK(std::get<Measured>(f.outcome).lo == 0);
  for (const Finding& g : c.job_findings()) {
    open += is_open(g) ? 1 : 0;
  }
  CHECK(std::get<Measured>(f.outcome).hi == static_cast<double>(open));
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

TEST_CASE("a job without a scan is not asked about scans", "[checks]") {
  Case c;
  c.add_part("block", bay::PartClass::plain, 0);
  const auto verdicts = [&] {
    std::vector<Verdict> found;
    for (const Finding& f : c.job_findings()) {
      if (f.check == "dt.cover" || f.check == "dt.scale" || f.check == "dt.align") found.push_back(f.verdict);
    }
    return found;
  };
  using Verdicts = std::vector<Verdict>;
  CHECK(verdicts() == Verdicts(3, Verdict::not_checked));
  c.bay.parts[0].modelled = true;
  CHECK(verdicts() == Verdicts(3, Verdict::not_applicable));
  c.bay.parts[0].model_assumed = true;  // by what it looks like: no reason not to ask
  CHECK(verdicts() == Verdicts(3, Verdict::not_checked));
  c.bay.parts[0].model_assumed = false;
  c.answers = {{"dt.scale", {}, false, "scanning", "no length was measured"}};  // what is said counts
  const auto said = verdicts();
  CHECK(std::count(said.begin(), said.end(), Verdict::not_met) == 1);
  CHECK(std::count(said.begin(), said.end(), Verdict::not_applicable) == 2);
}

TEST_CASE("what is told only is not open", "[checks]") {
  Case c;
  c.sheet.limits.erase("fb.stock");
  const Finding stock = c.of("fb.stock").front();
  CHECK(stock.verdict == Verdict::not_checked);
  CHECK(stock.severity == Severity::info);
  CHECK(name(Severity::info) == "info");
  const Summary told = summarize({stock});
  CHECK(told.not_checked == 0);
  CHECK(told.told == 1);
  Finding failed = stock;
  failed.verdict = Verdict::not_met;  // a limit that is broken is broken
  CHECK(summarize({failed}).not_met == 1);
}

// The verdicts of all jobs against those worked out by hand in models/tarn40/README.md.

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "checks/check.hpp"
#include "demo_job.hpp"

using namespace baywright;

namespace {

nlohmann::json expected(const std::string& job) {
  std::ifstream file(std::string(BAYWRIGHT_SOURCE_DIR) + "/models/tarn40/" + job + "/expected.json");
  REQUIRE(file);
  return nlohmann::json::parse(file);
}

/// Key in the list of exceptions for this finding: its part, or the beginning of its subject, its duct before it or
/// not;
/// "" when there is none.
std::string exception_of(const nlohmann::json& all, const checks::Finding& finding) {
  if (!all["but"].contains(finding.check)) return "";
  for (const auto& item : all["but"][finding.check].items()) {
    const bool is_part = finding.part && finding.part->value == item.key();
    const bool is_subject = finding.subject.starts_with(item.key()) ||
                            (finding.duct.value + ": " + finding.subject).starts_with(item.key());
    if (is_part || is_subject) return item.key();
  }
  return "";
}

void compare(const std::string& job) {
  const demo::Checked& checked = demo::checked(job);
  const nlohmann::json all = expected(job);
  std::set<std::string> reached, concerned;
  for (const checks::Finding& f : checked.evaluation.findings) {
    if (f.verdict != checks::Verdict::not_applicable) concerned.insert(f.check);
  }
  for (const checks::Finding& finding : checked.evaluation.findings) {
    INFO(job << ": " << finding.check << ", " << finding.subject);
    // A check that concerns one duct does not concern another.
    if (finding.verdict == checks::Verdict::not_applicable && concerned.contains(finding.check)) continue;
    const std::string place = exception_of(all, finding);
    const std::string general = all["verdicts"].at(finding.check);
    const std::string wanted = place.empty() ? general : all["but"][finding.check][place].get<std::string>();
    const std::string verdict(name(finding.verdict));
    if (verdict == wanted) reached.insert(finding.check + " " + place);
    // A part may be listed with several pieces of the duct: the nearest decides, another may be undecided or met.
    const bool another_piece = !place.empty() && finding.part && wanted == "not met" && verdict != wanted;
    if (!another_piece) CHECK(verdict == wanted);
  }
  for (const auto& [check, exceptions] : all["but"].items()) {
    for (const auto& item : exceptions.items()) {
      INFO(job << ": nothing found for " << check << " " << item.key());
      CHECK(reached.contains(check + " " + item.key()));
    }
  }
  for (const checks::CheckDef& check : checks::registry()) {
    INFO(job << ": " << check.id);
    CHECK(all["verdicts"].contains(check.id));
  }
}

}  // namespace

TEST_CASE("the fitted duct meets everything") {
  compare("fitted");
  const checks::Summary& s = demo::checked("fitted").evaluation.summary;
  CHECK(s.not_met + s.undecided + s.not_checked == 0);
  CHECK(checks::exit_code(s) == 0);
}

TEST_CASE("the first try fails where it was worked out to fail, and nowhere else") {
  compare("first-try");
  const checks::Summary& s = demo::checked("first-try").evaluation.summary;
  CHECK(s.not_checked == 0);
  CHECK(s.undecided == 5);
  CHECK(s.told == 1);  // that they are
  CHECK(checks::exit_code(s) == 1);
}

TEST_CASE("the truck as it came in fails in what was worked out to fail") {
  compare("as-found");
  const checks::Summary& s = demo::checked("as-found").evaluation.summary;
  CHECK(s.not_checked == 0);
  CHECK(s.undecided == 1);  // bands of hose-5 and the exhaust's edges
  CHECK(checks::exit_code(s) == 1);
}

TEST_CASE("every check has a case that is met and one that is not") {
  // What no job can show, and why.
  const std::set<std::string> never_not_met{
      "dt.undecided",  // counts from none to all of what is open: it is never surely more than none
  };
  const std::set<std::string> never_met{
      "sn.vertical",  // met where air rises upright past the sensor: the bay is too low for such a tube
  };
  std::set<std::string> met, not_met;
  for (const char* job : {"as-found", "first-try", "fitted"}) {
    for (const checks::Finding& f : demo::checked(job).evaluation.findings) {
      if (f.verdict == checks::Verdict::met) met.insert(f.check);
      if (f.verdict == checks::Verdict::not_met) not_met.insert(f.check);
    }
  }
  for (const checks::CheckDef& check : checks::registry()) {
    INFO(check.id);
    CHECK(met.contains(check.id) != never_met.contains(check.id));
    CHECK(not_met.contains(check.id) != never_not_met.contains(check.id));
  }
}

// The verdicts of both jobs against those worked out by hand in models/tarn40/README.md.

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

/// Key in the list of exceptions for this finding: its part, or the beginning of its subject; "" when there is none.
std::string exception_of(const nlohmann::json& all, const checks::Finding& finding) {
  if (!all["but"].contains(finding.check)) return "";
  for (const auto& item : all["but"][finding.check].items()) {
    const bool is_part = finding.part && finding.part->value == item.key();
    if (is_part || finding.subject.starts_with(item.key())) return item.key();
  }
  return "";
}

void compare(const std::string& job) {
  const demo::Checked& checked = demo::checked(job);
  const nlohmann::json all = expected(job);
  std::set<std::string> reached;
  for (const checks::Finding& finding : checked.evaluation.findings) {
    INFO(job << ": " << finding.check << ", " << finding.subject);
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
  CHECK(s.undecided == 4);  // three, and that they are
  CHECK(checks::exit_code(s) == 1);
}

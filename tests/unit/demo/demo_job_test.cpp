#include "demo_job.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "geometry/base/expects.hpp"
#include "session/evaluate.hpp"

namespace demo {
namespace {

namespace fs = std::filesystem;
using namespace baywright;

template <class T>
T or_fail(ResultAll<T> result) {
  if (!result) {
    std::string text;
    for (const Error& e : result.error()) text += e.where + ": " + e.message + "\n";
    FAIL(text);
  }
  return *std::move(result);
}

Checked measured(job::Installation installation, const session::Extent& extent) {
  Result<checks::Evaluation> evaluation = session::evaluate(installation, nullptr, {}, {}, extent);
  if (!evaluation) FAIL(evaluation.error().message);
  return {std::move(installation), *std::move(evaluation)};
}

void copy_jobs() {
  const fs::path source = fs::path(BAYWRIGHT_SOURCE_DIR) / "models" / "tarn40";
  for (const char* job : {"fitted", "first-try", "as-found"}) {
    fs::create_directories(folder() / job);
    for (const auto& file : fs::directory_iterator(source / job)) {
      if (file.path().extension() == ".json")
        fs::copy_file(file.path(), folder() / job / file.path().filename(), fs::copy_options::overwrite_existing);
    }
    fs::copy_file(source / "sheet.json", folder() / job / "sheet.json", fs::copy_options::overwrite_existing);
    fs::copy(folder() / "generated", folder() / job / "generated",
             fs::copy_options::overwrite_existing | fs::copy_options::recursive);
  }
}

}  // namespace

fs::path folder() { return TARN40_FOLDER; }

const Checked& checked(const std::string& job) {
  static std::map<std::string, Checked> known;
  auto found = known.find(job);
  if (found == known.end()) {
    copy_jobs();
    found = known.emplace(job, measured(or_fail(job::open_job(folder() / job)), {.whole_charts = false})).first;
  }
  return found->second;
}

Checked check(const job::Job& changed, const std::string& job, Tools tools) {
  job::Installation installation = or_fail(job::assemble(changed, folder() / job, {}, &checked(job).installation));
  if (tools == Tools::left_out) installation.workshop.tools.clear();
  return measured(std::move(installation), session::kFindingsAlone);
}

const std::set<std::string>& of_tools() {
  static const std::set<std::string> kIds{"cl.body", "cl.reach", "cl.sight", "cl.torque"};
  return kIds;
}

const std::set<std::string>& no_subject() {
  static const std::set<std::string> kIds = [] {
    std::ifstream file(std::string(BAYWRIGHT_SOURCE_DIR) + "/models/tarn40/fitted/expected.json");
    const nlohmann::json expected = nlohmann::json::parse(file);
    std::set<std::string> ids;
    for (const auto& [id, verdict] : expected.at("verdicts").items()) {
      if (verdict == "not applicable") ids.insert(id);
    }
    return ids;
  }();
  return kIds;
}

std::vector<checks::Finding> findings_of(const checks::Evaluation& evaluation, const std::string& check) {
  std::vector<checks::Finding> found;
  for (const checks::Finding& f : evaluation.findings) {
    if (f.check == check && f.verdict != checks::Verdict::not_applicable) found.push_back(f);
  }
  return found;
}

Ids with(const Ids& some, const Ids& more) {
  Ids all = some;
  all.insert(more.begin(), more.end());
  return all;
}

job::Job small_job() {
  job::Job job = checked("fitted").installation.job;
  const Ids keep{"cylinder-head", "alternator",     "fan",      "compressor",         "filter",
                 "bonnet",        "exhaust",        "steering", "breather-separator", "cooling-pack",
                 "raw-air-hood",  "engine-fittings"};
  std::erase_if(job.parts, [&](const job::PartSpec& p) { return !keep.contains(p.id.value); });
  // Ways out are searched in the whole job alone: somebody answers here.
  std::erase_if(job.answers,
                [](const checks::Answer& a) { return a.check == "cr.assemble" && a.duct.value != "charge-cold"; });
  for (checks::Answer& a : job.answers) {
    if (a.check == "cr.assemble") a.duct = {};
  }
  return job;
}

const measure::Measured& nearest(const Checked& job, const std::string& check, const std::string& part) {
  const measure::Measured* best = nullptr;
  for (const checks::Finding& f : job.evaluation.findings) {
    const auto* m = std::get_if<measure::Measured>(&f.outcome);
    if (f.check != check || f.duct.value != "intake" || !f.part || f.part->value != part || !m) continue;
    if (f.over_motion && check != "cr.motion") continue;
    if (!best || m->lo < best->lo) best = m;
  }
  INFO(check << " of " << part);
  REQUIRE(best);
  return *best;
}

const measure::Measured& pair(const Checked& job, bool over_motion, const std::string& piece, const std::string& part) {
  const auto& measures = job.evaluation.ducts.at(0).measures;
  const auto& pieces = job.installation.ducts.at(0).layout.pieces;
  for (const measure::PairClearance& p : (over_motion ? measures.over_motion : measures.at_rest).pairs) {
    const bool is_piece = pieces[static_cast<std::size_t>(p.piece)].name == piece;
    if (is_piece && job.installation.bay.parts[static_cast<std::size_t>(p.part)].id.value == part) return p.value;
  }
  FAIL("no pair of " << piece << " and " << part);
  throw std::logic_error("not reached");
}

double value_of(const Checked& job, const std::string& check) {
  const std::vector<checks::Finding> findings = findings_of(job.evaluation, check);
  INFO(check);
  REQUIRE(findings.size() == 1);
  const auto* m = std::get_if<measure::Measured>(&findings.front().outcome);
  REQUIRE(m);
  REQUIRE(m->lo == m->hi);
  return m->lo;
}

}  // namespace demo

// Every key the fitted job writes is taken out once, wherever it stands: then the job is refused, or checks that need
// it are not checked, or a documented default takes its place. No key may be forgotten: one without a row here fails.

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "checks/check.hpp"
#include "demo_job.hpp"
#include "job/job_file.hpp"
#include "session/evaluate.hpp"

using namespace baywright;
using Json = nlohmann::ordered_json;

namespace {

using Ids = std::set<std::string>;

/// Losses, and the suction that presses hoses flat.
const Ids kSuction{"in.collapse", "in.loss_clean", "in.loss_dirty"};
/// And the element.
const Ids kAir{"in.collapse", "in.loss_clean", "in.loss_dirty", "in.media"};

/// Every check but those that have no subject in this job.
Ids everything() {
  Ids ids;
  for (const checks::Finding& f : demo::checked("fitted").evaluation.findings) {
    if (f.verdict != checks::Verdict::not_applicable) ids.insert(f.check);
  }
  return ids;
}

/// Checks that ask a person.
Ids asked() {
  Ids ids;
  for (const checks::CheckDef& check : checks::registry()) {
    if (check.asked) ids.insert(check.id);
  }
  return ids;
}

/// What a key's absence does where the job can still be read.
struct Effect {
  Ids not_checked;           ///< checks with a finding that is not checked
  const char* instead = "";  ///< what the documents say is taken instead; then other verdicts may change as well
};

const std::map<std::string, Effect>& effects();

void find_keys(const Json& node, const std::string& at, std::set<std::string>& keys) {
  if (node.is_array()) {
    for (const Json& item : node) find_keys(item, at + "/*", keys);
  } else if (node.is_object()) {
    for (const auto& [key, value] : node.items()) {
      keys.insert(at + "/" + key);
      find_keys(value, at + "/" + key, keys);
    }
  }
}

/// Takes a key out wherever the pattern leads.
void take_out(Json& node, const std::string& pattern) {
  const std::size_t end = pattern.find('/', 1);
  const std::string step = pattern.substr(1, end == std::string::npos ? end : end - 1);
  if (end == std::string::npos) {
    if (node.is_object()) node.erase(step);
    return;
  }
  const std::string rest = pattern.substr(end);
  if (step == "*") {
    if (node.is_array()) {
      for (Json& item : node) take_out(item, rest);
    }
  } else if (node.is_object() && node.contains(step)) {
    take_out(node[step], rest);
  }
}

Json small_job() {
  job::Job job = demo::checked("fitted").installation.job;
  const Ids keep{"cylinder-head", "alternator", "fan", "compressor", "filter", "bonnet", "exhaust", "steering"};
  std::erase_if(job.parts, [&](const job::PartSpec& p) { return !keep.contains(p.id.value); });
  for (job::PartSpec& p : job.parts) p.surface_temperature.reset();  // with it a part without a class would be refused
  return Json::parse(job::write_job(job));
}

}  // namespace

TEST_CASE("every key of the job: refused, not checked, or a documented default") {
  const Json whole = small_job();
  std::set<std::string> keys;
  find_keys(whole, "", keys);
  CHECK(keys.size() > 100);
  std::size_t refused = 0;
  for (const std::string& key : keys) {
    INFO("without " << key);
    Json without = whole;
    take_out(without, key);
    const auto known = effects().find(key);
    const auto read = job::read_job(without.dump(), "job.json");
    if (!read) {
      CHECK(known == effects().end());
      for (const Error& error : read.error()) CHECK_FALSE(error.message.empty());
      ++refused;
      continue;
    }
    const auto installation =
        job::assemble(*read, demo::folder() / "fitted", {}, &demo::checked("fitted").installation);
    if (!installation) {  // it does not hold together
      CHECK(known == effects().end());
      for (const Error& error : installation.error()) CHECK_FALSE(error.message.empty());
      ++refused;
      continue;
    }
    const auto evaluation = session::evaluate(*installation, nullptr, {}, {}, false);
    REQUIRE(evaluation);
    Ids not_checked, otherwise;
    for (const checks::Finding& f : evaluation->findings) {
      if (f.verdict == checks::Verdict::not_checked) {
        not_checked.insert(f.check);
        if (const auto* why = std::get_if<measure::NotAssessed>(&f.outcome)) CHECK_FALSE(why->missing.empty());
      } else if (f.verdict != checks::Verdict::met && f.verdict != checks::Verdict::not_applicable &&
                 f.check != "dt.undecided") {
        // (dt.undecided counts the others)
        otherwise.insert(f.check + " " + std::string(name(f.verdict)));
      }
    }
    std::string seen;
    for (const std::string& id : not_checked) seen += id + " not checked, ";
    for (const std::string& text : otherwise) seen += text + ", ";
    INFO(seen);
    if (known == effects().end()) {
      FAIL_CHECK("has no row in this test");
      continue;
    }
    CHECK(not_checked == known->second.not_checked);
    if (*known->second.instead == '\0') CHECK(otherwise.empty());
  }
  CHECK(refused > 40);
}

namespace {

const std::map<std::string, Effect>& effects() {
  static const std::map<std::string, Effect> kEffects{
      {"/attitudes", {{"br.entry", "sn.bottom", "sn.clock", "sn.pool", "sn.vertical"}}},
      {"/attitudes/*/left_up_deg", {{}, "0: level to the side"}},
      {"/attitudes/*/nose_up_deg", {{}, "0: level"}},
      {"/bodies/*/motion",
       {{"cr.bonnet", "cr.ducts", "cr.lines", "cr.motion", "cr.rotating", "fb.stack", "fx.gap", "fx.motion",
         "ht.exhaust", "ht.turbo", "sn.heat"}}},
      {"/bodies/*/motion/cases/*/roll_deg", {{}, "0: the case is a shift alone"}},
      {"/bodies/*/motion/cases/*/shift_mm", {{}, "0: the case is a turn alone"}},
      {"/bodies/*/motion/from_deg",
       {{"cl.reach", "cl.sight", "cl.torque"}, "0: the hinge goes no further than closed"}},
      {"/ducts/*/fittings/*/boss_height_mm", {{"sn.plug"}, "0: no boss stands on the sensor tube"}},
      {"/ducts/*/fittings/*/boss_radius_mm", {{"sn.plug"}, "0: no boss stands on the sensor tube"}},
      {"/ducts/*/fittings/*/clamps",
       {{"cl.engage", "cl.kind", "cl.pair", "cl.reach", "cl.seat", "cl.sight", "cl.size", "cl.torque", "in.joints"}}},
      {"/ducts/*/fittings/*/clamps/*/range_mm", {{"cl.size"}}},
      {"/ducts/*/fittings/*/clamps/*/from_hose_end_mm", {{"cl.seat"}}},
      {"/ducts/*/fittings/*/tube_ends", {{"cl.seat", "fb.end"}}},
      {"/ducts/*/fittings/*/material", {{"br.oil", "cl.kind"}}},
      {"/ducts/*/fittings/*/plies", {{"in.collapse"}}},
      {"/ducts/*/fittings/*/wire", {{"in.collapse"}}},
      {"/ducts/*/fittings/*/end_squareness_mm", {{}, "a usual figure, named in the finding"}},
      {"/ducts/*/fittings/*/length_tolerance_mm", {{}, "a usual figure, named in the finding"}},
      {"/flow/components/*/element", {{"in.media"}}},
      {"/flow/components/*/element/kind", {{"in.media"}}},
      {"/flow/components/*/element/efficiency", {{"in.media"}}},
      {"/flow/components/*/element/rated_m3_per_s", {{"in.media"}}},
      {"/ducts/*/fittings/*/clamps/*/screw_clock_deg", {{}, "every position of the clock is looked at"}},
      {"/ducts/*/fittings/*/clamps/*/screw_faces", {{}, "both ways round are looked at"}},
      {"/ducts/*/fittings/*/clamp_height_mm", {{}, "0: bands and screws are not modelled"}},
      {"/ducts/*/fittings/*/measured_bore_mm", {{"sn.bore"}}},
      {"/ducts/*/fittings/*/intrusion_mm", {{"br.entry"}}},
      {"/ducts/*/fittings/*/height_mm", {{}, "0: the nipple does not stand out"}},
      {"/ducts/*/fittings/*/hump_height_mm", {{}, "0: no hump stands out"}},
      {"/ducts/*/fittings/*/wall_mm", {{}, "5: hose of four plies"}},
      {"/ducts/*/bending", {{"fb.stack", "fx.align"}}},
      {"/ducts/*/made", {{"fb.stack"}}},
      {"/ducts/*/metal", {{"fb.thin"}}},
      {"/ducts/*/fittings/*/angle_deg", {{"br.entry", "fx.align", "fx.every", "fx.motion"}}},
      {"/ducts/*/fittings/*/axial_mm", {{"fx.align", "fx.every", "fx.motion"}}},
      {"/ducts/*/fittings/*/lateral_mm", {{"fb.stack", "fx.align", "fx.every", "fx.motion"}}},
      {"/ducts/*/fittings/*/loss_coefficient", {kSuction}},
      {"/ducts/*/fittings",
       {{"br.after", "br.before", "br.entry", "in.swirl", "in.tap", "sn.bore", "sn.bottom", "sn.clock", "sn.down",
         "sn.heat", "sn.plug", "sn.pool", "sn.up", "sn.vertical"},
        "one rigid tube from vehicle to engine"}},
      {"/ducts/*/bend_tolerance_mm", {{}, "a usual figure, named in the finding"}},
      {"/ducts/*/fitting_tolerance_mm", {{}, "a usual figure, named in the finding"}},
      {"/parts/*/uncertainty_mm", {{}, "a usual figure, named in the finding"}},
      {"/parts/*/chord_error_mm", {{}, "0.1"}},
      {"/parts/*/class",
       {{"cl.reach", "cl.sight", "cl.torque", "cr.lines", "cr.rotating", "ht.exhaust", "ht.touch", "ht.turbo",
         "sn.heat"},
        "plain, a bonnet is not opened; a part stated to be hot is refused"}},
      {"/parts/*/select", {{}, "all of the file"}},
      {"/ports/*/contact_length_mm", {{}, "0: the part at the port is measured like any other"}},
      {"/ports/*/part", {{}, "the port belongs to no part, and every part is measured"}},
      {"/flow/ambient", {kAir}},
      {"/flow/components/*/clean", {{"in.loss_clean"}}},
      {"/flow/components/*/dirty", {{"in.collapse", "in.loss_dirty"}}},
      {"/flow/rated_kg_per_s", {kAir}},
      {"/flow/raw_air_loss_kPa", {kSuction}},
      {"/flow/wall_roughness_mm", {{}, "0.01"}},
      {"/service_points", {{"ht.touch"}}},
      {"/filter_elements", {{"sv.filter"}}},
      {"/answers", {asked()}},
      {"/answers/*/note", {{}}},
      {"/openings", {{"cl.reach", "cl.sight", "cl.torque"}}},
      {"/ducts", {{}}},
      {"/sheet", {everything()}},
      {"/bodies/*/name", {{}}},
      {"/ducts/*/material", {{}}},
      {"/ducts/*/name", {{}}},
      {"/flow/components/*/name", {{}}},
      {"/name", {{}}},
      {"/note", {{}}},
      {"/openings/*/name", {{}}},
      {"/parts/*/name", {{}}},
      {"/parts/*/uncertainty_source", {{}}},
      {"/ports/*/name", {{}}},
  };
  return kEffects;
}

}  // namespace

// Every key the fitted job writes is taken out once, wherever it stands: then the job is refused, or checks that need
// it are not checked, or a documented default takes its place. No key may be forgotten: one without a row here fails.

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "checks/check.hpp"
#include "demo_job.hpp"
#include "job/job_file.hpp"
#include "session/evaluate.hpp"

using namespace baywright;
using namespace demo;
using Json = nlohmann::ordered_json;

namespace {

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

/// Keys that say nothing of how a clamp is reached.
bool key_beside_tools(const std::string& key) {
  const auto begins = [&](const char* text) { return key.starts_with(text); };
  const auto ends = [&](const char* text) { return key.ends_with(text); };
  const std::array roots{"/flow", "/attitudes", "/service_points", "/filter_elements", "/answers", "/ground"};
  const std::array leaves{"/axial_mm",
                          "/lateral_mm",
                          "/material",
                          "/plies",
                          "/wire",
                          "/tether",
                          "/tube_ends",
                          "/working_pressure_kPa",
                          "/burst_pressure_kPa",
                          "/end_squareness_mm",
                          "/loss_coefficient",
                          "/length_tolerance_mm",
                          "/intrusion_mm",
                          "/measured_bore_mm",
                          "/made",
                          "/metal",

                          "/entry",
                          "/insulated",
                          "/exposed_mm",

                          "/range_mm",
                          "/note",
                          "/spigot_length_mm",
                          "/uncertainty_source"};
  return std::any_of(roots.begin(), roots.end(), begins) || std::any_of(leaves.begin(), leaves.end(), ends);
}

Json small_text() {
  job::Job job = demo::small_job();
  for (job::PartSpec& p : job.parts) p.surface_temperature.reset();  // with it a part without a class would be refused
  return Json::parse(job::write_job(job));
}

}  // namespace

TEST_CASE("every key of the job: refused, not checked, or a documented default") {
  const Json whole = small_text();
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
    auto installation = job::assemble(*read, demo::folder() / "fitted", {}, &demo::checked("fitted").installation);
    if (!installation) {  // it does not hold together
      CHECK(known == effects().end());
      for (const Error& error : installation.error()) CHECK_FALSE(error.message.empty());
      ++refused;
      continue;
    }
    const bool beside_tools = key_beside_tools(key);
    if (beside_tools) installation->workshop.tools.clear();
    const auto evaluation = session::evaluate(*installation, nullptr, {}, {}, session::kFindingsAlone);
    REQUIRE(evaluation);
    Ids not_checked, otherwise;
    for (const checks::Finding& f : evaluation->findings) {
      if (beside_tools && demo::of_tools().contains(f.check)) continue;
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
      {"/ground", {{"sv.water"}}},
      {"/ground/height_mm", {{"sv.water"}}},
      {"/ground/bump_mm", {{"sv.water"}}},
      {"/ground/wading_mm", {{"sv.water"}}},
      {"/ports/*/hood", {{"sv.rain"}}},
      {"/ports/*/hood/labyrinth", {{"sv.rain"}}},
      {"/ports/*/hood/lowest_mm", {{"sv.water"}}},
      {"/parts/*/removed_first", {{}}},
      {"/ports/*/spigot_length_mm", {{"cl.engage"}}},
      {"/ducts/*/fittings/*/self_closing", {{"sv.drain"}}},
      {"/ducts/*/exposed_mm", {{"br.length"}}},
      {"/ducts/*/insulated", {{}, "asked only of a length above the limit"}},
      {"/attitudes",
       {{"br.entry", "br.slope", "ch.pool", "sn.bottom", "sn.clock", "sn.pool", "sn.vertical", "sv.drain"}}},
      {"/attitudes/*/left_up_deg", {{}, "0: level to the side"}},
      {"/attitudes/*/nose_up_deg", {{}, "0: level"}},
      {"/bodies/*/motion",
       {{"cl.body", "cr.bonnet", "cr.ducts", "cr.edge", "cr.lines", "cr.motion", "cr.rotating", "fb.stack", "fx.gap",
         "fx.motion", "ht.exhaust", "ht.turbo", "sn.heat"}}},
      {"/bodies/*/motion/cases/*/roll_deg", {{}, "0: the case is a shift alone"}},
      {"/bodies/*/motion/cases/*/shift_mm", {{}, "0: the case is a turn alone"}},
      {"/bodies/*/motion/from_deg",
       {{"cl.reach", "cl.sight", "cl.torque", "cr.bonnet"}, "0: the hinge goes no further than closed"}},
      {"/ducts/*/fittings/*/boss_height_mm", {{"sn.plug"}, "0: no boss stands on the sensor tube"}},
      {"/ducts/*/fittings/*/boss_radius_mm", {{"sn.plug"}, "0: no boss stands on the sensor tube"}},
      {"/ducts/*/fittings/*/clamps",
       {{"ch.hold", "cl.body", "cl.engage", "cl.kind", "cl.pair", "cl.reach", "cl.seat", "cl.sight", "cl.size",
         "cl.torque", "in.joints"}}},
      {"/ducts/*/fittings/*/clamps/*/range_mm", {{"cl.size"}}},
      {"/ducts/*/fittings/*/clamps/*/from_hose_end_mm", {{"cl.seat"}}},
      {"/ducts/*/fittings/*/tube_ends", {{"ch.hold", "cl.seat", "fb.end"}}},
      {"/ducts/*/fittings/*/material", {{"br.oil", "ch.temp", "cl.kind"}}},
      {"/ducts/*/fittings/*/working_pressure_kPa", {{"ch.press"}}},
      {"/ducts/*/fittings/*/burst_pressure_kPa", {{"ch.press"}}},
      {"/ducts/*/fittings/*/tether", {{"ch.hold"}}},
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
      {"/ducts/*/fittings/*/hump_height_mm", {{}, "0: no hump stands out"}},
      {"/ducts/*/fittings/*/wall_mm", {{}, "5: hose of four plies"}},
      {"/ducts/*/bending", {{"fb.stack", "fx.align"}, "a usual figure for how far a clamp's place is open"}},
      {"/ducts/*/made", {{"fb.stack"}}},
      {"/ducts/*/metal", {{"ch.load", "fb.thin", "fx.held"}}},
      {"/ducts/*/fittings/*/angle_deg", {{"br.entry", "fx.align", "fx.every", "fx.motion"}}},
      {"/ducts/*/fittings/*/axial_mm", {{"fx.align", "fx.every", "fx.motion"}}},
      {"/ducts/*/fittings/*/lateral_mm", {{"fb.stack", "fx.align", "fx.every", "fx.motion"}}},
      {"/ducts/*/fittings/*/loss_coefficient", {with(kSuction, kChargeAir)}},
      {"/ducts/*/bend_tolerance_mm", {{}, "a usual figure, named in the finding"}},
      {"/ducts/*/fitting_tolerance_mm", {{}, "a usual figure, named in the finding"}},
      {"/parts/*/uncertainty_mm", {{}, "a usual figure, named in the finding"}},
      {"/parts/*/chord_error_mm", {{}, "0.1"}},
      {"/parts/*/class",
       {{"cl.reach", "cl.sight", "cl.torque", "cr.lines", "cr.rotating", "ht.exhaust", "ht.rise", "ht.touch",
         "ht.turbo", "sn.heat"},
        "plain, a bonnet is not opened; a part stated to be hot is refused"}},
      {"/parts/*/select", {{}, "all of the file"}},
      {"/ports/*/contact_length_mm", {{}, "0: the part at the port is measured like any other"}},
      {"/ports/*/part", {{}, "the port belongs to no part, and every part is measured"}},
      {"/flow/charge", {with(kChargeAir, {"ch.hold", "ch.press"})}},
      {"/flow/charge/boost_kPa", {kChargeAir}},
      {"/flow/charge/compressor_efficiency", {kChargeAir}},
      {"/flow/charge/cooler", {kChargeAir}},
      {"/flow/charge/cooler/cooling_air_C", {kChargeAir}},
      {"/flow/charge/cooler/effectiveness", {kChargeAir}},
      {"/flow/charge/cooler/curve", {{"ch.loss", "ch.speed"}}},
      {"/flow/charge/inlet_temperature_C", {kChargeAir}},
      {"/flow/charge/peak_boost_kPa", {{"ch.hold", "ch.press"}}},
      {"/flow/ambient", {with(with(kAir, kChargeAir), {"sv.rain"})}},
      {"/flow/components/*/clean", {{"in.loss_clean"}}},
      {"/flow/components/*/dirty", {with({"in.collapse", "in.loss_dirty"}, kChargeAir)}},
      {"/flow/rated_kg_per_s", {with(with(kAir, kChargeAir), {"sv.rain"})}},
      {"/ducts/*/entry", {with(kSuction, kChargeAir)}},
      {"/flow/wall_roughness_mm", {{}, "0.01"}},
      {"/flow/bay_air_C", {{"ht.rise"}}},
      {"/flow/source_air_C", {{"ht.rise"}}},
      {"/flow/components/*/housing_cm2", {{"ht.rise"}}},
      {"/flow/components/*/inlet", {with(with(kSuction, kChargeAir), {"ht.rise"})}},
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

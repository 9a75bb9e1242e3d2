#pragma once

#include <filesystem>
#include <map>
#include <set>
#include <string>

#include "checks/evaluation.hpp"
#include "job/assemble.hpp"

// The demo's jobs, opened and measured as the program does it.

namespace demo {

using Ids = std::set<std::string>;
/// Losses, and the suction that presses hoses flat.
inline const Ids kSuction{"in.collapse", "in.loss_clean", "in.loss_dirty"};
/// And the element.
inline const Ids kAir{"ht.rise", "in.collapse", "in.loss_clean", "in.loss_dirty", "in.media"};
/// What hangs on the temperature of the charge air, for which the compressor's inlet has to be known.
inline const Ids kChargeAir{"ch.loss", "ch.manifold", "ch.speed", "ch.temp"};
Ids with(const Ids& some, const Ids& more);

/// Folder of the jobs, with the geometry beside them.
std::filesystem::path folder();

struct Checked {
  baywright::job::Installation installation;
  baywright::checks::Evaluation evaluation;
};
/// Opened and measured once per run of the test.
const Checked& checked(const std::string& job);
/// Whether tools are tried on clamps, which takes most of the time of measuring a job.
enum class Tools { tried, left_out };
/// A job that was changed, measured anew. Files are taken from the opened one.
Checked check(const baywright::job::Job& changed, const std::string& job, Tools tools = Tools::tried);
/// The fitted job with the parts that stand nearest to its duct, so that thirty of them are measured in a minute.
baywright::job::Job small_job();
/// Checks that cannot say anything without tools.
const std::set<std::string>& of_tools();

/// Checks that the fitted job has nothing for, after models/tarn40/fitted/expected.json.
const std::set<std::string>& no_subject();

/// Findings of one check, those that do not apply left out.
std::vector<baywright::checks::Finding> findings_of(const baywright::checks::Evaluation& evaluation,
                                                    const std::string& check);
/// Of the intake, guarded numbers of the one finding of `check` on `part` whose value is smallest; of a check that
/// judges both, at rest.
const baywright::measure::Measured& nearest(const Checked& job, const std::string& check, const std::string& part);
/// One pair of piece and part, at rest or over the motion, whether it is the nearest of its part or not.
const baywright::measure::Measured& pair(const Checked& job, bool over_motion, const std::string& piece,
                                         const std::string& part);
/// The value of a check with one subject; EXPECTS it exact.
double value_of(const Checked& job, const std::string& check);

}  // namespace demo

#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "access/clamp_access.hpp"
#include "bay/bay.hpp"
#include "catalog/workshop.hpp"
#include "checks/answer.hpp"
#include "checks/finding.hpp"
#include "checks/sheet.hpp"
#include "checks/surroundings.hpp"
#include "duct/layout.hpp"
#include "flow/flow_model.hpp"
#include "geometry/base/progress.hpp"
#include "measure/clearance_profile.hpp"
#include "measure/duct_clearance.hpp"
#include "measure/joint_moves.hpp"

namespace baywright::access {
struct WaysOut;
}

namespace baywright::checks {

/// Measures shared by several checks, taken once per duct.
struct DuctMeasures {
  measure::ClearanceReport at_rest;
  measure::ClearanceReport over_motion;
  /// Slice by slice along the duct, with the sheet's needs; the same slices in both.
  measure::ClearanceProfile profile_at_rest, profile_over_motion;
  std::variant<flow::Restriction, measure::NotAssessed> clean, dirty;
  std::vector<flow::GaugeReading> gauge_clean, gauge_dirty;
  std::vector<measure::JointShare> joints_over_motion;  ///< what the motion asks of the soft joints
  std::vector<access::ClampAccess> clamps;              ///< see access::clamp_access; not of measure_duct
  std::shared_ptr<const access::WaysOut> ways;          ///< of the whole job, see measure_ways; null: not searched
  /// Against itself, then against each of the job's ducts behind it; see measure_ducts_between, not of measure_duct.
  std::vector<measure::DuctPairReport> between;
};

/// What is judged: the whole job as it was opened.
struct Judged {
  const bay::Bay& bay;
  std::span<const duct::Duct> ducts;
  const flow::FlowInputs& flow;
  const Sheet& sheet;
  const catalog::Workshop& workshop;
  std::span<const Answer> answers;
  Surroundings surroundings = {};
};

/// All a check of one duct may look at.
struct Context {
  const bay::Bay& bay;
  const duct::Duct& duct;
  const flow::FlowInputs& flow;
  const Sheet& sheet;
  const DuctMeasures& measures;
  std::span<const duct::Duct> ducts;  ///< all of the job, `duct` among them
  const catalog::Workshop& workshop;
  std::span<const Answer> answers;
  const Surroundings& surroundings;
};

/// A measured subject before the limit is applied.
struct Subject {
  std::string subject;
  std::optional<bay::PartId> part;
  std::string pair;          ///< as in Finding
  bool over_motion = false;  ///< as in Finding
  measure::Outcome outcome;
  std::optional<Limit> limit;        ///< overrides the sheet's limit of the check (clearance rows)
  std::string hint;                  ///< overrides the check's general hint
  std::optional<Severity> severity;  ///< overrides the check's severity
  std::string left_out;              ///< why the check does not concern this duct after all; "" when it does
  bool fails = false;                ///< not met whatever the number says (a piece wholly inside a part)
};

/// Where a check finds its limits in a sheet.
enum class LimitPlace {
  by_id,     ///< Sheet::limits under the check's id (and `further_limits`)
  by_class,  ///< Sheet::clearance, by the class of the part
};

/// A limit beside the one under a check's own id.
struct FurtherLimit {
  std::string id;
  std::optional<Unit> unit;              ///< where it differs from the check's
  std::optional<Comparison> comparison;  ///< likewise
  FurtherLimit(const char* id_, std::optional<Unit> unit_ = {}, std::optional<Comparison> comparison_ = {})
      : id(id_), unit(unit_), comparison(comparison_) {}
};

/// One check. Adding one touches its definition, its function and its test; schema, docs, report and window follow.
struct CheckDef {
  std::string id;
  std::string title;       ///< short noun phrase
  std::string question;    ///< "Is the straight ahead of the sensor long enough?"
  std::string definition;  ///< exact quantity, one or two sentences, see `definition_text`
  Unit unit = Unit::none;
  Comparison comparison = Comparison::at_least;  ///< the sense a limit on this check must have
  Severity severity = Severity::major;
  LimitPlace limits = LimitPlace::by_id;
  std::vector<FurtherLimit> further_limits;  ///< sheet ids beside `id`
  std::vector<duct::Service> services;       ///< it applies to; others: not applicable. None: it concerns the job
  std::vector<std::string> inputs;           ///< job inputs it needs, as the job names them
  std::string hint;
  /// Subjects of one duct; none: the check has no subject here and is not applicable.
  std::function<std::vector<Subject>(const Context&)> measure;
  /// The same of the whole job, for a check without services: what was judged of its ducts, and of the job by the
  /// checks before it, is known by then.
  std::function<std::vector<Subject>(const Judged&, std::span<const Finding>)> measure_job;
  bool asked = false;  ///< a person answers it in the job (`answers`); at most a search spares the question
};

/// All checks in fixed order.
const std::vector<CheckDef>& registry();
const CheckDef* find_check(const std::string& id);
/// The definition as docs and report print it: lengths and temperatures, written "{10 mm}" and "{60 °C}" there, in
/// display units.
std::string definition_text(const CheckDef& check, const DisplayUnits& units = {});

/// Problems of a sheet against the registry: unknown ids (with the nearest known one), wrong units or sense.
std::vector<std::string> problems_of(const Sheet& sheet);

/// Restriction clean and dirty, and what gauges read; `ducts`: all of the job, for the one ahead of the filter.
void measure_restriction(const duct::Duct& duct, std::span<const duct::Duct> ducts, const flow::FlowInputs& flow,
                         DuctMeasures& measures);
/// What several checks need of one duct: restriction, clearance at rest and over the motion, and its profile.
DuctMeasures measure_duct(const Judged& judged, const duct::Duct& duct, const ClearanceOptions& options,
                          const Progress& progress = {});
/// How the pieces of all ducts come out, for each duct's `ways`; null where nobody asks (the sheet does not require it,
/// or somebody said of every duct whether they do), where the bay is empty or the shape of something in it unknown, or
/// when cancelled.
/// Seconds.
std::shared_ptr<const access::WaysOut> measure_ways(const Judged& judged, const Progress& progress = {});
/// Every check of the registry on one duct, worst first. A check that has no subject on this duct gives one finding
/// that is not applicable.
std::vector<Finding> run_checks(const Judged& judged, const duct::Duct& duct, const DuctMeasures& measures);

/// The same of the named checks alone. What they look at has to be in `measures`.
std::vector<Finding> run_checks(const Judged& judged, const duct::Duct& duct, const DuctMeasures& measures,
                                std::span<const std::string_view> only);

/// Every check that concerns the job as a whole; `of_ducts`: what was found on its ducts. Worst first.
std::vector<Finding> run_job_checks(const Judged& judged, std::span<const Finding> of_ducts);

}  // namespace baywright::checks

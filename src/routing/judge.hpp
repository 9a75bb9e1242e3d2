#pragma once

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "checks/evaluation.hpp"
#include "duct/stock.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "job/assemble.hpp"
#include "routing/course.hpp"
#include "routing/port_moves.hpp"
#include "routing/regions.hpp"

namespace baywright::routing {

/// How the pieces of a route come out, as far as a search knows.
struct ComesOut {
  std::size_t pieces = 0;            ///< tubes and hoses of the duct
  std::vector<std::string> stay;     ///< those of which no way out is known
  std::vector<std::string> shut_in;  ///< of other ducts, for which a way was known in the job as given and none is
};

/// A route that was put into the job and checked in full.
struct JudgedRoute {
  duct::DuctSpec spec;  ///< an ordinary duct: route and fittings in their places
  Course course;
  std::vector<checks::Finding> findings;  ///< of this duct, worst first
  checks::Summary summary;                ///< of the whole job with it
  /// No requirement on this duct is open that the route decides, but for inputs that the job as given lacks too; and
  /// none of the job is worse than in the job as given; and it stays out of the job's keep-outs.
  bool meets = false;
  std::vector<checks::Finding> in_the_way;  ///< findings that stand against it, worst first; empty where it meets
  int bends = 0;                            ///< after the counting rule of the checks
  double turning_deg = 0, length_mm = 0;
  int pieces = 0;  ///< tubes and couplers
  /// What the air loses: of an intake clean (in.loss_clean), of charge air from the compressor to the engine, with all
  /// that lies there beside this duct (ch.loss); none: not checked, or not all of it known, a stated loss stands for
  /// this duct however it lies, of another duct, or it chokes.
  std::optional<double> restriction_Pa;
  std::optional<checks::Finding> loss;  ///< the finding that says so
  std::optional<double> least_room_mm;  ///< least guarded clearance above its limit, of all findings on clearance
  std::optional<double> change_mm;      ///< of a mended route: its farthest point from the centreline as drawn
  bool dominated = false;               ///< another route that was found is no worse in anything and better somewhere
  std::size_t make = 0;                 ///< which one of SearchResult::makes
  std::size_t search = 0;               ///< a number of the search's own
  std::size_t place = 0;                ///< which setting of what the job lets move; 0: as given
  std::vector<PartMove> moves;          ///< what stands elsewhere than given
  double preferred_share = 0;           ///< of its length, in regions that the job prefers
  duct::StockTubeId tube;               ///< of the stock; empty: the job's own
  std::vector<duct::FittingId> added;   ///< soft joints and brackets of the stock that the job's duct has not
  std::optional<ComesOut> comes_out;    ///< none: not searched, see SearchOptions::ways_out
};

/// The final word on routes: the evaluation that `baywright check` runs, on the job with the route in it.
class Judge {
 public:
  /// Evaluates the job as given, to know what it meets. `installation` must outlive it. Fails: cancelled.
  static Result<Judge> of(const job::Installation& installation, const duct::DuctId& duct, const Progress& progress);

  /// Fails where the duct cannot be laid out in the job, or cancelled.
  Result<JudgedRoute> judge(const duct::DuctSpec& spec, const Course& course, const Progress& progress) const;

  /// The same judge for the job with something of its bay or sheet changed: what the job as given met has to be met
  /// there still. `changed` must outlive it. What it measured of other ducts there is kept for its next routes.
  Judge elsewhere(const job::Installation& changed) const;

  /// What of its joints, supports and making stands against a duct, by the checks that look at nothing of the bay but
  /// how its bodies move: milliseconds. EXPECTS a duct laid out in the judge's bay.
  std::vector<checks::Finding> of_fittings(const duct::Duct& duct) const;

  const checks::Evaluation& before() const { return before_; }
  /// The job's own duct, judged the same way.
  JudgedRoute as_given() const;

 private:
  Judge(const job::Installation& installation, duct::DuctId duct);
  void judge_regions(const duct::Duct& duct, JudgedRoute& route, const Progress& progress) const;
  JudgedRoute judged(const duct::Duct& duct, std::span<const duct::Duct> ducts,
                     const checks::Evaluation& evaluation) const;
  bool stands_against(const checks::Finding& finding, bool other_tube) const;
  bool other_tube(const duct::Duct& duct) const;

  const job::Installation* installation_;
  bool same_bay_ = true;                                          ///< what was measured of other ducts holds still
  std::shared_ptr<std::optional<checks::Evaluation>> elsewhere_;  ///< of the changed job, with some route of the duct
  duct::DuctId duct_;
  std::vector<bay::Part> keep_outs_;
  std::shared_ptr<const PreferredRegions> preferred_;
  checks::Evaluation before_;
  using CheckOn = std::pair<duct::DuctId, std::string>;  ///< duct (none: the job), check
  std::map<CheckOn, checks::Verdict> worst_before_;
  /// Of other ducts and of the job: duct, check, subject, pair.
  std::map<std::tuple<duct::DuctId, std::string, std::string, std::string>, checks::Verdict> before_elsewhere_;
  std::map<CheckOn, std::set<std::string>> missing_before_;  ///< inputs that were lacking
  bool too_warm_ahead_ = false;  ///< the air, before it enters the duct: no route mends that
};

/// Whether where a duct lies has a part in what a check of it finds. Not: answers of people, checks of the whole job,
/// and what hangs on material, bores and flow alone.
bool route_decides(const std::string& check);
/// Whether somebody's answer to it was given for the duct as it lay then: on another route it has to be asked again.
bool answered_for_the_route(const std::string& check);
/// Whether the size of its tube has a part in it, besides: of bores, walls and what fits on them.
bool tube_decides(const std::string& check);

/// Better first: meets; fewer findings in the way; fewer bends; a restriction that is known, and less of it, or less
/// turning where none is known; shorter.
bool better(const JudgedRoute& a, const JudgedRoute& b);

/// Whether two routes really differ: another number of bends or pieces, another tube, something that is moved for one
/// alone or that stands at another of the job's places, restrictions farther apart than
/// this share of the greater one, margins farther apart than this, or some point of the one farther than this from the
/// other's centreline.
inline constexpr double kOtherWay_mm = 60;
inline constexpr double kOtherMargin_mm = 8;
inline constexpr double kOtherRestriction = 0.1;
bool different(const JudgedRoute& a, const JudgedRoute& b);
/// The last of these, or another number of bends.
bool other_way(const JudgedRoute& a, const JudgedRoute& b);

}  // namespace baywright::routing

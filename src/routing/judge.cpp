#include "routing/judge.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <string_view>
#include <tuple>

#include "checks/charge_air.hpp"
#include "checks/check.hpp"
#include "checks/inlet_rise.hpp"
#include "job/lay_out_ducts.hpp"
#include "measure/path_measures.hpp"
#include "session/evaluate.hpp"

namespace baywright::routing {
namespace {

using checks::Finding;
using checks::Verdict;

/// How bad a verdict is for somebody who wants to cut tube.
int badness(Verdict v) {
  switch (v) {
    case Verdict::not_met:
      return 3;
    case Verdict::undecided:
      return 2;
    case Verdict::not_checked:
      return 1;
    case Verdict::met:
    case Verdict::not_applicable:
      return 0;
  }
  return 3;
}

double number(const measure::Outcome& outcome) {
  const auto* measured = std::get_if<measure::Measured>(&outcome);
  return measured ? measured->lo : 0;
}

/// What of_fittings looks at: nothing that needs the places of clamps or a clearance.
constexpr std::array<std::string_view, 13> kOfFittings = {"cl.kind", "cl.size",   "ch.load",  "ch.support", "fb.end",
                                                          "fb.grip", "fb.stack",  "fx.align", "fx.every",   "fx.gap",
                                                          "fx.held", "fx.motion", "in.joints"};

/// Inputs without which a finding was not checked.
std::set<std::string> missing_of(const Finding& finding) {
  const auto* not_assessed = std::get_if<measure::NotAssessed>(&finding.outcome);
  if (!not_assessed) return {};
  return {not_assessed->missing.begin(), not_assessed->missing.end()};
}

/// Whether all of what charge air loses is known, and the duct has its own share in it: a loss that is stated from the
/// compressor to behind the cooler stands for the hot duct however it lies.
bool charge_loss_tells_of(const duct::DuctSpec& duct, std::span<const duct::Duct> ducts,
                          const flow::FlowInputs& inputs) {
  const auto way = checks::charge_way(ducts, inputs);
  const auto* known = std::get_if<flow::ChargeWay>(&way);
  if (!known) return false;
  const flow::ChargeLoss loss = flow::charge_loss(*known, inputs);
  const auto& elements = loss.way.elements;
  return loss.lacking.empty() && std::any_of(elements.begin(), elements.end(), [&](const flow::ElementLoss& element) {
           return element.name.starts_with(duct.id.value + ": ");
         });
}

/// What the air loses on a way that the duct is part of, where that is known.
std::optional<Finding> loss_of(const std::vector<Finding>& findings, const duct::DuctSpec& duct,
                               std::span<const duct::Duct> ducts, const flow::FlowInputs& inputs) {
  const bool charge = duct.service == duct::Service::charge_hot || duct.service == duct::Service::charge_cold;
  if (charge && !charge_loss_tells_of(duct, ducts, inputs)) return std::nullopt;
  for (const Finding& f : findings) {
    // What charge air loses is told for the job as a whole.
    if (charge ? f.check != "ch.loss" : f.check != "in.loss_clean" || f.duct != duct.id) continue;
    const auto* measured = std::get_if<measure::Measured>(&f.outcome);
    if (measured && std::isfinite(measured->hi)) return f;
  }
  return std::nullopt;
}

}  // namespace

bool route_decides(const std::string& check) {
  // What a duct is made of, what it carries and what ends it, wherever it lies. All else counts, so that a check that
  // is new here counts until somebody has thought about it. How far a nipple reaches in is stated; a route that turns
  // it down where it was not comes out worse, which counts whatever stands here.
  constexpr std::array<std::string_view, 17> kWhereverItLies = {
      "br.bore", "br.closed", "br.entry", "br.oil",      "ch.hold",  "ch.manifold", "ch.press", "ch.speed", "ch.temp",
      "cl.kind", "cl.size",   "fb.stock", "in.collapse", "in.media", "in.step",     "in.taper", "sn.bore"};
  const checks::CheckDef* def = checks::find_check(check);
  return def && !def->asked && !def->services.empty() &&
         std::find(kWhereverItLies.begin(), kWhereverItLies.end(), check) == kWhereverItLies.end();
}

bool answered_for_the_route(const std::string& check) { return check == "cr.assemble" || check == "fb.selfhit"; }

bool tube_decides(const std::string& check) {
  constexpr std::array<std::string_view, 8> kOfTheTube = {"br.bore", "ch.hold",     "ch.press", "ch.speed",
                                                          "cl.size", "in.collapse", "in.step",  "in.taper"};
  return std::find(kOfTheTube.begin(), kOfTheTube.end(), check) != kOfTheTube.end();
}

Judge::Judge(const job::Installation& installation, duct::DuctId duct)
    : installation_(&installation),
      duct_(std::move(duct)),
      keep_outs_(keep_out_parts(installation.job.routing)),
      preferred_(std::make_shared<const PreferredRegions>(installation.job.routing)) {}

/// What the job asks of routes besides its sheet.
void Judge::judge_regions(const duct::Duct& duct, JudgedRoute& route, const Progress& progress) const {
  const auto entered = keep_out_findings(*installation_, keep_outs_, duct, progress);
  route.in_the_way.insert(route.in_the_way.begin(), entered.begin(), entered.end());
  route.meets = route.in_the_way.empty();
  const CourseShape shape = shape_of(route.course);
  if (shape.length_mm() > 0) route.preferred_share = preferred_->length_inside_mm(shape) / shape.length_mm();
}

Result<Judge> Judge::of(const job::Installation& installation, const duct::DuctId& duct, const Progress& progress) {
  Judge judge(installation, duct);
  auto before = session::evaluate(installation, nullptr, {}, progress, session::kFindingsAlone);
  if (!before) return tl::unexpected(before.error());
  judge.before_ = std::move(*before);
  for (const duct::Duct& d : installation.ducts) {
    if (d.spec.id == duct) judge.too_warm_ahead_ = checks::too_warm_ahead(installation.judged(), d);
  }
  for (const Finding& f : judge.before_.findings) {
    const auto [it, fresh] = judge.worst_before_.emplace(std::pair(f.duct, f.check), f.verdict);
    if (!fresh && badness(f.verdict) > badness(it->second)) it->second = f.verdict;
    if (f.duct != duct) judge.before_elsewhere_.emplace(std::tuple(f.duct, f.check, f.subject, f.pair), f.verdict);
    if (f.verdict == Verdict::not_checked) judge.missing_before_[{f.duct, f.check}].merge(missing_of(f));
  }
  return judge;
}

Judge Judge::elsewhere(const job::Installation& changed) const {
  Judge judge = *this;
  judge.installation_ = &changed;
  judge.same_bay_ = false;
  judge.elsewhere_ = std::make_shared<std::optional<checks::Evaluation>>();
  return judge;
}

bool Judge::stands_against(const Finding& f, bool other_tube) const {
  if (badness(f.verdict) == 0) return false;
  if (f.duct != duct_) {
    // One clamp of another duct that nobody reaches is no leave to shut off the next.
    const auto before = before_elsewhere_.find({f.duct, f.check, f.subject, f.pair});
    if (badness(f.verdict) > (before == before_elsewhere_.end() ? 0 : badness(before->second))) return true;
  } else {
    // Pieces of this duct are others on another route: what stood against the check stands against it.
    const auto before = worst_before_.find({f.duct, f.check});
    if (badness(f.verdict) > (before == worst_before_.end() ? 0 : badness(before->second))) return true;
  }
  if (f.check == "ht.rise" && too_warm_ahead_) return false;
  // The clearance of two ducts is found on the one that comes first in the job.
  const bool ours = f.duct == duct_ || f.pair.find("duct " + duct_.value + ":") != std::string::npos;
  if (!ours || !(route_decides(f.check) || (other_tube && tube_decides(f.check)))) return false;
  if (f.verdict != Verdict::not_checked) return true;
  // What nobody stated is lacking on every route; but a part or a motion that is not known is room nobody measured.
  const std::set<std::string> missing = missing_of(f);
  const auto of_room = [](const std::string& key) {
    return key.starts_with("parts") || key.starts_with("bodies") || key.starts_with("openings");
  };
  if (std::any_of(missing.begin(), missing.end(), of_room)) return true;
  const auto known = missing_before_.find({f.duct, f.check});
  return missing.empty() || known == missing_before_.end() ||
         !std::includes(known->second.begin(), known->second.end(), missing.begin(), missing.end());
}

bool Judge::other_tube(const duct::Duct& duct) const {
  const auto& ducts = installation_->ducts;
  return std::any_of(ducts.begin(), ducts.end(),
                     [&](const duct::Duct& d) { return d.spec.id == duct_ && !(d.spec.tube == duct.spec.tube); });
}

std::vector<Finding> Judge::of_fittings(const duct::Duct& duct) const {
  std::vector<duct::Duct> ducts = installation_->ducts;
  const auto it = std::find_if(ducts.begin(), ducts.end(), [&](const duct::Duct& d) { return d.spec.id == duct_; });
  *it = duct;
  checks::Judged with = installation_->judged();
  with.ducts = ducts;
  checks::DuctMeasures measures;
  measures.joints_over_motion = measure::joint_shares_over_motion(duct, installation_->bay);
  std::vector<Finding> against;
  const bool other = other_tube(duct);
  for (Finding& f : checks::run_checks(with, *it, measures, kOfFittings)) {
    if (stands_against(f, other)) against.push_back(std::move(f));
  }
  return against;
}

JudgedRoute Judge::judged(const duct::Duct& duct, std::span<const duct::Duct> ducts,
                          const checks::Evaluation& evaluation) const {
  JudgedRoute out;
  out.spec = duct.spec;
  const bool other = other_tube(duct);
  for (const Finding& f : evaluation.findings) {
    if (f.duct == duct_) out.findings.push_back(f);
    if (stands_against(f, other)) out.in_the_way.push_back(f);
    if (f.duct == duct_ && !f.pair.empty()) {
      const auto room = checks::margin(f);
      if (room) out.least_room_mm = std::min(out.least_room_mm.value_or(*room), *room);
    }
  }
  out.summary = evaluation.summary;
  out.meets = out.in_the_way.empty();
  out.bends = static_cast<int>(number(measure::bend_count(duct)));
  out.turning_deg = number(measure::total_turning(duct));
  out.length_mm = duct.layout.length_mm;
  out.pieces =
      static_cast<int>(std::count_if(duct.layout.pieces.begin(), duct.layout.pieces.end(),
                                     [](const duct::Piece& piece) { return piece.kind != duct::Piece::Kind::clamps; }));
  out.loss = loss_of(evaluation.findings, duct.spec, ducts, installation_->job.flow);
  if (out.loss) out.restriction_Pa = number(out.loss->outcome);
  return out;
}

JudgedRoute Judge::as_given() const {
  const auto& ducts = installation_->ducts;
  const auto it = std::find_if(ducts.begin(), ducts.end(), [&](const duct::Duct& d) { return d.spec.id == duct_; });
  JudgedRoute out = judged(*it, ducts, before_);
  for (const duct::RoutePoint& point : it->spec.route.points) {
    out.course.points.push_back(point.p_mm);
    out.course.radius_mm = std::max(out.course.radius_mm, point.bend_radius_mm);
  }
  for (int i = 0; i < out.course.bends(); ++i) {
    out.course.radii_mm.push_back(it->spec.route.points[static_cast<std::size_t>(i) + 1].bend_radius_mm);
  }
  judge_regions(*it, out, {});
  return out;
}

Result<JudgedRoute> Judge::judge(const duct::DuctSpec& spec, const Course& course, const Progress& progress) const {
  job::Job job = installation_->job;
  for (duct::DuctSpec& d : job.ducts) {
    if (d.id == duct_) d = spec;
  }
  // As job::with_ducts_of, but for jobs that were never a file too: the problems it looks for are those of other keys.
  auto ducts = job::lay_out_ducts(job.ducts, installation_->bay);
  if (!ducts) return tl::unexpected(ducts.error().front());
  job::Installation with = *installation_;
  with.job = std::move(job);
  with.ducts = std::move(*ducts);
  const checks::Evaluation* known = same_bay_ ? &before_ : elsewhere_->has_value() ? &**elsewhere_ : nullptr;
  auto evaluation = session::evaluate(with, known, {duct_.value}, progress, session::kFindingsAlone);
  if (!evaluation) return tl::unexpected(evaluation.error());
  const auto it =
      std::find_if(with.ducts.begin(), with.ducts.end(), [&](const duct::Duct& d) { return d.spec.id == duct_; });
  JudgedRoute out = judged(*it, with.ducts, *evaluation);
  out.course = course;
  judge_regions(*it, out, progress);
  if (progress.cancelled()) return tl::unexpected(Error{ErrorCode::cancelled, "", "stopped"});
  if (!known) *elsewhere_ = *std::move(evaluation);
  return out;
}

bool better(const JudgedRoute& a, const JudgedRoute& b) {
  const auto key = [](const JudgedRoute& r) {
    int failed = 0, open = 0;
    for (const Finding& f : r.in_the_way) (f.verdict == Verdict::not_met ? failed : open)++;
    return std::tuple(!r.meets, failed, open, r.bends);
  };
  if (key(a) != key(b)) return key(a) < key(b);
  // A restriction that is not known of both, one that chokes included, compares with nothing.
  if (a.restriction_Pa.has_value() != b.restriction_Pa.has_value()) return a.restriction_Pa.has_value();
  const auto lost = [](const JudgedRoute& r) { return r.restriction_Pa.value_or(r.turning_deg); };
  return std::pair(lost(a), a.length_mm) < std::pair(lost(b), b.length_mm);
}

namespace {

/// How far what was moved slid or turned makes no other route; that it was moved at all, or put at another place, does.
bool same_places(const JudgedRoute& a, const JudgedRoute& b) {
  return std::equal(a.moves.begin(), a.moves.end(), b.moves.begin(), b.moves.end(),
                    [](const PartMove& m, const PartMove& n) { return m.place == n.place && m.parts == n.parts; });
}

}  // namespace

bool different(const JudgedRoute& a, const JudgedRoute& b) {
  if (a.pieces != b.pieces || !(a.spec.tube == b.spec.tube) || !same_places(a, b)) return true;
  if (a.restriction_Pa && b.restriction_Pa) {
    const double greater = std::max(*a.restriction_Pa, *b.restriction_Pa);
    if (std::abs(*a.restriction_Pa - *b.restriction_Pa) > kOtherRestriction * greater) return true;
  }
  if (a.least_room_mm && b.least_room_mm && std::abs(*a.least_room_mm - *b.least_room_mm) > kOtherMargin_mm)
    return true;
  return other_way(a, b);
}

bool other_way(const JudgedRoute& a, const JudgedRoute& b) {
  if (a.bends != b.bends) return true;
  const CourseShape shape_a = shape_of(a.course), shape_b = shape_of(b.course);
  constexpr double kStep_mm = 20;
  for (double s = 0; s < shape_a.length_mm(); s += kStep_mm) {
    if (shape_b.nearest(shape_a.at(s).p).distance_mm > kOtherWay_mm) return true;
  }
  for (double s = 0; s < shape_b.length_mm(); s += kStep_mm) {
    if (shape_a.nearest(shape_b.at(s).p).distance_mm > kOtherWay_mm) return true;
  }
  return false;
}

}  // namespace baywright::routing

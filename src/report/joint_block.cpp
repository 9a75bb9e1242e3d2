#include <algorithm>

#include "measure/joint_moves.hpp"
#include "report/page.hpp"

namespace baywright::report {
namespace {

using measure::Give;
using measure::JointShare;
using measure::Measured;

const JointShare* share_of(const std::vector<JointShare>& shares, const duct::FittingId& coupler, Give give) {
  const auto found = std::find_if(shares.begin(), shares.end(),
                                  [&](const JointShare& s) { return s.coupler == coupler && s.give == give; });
  return found == shares.end() ? nullptr : &*found;
}

/// "4.10 mm"; with a decimal more than lengths have elsewhere: a joint takes a few millimetres.
std::string amount(const Figures& f, double asked, Give give) {
  return give == Give::angle ? f.value(to_degrees(radians(asked)), Unit::degree, 1) : f.value(asked, Unit::mm, 1);
}

/// What the motion asks of a joint one way, or why that is not known.
Markup over_motion_text(const Figures& f, const JointShare* share) {
  if (!share) return "nothing moves in it"_h;
  if (const auto* open = std::get_if<measure::NotAssessed>(&share->share)) return tag("small", text(open->reason));
  return text(amount(f, share->asked, share->give));
}

Markup made_text(const Figures& f, const JointShare* share) {
  if (!share || std::holds_alternative<measure::NotAssessed>(share->share)) return "–"_h;
  return text(amount(f, share->asked, share->give));
}

/// The least gap between the tube ends over the motion, as fx.gap found it.
std::string least_gap_text(const Page& page, const duct::Duct& d, const duct::FittingId& coupler) {
  for (const checks::Finding& finding : page.evaluation.findings) {
    if (finding.check != "fx.gap" || finding.duct != d.spec.id || finding.subject != coupler.value) continue;
    if (const auto* m = std::get_if<Measured>(&finding.outcome)) {
      return "least gap " + page.figures.value(m->lo, Unit::mm, 1);
    }
  }
  return "";
}

struct Joint {
  const duct::PlacedFitting& fitting;
  const duct::Coupler& coupler;
};

Markup way_row(const Page& page, const duct::Duct& d, const Joint& joint, Give give, const Markup& first,
               const std::vector<JointShare>& at_rest) {
  const Figures& f = page.figures;
  const auto* result = page.result_of(d.spec.id);
  static const std::vector<JointShare> kNone;
  const std::vector<JointShare>& moving = result ? result->measures.joints_over_motion : kNone;
  const bool elbow = joint.coupler.shape == duct::CouplerShape::elbow;
  const char* what = give == Give::along ? "gap" : give == Give::sideways ? "offset" : "angle";
  std::string rest = amount(f, 0, give);
  if (give == Give::along) {
    rest =
        elbow ? "an elbow has none" : f.value(joint.fitting.station_to_mm - joint.fitting.station_from_mm, Unit::mm, 1);
  }
  const double takes = give == Give::along      ? joint.coupler.axial_mm
                       : give == Give::sideways ? joint.coupler.lateral_mm
                                                : joint.coupler.angle.si();
  const JointShare* share = share_of(moving, joint.fitting.id, give);
  const auto* asked = share ? std::get_if<Measured>(&share->share) : nullptr;
  const std::string least = give == Give::along && share ? least_gap_text(page, d, joint.fitting.id) : "";
  return tag("tr",
             first + cell(text(what)) + number_cell(text(rest)) +
                 number_cell(made_text(f, share_of(at_rest, joint.fitting.id, give))) +
                 number_cell(over_motion_text(f, share) + (least.empty() ? Markup() : tag("small", text(least)))) +
                 number_cell(takes > 0 ? text("\u00B1" + amount(f, takes, give)) : "not stated"_h) +
                 number_cell(asked ? text(fixed(100 * asked->hi, 0) + " %") : "–"_h));
}

Markup twist_row(const Page& page, const duct::Duct& d, const Joint& joint) {
  const auto* result = page.result_of(d.spec.id);
  const JointShare* angle =
      result ? share_of(result->measures.joints_over_motion, joint.fitting.id, Give::angle) : nullptr;
  const auto* measured = angle ? std::get_if<Measured>(&angle->share) : nullptr;
  if (!measured || measured->asides.empty()) return {};
  return tag("tr", "<td></td>"_h + cell("twist"_h) + number_cell(text(page.figures.value(0, Unit::degree, 1))) +
                       number_cell("–"_h) +
                       number_cell(text(page.figures.value(measured->asides.front().value, Unit::degree, 1))) +
                       number_cell("not judged"_h) + number_cell("–"_h));
}

}  // namespace

Markup joint_block(const Page& page, const duct::Duct& d) {
  if (!measure::has_coupler(d)) return {};
  const std::vector<JointShare> at_rest =
      d.spec.bending ? measure::joint_shares_at_rest(d, page.bay()) : std::vector<JointShare>();
  Markup rows;
  for (const duct::PlacedFitting& fitting : d.layout.fittings) {
    const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind);
    if (!coupler) continue;
    const Joint joint{fitting, *coupler};
    rows += way_row(page, d, joint, Give::along, cell(text(fitting.id.value)), at_rest) +
            way_row(page, d, joint, Give::sideways, "<td></td>"_h, at_rest) +
            way_row(page, d, joint, Give::angle, "<td></td>"_h, at_rest) + twist_row(page, d, joint);
  }
  return tag("h3", "Joints: what each is asked to take, and what it takes"_h) +
         table("joints",
               {"Coupler", "Way", ">At rest, as drawn", ">Making leaves open", ">Changes over the motion by", ">Takes",
                ">Share"},
               rows) +
         tag("p", "small",
             "Between the two tube ends in the hose. Making: what bending and cutting leave open, as fx.align judges "
             "it. "
             "Motion: the proven most over the whole motion of all bodies, as fx.motion judges it; each way is held "
             "against what the coupler states for that way alone."_h);
}

}  // namespace baywright::report

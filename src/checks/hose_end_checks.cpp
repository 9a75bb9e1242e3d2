#include <algorithm>

#include "access/hose_seat.hpp"
#include "checks/check_groups.hpp"
#include "checks/hose_ends.hpp"
#include "checks/uncertainty_hint.hpp"
#include "geometry/base/words.hpp"
#include "measure/tolerances.hpp"

namespace baywright::checks {
namespace {

using access::ClampSite;
using catalog::ClampKind;
using measure::Measured;

constexpr duct::HoseEnd kEnds[] = {duct::HoseEnd::upstream, duct::HoseEnd::downstream};
constexpr const char* kNoClamps = "nothing is stated of the clamps on this hose";

Band hose_end_band(const Context& context, const Hose& hose, duct::HoseEnd end) {
  const double bore = access::hose_bore_mm(context.duct, hose.fitting, end);
  Band band;
  for (Contribution& c : measure::hose_end_tolerances(context.duct.spec, hose.fitting.id, hose.coupler, bore,
                                                      hose.end_name(end), context.bay.units)) {
    band.add(std::move(c));
  }
  return band;
}

/// "" where it is enough; else by how much a length is short of the limit.
std::string short_of(const Context& context, const Measured& m, const std::string& limit_id, const std::string& what) {
  const auto limit = context.sheet.limits.find(limit_id);
  if (limit == context.sheet.limits.end() || limit->second.unit != m.unit || m.lowest() >= limit->second.value) {
    return "";
  }
  if (std::string first = uncertainty_hint(m, limit->second, context.bay.units); !first.empty()) {
    return first + "; then: " + what;
  }
  return what + " by at least " + length_text(limit->second.value - m.lowest(), context.bay.units);
}

/// The sites of the clamps on one end of a hose, as they were looked at for the tools.
std::vector<const ClampSite*> sites_on(const Context& context, const Hose& hose, duct::HoseEnd end) {
  std::vector<const ClampSite*> sites;
  for (const access::ClampAccess& clamp : context.measures.clamps) {
    if (clamp.site.coupler == hose.fitting.id && clamp.site.end == end) sites.push_back(&clamp.site);
  }
  return sites;
}

/// Asks for every clamp; a hose that states none waits for them.
template <class Ask>
std::vector<Subject> at_every_clamp(const Context& context, const Ask& ask) {
  std::vector<Subject> subjects;
  for (const Hose& hose : hoses_of(context.duct)) {
    if (hose.coupler.clamps.empty()) {
      Subject s = subject_of(hose);
      s.subject = "coupler " + hose.fitting.id.value;
      subjects.push_back(waits(std::move(s), kNoClamps, {hose.key(context, "clamps")}));
      continue;
    }
    for (const duct::HoseEnd end : kEnds) {
      for (const ClampSite* site : sites_on(context, hose, end)) ask(hose, *site, subjects);
    }
  }
  return subjects;
}

void add_seat(const Context& context, const Hose& hose, const ClampSite& site, std::vector<Subject>& subjects) {
  const duct::TubeEnd* tube = access::tube_end(hose.coupler, site.end);
  Subject bead = subject_of(hose, site.end), beyond = bead;
  bead.subject += tube && tube->no_bead ? ", tube's end to band" : ", bead to band";
  beyond.subject += ", band to hose end";
  const access::HoseSeat seat = access::seat_of(context.duct, site, tube ? *tube : duct::TubeEnd{site.end, true});
  if (!tube) {
    subjects.push_back(waits(std::move(bead), "nothing is stated of the bead on the tube under this end",
                             {hose.key(context, "tube_ends")}));
  } else {
    Measured m = value_at(context, seat.bead_to_band_mm, Unit::mm, site.station_mm);
    m.band = hose_end_band(context, hose, site.end);
    m.note = "the hose lies on the tube for " + length_text(seat.engagement_mm, context.bay.units);
    if (!seat.band_lies_on.empty()) {
      m.note = "the band lies on " + seat.band_lies_on;
      bead.fails = true;
    }
    bead.hint = seat.band_lies_on.empty() ? short_of(context, m, "cl.seat", "let the hose lie farther on the tube")
                                          : "give the band a straight tube of one size to sit on";
    bead.outcome = std::move(m);
    subjects.push_back(std::move(bead));
  }
  if (!site.place_stated) {
    subjects.push_back(waits(std::move(beyond), "how far from the end of the hose the band is set is not stated",
                             {hose.key(context, "clamps") + ": from_hose_end_mm"}));
    return;
  }
  Measured m = value_at(context, seat.band_to_hose_end_mm, Unit::mm, site.station_mm);
  beyond.hint = short_of(context, m, "cl.seat.end", "set the band back from the end of the hose");
  beyond.outcome = std::move(m);
  against(context, "cl.seat.end", beyond);
  subjects.push_back(std::move(beyond));
}

std::vector<Subject> measure_seats(const Context& context) {
  return at_every_clamp(context, [&](const Hose& hose, const ClampSite& site, std::vector<Subject>& subjects) {
    add_seat(context, hose, site, subjects);
  });
}

std::vector<Subject> measure_engagement(const Context& context) {
  return at_every_clamp(context, [&](const Hose& hose, const ClampSite& site, std::vector<Subject>& subjects) {
    const auto spigot = access::spigot_under(context.bay, context.ducts, context.duct, hose.fitting, site.end);
    const double drawn = access::engagement_mm(hose.fitting, site.end);
    const double engaged = spigot ? std::min(drawn, spigot->length_mm.value_or(drawn)) : drawn;
    const auto text = [&](double mm) { return length_text(mm, context.bay.units); };
    Measured m = value_at(context, engaged - site.type.band_width_mm, Unit::mm, station_of(hose, site.end));
    m.band = hose_end_band(context, hose, site.end);
    m.note =
        "the hose lies on the tube for " + text(engaged) + ", the band is " + text(site.type.band_width_mm) + " wide";
    if (engaged < drawn) m.note += "; " + spigot->name + " is no longer, the hose as drawn asks for " + text(drawn);
    Subject s = subject_of(hose, site.end);
    s.hint = short_of(
        context, m, "cl.engage",
        engaged < drawn ? "fit a longer spigot, or a narrower band" : "let the tube reach farther into the hose");
    // A spigot of unknown length may be shorter than the hose on it, never longer.
    const auto limit = context.sheet.limits.find("cl.engage");
    const bool fails = limit != context.sheet.limits.end() && decide(m, limit->second) == Verdict::not_met;
    s.outcome = std::move(m);
    if (spigot && !spigot->length_mm && !fails) {
      s = waits(std::move(s), "how long the spigot of " + spigot->name + " is, on which the hose lies, is not stated",
                {spigot->key});
    }
    subjects.push_back(std::move(s));
  });
}

/// Where the diameter over the hose lies in the clamp's range: share of the range up to the nearer of its ends.
void add_size(const Context& context, const Hose& hose, const duct::HoseClamp& clamp, std::vector<Subject>& subjects) {
  Subject s = subject_of(hose, clamp.end);
  if (!clamp.range_mm) {
    subjects.push_back(waits(std::move(s), "the size of the clamp that was bought is not stated",
                             {hose.key(context, "clamps") + ": range_mm"}));
    return;
  }
  const auto [least, greatest] = *clamp.range_mm;
  const double diameter = access::hose_bore_mm(context.duct, hose.fitting, clamp.end) + 2 * hose.coupler.wall_mm;
  const double share = (diameter - least) / (greatest - least);
  const auto text = [&](double mm) { return length_text(mm, context.bay.units); };
  Measured m = value_at(context, std::min(share, 1 - share), Unit::ratio, station_of(hose, clamp.end));
  m.note = "over the hose " + text(diameter) + ", the clamp goes from " + text(least) + " to " + text(greatest);
  const auto limit = context.sheet.limits.find("cl.size");
  if (limit != context.sheet.limits.end() && m.lo < limit->second.value) {
    s.hint = std::string(share > 0.5 ? "take the next larger size" : "take the next smaller size") + ": " + m.note;
  }
  s.outcome = std::move(m);
  subjects.push_back(std::move(s));
}

std::vector<Subject> measure_sizes(const Context& context) {
  std::vector<Subject> subjects;
  for (const Hose& hose : hoses_of(context.duct)) {
    if (hose.coupler.clamps.empty()) {
      Subject s = subject_of(hose);
      s.subject = "coupler " + hose.fitting.id.value;
      subjects.push_back(waits(std::move(s), kNoClamps, {hose.key(context, "clamps")}));
    }
    for (const duct::HoseClamp& clamp : hose.coupler.clamps) add_size(context, hose, clamp, subjects);
  }
  return subjects;
}

bool carries_boost(duct::Service service) {
  return service == duct::Service::charge_hot || service == duct::Service::charge_cold;
}

void add_kind(const Context& context, const Hose& hose, const ClampSite& site, std::vector<Subject>& subjects) {
  Subject s = subject_of(hose, site.end);
  if (!site.type.kind) {
    subjects.push_back(waits(std::move(s), "the table does not say what kind of clamp " + site.type.id.value + " is",
                             {"tools/clamps/" + site.type.id.value + "/kind"}));
    return;
  }
  const catalog::HoseMaterial* material = material_of(context, hose);
  bool right = true;
  std::string note = site.type.name;
  if (carries_boost(context.duct.spec.service)) {
    right = catalog::holds_boost(*site.type.kind);
    if (!right) note += " on a hose under boost";
  } else if (*site.type.kind == ClampKind::worm) {
    if (!material) {
      subjects.push_back(waits(std::move(s),
                               "a perforated band suits every hose but silicone, and the hose's material is not stated",
                               {hose.key(context, "material")}));
      return;
    }
    right = !material->silicone;
    note += std::string(" on ") + material->name;
  }
  s.outcome = yes_or_no(context, hose, right, std::move(note));
  subjects.push_back(std::move(s));
}

std::vector<Subject> measure_kinds(const Context& context) {
  return at_every_clamp(context, [&](const Hose& hose, const ClampSite& site, std::vector<Subject>& subjects) {
    add_kind(context, hose, site, subjects);
  });
}

CheckDef hose_end_check() {
  CheckDef c;
  c.services = all_services();
  c.comparison = Comparison::at_least;
  c.inputs = {"ducts/fittings: coupler/clamps"};
  return c;
}

CheckDef seat() {
  CheckDef c = hose_end_check();
  c.id = "cl.seat";
  c.title = "Band in the right place";
  c.question = "Does the band sit between the bead and the end of the hose, clear of both?";
  c.definition =
      "Two lengths along each end of a hose. From the foot of the bead, or from the tube's end where it has no bead, "
      "to the band, with the uncertainty of where the hose's end lies on the tube as in cl.engage; a band on a bend or "
      "a cone is not met. From the band to the end of the hose, held against cl.seat.end; the fitter sets it from the "
      "nearest part of that end, so it has no uncertainty; where the job does not state it, this length is not checked "
      "and the first one takes the band to begin {6.4 mm} from the hose's end.";
  c.unit = Unit::mm;
  c.severity = Severity::major;
  c.further_limits = {"cl.seat.end"};
  c.inputs.emplace_back("ducts/fittings: coupler/tube_ends");
  c.inputs.emplace_back("ducts/fittings: coupler/clamps/from_hose_end_mm");
  c.hint = "let the hose lie farther on the tube";
  c.measure = measure_seats;
  return c;
}

CheckDef engage() {
  CheckDef c = hose_end_check();
  c.id = "cl.engage";
  c.title = "Tube far enough in the hose";
  c.question = "Does the tube reach far enough into the hose for bead and band?";
  c.definition =
      "Length of the tube inside the hose less the width of the band, at each clamp. Where the hose lies on a port's "
      "spigot or a branch port's nipple, no more than that is long; a spigot whose length is not stated is not "
      "checked, but not met where the hose is too short already. Its uncertainty: where the tube's end sits, half the "
      "tolerance of the hose's length, and how far the hose's end may be out of square.";
  c.unit = Unit::mm;
  c.severity = Severity::blocker;
  c.inputs.emplace_back("ports/spigot_length_mm");
  c.hint = "let the tube reach farther into the hose";
  c.measure = measure_engagement;
  return c;
}

CheckDef size() {
  CheckDef c = hose_end_check();
  c.id = "cl.size";
  c.title = "Clamp of the right size";
  c.question = "Is the clamp of a size that suits the hose?";
  c.definition =
      "Where the diameter over the hose, tube and twice the hose's wall, lies in the range the clamp goes round: the "
      "share of that range up to its nearer end, negative beyond it.";
  c.unit = Unit::ratio;
  c.severity = Severity::major;
  c.inputs.emplace_back("ducts/fittings: coupler/clamps/range_mm");
  c.hint = "take the next size";
  c.measure = measure_sizes;
  return c;
}

CheckDef kind() {
  CheckDef c = hose_end_check();
  c.id = "cl.kind";
  c.title = "Clamp of the right kind";
  c.question = "Is the clamp of a kind that suits hose and pressure?";
  c.definition =
      "Under boost 1 for a T-bolt, with or without springs, and for a constant-torque clamp, 0 for any other kind. On "
      "other ducts 0 for a worm drive with slots through its band on a silicone hose, which it cuts, 1 for the rest.";
  c.unit = Unit::none;
  c.severity = Severity::major;
  c.inputs.emplace_back("ducts/fittings: coupler/material");
  c.hint = "take a lined band on silicone, a T-bolt under boost";
  c.measure = measure_kinds;
  return c;
}

}  // namespace

std::vector<CheckDef> hose_end_checks() { return {seat(), engage(), size(), kind()}; }

}  // namespace baywright::checks

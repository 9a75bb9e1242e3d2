#include <algorithm>
#include <set>

#include "access/way_words.hpp"
#include "access/ways_out.hpp"
#include "checks/asked_checks.hpp"
#include "checks/check_groups.hpp"
#include "checks/subjects.hpp"
#include "geometry/base/words.hpp"
#include "measure/clearance_pairs.hpp"
#include "measure/tolerances.hpp"

namespace baywright::checks {
namespace {

using measure::Measured;
using measure::NotAssessed;

constexpr const char* kId = "cr.assemble";
constexpr const char* kQuestion = "Can every piece of the duct be put in and taken out with the rest in place?";

/// Parts whose shape nobody knows: what they are in the way of cannot be told.
std::vector<std::string> unknown_parts(const bay::Bay& bay) {
  std::vector<std::string> out;
  for (const bay::Part& part : bay.parts) {
    if (!part.removed_first && (part.doubted() || part.tree.empty())) out.push_back(name_of(part));
  }
  return out;
}

/// Somebody's word on a duct: yes, no, or nothing.
std::optional<bool> said(std::span<const Answer> answers, const duct::DuctId& duct) {
  const Subject subject = asked_subject(answers, kId, duct, kQuestion);
  const auto* answer = std::get_if<Measured>(&subject.outcome);
  return answer ? std::optional(answer->lo > 0.5) : std::nullopt;
}

std::string note_of(const access::PieceWay& way, const std::vector<std::string>& notes, const DisplayUnits& units) {
  std::string text = "comes out through " + way.opening + ", number " + std::to_string(way.order) + " of the order";
  if (!way.with.empty()) text += ", on " + way.with;
  if (!way.released.empty()) text += "; " + way.released;
  std::vector<std::string> moves;
  for (const access::WayStep& step : way.steps) moves.push_back(access::words_of(step, units));
  if (!moves.empty()) text += "; moves: " + joined(moves, ", then ");
  if (!notes.empty()) text += "; " + joined(notes);
  return text;
}

std::vector<Subject> measure_pieces(const Context& context) {
  Subject answer = asked_subject(context.answers, kId, context.duct.spec.id, kQuestion);
  const std::optional<bool> yes = said(context.answers, context.duct.spec.id);
  // Who tried it knows better than a search that takes hoses for rigid and brackets for gone.
  if (yes && !*yes) return {answer};
  if (!context.measures.ways) {
    if (yes) return {answer};
    auto& open = std::get<NotAssessed>(answer.outcome);
    if (context.bay.parts.empty()) {
      open.reason = "the bay has no parts, so nobody knows what is in the way; " + open.reason;
      open.missing.insert(open.missing.begin(), "parts");
    } else if (const auto unknown = unknown_parts(context.bay); !unknown.empty()) {
      open.reason = "the shape of " + joined(unknown) + " is not known, so no way past it is; " + open.reason;
      open.missing.insert(open.missing.begin(), "parts/file");
    } else {
      open.reason =
          "ways out are searched when the whole job is checked, or when they are asked for, not while it is edited; " +
          open.reason;
    }
    return {answer};
  }
  std::vector<Subject> subjects;
  bool any_open = false;
  for (const access::PieceWay& way : context.measures.ways->pieces) {
    if (way.duct != context.duct.spec.id) continue;
    any_open = any_open || !way.found;
    Subject s;
    s.subject = way.piece;
    if (way.found) {
      Measured m = Measured::exact(1, Unit::none);
      m.note = note_of(way, context.measures.ways->notes, context.bay.units);
      s.outcome = std::move(m);
    } else if (!yes) {
      NotAssessed open{way.open + "; to be confirmed on the vehicle", way.missing};
      open.missing.push_back(std::string("answers: ") + kId);
      s.outcome = std::move(open);
    } else {
      continue;
    }
    subjects.push_back(std::move(s));
  }
  if (yes && any_open) subjects.push_back(std::move(answer));
  return subjects;
}

CheckDef assemble() {
  CheckDef c;
  c.id = kId;
  c.title = "Pieces go in and come out";
  c.question = kQuestion;
  c.definition =
      "1 for each tube and each hose for which a way out is proven. The finished assembly is taken apart piece by "
      "piece, everything at rest, the bonnet open and out what the job lets be taken out first, with nothing held on "
      "that any more; putting in is the same backwards. A tube is freed by sliding a hose back onto it or onto its "
      "neighbour (straight hoses and humps, along plain straight tube, {5 mm} short of a bend, boss or cone, over the "
      "bead at the tube's own end, and on a spigot no farther than its stated length), or by drawing it straight out "
      "of the hose or off the port; a hose that is hindered is turned on its seat first; what ends on a branch port of "
      "it is slid back or drawn off in the same ways. Of what it is slid along or drawn off it may touch the spigot, "
      "the branch port or plain tube until it is off; what lies in that seat or within {20 mm} of it keeps {0.3 mm} "
      "from the rest of the same part or tube meanwhile, and no uncertainties, for it was built there. Then slides and "
      "turns carry it, with the hoses that stay on it, through the outline of an access opening until all of it is "
      "beyond its plane; from there it could go on the same way by its own measure, past the opened bonnet too, and "
      "straight out of the opening past all other parts and pieces, so a plane drawn too far in is no way out. What "
      "covers an opening from outside has to be among the "
      "parts. What reaches beyond an opening's plane as drawn, or on the way, has to lie over its outline, else that "
      "opening is not its way. But for its seat it keeps {1 mm} beside the uncertainties of part and duct, proven for "
      "the whole way. Of hands nothing is asked. Clamps are loosened and stay on their hoses, with their bodies where "
      "the screw's clock angle is stated and else as high all round; beads count as stated, and {3 mm} high where "
      "nothing is; without the size of a sensor's boss or of the clamps nothing is searched. A tube that begins on a "
      "port without a hose is taken to end at the port's face. Brackets are undone; they, taps and drains are not "
      "drawn, and hoses are moved as rigid. No more than four thousand moves are tried for a piece. Where the search "
      "ends without a way, that proves nothing: somebody says in the job whether it was tried on the vehicle, or with "
      "a likeness. Nothing is searched where somebody said of every duct whether its pieces come out; a no counts "
      "before any way that is found, and what it is said of stays in the way of the others.";
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = Severity::major;
  c.services = all_services();
  c.inputs = {"parts", "openings", "ports/spigot_length_mm", std::string("answers: ") + kId};
  c.hint = "split the tube, or put in a joint that lets it come out";
  c.asked = true;
  c.measure = measure_pieces;
  return c;
}

}  // namespace

std::shared_ptr<const access::WaysOut> measure_ways(const Judged& judged, const Progress& progress) {
  if (judged.sheet.not_required.contains(kId) || judged.bay.parts.empty()) return nullptr;
  if (!unknown_parts(judged.bay).empty()) return nullptr;
  const auto asks = [&](const duct::Duct& duct) { return !said(judged.answers, duct.spec.id); };
  if (std::none_of(judged.ducts.begin(), judged.ducts.end(), asks)) return nullptr;
  access::WayInputs inputs{judged.bay, judged.ducts, {}, {}};
  inputs.clamps = judged.workshop.clamps;
  for (const duct::Duct& duct : judged.ducts) {
    if (said(judged.answers, duct.spec.id) == false) inputs.stays.insert(duct.spec.id);
  }
  for (const bay::Part& part : judged.bay.parts) {
    inputs.part_mm.push_back(measure::part_uncertainty(part, std::nullopt, judged.bay.units).low());
  }
  for (const duct::Duct& duct : judged.ducts) inputs.duct_mm.push_back(measure::nearer_by_making_mm(duct));
  auto ways = access::ways_out(inputs, progress);
  return ways ? std::make_shared<const access::WaysOut>(*std::move(ways)) : nullptr;
}

std::vector<CheckDef> assemble_checks() { return {assemble()}; }

}  // namespace baywright::checks

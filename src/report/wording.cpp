#include "report/wording.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "report/figures.hpp"

namespace baywright::report {

checks::Verdict job_verdict(const checks::Summary& summary) {
  if (summary.not_met > 0) return checks::Verdict::not_met;
  if (summary.undecided > 0) return checks::Verdict::undecided;
  if (summary.not_checked > 0 || summary.met == 0) return checks::Verdict::not_checked;
  return checks::Verdict::met;
}

namespace {

std::string counted(int n, std::string_view one, std::string_view many) {
  return std::to_string(n) + " " + std::string(n == 1 ? one : many);
}

}  // namespace

std::string job_sentence(const checks::Evaluation& evaluation) {
  const checks::Summary& s = evaluation.summary;
  const int counted_findings = s.met + s.not_met + s.undecided + s.not_checked;
  if (counted_findings == 0 && evaluation.ducts.empty()) return "Nothing was checked: the job has no duct.";
  if (counted_findings == 0) return "Nothing was checked: no requirement applies to this job.";
  const std::string of_all = " of " + counted(counted_findings, "finding", "findings");
  std::vector<std::string> open;
  if (s.undecided > 0) open.push_back(std::to_string(s.undecided) + (s.undecided == 1 ? " is" : " are") + " undecided");
  if (s.not_checked > 0) open.push_back(std::to_string(s.not_checked) + " could not be checked");
  const std::string told = s.told == 0 ? ""
                                       : " " + counted(s.told, "finding of weight info is open and holds nothing up.",
                                                       "findings of weight info are open and hold nothing up.");
  std::string also;
  for (std::size_t i = 0; i < open.size(); ++i) also += (i == 0 ? "" : " and ") + open[i];
  if (s.not_met > 0) {
    return "The job does not meet its requirements: " + std::to_string(s.not_met) + of_all +
           (s.not_met == 1 ? " is not met" : " are not met") + (also.empty() ? "." : "; " + also + ".") + told;
  }
  if (!also.empty()) return "No requirement fails, but the job is still open: " + also + of_all + "." + told;
  const int assumed = count_on_assumed_motion(evaluation);
  return "Every requirement that was checked is met: " + counted(counted_findings, "finding", "findings") +
         ", none open" +
         (assumed > 0 ? "; " + std::to_string(assumed) + (assumed == 1 ? " of them rests" : " of them rest") +
                            " on an assumed movement, which is not proof."
                      : ".") +
         told;
}

std::string_view decision_rule() {
  return "A requirement is met only when the whole interval in which the true value can lie, that is the measured "
         "bracket widened by the uncertainty of everything that entered it, is on the right side of the limit, and not "
         "met only when that whole interval is on the wrong side. When the limit lies inside the interval the finding "
         "is undecided, and a better measurement of that place settles it (decision rule after ISO 14253-1; nothing is "
         "rounded before it is compared).";
}

std::string_view frame_text() {
  return "Vehicle frame at rest, right-handed: x forward, y left, z up (axes as in ISO 8855).";
}

const std::vector<std::string>& not_modelled() {
  static const std::vector<std::string> kLines = {
      "Anything that is not in the list of parts: wiring, hoses, brackets and panels that were neither scanned nor "
      "modelled take no space here.",
      "Regions the scan did not see count as empty.",
      "Clearance between parts of the bay themselves.",
      "Shape changes: hoses swelling or collapsing, tubes sagging, parts growing with heat, structure flexing.",
      "Movement other than the motions listed, for example worn or broken mounts.",
      "How a coupler ages under its movement, and movements at once: each way it gives is held against what its maker "
      "states for that way alone.",
      "What passes beside a heat shield: only the nearest way to the hot part is held against it. Whether a rigid tube "
      "is of metal, as the distances to hot parts suppose.",
      "Ways to a clamp with more than one corner, and openings that are not stated; tools that bend are tried only "
      "where "
      "no other serves.",
      "How pieces come out and go in beyond the moves that cr.assemble searches: hoses are moved as rigid, brackets "
      "are "
      "taken as undone, the room for hands is not looked at, and a search that ends without a way proves nothing.",
      "Strength, vibration, noise and the life of materials.",
      "Flow is a steady one-dimensional estimate: no pulsation, no swirl into the compressor. Filter loading is read "
      "between the clean curve and that of an element due for change, not beyond them.",
      "Heat led over into the intake's air from the compressor and from brackets, and what hot ducts radiate: ht.rise "
      "takes the bay's air and the hot parts of the job. Temperatures of hoses, wiring and other parts: hot "
      "surroundings "
      "are judged by distance alone.",
  };
  return kLines;
}

std::string body_name(const bay::Bay& bay, BodyIndex body) {
  if (body < 0 || body >= static_cast<BodyIndex>(bay.bodies.size())) return "vehicle";
  const bay::Body& b = bay.bodies[static_cast<std::size_t>(body)];
  return b.name.empty() ? b.id.value : b.name;
}

std::string body_name(const bay::Bay& bay, const bay::BodyId& body) {
  for (const bay::Body& b : bay.bodies) {
    if (b.id == body) return b.name.empty() ? b.id.value : b.name;
  }
  return body.value;
}

std::string carrier_text(const bay::Bay& bay, const duct::Piece& piece) {
  std::vector<std::string> bodies;
  const auto add = [&](const RigidCarriage& c) {
    for (BodyIndex body : {c.a, c.b}) {
      std::string name = body_name(bay, body);
      if (std::find(bodies.begin(), bodies.end(), name) == bodies.end()) bodies.push_back(std::move(name));
    }
  };
  add(piece.carriage.first);
  if (piece.carriage.second) add(*piece.carriage.second);
  std::string list = bodies.front();
  for (std::size_t i = 1; i < bodies.size(); ++i) list += " and " + bodies[i];
  if (bodies.size() == 1) return "moves with " + list;
  if (!piece.carriage.second) return "floats between " + list;
  return (piece.kind != duct::Piece::Kind::tube ? "flexes between " : "held by both ") + list;
}

std::string hexagon_text(double hexagon_mm) {
  constexpr double kSixteenth_mm = 25.4 / 16, kSame_mm = 0.01;
  const int sixteenths = static_cast<int>(std::lround(hexagon_mm / kSixteenth_mm));
  const bool metric = std::abs(hexagon_mm - std::round(hexagon_mm)) < kSame_mm;
  if (!metric && std::abs(hexagon_mm - sixteenths * kSixteenth_mm) < kSame_mm) {
    const int common = std::gcd(sixteenths, 16);
    const std::string parts = common < 16 ? "/" + std::to_string(16 / common) : "";
    return std::to_string(sixteenths / common) + parts + " in";
  }
  std::string number = fixed(hexagon_mm, 2);
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') number.pop_back();
  return number + " mm";
}

bool is_clearance(const checks::Finding& finding) { return !finding.pair.empty(); }

std::vector<std::string> assumed_motions(const bay::Bay& bay) {
  std::vector<std::string> names;
  for (const bay::Body& body : bay.bodies) {
    if (body.motion_assumed) names.push_back(body.name.empty() ? body.id.value : body.name);
  }
  return names;
}

int count_on_assumed_motion(const checks::Evaluation& evaluation) {
  return static_cast<int>(std::count_if(evaluation.findings.begin(), evaluation.findings.end(), [](const auto& f) {
    const auto* m = std::get_if<measure::Measured>(&f.outcome);
    return m != nullptr && m->assumed_motion;
  }));
}

std::vector<std::string> unstated_inputs(const checks::Evaluation& evaluation) {
  std::vector<std::string> keys;
  for (const checks::Finding& finding : evaluation.findings) {
    const auto* measured = std::get_if<measure::Measured>(&finding.outcome);
    if (measured == nullptr) continue;
    for (const Contribution& c : measured->band.contributions()) {
      if (!c.missing.empty()) keys.push_back(c.missing);
    }
  }
  std::sort(keys.begin(), keys.end());
  keys.erase(std::unique(keys.begin(), keys.end()), keys.end());
  return keys;
}

std::vector<const checks::Finding*> tightest_places(const checks::Evaluation& evaluation, std::size_t count) {
  constexpr double kSamePartMm = 100;  // one part: nearer than this is the same place seen twice
  constexpr double kAnyPartMm = 25;    // neighbouring parts that one close-up shows anyway
  std::vector<const checks::Finding*> chosen;
  for (const checks::Finding& f : evaluation.findings) {
    if (chosen.size() == count) break;
    const auto* m = std::get_if<measure::Measured>(&f.outcome);
    if (!is_clearance(f) || !f.limit || m == nullptr || !m->witness) continue;
    const Vec3& p = m->witness->on_duct_mm;
    const bool seen = std::any_of(chosen.begin(), chosen.end(), [&](const checks::Finding* c) {
      const double distance_mm = (std::get<measure::Measured>(c->outcome).witness->on_duct_mm - p).norm();
      return distance_mm < (c->part == f.part ? kSamePartMm : kAnyPartMm);
    });
    if (!seen) chosen.push_back(&f);
  }
  return chosen;
}

}  // namespace baywright::report

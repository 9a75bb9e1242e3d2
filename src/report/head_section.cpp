#include "geometry/base/words.hpp"
#include "measure/clearance_measure.hpp"
#include "report/page.hpp"
#include "report/wording.hpp"

namespace baywright::report {
namespace {

using checks::Verdict;

Markup count_cell(Verdict verdict, int count) {
  return "<a href=\"#"_h + verdict_key(verdict) + "\""_h + (count == 0 ? " class=\"zero\""_h : ""_h) + ">"_h +
         tag("b", text(count)) + verdict_mark(verdict) + "</a>"_h;
}

Markup counts(const checks::Summary& s) {
  return tag("div", "counts",
             count_cell(Verdict::not_met, s.not_met) + count_cell(Verdict::undecided, s.undecided) +
                 count_cell(Verdict::not_checked, s.not_checked) + count_cell(Verdict::met, s.met) +
                 count_cell(Verdict::not_applicable, s.not_applicable));
}

Markup fact(const char* name, const std::string& value) {
  return tag("div", tag("dt", text(name)) + tag("dd", text(value)));
}

std::string ducts_line(const Page& page) {
  std::vector<std::string> lines;
  for (const duct::Duct& d : page.installation.ducts) {
    const Figures& f = page.figures;
    lines.push_back((d.spec.name.empty() ? d.spec.id.value : d.spec.name) + " (" +
                    std::string(duct::name(d.spec.service)) + "): " + f.value(d.layout.length_mm, Unit::mm) +
                    ", tube " + f.number(d.spec.tube.outer_diameter_mm, Unit::mm) + " \u00D7 " +
                    f.value(d.spec.tube.wall_mm, Unit::mm, 1));
  }
  return lines.empty() ? "none" : joined(lines, "; ");
}

std::string motion_line(const bay::Bay& bay) {
  std::vector<std::string> lines;
  const Kinematics running = measure::running_kinematics(bay);
  for (std::size_t i = 0; i < bay.bodies.size(); ++i) {
    const bay::Body& body = bay.bodies[i];
    if (body.motion.moves() && !running.bodies[i].moves()) {
      lines.push_back((body.name.empty() ? body.id.value : body.name) + ": for service only, no part of any clearance");
    }
    if (!running.bodies[i].moves()) continue;
    const std::size_t cases = body.motion.members().size();
    lines.push_back((body.name.empty() ? body.id.value : body.name) + ": " + std::to_string(cases) +
                    (cases == 1 ? " motion" : " motions") + (body.motion_assumed ? ", assumed" : ""));
  }
  return lines.empty() ? "nothing moves in this job" : joined(lines, "; ");
}

std::string air_line(const Page& page) {
  const flow::FlowInputs& in = page.installation.job.flow;
  std::vector<std::string> lines;
  if (const auto rated = flow::rated_flow(in)) {
    lines.push_back(page.figures.value(rated->si(), Unit::kg_per_s) + " rated" +
                    (in.rated ? "" : ", of displacement and speed"));
  }
  if (in.ambient) {
    lines.push_back(page.figures.value(in.ambient->pressure.si(), Unit::pascal) + ", " +
                    page.figures.value(in.ambient->temperature.si(), Unit::kelvin) + " outside");
  }
  return lines.empty() ? "not stated" : joined(lines, "; ");
}

std::string units_line(const Figures& f) {
  return f.symbol(Unit::mm) + ", " + f.symbol(Unit::pascal) + ", " + f.symbol(Unit::kelvin);
}

/// Things a reader has to know before believing any number below.
Markup callouts(const Page& page) {
  std::vector<std::string> lines;
  if (const int n = count_on_assumed_motion(page.evaluation); n > 0) {
    lines.push_back("Assumed movement: how far " + joined(assumed_motions(page.bay()), "; ") +
                    " moves was not measured. " + std::to_string(n) + (n == 1 ? " finding rests" : " findings rest") +
                    " on default movements of common practice and prove nothing until the movement is measured.");
  }
  if (const std::vector<std::string> keys = unstated_inputs(page.evaluation); !keys.empty()) {
    lines.push_back("Uncertainties not stated: " + joined(keys, "; ") +
                    ". What is not stated is unknown: cautious usual figures stand in for them, and each finding lists "
                    "those it rests on.");
  }
  const std::size_t warnings = page.installation.warnings.size();
  if (warnings > 0) {
    lines.push_back(std::to_string(warnings) + (warnings == 1 ? " warning" : " warnings") +
                    " arose while the files were read: see section 9.");
  }
  Markup out;
  for (const std::string& line : lines) out += tag("p", text(line));
  return out.empty() ? out : tag("div", "callout", out);
}

}  // namespace

Markup head_section(const Page& page) {
  const job::Job& job = page.installation.job;
  const Verdict verdict = job_verdict(page.evaluation.summary);
  Markup title = tag("div", "eyebrow", "Baywright installation report"_h) +
                 tag("h1", text(job.name.empty() ? "Job without a name" : job.name));
  if (!job.note.empty()) title += tag("p", "note", text(job.note));
  const Markup stamp = "<div class=\"stamp "_h + verdict_key(verdict) + "\">"_h + verdict_mark(verdict) + "</div>"_h;
  const Markup facts = tag("dl", "facts",
                           fact("Ducts", ducts_line(page)) + fact("Requirement sheet", page.installation.sheet.name) +
                               fact("Movement", motion_line(page.bay())) + fact("Air", air_line(page)) +
                               fact("Input files", std::to_string(page.installation.files.size())) +
                               fact("Shown in", units_line(page.figures)));
  return tag("header", tag("div", "top", tag("div", title) + stamp) +
                           tag("p", "sentence", text(job_sentence(page.evaluation))) + counts(page.evaluation.summary) +
                           facts) +
         callouts(page) +
         "<nav aria-label=\"Contents\"><a href=\"#verdicts\">1 Verdicts</a><a href=\"#pictures\">2 Pictures</a>"
         "<a href=\"#restriction\">3 Restriction</a><a href=\"#ducts\">4 Duct data</a>"
         "<a href=\"#clearance\">5 Clearance</a><a href=\"#clamps\">6 Clamps</a><a href=\"#ways\">7 Taking apart</a>"
         "<a href=\"#inputs\">8 Inputs</a><a href=\"#limits\">9 Limits</a><a href=\"#open\">10 Not covered</a>"
         "<a href=\"#cautions\">11 Cautions and sign-off</a></nav>\n"_h;
}

}  // namespace baywright::report

#include "checks/asked_checks.hpp"

#include <algorithm>
#include <string>
#include <utility>

#include "checks/check_groups.hpp"

namespace baywright::checks {
namespace {

using duct::Service;

/// The answer to a check: one for this duct stands before one for all.
const Answer* answer_to(std::span<const Answer> answers, const std::string& check, const duct::DuctId& duct) {
  const Answer* general = nullptr;
  for (const Answer& answer : answers) {
    if (answer.check != check) continue;
    if (!duct.empty() && answer.duct == duct) return &answer;
    if (answer.duct.empty()) general = &answer;
  }
  return general;
}

/// Questions about scans are not asked of a job that surely has none; what somebody said all the same counts.
Subject about_scans(const Judged& job, Subject said) {
  const auto& parts = job.bay.parts;
  const bool any = std::any_of(parts.begin(), parts.end(), [](const bay::Part& part) { return part.scanned(); });
  auto* open = std::get_if<measure::NotAssessed>(&said.outcome);
  if (any || !open) return said;
  const auto guessed =
      std::find_if(parts.begin(), parts.end(), [](const bay::Part& part) { return part.model_assumed; });
  if (guessed != parts.end()) {
    open->reason = "part " + guessed->id.value + " looks made of a model, and nobody said that it is no scan";
    open->missing.push_back("parts/" + guessed->id.value + "/scanned");
  } else {
    said.left_out = "no part of the job is a scan";
  }
  return said;
}

CheckDef asked(const char* id, const char* title, const char* question, const char* definition, Severity severity,
               std::vector<Service> services, const char* hint) {
  CheckDef c;
  c.id = id;
  c.title = title;
  c.question = question;
  c.definition = definition;
  c.unit = Unit::none;
  c.comparison = Comparison::at_least;
  c.severity = severity;
  c.services = std::move(services);
  c.inputs = {"answers: " + c.id};
  c.hint = hint;
  c.asked = true;
  if (c.services.empty()) {
    c.measure_job = [check = c.id, question = c.question](const Judged& job, std::span<const Finding>) {
      return std::vector<Subject>{asked_subject(job.answers, check, {}, question)};
    };
  } else {
    c.measure = [check = c.id, question = c.question](const Context& context) {
      return std::vector<Subject>{asked_subject(context.answers, check, context.duct.spec.id, question)};
    };
  }
  return c;
}

CheckDef of_scans(CheckDef c) {
  c.measure_job = [ask = std::move(c.measure_job)](const Judged& job, std::span<const Finding> so_far) {
    std::vector<Subject> subjects = ask(job, so_far);
    for (Subject& s : subjects) s = about_scans(job, std::move(s));
    return subjects;
  };
  c.inputs.emplace_back("parts/scanned");
  return c;
}

}  // namespace

Subject asked_subject(std::span<const Answer> answers, const std::string& check, const duct::DuctId& duct,
                      const std::string& question) {
  Subject s;
  s.subject = "asked";
  const Answer* answer = answer_to(answers, check, duct);
  if (!answer) {
    s.outcome = measure::NotAssessed{"to be confirmed on the vehicle: " + question, {"answers: " + check}};
    return s;
  }
  measure::Measured m = measure::Measured::exact(answer->yes ? 1 : 0, Unit::none);
  s.subject = "said by " + answer->by;
  m.note = answer->note;
  s.outcome = std::move(m);
  return s;
}

bool takes_answers(const CheckDef& check) {
  return std::find(check.inputs.begin(), check.inputs.end(), "answers: " + check.id) != check.inputs.end();
}

std::vector<CheckDef> asked_checks() {
  return {
      asked("sn.arrow", "Sensor the right way round", "Does the arrow on the sensor tube point along the flow?",
            "Asked: the arrow on the sensor tube as it is fitted points from the filter to the compressor. Geometry "
            "cannot see the arrow.",
            Severity::blocker, {Service::intake}, "turn the sensor tube round"),
      asked("in.material", "No rust and no paint inside",
            "Is the clean side free of bare steel, paint and loose burrs inside?",
            "Asked: all tubes between filter and compressor are stainless steel, aluminium or plastic, without paint "
            "inside, and their cut edges are deburred and washed.",
            Severity::major, {Service::intake}, "use stainless steel or aluminium, deburr and wash it"),
      asked(
          "sv.gauge", "Restriction gauge can be read",
          "Can the restriction gauge be read by whoever checks the vehicle in the morning?",
          "Asked: the gauge or indicator of the air cleaner is seen without tools, from where the vehicle is checked.",
          Severity::minor, {Service::intake}, "fit a gauge with a line to where it can be seen"),
      asked("sv.dust", "Inlet away from dust and snow",
            "Does the inlet draw from a place free of wheel spray, radiator air and snow?",
            "Asked: the place where outside air enters lies neither in the spray of a wheel, nor behind the radiator, "
            "nor at the foot of the grille, and there is a second way in where snow can close the first.",
            Severity::minor, {Service::raw_air, Service::intake},
            "move the inlet, or give it a screen and a second way in"),
      asked("ht.source", "Outside air at the inlet", "Does the inlet draw outside air, not air of the bay?",
            "Asked: the inlet lies outside the engine bay, or in a box sealed against it whose leaks are at most 5 % "
            "of the inlet's area.",
            Severity::major, {Service::raw_air, Service::intake},
            "seal the box to the bonnet, or move the inlet outside"),
      asked("fb.selfhit", "Tube clears the bender",
            "Does the tube clear itself and the bending machine while it is bent?",
            "Asked of the bending shop: no part of the tube comes within {25 mm} of the machine, the floor or itself "
            "in the order of the bend table.",
            Severity::info, all_services(), "bend from the other end, or split the tube"),
      of_scans(asked(
          "dt.cover", "Bay scanned along the route", "Was the bay scanned all along the duct?",
          "Asked: the scan shows at least 95 % of the surfaces that face the duct along its route; where it shows "
          "none the program takes the space as empty. Of a job without a scan it is not asked.",
          Severity::blocker, {}, "scan what lies in the shadow, or measure there by hand")),
      of_scans(asked(
          "dt.scale", "Scale of the scan proven", "Was a known length found again in the scan?",
          "Asked: a length that was measured on the vehicle, as long as the bay, is found in the scan with an error "
          "of at most 0.1 %. Of a job without a scan it is not asked.",
          Severity::blocker, {}, "measure a length on the vehicle and scale the scan by it")),
      of_scans(asked(
          "dt.align", "Parts placed on what was scanned",
          "Were the supplier's models fitted to scanned features, and how well?",
          "Asked: each model lies on the scanned features it was fitted to with a root mean square of at most {0.5 "
          "mm} and no more than {1.5 mm} anywhere. Of a job without a scan it is not asked.",
          Severity::blocker, {}, "fit the models to the scan again")),
      asked("em.docs", "Papers in order", "Are the papers for this engine in this vehicle in order?",
            "Asked: the engine supplier's installation sheet is at hand in its current revision, there is a statement "
            "that the engine stays in its certified configuration, and its label can be read when it is fitted. Which "
            "rules apply is for local codes and the engine supplier to say.",
            Severity::blocker, {}, "get the sheet and the statement before anything is built"),
  };
}

}  // namespace baywright::checks

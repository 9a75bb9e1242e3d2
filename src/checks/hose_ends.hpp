#pragma once

#include <string>
#include <vector>

#include "checks/check.hpp"

namespace baywright::checks {

// What checks of hoses have in common: going through them, their names and the places of their keys.

/// One hose of a duct.
struct Hose {
  const duct::PlacedFitting& fitting;
  const duct::Coupler& coupler;
  std::string key(const Context& context, const std::string& name) const {
    return "ducts/" + context.duct.spec.id.value + "/fittings/" + fitting.id.value + "/" + name;
  }
  std::string end_name(duct::HoseEnd end) const {
    return fitting.id.value + ", " + std::string(duct::name(end)) + " end";
  }
};
/// In order of station.
std::vector<Hose> hoses_of(const duct::Duct& duct);

/// "hump-1", without an outcome.
Subject subject_of(const Hose& hose);
Subject subject_of(const Hose& hose, duct::HoseEnd end);
/// One subject that waits for an input.
Subject waits(Subject subject, std::string reason, std::vector<std::string> missing);
/// Without the hoses a check leaves out; when it leaves out all, what is left is one subject that says why.
std::vector<Subject> of_concern(std::vector<Subject> subjects);
/// Holds the value of a subject against a limit that stands beside the check's own; one the sheet does not have is
/// missing.
void against(const Context& context, const char* limit_id, Subject& subject);
/// Yes or no in the middle of the hose; a value at a station.
measure::Measured yes_or_no(const Context& context, const Hose& hose, bool yes, std::string note);
measure::Measured value_at(const Context& context, double value, Unit unit, double station_mm);
double station_of(const Hose& hose, duct::HoseEnd end);
double middle_of(const Hose& hose);

/// The hose's material in the table; nullptr where the job names none.
const catalog::HoseMaterial* material_of(const Context& context, const Hose& hose);

}  // namespace baywright::checks

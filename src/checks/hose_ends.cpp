#include "checks/hose_ends.hpp"

namespace baywright::checks {

std::vector<Hose> hoses_of(const duct::Duct& duct) {
  std::vector<Hose> hoses;
  for (const duct::PlacedFitting& fitting : duct.layout.fittings) {
    if (const auto* coupler = std::get_if<duct::Coupler>(&fitting.kind)) hoses.push_back({fitting, *coupler});
  }
  return hoses;
}

Subject subject_of(const Hose& hose) {
  Subject s;
  s.subject = hose.fitting.id.value;
  return s;
}

Subject subject_of(const Hose& hose, duct::HoseEnd end) {
  Subject s;
  s.subject = hose.end_name(end);
  return s;
}

Subject waits(Subject subject, std::string reason, std::vector<std::string> missing) {
  subject.outcome = measure::NotAssessed{std::move(reason), std::move(missing)};
  return subject;
}

void against(const Context& context, const char* limit_id, Subject& subject) {
  const auto limit = context.sheet.limits.find(limit_id);
  if (limit != context.sheet.limits.end()) {
    subject.limit = limit->second;
  } else if (std::holds_alternative<measure::Measured>(subject.outcome)) {
    subject.outcome =
        measure::NotAssessed{"the sheet has no limit for this", {std::string("sheet/limits/") + limit_id}};
  }
}

std::vector<Subject> of_concern(std::vector<Subject> subjects) {
  std::vector<Subject> left;
  for (const Subject& s : subjects) {
    if (s.left_out.empty()) left.push_back(s);
  }
  if (left.empty() && !subjects.empty()) left.push_back(std::move(subjects.front()));
  return left;
}

measure::Measured value_at(const Context& context, double value, Unit unit, double station_mm) {
  measure::Measured m = measure::Measured::exact(value, unit);
  m.station_mm = station_mm;
  m.at_mm = context.duct.layout.at(station_mm).p_mm;
  return m;
}

measure::Measured yes_or_no(const Context& context, const Hose& hose, bool yes, std::string note) {
  measure::Measured m = value_at(context, yes ? 1 : 0, Unit::none, middle_of(hose));
  m.note = std::move(note);
  return m;
}

double station_of(const Hose& hose, duct::HoseEnd end) {
  return end == duct::HoseEnd::upstream ? hose.fitting.station_from_mm : hose.fitting.station_to_mm;
}

double middle_of(const Hose& hose) { return 0.5 * (hose.fitting.station_from_mm + hose.fitting.station_to_mm); }

const catalog::HoseMaterial* material_of(const Context& context, const Hose& hose) {
  return catalog::find_material(context.workshop.materials, hose.coupler.material);
}

}  // namespace baywright::checks

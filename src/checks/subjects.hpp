#pragma once

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "checks/check.hpp"

namespace baywright::checks {

// What checks of all kinds put their subjects together with.

/// As people call it: its name, else its id.
inline std::string name_of(const bay::Part& part) { return part.name.empty() ? part.id.value : part.name; }

inline const duct::Piece& piece_of(const Context& context, const measure::PairClearance& pair) {
  return context.duct.layout.pieces[static_cast<std::size_t>(pair.piece)];
}
inline const bay::Part& part_of(const Context& context, const measure::PairClearance& pair) {
  return context.bay.parts[static_cast<std::size_t>(pair.part)];
}

/// What a measured clearance leaves beyond its limit (without one: at all), at the least: the worst has the smallest.
inline double left_of(const Subject& s) {
  const double lowest = std::get<measure::Measured>(s.outcome).lowest();
  return s.fails ? -std::numeric_limits<double>::infinity() : s.limit ? lowest - s.limit->value : lowest;
}

/// A subject that cannot be judged: why, and the inputs that would help.
inline Subject not_assessed(std::string subject, std::string reason, std::vector<std::string> missing) {
  Subject s;
  s.subject = std::move(subject);
  s.outcome = measure::NotAssessed{std::move(reason), std::move(missing)};
  return s;
}

inline Subject subject(std::string name, measure::Outcome outcome) {
  Subject s;
  s.subject = std::move(name);
  s.outcome = std::move(outcome);
  return s;
}

/// About the duct's sensor; left out where the job says that there is none.
inline Subject of_the_sensor(const Context& context, measure::Outcome outcome) {
  Subject s;
  s.subject = "sensor";
  s.outcome = std::move(outcome);
  if (context.duct.spec.no_sensor) s.left_out = "the job says that the duct has no sensor";
  return s;
}

inline std::optional<Limit> limit_of(const Sheet& sheet, const std::string& id) {
  const auto found = sheet.limits.find(id);
  return found == sheet.limits.end() ? std::nullopt : std::optional(found->second);
}

/// What a check of one class of part says where no part is of it: every engine bay holds some, so a job without them
/// has not stated what they are. `word`: as in files, "hot".
inline Subject none_of_class(const std::string& word) {
  return not_assessed("parts of class " + word,
                      "no part of the job is of class " + word +
                          ", so nobody knows where they are (where there are none, let the sheet not require this)",
                      {"parts/class: " + word});
}

}  // namespace baywright::checks

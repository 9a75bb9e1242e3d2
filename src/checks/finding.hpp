#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "checks/sheet.hpp"
#include "measure/measured.hpp"

namespace baywright::checks {

enum class Verdict { met, not_met, undecided, not_checked, not_applicable };
std::string_view name(Verdict v);  ///< "met", "not met", "undecided", "not checked", "not applicable"

/// `info` is told and holds nothing up: while it is undecided or not checked it does not count as open.
enum class Severity { blocker, major, minor, info };
std::string_view name(Severity s);

/// One requirement applied to one place.
struct Finding {
  std::string check;  ///< id: "sn.up"
  std::string title;  ///< "Straight ahead of the sensor"
  Severity severity = Severity::major;
  duct::DuctId duct;
  std::string subject;  ///< where in words: "tube 1 - rocker cover", "cone R1", "bend at P2"
  std::optional<bay::PartId> part;
  std::string pair;          ///< clearances: the two things in words, the same at rest and over the motion; else ""
  bool over_motion = false;  ///< clearances: the least over the motion, not that at rest
  Verdict verdict = Verdict::not_checked;
  measure::Outcome outcome;
  std::optional<Limit> limit;
  std::string hint;  ///< what would help, one line; "" when met
};

/// How far an exact value may miss its limit and still count as lying on it, in the value's own unit. Decimal input is
/// turned into binary fractions and summed, which costs some 1e-13 of a length of a metre; a millionth of a millimetre
/// lies far above that and far below anything that can be made or measured.
inline constexpr double kRoundingAllowance = 1e-6;

/// ISO 14253-1 decision rule on the guarded interval: at least c: lowest >= c met, highest < c not met, else
/// undecided. At most: mirrored; below: mirrored, and a value on the limit is not met. Rounds nothing before comparing,
/// save that an end of an exact value's interval within kRoundingAllowance of the limit lies on it. A value, band or
/// limit that is not a number, or a
/// bracket upside down, is undecided, never met. EXPECTS equal units.
Verdict decide(const measure::Measured& m, const Limit& limit);
Verdict decide(const measure::Outcome& outcome, const std::optional<Limit>& limit);

/// How far inside the limit the guarded value lies, positive is good; used to order findings. In the value's unit.
/// Nothing when there is no measured value or no limit.
std::optional<double> margin(const Finding& finding);
/// Worst first: not met, undecided, not checked, met, not applicable; then severity; then relative margin; then id.
void sort_worst_first(std::vector<Finding>& findings);

struct Summary {
  int met = 0, not_met = 0, undecided = 0, not_checked = 0, not_applicable = 0;
  int told = 0;  ///< undecided or not checked of weight `info`; not among those above
};
Summary summarize(const std::vector<Finding>& findings);

}  // namespace baywright::checks

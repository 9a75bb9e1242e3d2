#include "checks/finding.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "geometry/base/expects.hpp"

namespace baywright::checks {

std::string_view name(Verdict v) {
  switch (v) {
    case Verdict::met:
      return "met";
    case Verdict::not_met:
      return "not met";
    case Verdict::undecided:
      return "undecided";
    case Verdict::not_checked:
      return "not checked";
    case Verdict::not_applicable:
      return "not applicable";
  }
  return "not checked";
}

std::string_view name(Severity s) {
  switch (s) {
    case Severity::blocker:
      return "blocker";
    case Severity::major:
      return "major";
    case Severity::minor:
      return "minor";
    case Severity::info:
      return "info";
  }
  return "major";
}

namespace {

constexpr double kRounding = 1e-12;  ///< relative, of numbers that were worked out in double precision

/// Ends of the interval the limit is held against. An exact value that misses the limit by rounding alone lies on it.
struct Guarded {
  double lowest = 0, highest = 0;
};
Guarded guarded(const measure::Measured& m, const Limit& limit) {
  Guarded g{m.lowest(), m.highest()};
  if (m.lo != m.hi) return g;  // a proven bracket has its rounding in it already
  for (double* end : {&g.lowest, &g.highest}) {
    if (std::abs(*end - limit.value) <= kRoundingAllowance) *end = limit.value;
  }
  return g;
}

}  // namespace

Verdict decide(const measure::Measured& m, const Limit& limit) {
  EXPECTS(m.unit == limit.unit);
  const auto [lowest, highest] = guarded(m, limit);
  // Comparisons with a NaN are false: what is not proven met or not met falls through to undecided.
  if (!(m.lo <= m.hi) || std::isnan(lowest) || std::isnan(highest)) return Verdict::undecided;
  switch (limit.comparison) {
    case Comparison::at_least:
      if (lowest >= limit.value) return Verdict::met;
      if (highest < limit.value) return Verdict::not_met;
      break;
    case Comparison::at_most:
      if (highest <= limit.value) return Verdict::met;
      if (lowest > limit.value) return Verdict::not_met;
      break;
    case Comparison::below: {
      // What was meant to lie on the limit must not slip under it by the last digits of an angle.
      const double edge = limit.value - kRounding * std::max(1.0, std::abs(limit.value));
      if (highest < edge) return Verdict::met;
      if (lowest >= edge) return Verdict::not_met;
      break;
    }
  }
  return Verdict::undecided;
}

Verdict decide(const measure::Outcome& outcome, const std::optional<Limit>& limit) {
  const auto* measured = std::get_if<measure::Measured>(&outcome);
  return measured && limit ? decide(*measured, *limit) : Verdict::not_checked;
}

std::optional<double> margin(const Finding& finding) {
  const auto* measured = std::get_if<measure::Measured>(&finding.outcome);
  if (!measured || !finding.limit) return std::nullopt;
  const auto [lowest, highest] = guarded(*measured, *finding.limit);
  return finding.limit->comparison == Comparison::at_least ? lowest - finding.limit->value
                                                           : finding.limit->value - highest;
}

namespace {

int rank(Verdict v) {
  switch (v) {
    case Verdict::not_met:
      return 0;
    case Verdict::undecided:
      return 1;
    case Verdict::not_checked:
      return 2;
    case Verdict::met:
      return 3;
    case Verdict::not_applicable:
      return 4;
  }
  return 2;
}

/// A count or a yes is met or not: its margin says nothing of how near it came.
bool has_no_degrees(const Finding& f) {
  const auto* measured = std::get_if<measure::Measured>(&f.outcome);
  return f.verdict == Verdict::met && measured && (measured->unit == Unit::none || measured->unit == Unit::count);
}

/// Margin as a share of the limit. A margin that is not a number sorts as the worst, none at all as the best: order
/// must be total for a stable list.
double relative_margin(const Finding& f) {
  const std::optional<double> value = margin(f);
  if (!value) return std::numeric_limits<double>::infinity();
  if (std::isnan(*value)) return -std::numeric_limits<double>::infinity();
  const double scale = std::abs(f.limit->value);
  return scale > 0 ? *value / scale : *value;
}

}  // namespace

void sort_worst_first(std::vector<Finding>& findings) {
  const auto key = [](const Finding& f) {
    return std::make_tuple(rank(f.verdict), has_no_degrees(f), static_cast<int>(f.severity), relative_margin(f),
                           f.check, f.duct.value, f.subject);
  };
  std::stable_sort(findings.begin(), findings.end(),
                   [&](const Finding& a, const Finding& b) { return key(a) < key(b); });
}

Summary summarize(const std::vector<Finding>& findings) {
  Summary summary;
  for (const Finding& f : findings) {
    switch (f.verdict) {
      case Verdict::met:
        ++summary.met;
        break;
      case Verdict::not_met:
        ++summary.not_met;
        break;
      case Verdict::undecided:
        ++(f.severity == Severity::info ? summary.told : summary.undecided);
        break;
      case Verdict::not_checked:
        ++(f.severity == Severity::info ? summary.told : summary.not_checked);
        break;
      case Verdict::not_applicable:
        ++summary.not_applicable;
        break;
    }
  }
  return summary;
}

}  // namespace baywright::checks

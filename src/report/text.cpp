#include "report/text.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <vector>

#include "geometry/base/unit_step.hpp"
#include "geometry/base/words.hpp"
#include "report/figures.hpp"

namespace baywright::report {
namespace {

using checks::Finding;
using checks::Verdict;

/// Columns a terminal needs for UTF-8 text: every code point used here is one column wide.
std::size_t columns(const std::string& text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string padded(const std::string& text, std::size_t width) {
  return text + std::string(width > columns(text) ? width - columns(text) : 0, ' ');
}

/// Text cut to `width` columns with an ellipsis.
std::string clipped(const std::string& text, std::size_t width) {
  if (columns(text) <= width) return text;
  std::string out;
  std::size_t used = 0;
  for (std::size_t i = 0; i < text.size();) {
    std::size_t next = i + 1;
    while (next < text.size() && (static_cast<unsigned char>(text[next]) & 0xC0) == 0x80) ++next;
    if (++used == width) break;
    out.append(text, i, next - i);
    i = next;
  }
  return out + "…";
}

const char* mark(Verdict verdict) {
  switch (verdict) {
    case Verdict::met:
      return "✓";
    case Verdict::not_met:
      return "✗";
    case Verdict::undecided:
      return "?";
    case Verdict::not_checked:
      return "–";
    case Verdict::not_applicable:
      return "·";
  }
  return " ";
}

/// Terminal colours from the 16-colour set: they follow the user's own scheme and differ in lightness.
const char* color_code(Verdict verdict) {
  switch (verdict) {
    case Verdict::met:
      return "\033[34m";
    case Verdict::not_met:
      return "\033[1;31m";
    case Verdict::undecided:
      return "\033[1;33m";
    case Verdict::not_checked:
    case Verdict::not_applicable:
      return "\033[2m";
  }
  return "";
}

struct Row {
  const Finding* finding = nullptr;
  std::size_t number = 0;
  std::string what, where, measured, limit, asides;
};

constexpr const char* kIndent = "          ";

std::string aside_lines(const Finding& finding, const DisplayUnits& units) {
  const auto* measured = std::get_if<measure::Measured>(&finding.outcome);
  std::string lines;
  if (!measured) return lines;
  for (const measure::Aside& aside : measured->asides) {
    lines += kIndent + aside.what + " " + format(aside.value, aside.unit, units) + ", not judged\n";
  }
  return lines;
}

Row row_of(const Finding& finding, std::size_t number, const DisplayUnits& units, bool several_ducts) {
  Row row;
  row.finding = &finding;
  row.number = number;
  row.what = finding.title;
  row.where = several_ducts && !finding.duct.empty() ? finding.duct.value + ": " + finding.subject : finding.subject;
  const auto* measured = std::get_if<measure::Measured>(&finding.outcome);
  const int more = measured ? Figures(units).decimals_to_tell(*measured, finding.limit) : 0;
  row.measured = outcome_text(finding.outcome, units, more);
  row.limit = limit_text(finding.limit, units, more);
  row.asides = aside_lines(finding, units);
  return row;
}

constexpr std::size_t kNumberWidth = 3;
constexpr std::size_t kCheckWidth = 18;  // the longest id and a space
constexpr std::size_t kWhatWidth = 34;
constexpr std::size_t kWhereWidth = 44;
constexpr std::size_t kMeasuredWidth = 30;

std::string pose_and_hint(const Finding& finding) {
  std::string lines;
  const auto* measured = std::get_if<measure::Measured>(&finding.outcome);
  const std::string indent(kIndent);
  if (measured && !measured->pose_name.empty() && measured->pose_name != "at rest") {
    lines += indent + "at " + measured->pose_name + (measured->assumed_motion ? " (assumed motion)" : "") + "\n";
  }
  if (measured && !measured->note.empty()) lines += indent + measured->note + "\n";
  if (!finding.hint.empty()) lines += indent + "→ " + finding.hint + "\n";
  return lines;
}

/// The inputs that would have to be given, unless the reason names them already.
std::string missing_text(const Finding& finding) {
  const auto* refused = std::get_if<measure::NotAssessed>(&finding.outcome);
  if (!refused || refused->missing.empty()) return "";
  return "; give " + joined(refused->missing);
}

std::string render(const Row& row, const TextOptions& options) {
  const Verdict verdict = row.finding->verdict;
  const std::string number = std::to_string(row.number);
  std::string line = std::string(number.size() < kNumberWidth ? kNumberWidth - number.size() : 0, ' ') + number + " ";
  if (options.color) line += color_code(verdict);
  line += std::string(mark(verdict)) + " " + padded(std::string(checks::name(verdict)), 14);
  if (options.color) line += "\033[0m";
  line += padded(row.finding->check, kCheckWidth) + padded(clipped(row.what, kWhatWidth), kWhatWidth + 1);
  const bool measured = std::holds_alternative<measure::Measured>(row.finding->outcome);
  if (measured) {
    line += padded(clipped(row.where, kWhereWidth), kWhereWidth + 1) + padded(row.measured, kMeasuredWidth) + row.limit;
  } else {
    line += (row.where.empty() ? "" : row.where + ": ") + row.measured + missing_text(*row.finding);
  }
  while (!line.empty() && line.back() == ' ') line.pop_back();
  line += "\n" + row.asides;
  // A value without a limit to hold it against is not checked either, and its hint says what the sheet lacks.
  const bool open =
      verdict == Verdict::not_met || verdict == Verdict::undecided || (verdict == Verdict::not_checked && measured);
  if (open) line += pose_and_hint(*row.finding);
  return line;
}

}  // namespace

std::string outcome_text(const measure::Outcome& outcome, const DisplayUnits& units, int more) {
  if (const auto* open = std::get_if<measure::NotAssessed>(&outcome)) return open->reason;
  const auto& m = std::get<measure::Measured>(outcome);
  if (!std::isfinite(m.hi)) return std::string(measure::open_end_words(m)) + " " + format(m.lo, m.unit, units, more);
  const double low = m.hi - m.lowest();
  const double high = m.highest() - m.hi;
  if (std::max(low, high) < 1e-9) return format(m.hi, m.unit, units, more);
  // How many is told from to; a clearance by its attained end, with bracket and inputs' uncertainty behind it.
  if (m.unit == Unit::count)
    return format_number(m.lowest(), m.unit, units) + " to " + format(m.highest(), m.unit, units);
  const std::string mark = std::string(symbol(m.unit, units));
  const std::string number = format_number(m.hi, m.unit, units, more);
  const Unit step = step_of(m.unit);
  const std::string minus = format_number(low, step, units, more);
  const std::string plus = format_number(high, step, units, more);
  const std::string unit_text = mark.empty() ? "" : (m.unit == Unit::degree ? mark : " " + mark);
  if (minus == plus) return number + " ± " + minus + unit_text;
  return number + " -" + minus + "/+" + plus + unit_text;
}

std::string limit_text(const std::optional<checks::Limit>& limit, const DisplayUnits& units, int more) {
  if (!limit) return "";
  if (limit->unit == Unit::none) return format(limit->value, limit->unit, units);
  const int places = std::max(more, Figures(units).decimals_to_state(*limit));
  const std::string text =
      std::string(name(limit->comparison)) + " " + format(limit->value, limit->unit, units, places);
  const std::string stated = checks::stated_otherwise(*limit, units);
  return stated.empty() ? text : text + " (" + stated + ")";
}

std::string findings_text(const job::Installation& installation, const checks::Evaluation& evaluation,
                          const TextOptions& options) {
  const DisplayUnits& units = installation.job.units;
  std::string text;
  const bool several_ducts = installation.ducts.size() > 1;
  std::map<std::pair<std::string, std::string>, std::set<std::string>> not_applicable;  // by duct and reason
  std::size_t number = 0;
  for (const Finding& finding : evaluation.findings) {
    ++number;
    if (finding.verdict == Verdict::not_applicable) {
      const auto* why = std::get_if<measure::NotAssessed>(&finding.outcome);
      not_applicable[{finding.duct.value, why ? why->reason : ""}].insert(finding.check);
      continue;
    }
    if (options.brief && finding.verdict == Verdict::met) continue;
    text += render(row_of(finding, number, units, several_ducts), options);
  }
  if (options.brief) return text;
  for (const auto& [to, checks] : not_applicable) {
    const auto& [duct, reason] = to;
    text += "    · not applicable" + (several_ducts ? " to " + duct : "") + ": " + joined(checks);
    text += reason.empty() ? "\n" : " (" + reason + ")\n";
  }
  return text;
}

std::string summary_line(const job::Installation& installation, const checks::Evaluation& evaluation) {
  const checks::Summary& s = evaluation.summary;
  return (installation.job.name.empty() ? "job" : installation.job.name) + ": " + std::to_string(s.not_met) +
         " not met, " + std::to_string(s.undecided) + " undecided, " + std::to_string(s.not_checked) +
         " not checked, " + std::to_string(s.met) + " met" +
         (s.told > 0 ? ", " + std::to_string(s.told) + " only told" : "");
}

}  // namespace baywright::report

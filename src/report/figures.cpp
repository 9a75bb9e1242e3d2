#include "report/figures.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "geometry/base/unit_step.hpp"

namespace baywright::report {
namespace {

bool yes_or_no(const Unit unit) { return unit == Unit::none; }

double read_back(const std::string& printed) {
  double value = 0;
  std::from_chars(printed.data(), printed.data() + printed.size(), value);
  return value;
}

}  // namespace

std::string fixed(double value, int decimals) {
  char digits[400];
  const auto end = std::to_chars(digits, digits + sizeof digits, value, std::chars_format::fixed, decimals);
  return {digits, end.ptr};
}

std::string Figures::number(double stored, Unit unit, int more) const {
  if (std::isnan(stored)) return "unknown";
  if (std::isinf(stored)) return stored > 0 ? "unbounded" : "unbounded below";
  return format_number(stored, unit, units_, more);
}

std::string Figures::value(double stored, Unit unit, int more) const {
  if (!std::isfinite(stored)) return number(stored, unit);
  return format(stored, unit, units_, more);
}

std::string Figures::difference(double stored, Unit unit, int more) const {
  if (!std::isfinite(stored)) return number(stored, unit);
  const std::string plain = value(stored, step_of(unit), more);
  return stored > 0 ? "+" + plain : plain;
}

std::string Figures::symbol(Unit unit) const { return std::string(baywright::symbol(unit, units_)); }

std::string Figures::heading(const char* words, Unit unit) const {
  const std::string mark = symbol(unit);
  return mark.empty() ? words : std::string(words) + ", " + mark;
}

std::string Figures::point(const Vec3& p_mm) const {
  return number(p_mm.x(), Unit::mm) + ", " + number(p_mm.y(), Unit::mm) + ", " + number(p_mm.z(), Unit::mm);
}

int Figures::decimals_to_tell(const measure::Measured& m, const std::optional<checks::Limit>& limit) const {
  // Enough for the rounding allowance in any unit shown: 1e-6 mm is 4e-8 in.
  constexpr int kMost = 9;
  constexpr double kMoved = 0.9;
  if (!limit) return 0;
  const bool exact = m.lo == m.hi;
  for (int more = 0; more < kMost; ++more) {
    const std::string printed = number(limit->value, limit->unit, more);
    bool told = true;
    for (const double end : {m.hi, m.lowest(), m.highest()}) {
      told = told && (end == limit->value || (exact && std::abs(end - limit->value) <= checks::kRoundingAllowance) ||
                      number(end, m.unit, more) != printed);
    }
    // 0.9995 beside 0.999 is not told by 1.000: an exact value is not to be moved by as much as it is away.
    if (exact && std::abs(m.hi - limit->value) > checks::kRoundingAllowance && std::isfinite(m.hi)) {
      const double away = std::abs(to_display(m.hi, m.unit, units_) - to_display(limit->value, limit->unit, units_));
      told = told && std::abs(read_back(number(m.hi, m.unit, more)) - to_display(m.hi, m.unit, units_)) < kMoved * away;
    }
    if (told) return more;
  }
  return kMost;
}

int Figures::decimals_to_state(const checks::Limit& limit) const {
  constexpr int kMost = 2;
  constexpr double kPrintsAsItIs = 1e-9;
  for (int more = 0; more <= kMost; ++more) {
    const double read = read_back(number(limit.value, limit.unit, more));
    if (std::abs(read - to_display(limit.value, limit.unit, units_)) < kPrintsAsItIs) return more;
  }
  return 0;
}

std::string Figures::measured(const measure::Measured& m, int more) const {
  if (std::isinf(m.hi)) return std::string(measure::open_end_words(m)) + " " + value(m.lo, m.unit, more);
  if (m.unit == Unit::count && m.lowest() < m.highest())
    return number(m.lowest(), m.unit, more) + " to " + value(m.highest(), m.unit, more);
  return value(m.hi, m.unit, more);
}

std::string Figures::interval(const measure::Measured& m, int more) const {
  if (yes_or_no(m.unit) || std::isinf(m.hi)) return "";
  const std::string low = number(m.lowest(), m.unit, more);
  const std::string high = number(m.highest(), m.unit, more);
  return low == high ? "" : low + " \u2026 " + high;
}

std::string Figures::uncertainty(const measure::Measured& m, int more) const {
  const Unit unit = step_of(m.unit);
  const std::string low = number(m.band.low(), unit, more);
  const std::string high = number(m.band.high(), unit, more);
  if (m.band.low() == 0 && m.band.high() == 0) return "";
  return low == high ? "\u00B1" + high : "-" + low + " / +" + high;
}

std::string Figures::limit(const checks::Limit& limit, int more) const {
  if (yes_or_no(limit.unit)) return format(limit.value, limit.unit, units_);
  return std::string(sign(limit.comparison)) + " " +
         value(limit.value, limit.unit, std::max(more, decimals_to_state(limit)));
}

}  // namespace baywright::report

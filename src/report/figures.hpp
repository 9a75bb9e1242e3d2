#pragma once

#include <optional>
#include <string>

#include "checks/finding.hpp"
#include "geometry/base/unit.hpp"
#include "geometry/vec.hpp"
#include "measure/measured.hpp"

namespace baywright::report {

/// `value` with a fixed number of decimals, whatever the locale.
std::string fixed(double value, int decimals);

/// Numbers as the report prints them: in the job's display units, with a true minus sign, and with as many decimals as
/// it takes to tell a value from its limit (nothing is rounded across a limit).
class Figures {
 public:
  explicit Figures(const DisplayUnits& units) : units_(units) {}
  const DisplayUnits& units() const { return units_; }

  std::string number(double stored, Unit unit, int more = 0) const;      ///< "-5.9"
  std::string value(double stored, Unit unit, int more = 0) const;       ///< "-5.9 mm"
  std::string difference(double stored, Unit unit, int more = 0) const;  ///< signed: "+3.4 mm"
  std::string symbol(Unit unit) const;                                   ///< "mm", "" for plain numbers
  std::string heading(const char* words, Unit unit) const;               ///< "Station, mm"
  std::string point(const Vec3& p_mm) const;                             ///< "-190.0, 415.0, 370.0"

  /// Decimals beyond the usual ones so that no printed end of the interval equals the limit unless it is equal.
  int decimals_to_tell(const measure::Measured& m, const std::optional<checks::Limit>& limit) const;
  /// Decimals beyond the usual ones, two at most, that print a limit as it is (6.35 mm of 0.25 in); 0 where two do not
  /// (a pressure turned from another unit).
  int decimals_to_state(const checks::Limit& limit) const;
  std::string measured(const measure::Measured& m, int more = 0) const;  ///< the attained value: "5.3 mm", "yes"
  /// "0.3 … 10.3", the interval the true value lies in; "" when it prints as the value alone.
  std::string interval(const measure::Measured& m, int more = 0) const;
  std::string uncertainty(const measure::Measured& m, int more = 0) const;  ///< "±5.0", "-5.1 / +5.0"; "" when none
  std::string limit(const checks::Limit& limit, int more = 0) const;        ///< "≥ 20.0 mm", "yes"

 private:
  DisplayUnits units_;
};

}  // namespace baywright::report

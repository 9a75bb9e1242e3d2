#include "measure/tolerances.hpp"

#include <cmath>
#include <numbers>

#include "geometry/base/unit.hpp"

namespace baywright::measure {
namespace {

using Kind = Contribution::Kind;

// A tube-bending shop's published tolerances for parts of several bends, plus or minus.
constexpr double kLooserAbove_mm = 63.5;
constexpr double kUsualBend_mm = 2.4, kUsualLargeBend_mm = 4.8;
constexpr double kUsualBend_deg = 1.5, kUsualLargeBend_deg = 2;
constexpr double kUsualCut_mm = 2.4;
// Hose tables of a rubber makers' handbook, plus or minus: cut lengths, squareness of ends.
constexpr double kShortHose_mm = 305, kLongHose_mm = 610;
constexpr double kShortHoseLength_mm = 3.2, kLongHoseLength_mm = 4.8;
constexpr double kLongerHoseShare = 0.01;  // from memory
constexpr double kNarrowHose_mm = 50.8;
constexpr double kNarrowSquareness_mm = 3.2, kWideSquareness_mm = 6.4;

/// Standard uncertainty of a value that is equally likely anywhere within plus or minus one.
constexpr double kUniform = 1 / std::numbers::sqrt3;

// From memory: sqrt(0.5^2 + (0.1 degrees at 600 mm)^2), and the widest of the usual instruments (expanded).
constexpr double kUsualFit_mm = 1.16;
constexpr double kWidestScan_mm = 15;
constexpr double kUsualAtDatum_mm = 0.5;
const double kUsualPerMetre_mm = 1000 * std::tan(degrees(0.1).si());

std::string of_place(const std::string& what, const std::string& where) {
  return where.empty() ? what : what + ", " + where;
}

Contribution stand_in(const std::string& what, const std::string& taken, Kind kind, double amount_mm,
                      std::string missing) {
  return {what + ": not stated, " + taken + " taken", kind, amount_mm, amount_mm, "", std::move(missing)};
}

Contribution stated(std::string source, double u_mm) { return {std::move(source), Kind::standard, u_mm, u_mm, ""}; }

std::string plus_or_minus(double mm, const DisplayUnits& units) { return "\u00B1" + length_text(mm, units); }

}  // namespace

duct::BendingTolerance usual_bending(double outer_diameter_mm) {
  const bool large = outer_diameter_mm > kLooserAbove_mm;
  const Angle angle = degrees((large ? kUsualLargeBend_deg : kUsualBend_deg) * kUniform);
  return {angle, angle, (large ? kUsualLargeBend_mm : kUsualBend_mm) * kUniform};
}

Contribution bend_tolerance(const duct::DuctSpec& spec, const std::string& where, const DisplayUnits& units) {
  const std::string what = of_place("bend tolerance", where);
  if (spec.bend_tolerance_mm) return stated(what, *spec.bend_tolerance_mm);
  const double u_mm = usual_bending(spec.tube.outer_diameter_mm).length_mm;
  return stand_in(what, plus_or_minus(u_mm / kUniform, units), Kind::standard, u_mm,
                  "ducts/" + spec.id.value + "/bend_tolerance_mm");
}

Contribution fitting_tolerance(const duct::DuctSpec& spec, const std::string& where, const DisplayUnits& units) {
  const std::string what = of_place("fitting tolerance", where);
  if (spec.fitting_tolerance_mm) return stated(what, *spec.fitting_tolerance_mm);
  return stand_in(what, plus_or_minus(kUsualCut_mm, units), Kind::standard, kUsualCut_mm * kUniform,
                  "ducts/" + spec.id.value + "/fitting_tolerance_mm");
}

std::vector<Contribution> hose_end_tolerances(const duct::DuctSpec& spec, const duct::FittingId& id,
                                              const duct::Coupler& coupler, double hose_bore_mm,
                                              const std::string& where, const DisplayUnits& units) {
  const std::string key = "ducts/" + spec.id.value + "/fittings/" + id.value + "/";
  const auto tolerance = [&](const std::string& what, const std::optional<double>& stated_mm, double usual_mm,
                             double share, const char* name) {
    const double mm = share * stated_mm.value_or(usual_mm);
    if (stated_mm) return Contribution{of_place(what, where), Kind::expanded, mm, mm, ""};
    return stand_in(of_place(what, where), plus_or_minus(usual_mm, units), Kind::expanded, mm, key + name);
  };
  const double length = coupler.length_mm;
  const double usual_length = length <= kShortHose_mm  ? kShortHoseLength_mm
                              : length <= kLongHose_mm ? kLongHoseLength_mm
                                                       : kLongerHoseShare * length;
  const double usual_square = hose_bore_mm > kNarrowHose_mm ? kWideSquareness_mm : kNarrowSquareness_mm;
  return {fitting_tolerance(spec, "end of the tube, " + where, units),
          tolerance("half the length tolerance of the hose", coupler.length_tolerance_mm, usual_length, 0.5,
                    "length_tolerance_mm"),
          tolerance("squareness of the hose's end", coupler.end_squareness_mm, usual_square, 1, "end_squareness_mm")};
}

Contribution surface_uncertainty(const bay::Part& part, const DisplayUnits& units) {
  const std::string what = part.uncertainty_source.empty() ? "surface of the part" : part.uncertainty_source;
  if (part.uncertainty_mm) return stated(what, *part.uncertainty_mm);
  const std::string missing = "parts/" + part.id.value + "/uncertainty_mm";
  if (part.scanned()) {
    return stand_in(what, plus_or_minus(kWidestScan_mm, units), Kind::expanded, kWidestScan_mm, missing);
  }
  return stand_in(what, plus_or_minus(2 * kUsualFit_mm, units), Kind::standard, kUsualFit_mm, missing);
}

std::optional<Contribution> alignment_uncertainty(const bay::Part& part, const std::optional<Vec3>& at_mm,
                                                  const DisplayUnits& units) {
  const bool unstated = !part.alignment && !part.uncertainty_mm && part.scanned();
  if (!part.alignment && !unstated) return std::nullopt;
  const Aabb box = part.tree.bounds();
  const bay::Alignment alignment = part.alignment.value_or(
      bay::Alignment{box.empty() ? Vec3(Vec3::Zero()) : box.center(), kUsualAtDatum_mm, kUsualPerMetre_mm});
  double away_mm = 0;
  if (at_mm) {
    away_mm = (*at_mm - alignment.datum_mm).norm();
  } else if (!box.empty()) {
    away_mm = (box.lo - alignment.datum_mm).cwiseAbs().cwiseMax((box.hi - alignment.datum_mm).cwiseAbs()).norm();
  }
  const double u_mm = std::hypot(alignment.at_datum_mm, alignment.per_metre_mm * away_mm / 1000);
  const std::string what = "alignment, " + length_text(away_mm, units) + " from its datum";
  if (part.alignment) return stated(what, u_mm);
  return stand_in(what, length_text(kUsualAtDatum_mm, units) + " and 0.1\u00B0 about the scan's middle", Kind::standard,
                  u_mm, "parts/" + part.id.value + "/alignment");
}

Band part_uncertainty(const bay::Part& part, const std::optional<Vec3>& at_mm, const DisplayUnits& units) {
  Band band;
  band.add(surface_uncertainty(part, units));
  if (auto alignment = alignment_uncertainty(part, at_mm, units)) band.add(*std::move(alignment));
  const double chord_mm = part.chord_error_mm();
  if (chord_mm > 0) band.add({"chord error of the triangles", Contribution::Kind::bound, chord_mm, 0, ""});
  return band;
}

}  // namespace baywright::measure

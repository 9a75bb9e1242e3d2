#pragma once

#include "geometry/base/quantity.hpp"

namespace baywright::flow {

// Total-pressure loss K of one element on the dynamic pressure of the velocity named, and the Darcy friction factor.
// Formulas, ranges and sources in docs/flow.md.

/// Darcy friction factor by Churchill (1977), any Reynolds number above 0; smooth through transition.
/// @param relative_roughness roughness height / bore, >= 0
double friction_factor(double reynolds, double relative_roughness);

/// Smooth circular bend by Rennels & Hudson (2012), friction of the arc included, on the bend's own velocity.
/// @param radius_ratio centerline radius / bore, >= 0.5  @param angle 0..180 degrees  @param friction Darcy factor
double bend_loss(double radius_ratio, Angle angle, double friction);

/// Factor on the loss of a bend of 90 degrees for another angle (Idelchik diagram 6-1, table), 0..180 degrees.
double bend_angle_factor(Angle angle);

/// Single mitre: Idelchik diagram 6-5 times SMACNA's factor for Reynolds numbers below 1.4e5, on its own velocity. The
/// tube on either side is straight up to the corner. @param angle 0..180 degrees; beyond 90 the factor of 90
double mitre_loss(Angle angle, double reynolds);

/// Bend welded of straight pieces, those at its ends included, by SMACNA table A-7B times the angle's factor, on its
/// own velocity. Friction of the arc is added here, the table does not hold it (from memory). Outside the table: more
/// than five pieces as five, radius above two bores as two.
/// @param pieces 3 or more  @param radius_ratio centerline radius / bore
double segmented_bend_loss(double radius_ratio, int pieces, Angle angle, double friction);

/// Darcy friction factor of corrugated hose, whatever the Reynolds number (Hawthorne & von Helms 1963): every
/// corrugation a sudden expansion by 0.438 of its pitch. No measurement was found to hold it against.
double corrugated_friction(double bore_mm, double pitch_mm);

/// Smooth conical contraction, on the velocity at the small end: SMACNA (1990) table 14-12A, bilinear.
/// Outside the table: below an area ratio of 2 linear to 0 at 1 (ours); above 10 Rennels' formula where it is larger;
/// below a full angle of 10 degrees wall friction where it is larger.
/// @param area_ratio large / small area, >= 1  @param full_angle 0..180 degrees, above 0
double contraction_loss(double area_ratio, Angle full_angle, double friction);

/// The same by Rennels & Hudson (2012): an upper bound, up to 60 % above the table.
/// @param bore_ratio small / large bore, 0..1
double contraction_loss_rennels(double bore_ratio, Angle full_angle, double friction);

/// Conical diffuser by Rennels & Hudson (2012), on the velocity at the small end; wall friction included below 60
/// degrees. @param bore_ratio small / large bore, 0..1  @param full_angle 0..180 degrees, above 0
double diffuser_loss(double bore_ratio, Angle full_angle, double friction);

/// Sudden contraction 0.5 (1 - b^2) and expansion (1 - b^2)^2, on the velocity in the small bore.
double sudden_contraction_loss(double bore_ratio);
double sudden_expansion_loss(double bore_ratio);

/// Run of a branch that enters at 90 degrees, on the combined velocity: 1.55 q - q^2, q = branch / combined flow.
double joining_run_loss(double branch_share);

/// Branch itself, from its own bore to the combined flow, on the combined velocity: C (1 + (q/a)^2 - 2 (1 - q)^2 -
/// 2 cos(angle) q^2/a), C 1 up to a = 0.35, else 0.9 (1 - q) up to q = 0.4, else 0.55 (Crane). Below 0 the flow draws.
/// @param area_ratio a, branch / combined bore, 0..1  @param angle between branch and flow, 90 degrees square
double joining_branch_loss(double branch_share, double area_ratio, Angle angle);

/// Factor on a bend's K for a straight of `outlet_ratio` bores behind it (Miller, as digitised): below 1 a bend in a
/// duct loses less than alone, above 1 more. Bilinear, clamped to the table (K 0.1..1, 0..30 bores).
double outlet_factor(double bend_k, double outlet_ratio);

}  // namespace baywright::flow

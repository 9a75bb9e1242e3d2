#pragma once

#include <vector>

#include "duct/layout.hpp"

namespace baywright::duct {

/// Outer surface of rigid tube between two stations, with boss and nipples standing on it. Round-ended shapes end so
/// far inside a stretch of constant size that nothing reaches past its flat ends, except where a bend comes nearer to
/// such an end than the tube's radius (there the surface is overstated, never understated). Beads are not modelled.
std::vector<Primitive> tube_shapes(const Layout& layout, double from_mm, double to_mm);

/// Hose and hump over its middle third. Spigot diameters: of the port a hose sits on when no tube lies on that side,
/// else 0. `flexible` (of one size and straight over the gap only): the hose in three, its engaged lengths flat-ended,
/// over the gap a Cylinder, which closes what opens between two lengths that turn against each other.
std::vector<Primitive> coupler_shapes(const Layout& layout, const PlacedFitting& fitting, double upstream_spigot_mm,
                                      double downstream_spigot_mm, bool flexible);
/// Whether a hose has one outer diameter on both sides of its gap.
bool one_size(const Layout& layout, const PlacedFitting& fitting, double upstream_spigot_mm,
              double downstream_spigot_mm);
/// Bands, screws all round, at the ends of the hose that have a clamp, where the job puts them; at both ends where it
/// states no clamps. None where the coupler states no height for them.
std::vector<Primitive> clamp_shapes(const Layout& layout, const PlacedFitting& fitting, double upstream_spigot_mm,
                                    double downstream_spigot_mm);

/// The parts of shapes along the centerline that lie between two stations, cut square. Bosses and nipples stay when
/// their middle lies inside. A bend cut nearer to its cut end than its radius is replaced there by short flat-ended
/// cylinders that contain it.
std::vector<Primitive> cut_to(const std::vector<Primitive>& shapes, double from_mm, double to_mm);

}  // namespace baywright::duct

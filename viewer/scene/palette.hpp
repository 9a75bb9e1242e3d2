#pragma once

#include <string_view>

#include "bay/bay.hpp"
#include "checks/finding.hpp"
#include "duct/layout.hpp"

namespace baywright::viewer {

// Colours, sRGB 0..1. Categories come from the colour-blind-safe set of Okabe and Ito (Color Universal Design, 2008);
// every one is paired with a second sign (word, symbol, line style), none carries meaning alone.

inline constexpr Rgb kInk = {0.10F, 0.11F, 0.13F};
inline constexpr Rgb kPaper = {1.0F, 1.0F, 1.0F};
inline constexpr Rgb kScanGrey = {0.72F, 0.71F, 0.69F};
inline constexpr Rgb kGhost = {0.74F, 0.76F, 0.79F};
inline constexpr Rgb kTube = {0.0F, 0.447F, 0.698F};       ///< blue
inline constexpr Rgb kCoupler = {0.16F, 0.17F, 0.19F};     ///< black hose
inline constexpr Rgb kSteel = {0.72F, 0.73F, 0.75F};       ///< clamps, bright on black hoses
inline constexpr Rgb kHighlight = {0.902F, 0.624F, 0.0F};  ///< orange, always with an outline and a label
/// Opacity of what steps back while something else is looked at.
inline constexpr double kFaded = 0.35;

Rgb class_color(bay::PartClass c);
/// Colour a part is drawn in: its own, calmed so that ducts stand out, or that of its class; grey for scans.
Rgb part_color(const bay::Part& part);
/// True for surfaces that were measured, not drawn: no sharp edges are looked for.
bool is_scan(const bay::Part& part);
Rgb piece_color(const duct::Piece& piece, int index);

/// Mark, readable without colour: "✓", "✗", "?", "–", "·".
std::string_view mark(checks::Verdict v);
/// Text colour with at least 4.5:1 against white / against the dark theme's background.
Rgb text_color(checks::Verdict v, bool on_dark = false);

}  // namespace baywright::viewer

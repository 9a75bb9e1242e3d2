#pragma once

namespace baywright::report {

/// Colours of the report, one table per theme; "#rrggbb". Text colours keep 4.5:1 and graphics 3:1 against every
/// background of their theme (WCAG 2.2, 1.4.3 and 1.4.11); a test computes it. Verdict hues derive from the palette of
/// Okabe and Ito, darkened or lightened until they pass as text.
struct Palette {
  const char* page;   ///< background
  const char* panel;  ///< background of heads and boxes
  const char* ink;    ///< text
  const char* quiet;  ///< secondary text
  const char* rule;   ///< hairlines, decoration only
  const char* edge;   ///< lines that carry meaning
  const char* met;    ///< text and symbol of a verdict
  const char* not_met;
  const char* undecided;
  const char* not_checked;
  const char* bar;  ///< bars of charts
  const char* bar_total;
  const char* soft;      ///< soft joints in the strip
  const char* floating;  ///< floating pieces in the strip
};

const Palette& light_palette();
const Palette& dark_palette();
/// The whole style sheet of the report.
const char* style_rules();

}  // namespace baywright::report

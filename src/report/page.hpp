#pragma once

#include "report/figures.hpp"
#include "report/markup.hpp"
#include "report/report.hpp"

namespace baywright::report {

/// What every section of the report is written from.
struct Page {
  const job::Installation& installation;
  const checks::Evaluation& evaluation;
  const PictureSource& pictures;
  Figures figures;

  const bay::Bay& bay() const { return installation.bay; }
  /// Number of a finding as printed in the verdict table (its place in the evaluation, from 1); 0 when it is not there.
  int number_of(const checks::Finding& finding) const;
  const checks::Evaluation::DuctResult* result_of(const duct::DuctId& duct) const;
};

/// "✓ met" with its class: symbol and word, colour only on top.
Markup verdict_mark(checks::Verdict verdict);
/// Word usable as a class and as the anchor of the verdict's group: "not_met".
Markup verdict_key(checks::Verdict verdict);
/// Numbered heading of a section with its anchor.
Markup section_heading(int number, const char* anchor, const char* title);
/// "≥ 20.0 mm, common practice: ..." of a limit.
Markup origin_text(const checks::Origin& origin);

// The sections, in the order in which they are printed.
Markup head_section(const Page& page);
Markup verdict_section(const Page& page);
Markup picture_section(const Page& page);
Markup restriction_section(const Page& page);
Markup duct_section(const Page& page);
Markup clearance_section(const Page& page);
Markup clamp_section(const Page& page);
Markup ways_section(const Page& page);
Markup input_section(const Page& page);
Markup limit_section(const Page& page);
Markup open_section(const Page& page);
Markup caution_section(const Page& page);

/// Losses along the flow as bars that add up, clean and dirty beside each other, with total, limit and gauge readings.
Markup restriction_chart(const Page& page, const checks::Evaluation::DuctResult& result);
/// The budget over flow, height and loading, and what an indicator may show at its tap. Nothing where rated flow,
/// outside air or both limits are missing.
Markup budget_block(const Page& page, const duct::Duct& duct);
/// What crankcase gas finds at each branch port of an intake. Nothing without one, or where the duct chokes.
Markup breather_block(const Page& page, const duct::Duct& duct, const flow::Restriction& clean,
                      const flow::Restriction* dirty);
/// Temperatures of the charge air, the cooler's effectiveness and duty, loss and density. Nothing without charge ducts.
Markup charge_block(const Page& page);
/// Each straight of an intake as a place for the sensor, best first, and where the rules come from.
Markup sensor_block(const Page& page, const duct::Duct& duct);
/// Of each rigid tube what holds it, its mass and longest free stretch, how it is made and what takes up its error.
Markup tube_block(const Page& page, const duct::Duct& duct);
/// A bend table for each rigid tube, from its own upstream cut end.
Markup bend_block(const Page& page, const duct::Duct& duct);
/// What each coupler is asked to take, at rest and over the motion, against what it states. Nothing without couplers.
Markup joint_block(const Page& page, const duct::Duct& duct);
/// The duct unrolled along its stations: pieces and what carries them, bends, fittings.
Markup duct_strip(const Page& page, const duct::Duct& duct);

}  // namespace baywright::report

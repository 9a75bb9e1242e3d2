#pragma once

#include <filesystem>
#include <vector>

#include "duct/layout.hpp"
#include "geometry/base/result.hpp"
#include "geometry/primitive.hpp"

namespace baywright::fabrication {

/// The rigid tube between two stations as exact shapes end to end: flat-ended straights, bends, cones. Outer surface,
/// without bosses and nipples. Vehicle frame, mm.
std::vector<Shape> tube_run(const duct::Layout& layout, double from_mm, double to_mm);

/// Writes a duct as STEP: one named solid per rigid tube (with its wall) and per hose (outer envelope, filled), mm,
/// vehicle frame.
/// Fails: kernel_failed with the piece's name, not_written.
Result<void> write_duct_step(const duct::Duct& duct, const std::filesystem::path& path);

}  // namespace baywright::fabrication

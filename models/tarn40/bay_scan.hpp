#pragma once

#include <filesystem>

#include "geometry/base/result.hpp"

namespace baywright::tarn40 {

/// Scans the bay without engine, filter and bonnet and writes bay-scan.ply with structure and battery box, and beside
/// it scan-steering.ply, scan-brake-lines.ply and scan-loom.ply, which were marked in the same scan. Vehicle frame, mm.
Result<void> write_bay_scan(const std::filesystem::path& folder);

}  // namespace baywright::tarn40

#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "geometry/solid.hpp"

namespace baywright {

using Rgb = std::array<float, 3>;  ///< sRGB, 0..1

/// One placed leaf of a STEP assembly, in the file's own frame, mm.
struct StepPart {
  std::string name;   ///< product or instance name as written; "" when the file gives none
  std::string path;   ///< "assembly/sub-assembly/name", unique within the file (repeats get "#2", "#3")
  std::string layer;  ///< "" when none
  std::optional<Rgb> color;
  Solid shape;  ///< placed: all nested transforms applied
};

/// End of the warning about a file a model refers to that is not there.
inline constexpr std::string_view kPartMissing = "that part of the model is missing";

struct StepModel {
  std::string unit;  ///< length unit as declared ("MILLIMETRE", "INCH"...); everything here is already mm
  int roots = 0;
  int instances = 0;  ///< placed components at all levels
  int depth = 0;      ///< 0: no assembly
  std::vector<StepPart> parts;
  std::vector<std::string> warnings;  ///< those of a model that lacks a part end in kPartMissing

  int solid_count() const;
  int face_count() const;
};

/// Reads an AP203/AP214/AP242 file through the kernel's document reader. External references are looked for in the
/// same folder. Never prints, never throws.
/// Fails: file_missing, file_damaged (names truncation, "not a STEP file"...), no_shape (nothing with faces),
/// cancelled.
Result<StepModel> read_step(const std::filesystem::path& path, const Progress& progress = {});

/// Files beside `path` that a model in several files is made of: those its text refers to, directly or by way of one
/// another, and that are there; each once. `read_step` reads these and no others.
/// Fails: as `read_step` does before it looks at shapes.
Result<std::vector<std::string>> step_siblings(const std::filesystem::path& path);

/// What to write: shapes with names and colours, mm, AP214, one root per part.
struct StepOut {
  std::string name;
  std::optional<Rgb> color;
  Solid shape;
};
/// Bytes are the same for the same input (no time stamp, no host or user name).
Result<void> write_step(const std::filesystem::path& path, const std::vector<StepOut>& parts,
                        const std::string& assembly_name);

}  // namespace baywright

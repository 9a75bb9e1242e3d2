#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "geometry/files/mesh_file.hpp"
#include "geometry/files/step_file.hpp"
#include "job/job.hpp"

namespace baywright::job {

/// Rigid pose of a file's frame in the vehicle frame.
Pose pose_of(const Placement& placement);

/// Where an exact shape comes from in a STEP file.
struct ShapeOrigin {
  std::size_t leaf = 0;              ///< which of the file's shapes
  std::optional<std::size_t> piece;  ///< which piece of it; absent: all of it
};
/// The exact shapes of a part, placed.
Result<std::vector<Solid>> shapes_of(const StepModel& model, const std::vector<ShapeOrigin>& origins,
                                     const Placement& placement);

/// What a part's file and the settings that shape it give: all that is costly, and nothing else the job says of it.
struct ReadPart {
  bay::Part part;                       ///< geometry, tree, colour, exact shape; no id, class, body or hash
  std::vector<std::string> about_file;  ///< what is to be said about the file, one line each
  std::string doubt;                    ///< of a scan: why its size or shape is not to be believed; "" when it is
  std::vector<ShapeOrigin> origins;     ///< of part.shapes, one each
};

/// A scan in its own frame, for all parts made of it.
struct ReadScan {
  std::shared_ptr<const TriMesh> mesh;
  std::shared_ptr<const PointCloud> cloud;
  std::vector<std::string> about_file;
};
Result<ReadScan> read_scan_file(const std::filesystem::path& path, double mm_per_unit, const Progress& progress);

/// `pointer` is the part's place in the job, for complaints. The same for any number of threads.
ResultAll<ReadPart> part_of_step(const PartSpec& spec, const std::string& pointer, const Result<StepModel>& model,
                                 const Progress& progress);
/// `scan` may be null when the part states no unit.
ResultAll<ReadPart> part_of_scan(const PartSpec& spec, const std::string& pointer, const Result<ReadScan>* scan,
                                 const Progress& progress);

/// Why the size or shape a scan was read with is not to be believed, one line; "" when it is.
std::string scan_doubt(const bay::Part& part, double mm_per_unit);

/// "job.json: /parts/3/file"
std::string place_in_job(const std::string& pointer);

}  // namespace baywright::job

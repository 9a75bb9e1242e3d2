#pragma once

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/files/mesh_file.hpp"
#include "geometry/files/step_file.hpp"
#include "job/assemble.hpp"
#include "job/file_access.hpp"

namespace baywright::job {

/// Rigid pose of a file's frame in the vehicle frame.
Pose pose_of(const Placement& placement);

/// Turns the parts a job states into parts with geometry. Every file is hashed and read once, however many parts use
/// it; what an earlier installation holds of an unchanged file is taken over.
class PartLoader {
 public:
  PartLoader(const FileAccess& access, const Progress& progress, const Installation* previous);

  /// Geometry, tree, colour and hash of one part; id, class, body and the like are the caller's. `pointer` is the
  /// part's place in the job, for complaints.
  ResultAll<bay::Part> load(const PartSpec& spec, const std::string& pointer);

  /// Bytes of a small file (a sheet), noted among the inputs.
  Result<std::string> read_text(const std::string& named, const std::string& pointer, std::uintmax_t limit_bytes);

  const std::vector<InputFile>& files() const { return files_; }
  const std::vector<std::string>& warnings() const { return warnings_; }

 private:
  struct Source {
    std::filesystem::path path;
    InputFile input;
  };

  Result<const Source*> source(const std::string& named, const std::string& pointer);
  const bay::Part* earlier(const PartSpec& spec, const std::string& sha256) const;
  ResultAll<bay::Part> load_step(const PartSpec& spec, const Source& source, const std::string& pointer);
  ResultAll<bay::Part> load_scan(const PartSpec& spec, const Source& source, const std::string& pointer);
  Result<const StepModel*> step_model(const Source& source);
  Result<const ScanFile*> scan_file(const Source& source, double mm_per_unit);
  void warn(std::string line);

  const FileAccess& access_;
  const Progress& progress_;
  const Installation* previous_;
  std::vector<InputFile> files_;
  std::vector<std::string> warnings_;
  std::set<std::string> warned_;
  std::map<std::string, Result<Source>> sources_;
  std::map<std::string, Result<StepModel>> models_;
  std::map<std::pair<std::string, double>, Result<ScanFile>> scans_;
};

}  // namespace baywright::job

#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
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

  /// To be called when all parts are loaded: doubts a STEP file's unit when all that is used of it is far too small or
  /// too large together.
  void conclude();
  /// Why the size or shape a part was read with is not to be believed, one line; "" when it is. After conclude().
  std::string doubt(const bay::Part& part, const PartSpec& spec) const;
  /// What a part's model lacks of itself, one line; "" when it is whole.
  std::string incomplete(const PartSpec& spec) const;
  /// The files read, each with what is to be said about it.
  std::vector<InputFile> files() const { return files_; }
  /// How many of them lie outside the job folder.
  std::size_t outside_count() const { return outside_count_; }
  /// Lines about parts and about files (with their names).
  std::vector<std::string> warnings() const;

 private:
  struct Source {
    std::filesystem::path path;
    std::size_t file = 0;      ///< index into files_
    std::string content_hash;  ///< of the file and of those that belong to it
  };

  /// Finds, hashes and lists a file, with the files beside it that belong to it.
  Result<Source> new_source(const std::string& named, const std::string& where);
  Result<const Source*> source(const std::string& named, const std::string& pointer);
  /// Notes a file among the inputs, once.
  Result<std::size_t> add_file(const std::string& named, const FileAccess::Found& found, const std::string& where);
  /// Names of the files that belong to a STEP file in several files, as the job would write them.
  std::vector<std::string> companions(const InputFile& file, const std::filesystem::path& path) const;
  /// Hash taken from the earlier installation when size and time are the same, else made.
  Result<InputFile> identify(const std::string& named, const std::filesystem::path& path,
                             const std::string& where) const;
  /// The part as an earlier installation holds it, if nothing that shapes it has changed.
  const bay::Part* earlier(const PartSpec& spec, const Source& from) const;
  ResultAll<bay::Part> load_step(const PartSpec& spec, const Source& source, const std::string& pointer);
  ResultAll<bay::Part> load_scan(const PartSpec& spec, const Source& source, const std::string& pointer);
  Result<const StepModel*> step_model(const Source& source);
  Result<const ScanFile*> scan_file(const Source& source, double mm_per_unit);
  const InputFile& input(const Source& source) const { return files_[source.file]; }
  /// Notes a line about a file once.
  void note(const Source& source, const std::string& line);

  const FileAccess& access_;
  const Progress& progress_;
  const Installation* previous_;
  std::vector<InputFile> files_;
  std::size_t outside_count_ = 0;
  std::vector<std::string> about_parts_;
  std::map<std::string, Result<Source>> sources_;
  std::map<std::size_t, Aabb> step_boxes_;  ///< by index into files_
  std::map<std::string, Result<StepModel>> models_;
  std::map<std::pair<std::string, double>, Result<ScanFile>> scans_;
};

}  // namespace baywright::job

#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "geometry/base/progress.hpp"
#include "geometry/files/step_file.hpp"
#include "job/assemble.hpp"
#include "job/file_access.hpp"
#include "job/part_cache.hpp"
#include "job/read_part.hpp"

namespace baywright::job {

/// Turns the parts a job states into parts with geometry. Every file is hashed and read once, however many parts use
/// it; what an earlier installation or the cache holds of an unchanged file is taken over. Works on all cores; what
/// comes out, lines and complaints too, is the same for any number of them.
class PartLoader {
 public:
  PartLoader(const FileAccess& access, const Progress& progress, const Installation* previous, PartCache& cache);

  struct Wish {
    const PartSpec* spec = nullptr;
    std::string pointer;  ///< the part's place in the job, for complaints
  };
  /// Geometry, tree, colour and hash of every part; id, class, body and the like are the caller's. To be called once.
  std::vector<ResultAll<bay::Part>> load(const std::vector<Wish>& wishes);

  /// Bytes of a small file (a sheet), noted among the inputs.
  Result<std::string> read_text(const std::string& named, const std::string& pointer, std::uintmax_t limit_bytes);

  /// Readings that the cache spared.
  std::size_t cached_count() const { return cached_count_; }
  /// To be called when all parts are loaded: doubts a STEP file's unit when all that is used of it is far too small or
  /// too large together.
  void conclude();
  /// Why the size or shape a part was read with is not to be believed, one line; "" when it is. After conclude().
  std::string doubt(const PartSpec& spec) const;
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
    std::size_t file = 0;                                                ///< index into files_
    std::string content_hash;                                            ///< of the file and of those that belong to it
    std::vector<std::pair<std::filesystem::path, std::size_t>> made_of;  ///< those files
  };
  /// One reading, for all wishes with the same key.
  struct Reading {
    const Wish* wish = nullptr;
    const Source* source = nullptr;
    std::string place, key;  ///< in the cache
    bool step = false;
    bool found = false;  ///< in the cache
    std::optional<ResultAll<ReadPart>> result;
  };
  using ScanKey = std::pair<std::string, double>;

  /// Hashes the files of the wishes, several at a time, and meanwhile takes from the cache what will be right if their
  /// content is still the same.
  void look_ahead(const std::vector<Wish>& wishes);
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
  /// Size, time, and the hash if an earlier installation knows it.
  InputFile looked_at(const std::string& named, const std::filesystem::path& path) const;
  bool unchanged(const Source& source) const;
  /// Settles Part::modelled of a mesh; why what the job says of it cannot be.
  std::optional<Error> say_what_it_is(const Wish& wish, bool step, bay::Part& part);
  /// The part as an earlier installation holds it, if nothing that shapes it has changed.
  const bay::Part* earlier(const PartSpec& spec, const Source& from) const;

  MakeSolids solids_again(const PartSpec& spec, const std::filesystem::path& path) const;
  void find_in_cache(std::vector<Reading>& readings);
  void read_models(const std::vector<Reading>& readings);
  /// Reads scans, makes triangles and trees.
  void make(std::vector<Reading>& readings);
  ResultAll<ReadPart> made(const Wish& wish, const Source& source, bool step) const;
  const InputFile& input(const Source& source) const { return files_[source.file]; }
  ScanKey scan_key(const Reading& reading) const;
  /// Notes a line about a file once.
  void note(const Source& source, const std::string& line);

  const FileAccess& access_;
  const Progress& progress_;
  const Installation* previous_;
  PartCache& cache_;
  std::vector<InputFile> files_;
  std::size_t outside_count_ = 0;
  std::size_t cached_count_ = 0;
  std::vector<std::string> about_parts_;
  std::map<std::filesystem::path, Result<std::string>> hashes_;
  std::map<std::string, std::optional<PartCache::Found>> ahead_;  ///< by place
  std::map<std::string, Result<Source>> sources_;
  std::map<std::size_t, Aabb> step_boxes_;  ///< by index into files_
  std::map<std::string, Result<StepModel>> models_;
  std::map<ScanKey, Result<ReadScan>> scans_;
  std::map<bay::PartId, std::string> scan_doubts_;
};

}  // namespace baywright::job

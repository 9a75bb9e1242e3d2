#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "geometry/base/result.hpp"
#include "job/known_hashes.hpp"
#include "job/read_part.hpp"

namespace baywright::job {

/// Where a part is kept: its file's name in the job and the settings that shape it. SHA-256 as 64 hex digits.
std::string part_place(const PartSpec& spec, const std::filesystem::path& path);
/// What a part's reading follows from: its place, the content of its file, versions of this program's reading and of
/// the modelling kernel. SHA-256 as 64 hex digits.
std::string part_key(const std::string& place, const std::string& content_hash);

/// A read part as a file's bytes, and back, equal to the last bit. Whatever the bytes are, what comes back may be
/// searched and drawn; damage is an error. `again` makes exact shapes anew should the kernel not understand their
/// bytes when they are needed.
using MakeSolids = std::function<Result<std::vector<Solid>>(const std::vector<ShapeOrigin>& origins)>;
Result<std::string> part_bytes(const std::string& key, const ReadPart& read);
Result<ReadPart> part_of_bytes(std::string bytes, const std::string& key, const MakeSolids& again);

/// Read parts kept beside a job, so that it opens sooner the next time. Nothing here can fail a job: what cannot be
/// read is made anew, what cannot be written is not kept, and a note says so. The folder may be deleted at any time;
/// several programs may use it at once. It is not followed where it is a link.
class PartCache {
 public:
  /// Without a job folder it keeps nothing.
  explicit PartCache(const std::optional<std::filesystem::path>& job_folder);

  /// What is kept at a place, and what it was made of: the caller compares keys. `name` is the part's, for notes. From
  /// any thread.
  struct Found {
    std::string key;
    ReadPart read;
  };
  std::optional<Found> find(const std::string& place, const std::string& name, const MakeSolids& again);
  /// Says that a part of the job is kept here: it stays.
  void use(const std::string& place) { used_.insert(place); }
  /// SHA-256 of a source; without a cache it is made every time. From any thread.
  Result<std::string> sha256_of(const std::filesystem::path& source) { return hashes_.sha256_of(source); }
  /// To be written. Shares the geometry.
  void keep(const std::string& place, const std::string& key, const ReadPart& read);
  /// Writes what is to be kept, if anything, and removes what is in use no more.
  void write();

  /// In a fixed order.
  std::vector<std::string> notes() const;

 private:
  void note(std::string line);
  void remove_unused() const;

  std::optional<std::filesystem::path> folder_;
  KnownHashes hashes_;
  std::set<std::string> used_;
  std::map<std::string, Found> fresh_;  ///< by place
  mutable std::mutex mutex_;
  std::set<std::string> notes_;
};

}  // namespace baywright::job

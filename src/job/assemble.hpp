#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "bay/bay.hpp"
#include "catalog/workshop.hpp"
#include "checks/sheet.hpp"
#include "duct/layout.hpp"
#include "duct/stock.hpp"
#include "geometry/base/progress.hpp"
#include "geometry/base/result.hpp"
#include "job/job.hpp"

namespace baywright::checks {
struct Judged;
}

namespace baywright::job {

/// A file the job was made from.
struct InputFile {
  std::string path;  ///< as the job names it
  std::string sha256;
  std::uintmax_t bytes = 0;
  std::filesystem::file_time_type modified;  ///< to see cheaply that nothing changed; not printed
  std::vector<std::string> refers_to;        ///< files beside it that belong to it, as the job would name them
  std::vector<std::string> warnings;         ///< what its reader noted, one line each; also in Installation::warnings
};

/// A job with its files read: all that measuring needs.
struct Installation {
  Job job;
  std::filesystem::path folder;
  bay::Bay bay;
  std::vector<duct::Duct> ducts;
  checks::Sheet sheet;
  catalog::Workshop workshop;        ///< tools and clamps there are
  std::optional<duct::Stock> stock;  ///< that the job names for searches of routes
  std::vector<InputFile> files;
  std::vector<std::string> warnings;  ///< implausible size, dropped triangles, loose curves...
  std::vector<std::string> notes;     ///< about this opening (the cache), not about the job: in no report
  std::size_t cached_parts = 0;       ///< readings of parts that the cache spared

  checks::Judged judged() const;  ///< what the checks look at; refers into this object
};

/// Folder inside a job folder that holds shapes as they were read; may be deleted at any time.
inline constexpr const char* kCacheFolder = ".baywright-cache";

/// What the user, not the job, decides about reading.
struct ReadOptions {
  std::vector<std::filesystem::path> allowed_folders;  ///< outside the job folder, with all that is below them
  bool cache = false;  ///< keep shapes as read in the job folder's kCacheFolder, and take them from there
};

/// Reads job.json in `folder` (or the file itself) and everything it refers to. Paths stay inside the job folder and
/// the allowed folders. All errors found are returned together; nothing is written but the
/// cache, where the options ask for it.
ResultAll<Installation> open_job(const std::filesystem::path& folder, const Progress& progress = {},
                                 const ReadOptions& options = {});

/// The same from a job in memory. Files already read for `previous` are taken from it when unchanged.
ResultAll<Installation> assemble(const Job& job, const std::filesystem::path& folder, const Progress& progress = {},
                                 const Installation* previous = nullptr, const ReadOptions& options = {});

}  // namespace baywright::job

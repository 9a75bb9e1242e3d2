#pragma once

#include <filesystem>
#include <optional>
#include <set>
#include <string>

#include "geometry/base/result.hpp"
#include "job/assemble.hpp"
#include "session/edit.hpp"

namespace baywright::session {

/// Changes that a session left beside the job without saving them.
struct UnsavedChanges {
  std::filesystem::path file;
  std::filesystem::file_time_type written;
  Result<job::Job> job;  ///< or why the file cannot be read
};

/// The open job as a file: edits with undo and redo, saving, and a copy beside it of what is not saved yet. Not
/// thread-safe.
class JobDocument {
 public:
  /// The job of an installation that open_job read. Fails: file_missing; bad_value when the file says something else by
  /// now.
  static Result<JobDocument> open(const job::Installation& installation);

  const job::Job& job() const { return history_.current(); }
  const std::filesystem::path& file() const { return file_; }
  bool unsaved() const;  ///< differs from what was read or saved last

  /// Fails as session::apply does, and where the outcome could not be saved: a value that no job may have, or
  /// not_supported for what job::with_route_values does not write.
  Result<std::set<std::string>> apply(const Edit& edit);
  const History& history() const { return history_; }
  std::set<std::string> undo() { return history_.undo(); }
  std::set<std::string> redo() { return history_.redo(); }

  /// The file is no longer what was read or saved last: somebody else wrote it, or it is gone.
  bool changed_on_disk() const;
  /// Writes the job back: the old file or the whole new one, only what was edited differs (job::with_route_values).
  /// Fails with bad_value when changed_on_disk() and not `over_others`; not_written; not_supported.
  Result<void> save(bool over_others = false);

  /// Keeps the unsaved job beside the file, as a job file of its own; removes that copy when all is saved.
  Result<void> keep_unsaved() const;
  /// Removes the copy: the user wants to lose the changes.
  void drop_unsaved() const;
  /// The copy an earlier session left; nullopt when there is none, or it says what the file says.
  std::optional<UnsavedChanges> left_unsaved() const;
  /// Takes places and radii of route points over from such a copy, as edits that can be undone. Fails with
  /// not_supported when the job was changed otherwise since; nothing is taken over then.
  Result<std::set<std::string>> take_over(const job::Job& unsaved);

 private:
  JobDocument(std::filesystem::path file, std::string text, job::Job job);
  std::filesystem::path copy_path() const;

  std::filesystem::path file_;
  std::string text_;  ///< of the file as read or saved last
  job::Job saved_;    ///< what that text says
  History history_;
};

}  // namespace baywright::session

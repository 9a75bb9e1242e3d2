#include "session/job_document.hpp"

#include <utility>

#include "geometry/base/atomic_file.hpp"
#include "job/job_file.hpp"
#include "job/job_text.hpp"

namespace baywright::session {

namespace fs = std::filesystem;

JobDocument::JobDocument(fs::path file, std::string text, job::Job job)
    : file_(std::move(file)), text_(std::move(text)), saved_(job), history_(std::move(job)) {}

Result<JobDocument> JobDocument::open(const job::Installation& installation) {
  if (installation.files.empty()) {
    return fail(ErrorCode::bad_value, "job.json", "the job was not read from a file");
  }
  const job::InputFile& own = installation.files.front();
  fs::path file = installation.folder / own.path;
  auto text = read_file(file);
  if (!text) return tl::unexpected(text.error());
  if (sha256_hex(*text) != own.sha256) {
    return fail(ErrorCode::bad_value, file.string(), "was changed while it was opened; read the job again");
  }
  return JobDocument(std::move(file), std::move(*text), installation.job);
}

bool JobDocument::unsaved() const { return !(history_.current() == saved_); }

Result<std::set<std::string>> JobDocument::apply(const Edit& edit) {
  const auto edited = session::apply(job(), edit);
  if (!edited) return tl::unexpected(edited.error());
  if (auto text = job::with_route_values(text_, saved_, edited->job); !text) return tl::unexpected(text.error());
  return history_.apply(edit);
}

bool JobDocument::changed_on_disk() const {
  const auto now = read_file(file_);
  return !now || *now != text_;
}

Result<void> JobDocument::save(bool over_others) {
  if (!over_others && changed_on_disk()) {
    return fail(ErrorCode::bad_value, file_.string(),
                "was changed by somebody else since it was read; it is left alone");
  }
  auto text = job::with_route_values(text_, saved_, job());
  if (!text) return tl::unexpected(text.error());
  if (auto written = write_file(file_, *text); !written) return written;
  text_ = std::move(*text);
  saved_ = job();
  drop_unsaved();
  return {};
}

fs::path JobDocument::copy_path() const { return file_.string() + ".unsaved"; }

Result<void> JobDocument::keep_unsaved() const {
  if (!unsaved()) {
    drop_unsaved();
    return {};
  }
  const auto text = job::with_route_values(text_, saved_, job());
  if (!text) return tl::unexpected(text.error());
  return write_file(copy_path(), *text);
}

void JobDocument::drop_unsaved() const {
  std::error_code ignored;
  fs::remove(copy_path(), ignored);
}

std::optional<UnsavedChanges> JobDocument::left_unsaved() const {
  std::error_code error;
  const auto written = fs::last_write_time(copy_path(), error);
  if (error) return std::nullopt;
  UnsavedChanges out{copy_path(), written, job::Job()};
  const auto text = read_file(copy_path());
  if (!text) {
    out.job = tl::unexpected(text.error());
    return out;
  }
  auto read = job::read_job(*text, copy_path().filename().string());
  if (!read) {
    out.job = tl::unexpected(read.error().front());
    return out;
  }
  if (*read == saved_) return std::nullopt;
  out.job = std::move(*read);
  return out;
}

Result<std::set<std::string>> JobDocument::take_over(const job::Job& unsaved) {
  // The same text must be able to become the job: then nothing else differs.
  if (auto possible = job::with_route_values(text_, saved_, unsaved); !possible) {
    return fail(ErrorCode::not_supported, copy_path().string(),
                "cannot be taken over: job.json was changed in other places since; the copy is left as it is");
  }
  std::set<std::string> changed;
  for (std::size_t d = 0; d < unsaved.ducts.size(); ++d) {
    if (job().ducts[d] == unsaved.ducts[d]) continue;
    auto one = history_.apply(PutDuct{unsaved.ducts[d]});
    if (!one) return tl::unexpected(one.error());
    changed.merge(*one);
  }
  return changed;
}

}  // namespace baywright::session

#include <tbb/parallel_for.h>

#include <algorithm>
#include <set>

#include "geometry/base/atomic_file.hpp"
#include "geometry/base/words.hpp"
#include "geometry/files/step_name.hpp"
#include "geometry/files/step_several.hpp"
#include "job/part_loader.hpp"

// Files of parts: found, hashed once, listed among the inputs with what belongs to them.
namespace baywright::job {

InputFile PartLoader::looked_at(const std::string& named, const std::filesystem::path& path) const {
  InputFile file;
  file.path = named;
  std::error_code error;
  file.bytes = std::filesystem::file_size(path, error);
  file.modified = std::filesystem::last_write_time(path, error);
  if (!previous_) return file;
  for (const InputFile& old : previous_->files) {
    if (old.path == named && old.bytes == file.bytes && old.modified == file.modified) file.sha256 = old.sha256;
  }
  return file;
}

Result<InputFile> PartLoader::identify(const std::string& named, const std::filesystem::path& path,
                                       const std::string& where) const {
  InputFile file = looked_at(named, path);
  if (!file.sha256.empty()) return file;
  const auto ahead = hashes_.find(path);
  if (ahead == hashes_.end()) progress_.report("reading " + named);
  auto hash = ahead == hashes_.end() ? cache_.sha256_of(path) : ahead->second;
  if (!hash) return fail(hash.error().code, where, in_quotes(named) + " " + hash.error().message);
  file.sha256 = std::move(*hash);
  return file;
}

void PartLoader::look_ahead(const std::vector<Wish>& wishes) {
  std::set<std::filesystem::path> paths;
  std::vector<std::pair<const PartSpec*, std::filesystem::path>> parts;
  for (const Wish& wish : wishes) {
    const auto found = access_.find(wish.spec->file, wish.pointer);
    if (!found || !looked_at(wish.spec->file, found->path).sha256.empty()) continue;
    paths.insert(found->path);
    if (ahead_.emplace(part_place(*wish.spec, found->path), std::nullopt).second) {
      parts.emplace_back(wish.spec, found->path);
    }
  }
  const std::vector<std::filesystem::path> list(paths.begin(), paths.end());
  std::vector<Result<std::string>> hashes(list.size());
  std::vector<std::optional<PartCache::Found>> found(parts.size());
  progress_.report("reading files");
  // A hash that is made runs on one core alone; those that remain fetch shapes.
  tbb::parallel_for(
      tbb::blocked_range<std::size_t>(0, list.size() + parts.size(), 1),
      [&](const auto& range) {
        for (std::size_t i = range.begin(); i < range.end() && !progress_.cancelled(); ++i) {
          if (i < list.size()) {
            hashes[i] = cache_.sha256_of(list[i]);
            continue;
          }
          const auto& [spec, path] = parts[i - list.size()];
          found[i - list.size()] = cache_.find(part_place(*spec, path), spec->id.value, solids_again(*spec, path));
        }
      },
      tbb::simple_partitioner());
  if (progress_.cancelled()) return;
  for (std::size_t i = 0; i < list.size(); ++i) hashes_.emplace(list[i], std::move(hashes[i]));
  for (std::size_t i = 0; i < parts.size(); ++i) {
    ahead_[part_place(*parts[i].first, parts[i].second)] = std::move(found[i]);
  }
}

bool PartLoader::unchanged(const Source& source) const {
  for (const auto& [path, index] : source.made_of) {
    const InputFile now = looked_at(files_[index].path, path);
    if (now.bytes != files_[index].bytes || now.modified != files_[index].modified) return false;
  }
  return true;
}

Result<std::size_t> PartLoader::add_file(const std::string& named, const FileAccess::Found& found,
                                         const std::string& where) {
  for (std::size_t i = 0; i < files_.size(); ++i) {
    if (files_[i].path == named) return i;
  }
  auto file = identify(named, found.path, where);
  if (!file) return tl::unexpected(file.error());
  files_.push_back(std::move(*file));
  if (found.outside) ++outside_count_;
  return files_.size() - 1;
}

std::vector<std::string> PartLoader::companions(const InputFile& file, const std::filesystem::path& path) const {
  if (!is_step_name(path)) return {};
  for (const InputFile& old : previous_ ? previous_->files : std::vector<InputFile>()) {
    // One that was missing, and left a line, may have been put in place since.
    if (old.path == file.path && old.sha256 == file.sha256 && old.warnings.empty()) return old.refers_to;
  }
  std::vector<std::string> names;
  const auto siblings = step_siblings(path);
  if (!siblings) return {};  // read_step will say the same at the part that needs it
  for (const std::string& name : *siblings) {
    names.push_back((std::filesystem::path(file.path).parent_path() / name).generic_string());
  }
  return names;
}

Result<PartLoader::Source> PartLoader::new_source(const std::string& named, const std::string& where) {
  const auto found = access_.find(named, where);
  if (!found) return tl::unexpected(found.error());
  const auto index = add_file(named, *found, where);
  if (!index) return tl::unexpected(index.error());
  Source out{found->path, *index, files_[*index].sha256, {{found->path, *index}}};
  const std::vector<std::string> companions = this->companions(files_[*index], found->path);
  files_[*index].refers_to = companions;
  for (const std::string& companion : companions) {
    const std::string name = std::filesystem::path(companion).filename().string();
    const auto beside = access_.find_beside(*found, name, where);
    if (!beside) return tl::unexpected(beside.error());
    const auto other = add_file(companion, *beside, where);
    if (!other) return tl::unexpected(other.error());
    out.content_hash += "\n" + name + " " + files_[*other].sha256;
    out.made_of.emplace_back(beside->path, *other);
  }
  if (!companions.empty()) out.content_hash = sha256_hex(out.content_hash);
  return out;
}

Result<const PartLoader::Source*> PartLoader::source(const std::string& named, const std::string& pointer) {
  const std::string where = place_in_job(pointer);
  auto it = sources_.find(named);
  if (it == sources_.end()) it = sources_.emplace(named, new_source(named, where)).first;
  if (!it->second) {
    Error error = it->second.error();
    error.where = where;
    return tl::unexpected(std::move(error));
  }
  return &*it->second;
}

Result<std::string> PartLoader::read_text(const std::string& named, const std::string& pointer,
                                          std::uintmax_t limit_bytes) {
  const auto found = source(named, pointer);
  if (!found) return tl::unexpected(found.error());
  auto bytes = read_file((*found)->path, limit_bytes);
  if (!bytes) return fail(bytes.error().code, named, bytes.error().message);
  return bytes;
}

}  // namespace baywright::job

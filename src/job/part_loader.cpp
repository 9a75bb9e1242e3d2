#include "job/part_loader.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <atomic>

#include "geometry/base/words.hpp"
#include "geometry/files/step_name.hpp"
#include "geometry/files/step_several.hpp"
#include "job/one_error.hpp"

namespace baywright::job {
namespace {

/// A unit slip changes sizes by a factor of 10 or more; a single STEP part may rightly be small.
std::string step_size_doubt(const Aabb& box) {
  constexpr double kSmallest_mm = 2;
  constexpr double kLargest_mm = 20000;
  if (box.empty()) return "";
  const double largest = box.size().maxCoeff();
  return largest < kSmallest_mm || largest > kLargest_mm ? size_doubt(box, 1.0, UnitSource::file) : "";
}

std::string hidden_line(const std::vector<std::string>& names) {
  constexpr std::size_t kMostNames = 20;
  std::string line = std::to_string(names.size()) + (names.size() == 1 ? " solid is" : " solids are") +
                     " not seen from outside and left out: ";
  for (std::size_t i = 0; i < std::min(kMostNames, names.size()); ++i)
    line += (i > 0 ? ", " : "") + in_quotes(names[i]);
  return line + (names.size() > kMostNames ? ", ..." : "");
}

}  // namespace

PartLoader::PartLoader(const FileAccess& access, const Progress& progress, const Installation* previous,
                       PartCache& cache)
    : access_(access), progress_(progress), previous_(previous), cache_(cache) {}

void PartLoader::note(const Source& source, const std::string& line) {
  std::vector<std::string>& lines = files_[source.file].warnings;
  if (std::find(lines.begin(), lines.end(), line) == lines.end()) lines.push_back(line);
}

std::vector<std::string> PartLoader::warnings() const {
  std::vector<std::string> out = about_parts_;
  for (const InputFile& file : files_) {
    for (const std::string& line : file.warnings) out.push_back(file.path + ": " + line);
  }
  return out;
}

/// Whether a mesh is a scan, as the job says or else as it looks.
std::optional<Error> PartLoader::say_what_it_is(const Wish& wish, bool step, bay::Part& part) {
  const std::optional<bool>& scanned = wish.spec->scanned;
  const auto refuse = [&](const std::string& why) {
    return Error{ErrorCode::bad_value, place_in_job(wish.pointer + "/scanned"), why};
  };
  if (step) {
    if (scanned) return refuse("is for meshes only: a STEP file holds a model; remove it");
  } else if (!part.mesh) {
    if (scanned && !*scanned) return refuse("points are always a scan; remove it, or give the model");
  } else if (scanned) {
    part.modelled = !*scanned;
  } else if (part.modelled) {
    part.model_assumed = true;
    about_parts_.push_back(wish.spec->id.value +
                           ": closed and with flat faces, so taken to be made of a model and not scanned; say "
                           "\"scanned\": false, or true where it was scanned");
  }
  return std::nullopt;
}

const bay::Part* PartLoader::earlier(const PartSpec& spec, const Source& from) const {
  if (!previous_) return nullptr;
  for (const PartSpec& old : previous_->job.parts) {
    if (old.id != spec.id) continue;
    const bool same = old.file == spec.file && old.select == spec.select && old.mm_per_unit == spec.mm_per_unit &&
                      old.chord_error_mm == spec.chord_error_mm && old.drop_hidden == spec.drop_hidden &&
                      old.scanned == spec.scanned && old.placement == spec.placement;
    const bay::Part* part = same ? previous_->bay.find_part(spec.id) : nullptr;
    if (part && part->content_hash == from.content_hash) return part;
  }
  return nullptr;
}

std::vector<ResultAll<bay::Part>> PartLoader::load(const std::vector<Wish>& wishes) {
  look_ahead(wishes);
  struct Place {
    Result<const Source*> source;
    const bay::Part* earlier = nullptr;
    std::size_t reading = 0;
  };
  std::vector<Place> places;
  std::vector<Reading> readings;
  std::map<std::string, std::size_t> known;
  for (const Wish& wish : wishes) {
    if (progress_.cancelled()) return {};
    Place place{source(wish.spec->file, wish.pointer + "/file")};
    if (place.source) {
      const Source& from = **place.source;
      const std::string in_cache = part_place(*wish.spec, from.path), key = part_key(in_cache, from.content_hash);
      cache_.use(in_cache);
      place.earlier = earlier(*wish.spec, from);
      if (!place.earlier) {
        const auto [it, is_new] = known.emplace(key, readings.size());
        place.reading = it->second;
        if (is_new) readings.push_back({&wish, &from, in_cache, key, is_step_name(from.path), false, {}});
      }
    }
    places.push_back(std::move(place));
  }
  find_in_cache(readings);
  read_models(readings);
  make(readings);
  if (progress_.cancelled()) return {};

  std::vector<ResultAll<bay::Part>> out;
  for (std::size_t i = 0; i < wishes.size(); ++i) {
    const Wish& wish = wishes[i];
    const Place& place = places[i];
    if (!place.source) {
      out.emplace_back(only(place.source.error()));
      continue;
    }
    const Source& from = **place.source;
    bay::Part part;
    if (place.earlier) {
      part = *place.earlier;
      for (const InputFile& file : previous_->files) {
        if (file.path != wish.spec->file) continue;
        for (const std::string& line : file.warnings) note(from, line);
      }
      if (!is_step_name(from.path)) {
        scan_doubts_[wish.spec->id] = scan_doubt(part, wish.spec->mm_per_unit.value_or(1));
      }
    } else {
      const Reading& reading = readings[place.reading];
      if (!*reading.result) {
        // Complaints name the part; the files are read already.
        out.emplace_back(reading.wish == &wish ? tl::unexpected(reading.result->error())
                                               : tl::unexpected(made(wish, from, reading.step).error()));
        continue;
      }
      const ReadPart& read = **reading.result;
      if (reading.wish == &wish && !reading.found && unchanged(from)) cache_.keep(reading.place, reading.key, read);
      for (const std::string& line : read.about_file) note(from, line);
      if (!reading.step) scan_doubts_[wish.spec->id] = read.doubt;
      part = read.part;
    }
    if (auto error = say_what_it_is(wish, is_step_name(from.path), part)) {
      out.emplace_back(only(*std::move(error)));
      continue;
    }
    part.file = wish.spec->file;
    part.content_hash = from.content_hash;
    if (is_step_name(from.path)) step_boxes_[from.file].grow(part.tree.bounds());
    if (!part.hidden.empty()) about_parts_.push_back(wish.spec->id.value + ": " + hidden_line(part.hidden));
    if (part.tree.dropped_count() > 0) {
      about_parts_.push_back(wish.spec->id.value + ": " + std::to_string(part.tree.dropped_count()) +
                             " triangles lie impossibly far out and are left out");
    }
    out.emplace_back(std::move(part));
  }
  return out;
}

MakeSolids PartLoader::solids_again(const PartSpec& spec, const std::filesystem::path& path) const {
  std::error_code error;
  const auto modified = std::filesystem::last_write_time(path, error);
  return [placement = spec.placement, path, modified](const std::vector<ShapeOrigin>& origins) {
    const auto made = [&]() -> Result<std::vector<Solid>> {
      std::error_code now;
      if (std::filesystem::last_write_time(path, now) != modified) {
        return fail(ErrorCode::file_damaged, path.string(), "has changed since the job was opened; open it again");
      }
      const auto model = read_step(path);
      if (!model) return tl::unexpected(model.error());
      return shapes_of(*model, origins, placement);
    };
    return made();
  };
}

void PartLoader::find_in_cache(std::vector<Reading>& readings) {
  tbb::parallel_for(std::size_t{0}, readings.size(), [&](std::size_t i) {
    Reading& reading = readings[i];
    if (progress_.cancelled()) return;
    const PartSpec& spec = *reading.wish->spec;
    const auto ahead = ahead_.find(reading.place);
    auto found = ahead != ahead_.end()
                     ? std::move(ahead->second)
                     : cache_.find(reading.place, spec.id.value, solids_again(spec, reading.source->path));
    if (!found || found->key != reading.key) return;
    reading.found = true;
    reading.result = std::move(found->read);
  });
  ahead_.clear();
  for (const Reading& reading : readings) cached_count_ += reading.found ? 1 : 0;
}

/// While nothing else is at work: reading a STEP file copies this process, locks that other threads hold and all.
void PartLoader::read_models(const std::vector<Reading>& readings) {
  std::vector<std::string> names;
  std::vector<std::filesystem::path> paths;
  for (const Reading& reading : readings) {
    if (reading.result || !reading.step || progress_.cancelled()) continue;
    const std::string& name = input(*reading.source).path;
    if (std::find(names.begin(), names.end(), name) != names.end()) continue;
    names.push_back(name);
    paths.push_back(reading.source->path);
  }
  auto models = read_steps(paths, progress_);
  for (std::size_t i = 0; i < names.size(); ++i) models_.emplace(names[i], std::move(models[i]));
}

PartLoader::ScanKey PartLoader::scan_key(const Reading& reading) const {
  return {input(*reading.source).path, *reading.wish->spec->mm_per_unit};
}

ResultAll<ReadPart> PartLoader::made(const Wish& wish, const Source& source, bool step) const {
  if (step) return part_of_step(*wish.spec, wish.pointer, models_.at(input(source).path), progress_);
  const auto unit = wish.spec->mm_per_unit;
  return part_of_scan(*wish.spec, wish.pointer, unit ? &scans_.at({input(source).path, *unit}) : nullptr, progress_);
}

void PartLoader::make(std::vector<Reading>& readings) {
  // Scans come first and one by one: they are the longest, and each is read and treed on all cores anyway where it is
  // large. A scan is let go with its last part.
  std::vector<std::vector<Reading*>> work;
  std::map<ScanKey, std::size_t> of_scan;
  for (Reading& reading : readings) {
    if (reading.result || reading.step || !reading.wish->spec->mm_per_unit) continue;
    const auto [it, is_new] = of_scan.emplace(scan_key(reading), work.size());
    if (is_new) {
      work.emplace_back();
      scans_.emplace(it->first, fail(ErrorCode::cancelled, "", "stopped"));
    }
    work[it->second].push_back(&reading);
  }
  for (Reading& reading : readings) {
    if (!reading.result && (reading.step || !reading.wish->spec->mm_per_unit)) work.push_back({&reading});
  }
  std::atomic<std::size_t> done = 0;
  tbb::parallel_for(
      tbb::blocked_range<std::size_t>(0, work.size(), 1),
      [&](const auto& range) {
        for (std::size_t i = range.begin(); i < range.end(); ++i) {
          const Reading& first = *work[i].front();
          if (!progress_.cancelled() && !first.step && first.wish->spec->mm_per_unit) {
            const ScanKey key = scan_key(first);
            progress_.report("reading " + key.first);
            scans_.at(key) = read_scan_file(first.source->path, key.second, progress_);
          }
          for (Reading* reading : work[i]) {
            if (progress_.cancelled()) return;
            reading->result = made(*reading->wish, *reading->source, reading->step);
          }
          progress_.report("reading parts", static_cast<double>(++done) / static_cast<double>(work.size()));
        }
      },
      tbb::simple_partitioner());
}

std::string PartLoader::doubt(const PartSpec& spec) const {
  const auto found = sources_.find(spec.file);
  if (found == sources_.end() || !found->second) return "";
  const auto step_box = step_boxes_.find(found->second->file);
  if (step_box != step_boxes_.end()) return step_size_doubt(step_box->second);
  const auto scan = scan_doubts_.find(spec.id);
  return scan == scan_doubts_.end() ? "" : scan->second;
}

std::string PartLoader::incomplete(const PartSpec& spec) const {
  const auto found = sources_.find(spec.file);
  if (found == sources_.end() || !found->second) return "";
  for (const std::string& line : files_[found->second->file].warnings) {
    if (line.ends_with(kPartMissing)) return line;
  }
  return "";
}

void PartLoader::conclude() {
  for (const auto& [file, box] : step_boxes_) {
    const std::string doubt = step_size_doubt(box);
    std::vector<std::string>& lines = files_[file].warnings;
    if (!doubt.empty() && std::find(lines.begin(), lines.end(), doubt) == lines.end()) lines.push_back(doubt);
  }
}

}  // namespace baywright::job

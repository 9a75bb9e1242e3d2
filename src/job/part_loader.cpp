#include "job/part_loader.hpp"

#include <algorithm>

#include "geometry/base/atomic_file.hpp"
#include "geometry/base/words.hpp"
#include "geometry/files/step_name.hpp"
#include "job/node.hpp"

namespace baywright::job {
namespace {

constexpr double kDefaultChordError_mm = 0.1;  ///< target of the mesher; the result is measured

std::string file_place(const std::string& pointer) { return "job.json: " + pointer; }

bool is_placed(const Placement& placement) { return !(placement == Placement{}); }

TriMesh moved(const TriMesh& mesh, const Pose& X) {
  TriMesh out = mesh;
  out.origin_mm = X * mesh.origin_mm;
  const Eigen::Matrix3d R = X.R.toRotationMatrix();
  for (Vec3f& v : out.vertices) v = (R * v.cast<double>()).cast<float>();
  return out;
}

PointCloud moved(const PointCloud& cloud, const Pose& X) {
  PointCloud out = cloud;
  out.origin_mm = X * cloud.origin_mm;
  const Eigen::Matrix3d R = X.R.toRotationMatrix();
  for (Vec3f& p : out.points) p = (R * p.cast<double>()).cast<float>();
  for (Vec3f& n : out.normals) n = (R * n.cast<double>()).cast<float>();
  return out;
}

/// A closed mesh with its facets outward has an inside that is occupied.
bool is_closed(const TriMesh& mesh) {
  const MeshCounts counts = count_mesh(mesh);
  return counts.boundary_edges == 0 && counts.non_manifold_edges == 0 && signed_volume_mm3(mesh) > 0;
}

/// Names in a STEP file, for a complaint.
std::string what_there_is(const StepModel& model) {
  constexpr std::size_t kMostNames = 20;
  std::string list;
  std::size_t count = 0;
  for (const StepPart& part : model.parts) {
    if (count++ >= kMostNames) return list + ", ... (" + std::to_string(model.parts.size()) + " in all)";
    list += (list.empty() ? "" : ", ") + in_quotes(part.path.empty() ? part.name : part.path);
  }
  return list;
}

/// Indices of the shapes a part selects, in the order of the file.
ResultAll<std::vector<std::size_t>> selected(const StepModel& model, const PartSpec& spec, const std::string& pointer) {
  std::vector<bool> taken(model.parts.size(), spec.select.empty());
  std::vector<Error> errors;
  for (std::size_t s = 0; s < spec.select.size(); ++s) {
    const std::string& wanted = spec.select[s];
    bool found = false;
    std::vector<std::string> known;
    for (std::size_t i = 0; i < model.parts.size(); ++i) {
      const StepPart& part = model.parts[i];
      known.push_back(part.name);
      known.push_back(part.path);
      if (part.name != wanted && part.path != wanted) continue;
      taken[i] = true;
      found = true;
    }
    if (found) continue;
    const std::string near = nearest_word(wanted, known);
    errors.push_back({ErrorCode::bad_value, file_place(pointer + "/select/" + std::to_string(s)),
                      in_quotes(spec.file) + " has no shape " + in_quotes(wanted) +
                          (near.empty() ? "" : "; did you mean " + in_quotes(near) + "?") +
                          "; it has: " + what_there_is(model)});
  }
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  std::vector<std::size_t> indices;
  for (std::size_t i = 0; i < taken.size(); ++i) {
    if (taken[i]) indices.push_back(i);
  }
  return indices;
}

tl::unexpected<std::vector<Error>> one(Error error) { return tl::unexpected(std::vector<Error>{std::move(error)}); }

Error cancelled() { return {ErrorCode::cancelled, "", "stopped"}; }

/// Fewer points than that are no scan of a surface.
constexpr std::size_t kFewestPoints = 3;

/// A unit slip changes sizes by a factor of 10 or more; a single STEP part may rightly be small.
std::string step_size_doubt(const Aabb& box) {
  constexpr double kSmallest_mm = 2;
  constexpr double kLargest_mm = 20000;
  if (box.empty()) return "";
  const double largest = box.size().maxCoeff();
  return largest < kSmallest_mm || largest > kLargest_mm ? size_doubt(box, 1.0) : "";
}

}  // namespace

Pose pose_of(const Placement& placement) {
  const Vec3 origin = Vec3::Zero();
  return Pose::translation(placement.shift_mm) * Pose::rotation(Vec3::UnitZ(), origin, placement.yaw.si()) *
         Pose::rotation(Vec3::UnitY(), origin, placement.pitch.si()) *
         Pose::rotation(Vec3::UnitX(), origin, placement.roll.si());
}

PartLoader::PartLoader(const FileAccess& access, const Progress& progress, const Installation* previous)
    : access_(access), progress_(progress), previous_(previous) {}

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

Result<InputFile> PartLoader::identify(const std::string& named, const std::filesystem::path& path,
                                       const std::string& where) const {
  InputFile file;
  file.path = named;
  std::error_code error;
  file.bytes = std::filesystem::file_size(path, error);
  file.modified = std::filesystem::last_write_time(path, error);
  if (previous_) {
    for (const InputFile& old : previous_->files) {
      if (old.path == named && old.bytes == file.bytes && old.modified == file.modified) file.sha256 = old.sha256;
    }
  }
  if (file.sha256.empty()) {
    progress_.report("reading " + named);
    const auto bytes = read_file(path);
    if (!bytes) return fail(bytes.error().code, where, in_quotes(named) + " " + bytes.error().message);
    file.sha256 = sha256_hex(*bytes);
  }
  return file;
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
  Source out{found->path, *index, files_[*index].sha256};
  const std::vector<std::string> companions = this->companions(files_[*index], found->path);
  files_[*index].refers_to = companions;
  for (const std::string& companion : companions) {
    const std::string name = std::filesystem::path(companion).filename().string();
    const auto beside = access_.find_beside(*found, name, where);
    if (!beside) return tl::unexpected(beside.error());
    const auto other = add_file(companion, *beside, where);
    if (!other) return tl::unexpected(other.error());
    out.content_hash += "\n" + name + " " + files_[*other].sha256;
  }
  if (!companions.empty()) out.content_hash = sha256_hex(out.content_hash);
  return out;
}

Result<const PartLoader::Source*> PartLoader::source(const std::string& named, const std::string& pointer) {
  const std::string where = file_place(pointer);
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
  if (!bytes) return fail(bytes.error().code, file_place(pointer), in_quotes(named) + " " + bytes.error().message);
  return bytes;
}

const bay::Part* PartLoader::earlier(const PartSpec& spec, const Source& from) const {
  if (!previous_) return nullptr;
  for (const PartSpec& old : previous_->job.parts) {
    if (old.id != spec.id) continue;
    const bool same = old.file == spec.file && old.select == spec.select && old.mm_per_unit == spec.mm_per_unit &&
                      old.chord_error_mm == spec.chord_error_mm && old.placement == spec.placement;
    const bay::Part* part = same ? previous_->bay.find_part(spec.id) : nullptr;
    if (part && part->content_hash == from.content_hash) return part;
  }
  return nullptr;
}

ResultAll<bay::Part> PartLoader::load(const PartSpec& spec, const std::string& pointer) {
  if (progress_.cancelled()) return one(cancelled());
  const auto found = source(spec.file, pointer + "/file");
  if (!found) return one(found.error());
  const Source& from = **found;
  const bool is_step = is_step_name(from.path);
  ResultAll<bay::Part> part = [&]() -> ResultAll<bay::Part> {
    if (const bay::Part* old = earlier(spec, from)) {
      for (const InputFile& file : previous_->files) {
        if (file.path != spec.file) continue;
        for (const std::string& line : file.warnings) note(from, line);
      }
      return *old;
    }
    return is_step ? load_step(spec, from, pointer) : load_scan(spec, from, pointer);
  }();
  if (!part) return part;
  part->file = spec.file;
  part->content_hash = from.content_hash;
  if (is_step) step_boxes_[from.file].grow(part->tree.bounds());
  if (part->tree.dropped_count() > 0) {
    about_parts_.push_back(spec.id.value + ": " + std::to_string(part->tree.dropped_count()) +
                           " triangles lie impossibly far out and are left out");
  }
  return part;
}

std::string PartLoader::doubt(const bay::Part& part, const PartSpec& spec) const {
  const auto found = sources_.find(spec.file);
  if (found == sources_.end() || !found->second) return "";
  const auto step_box = step_boxes_.find(found->second->file);
  if (step_box != step_boxes_.end()) return step_size_doubt(step_box->second);
  if (part.cloud && part.cloud->points.size() < kFewestPoints) {
    return "has only " + std::to_string(part.cloud->points.size()) + " points";
  }
  if (part.mesh && !(area_mm2(*part.mesh) > 0)) return "has triangles of no area only";
  return size_doubt(part.mesh ? bounds(*part.mesh) : bounds(*part.cloud), spec.mm_per_unit.value_or(1));
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

Result<const StepModel*> PartLoader::step_model(const Source& source) {
  const std::string& name = input(source).path;
  auto it = models_.find(name);
  if (it == models_.end()) {
    progress_.report("reading " + name);
    it = models_.emplace(name, read_step(source.path, progress_)).first;
    if (it->second) {
      for (const std::string& line : it->second->warnings) note(source, line);
    }
  }
  if (!it->second) return tl::unexpected(it->second.error());
  return &*it->second;
}

Result<const ScanFile*> PartLoader::scan_file(const Source& source, double mm_per_unit) {
  const std::pair key(input(source).path, mm_per_unit);
  auto it = scans_.find(key);
  if (it == scans_.end()) {
    progress_.report("reading " + key.first);
    it = scans_.emplace(key, read_scan(source.path, {.mm_per_unit = mm_per_unit}, progress_)).first;
    if (it->second) {
      const ScanFile& scan = *it->second;
      const Aabb box = std::visit([](const auto& shape) { return bounds(shape); }, scan.shape);
      const std::string doubt = size_doubt(box, mm_per_unit);
      if (!doubt.empty()) note(source, doubt);
      for (const std::string& line : scan.warnings) note(source, line);
    }
  }
  if (!it->second) return tl::unexpected(it->second.error());
  return &*it->second;
}

namespace {

/// Where a file reader's complaint belongs: the key that names the file; its own place goes into the text.
Error at_key(const Error& error, const std::string& pointer, const std::string& file) {
  if (error.code == ErrorCode::cancelled) return error;
  std::string detail = to_line(error);
  const std::size_t name = detail.rfind('/', detail.find(": "));
  if (name != std::string::npos && name < detail.find(": ")) detail.erase(0, name + 1);
  if (detail.find(std::filesystem::path(file).filename().string()) == std::string::npos) detail = file + ": " + detail;
  return {error.code, file_place(pointer), std::move(detail)};
}

}  // namespace

namespace {

/// One mesh of all; faces numbered on from shape to shape.
TriMesh numbered_through(const std::vector<TriMesh>& meshes, const std::vector<Solid>& shapes) {
  TriMesh all = merged(meshes);
  std::uint32_t first = 0;
  for (std::size_t i = 0; i < meshes.size(); ++i) {
    for (const std::uint32_t face : meshes[i].face) all.face.push_back(first + face);
    first += static_cast<std::uint32_t>(shapes[i].face_count());
  }
  return all;
}

}  // namespace

ResultAll<bay::Part> PartLoader::load_step(const PartSpec& spec, const Source& source, const std::string& pointer) {
  std::vector<Error> errors;
  if (spec.mm_per_unit) {
    errors.push_back({ErrorCode::bad_value, file_place(pointer + "/mm_per_unit"),
                      "is given for a STEP file, which states its unit itself; remove it"});
  }
  const auto model = step_model(source);
  if (!model) {
    errors.push_back(at_key(model.error(), pointer + "/file", spec.file));
    return tl::unexpected(std::move(errors));
  }
  const auto chosen = selected(**model, spec, pointer);
  if (!chosen) errors.insert(errors.end(), chosen.error().begin(), chosen.error().end());
  if (!errors.empty()) return tl::unexpected(std::move(errors));

  bay::Part part;
  part.modelled = true;
  part.encloses = true;
  const Pose X = pose_of(spec.placement);
  std::vector<TriMesh> meshes;
  for (const std::size_t index : *chosen) {
    if (progress_.cancelled()) return one(cancelled());
    const StepPart& leaf = (*model)->parts[index];
    progress_.report("triangles of " + (leaf.name.empty() ? spec.id.value : leaf.name));
    const Solid shape = is_placed(spec.placement) ? leaf.shape.moved(X) : leaf.shape;
    auto mesh = tessellate(shape, spec.chord_error_mm.value_or(kDefaultChordError_mm));
    if (!mesh) {
      Error error = at_key(mesh.error(), pointer, spec.file);
      error.message += " (shape " + in_quotes(leaf.path) + ")";
      errors.push_back(std::move(error));
      continue;
    }
    part.encloses = part.encloses && shape.solid_count() > 0;
    if (!part.color) part.color = leaf.color;
    if (chosen->size() == 1) part.solid = shape;
    part.shapes.push_back(shape);
    meshes.push_back(std::move(*mesh));
  }
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  part.mesh = std::make_shared<const TriMesh>(meshes.size() == 1 ? std::move(meshes.front())
                                                                 : numbered_through(meshes, part.shapes));
  part.tree = TriTree::over(*part.mesh);
  return part;
}

ResultAll<bay::Part> PartLoader::load_scan(const PartSpec& spec, const Source& source, const std::string& pointer) {
  std::vector<Error> errors;
  if (!spec.select.empty()) {
    errors.push_back({ErrorCode::bad_value, file_place(pointer + "/select"),
                      "only shapes in STEP files have names; remove it, or split the mesh into files"});
  }
  if (!spec.mm_per_unit) {
    errors.push_back(
        {ErrorCode::bad_value, file_place(pointer + "/mm_per_unit"),
         in_quotes(spec.file) + " does not state its unit; give mm_per_unit (1 for mm, 25.4 for inches, 1000 for m)"});
    return tl::unexpected(std::move(errors));
  }
  const auto scan = scan_file(source, *spec.mm_per_unit);
  if (!scan) errors.push_back(at_key(scan.error(), pointer + "/file", spec.file));
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  progress_.report("tree of " + spec.id.value);
  const Pose X = pose_of(spec.placement);
  bay::Part part;
  if (const auto* mesh = std::get_if<TriMesh>(&(*scan)->shape)) {
    part.mesh = std::make_shared<const TriMesh>(is_placed(spec.placement) ? moved(*mesh, X) : *mesh);
    part.tree = TriTree::over(*part.mesh);
    part.encloses = is_closed(*part.mesh);
  } else {
    const auto& cloud = std::get<PointCloud>((*scan)->shape);
    part.cloud = std::make_shared<const PointCloud>(is_placed(spec.placement) ? moved(cloud, X) : cloud);
    std::vector<float> radius = local_spacing_mm(*part.cloud);
    for (float& r : radius) r *= 0.5F;
    part.tree = TriTree::over(*part.cloud, radius);
  }
  return part;
}

}  // namespace baywright::job
